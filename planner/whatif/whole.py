"""Several jobs as one: a week, a season. Every case over all of them, sums and chance over the whole.

Each job is planned by itself; what ties them together is looked at here: who is at two of them at once, the
rest between them, the workweek of the office, the chance that all of it gets done.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations, pairwise

from planner.check.rest import rest_limits, short_rests
from planner.day import weighted_needed_min
from planner.errors import Fault, InputFaults
from planner.job import Job
from planner.whatif.cases import Case, Variation, cases_of
from planner.whatif.figures import figures_of
from planner.whatif.results import CaseResult
from planner.whatif.sure import DayDrawn, Sure, outcome_of

#: Jobs that are compared as one at most: a season of weeks.
MOST_JOBS = 60

#: What is told of rest that is short between jobs: so many people by name.
MOST_NAMED = 4


def whole_cases(jobs: Sequence[Job], variations: Sequence[Variation]) -> tuple[tuple[Case, ...], ...]:
    """The cases of each job, the earliest job first: the same values put into all of them.

    Raises
    ------
    InputFaults
        As `planner.whatif.cases.cases_of`; somebody who is at two of the jobs at once; one job twice.
    """
    ordered = sorted(jobs, key=lambda job: job.clock.origin)
    if len(ordered) > MOST_JOBS:
        many = f"{len(ordered)} jobs", f"{MOST_JOBS} jobs at most"
        raise InputFaults.one("jobs", *many, f"At most {MOST_JOBS} jobs are compared as one.")
    faults = [fault for one, other in combinations(ordered, 2) for fault in _at_once(one, other)]
    if faults:
        raise InputFaults(faults)
    lanes = [cases_of(job, variations) for job in ordered]
    for k, lane in enumerate(lanes[1:], start=1):
        lanes[k] = tuple(
            replace(case, job=_own_extras(case.job, ordered[k], [lane[n].job for lane in lanes[:k]]))
            for n, case in enumerate(lane)
        )
    return tuple(lanes)


def _moments(job: Job, beside: Job, name: str) -> list[tuple[int, int]]:
    """A person's stretches on site, in minutes of another job's clock."""
    shift = beside.clock.minute(job.clock.origin)
    return [(s.start_min + shift, s.end_min + shift) for s in job.on_site.get(name, ())]


def _at_once(one: Job, other: Job) -> Iterator[Fault]:
    """Who is on site at both of two jobs at the same time: nobody can be."""
    both = [p.name for p in one.people if p.name in other.on_site]
    for name in both:
        here, there = _moments(one, one, name), _moments(other, one, name)
        if any(a < d and c < b for a, b in here for c, d in there):
            places = f"{one.site.name} and {other.site.name}"
            yield Fault(
                "jobs",
                f"{name}: {places}",
                "everybody at one job at a time",
                f"{name} is on site at {places} at the same time. Take him out of one of them, or give him "
                "hours of his own there.",
            )


def _own_extras(job: Job, given: Job, earlier: Sequence[Job]) -> Job:
    """The job with names of their own for extra people who are at an earlier job at the same time."""
    known = {p.name for p in given.people}
    taken = {
        p.name
        for before in earlier
        for p in before.people
        if p.name not in known and any(True for _ in _clash(before, job, p.name))
    }
    if not taken:
        return job
    rows = [p.replace(name=f"{p.name}, {given.site.name}"[:60]) if p.name in taken else p for p in job.people]
    return job.replace(people=tuple(rows))


def _clash(one: Job, other: Job, name: str) -> Iterator[tuple[int, int]]:
    for a, b in _moments(one, one, name):
        yield from ((c, d) for c, d in _moments(other, one, name) if a < d and c < b)


def put_together(parts: Sequence[CaseResult]) -> CaseResult:
    """One case over several jobs, of what it came to at each; the earliest job first."""
    case = replace(
        parts[0].case,
        as_given=all(p.case.as_given for p in parts),
        faults=tuple(f for p in parts for f in p.case.faults),
    )
    seconds = round(sum(p.seconds for p in parts), 2)
    lacking = next((p for p in parts if p.plan is None), None)
    if lacking is not None:
        told = f"No plan for {lacking.case.job.site.name}: {lacking.sentence}"
        return CaseResult(case, None, None, told, seconds=seconds, parts=tuple(parts))
    sures = [p.sure for p in parts if p.sure is not None]
    jobs = [p.case.job for p in parts]
    return CaseResult(
        case,
        None,
        figures_of([(p.plan, p.case.job) for p in parts if p.plan is not None]),
        " ".join([f"{len(parts)} plans.", *_short_of_rest(parts)]),
        seconds=seconds,
        sure=_sure_of_all(sures, jobs) if len(sures) == len(parts) else None,
        parts=tuple(replace(p, sure=replace(p.sure, days=())) if p.sure else p for p in parts),
    )


def _short_of_rest(parts: Sequence[CaseResult]) -> list[str]:
    """Who is short of rest from one job to the next, in a sentence: the jobs are planned each by itself."""
    first = parts[0].case.job
    work: dict[str, dict[int, list[tuple[int, int]]]] = defaultdict(lambda: defaultdict(list))
    for k, part in enumerate(parts):
        shift = first.clock.minute(part.case.job.clock.origin)
        for spell in part.plan.duties if part.plan is not None else ():
            work[spell.person][k].append((spell.start_min + shift, spell.end_min + shift))
    rules, short = first.rules, []
    limits = rest_limits(rules)
    for name, by_job in work.items():
        every = [span for spans in by_job.values() for span in spans]
        own = sum(len(short_rests(spans, limits)) for spans in by_job.values())
        ends = sorted((min(s for s, _ in spans), max(e for _, e in spans)) for spans in by_job.values())
        nights = any(start - end < rules.rest_before_duty_min for (_, end), (start, _) in pairwise(ends))
        if len(by_job) > 1 and (nights or len(short_rests(every, limits)) > own):
            short.append(name)
    if not short:
        return []
    more = f" and {len(short) - MOST_NAMED} more" if len(short) > MOST_NAMED else ""
    return [f"Short of rest from one job to the next: {', '.join(short[:MOST_NAMED])}{more}."]


def _sure_of_all(sures: Sequence[Sure], jobs: Sequence[Job]) -> Sure:
    """The chance over all jobs: day number n of each of them happens together."""
    first = jobs[0].clock
    shifts = [first.minute(job.clock.origin) for job in jobs]
    together = []
    for days in zip(*(s.days for s in sures), strict=False):
        causes = [f"{job.site.name}: {day.cause}" for day, job in zip(days, jobs, strict=True) if day.cause]
        end = max(day.end_min + shift for day, shift in zip(days, shifts, strict=True))
        together.append(DayDrawn(sum(day.done for day in days), end, causes[0] if causes else ""))
    return replace(
        sures[0],
        **outcome_of(together, sum(weighted_needed_min(job) for job in jobs)),
        items=tuple(
            replace(item, item=f"{job.site.name}: {item.item}")
            for s, job in zip(sures, jobs, strict=True)
            for item in s.items
        ),
        expected_min=sum(s.expected_min for s in sures),
        planned_min=sum(s.planned_min for s in sures),
        needed_min=sum(s.needed_min for s in sures),
        spare=(),
        days=(),
    )

"""The rules of hours asked of one person's duties with settled times.

Each working day is judged as one stretch of work, as in the models (`planner.schedule.model.duty_hours`).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from itertools import pairwise

from planner.check.rest import RestLimits, rest_limits, rest_windows_asked, short_rests, stretches_of_work
from planner.job import CrewRules, Job, Person
from planner.job.night import in_the_night
from planner.schedule.problem.problem import Problem

#: So many answers about one person's stretches are kept with a problem (about 300 bytes each).
MOST_KNOWN = 100_000


@lru_cache(maxsize=4096)
def _holds(
    past: tuple[tuple[int, int], ...], stretches: tuple[tuple[int, int], ...], limits: RestLimits
) -> bool:
    return not short_rests([*past, *stretches], limits, since_min=stretches[0][0])


def past_of(person: Person) -> tuple[tuple[int, int], ...]:
    """Stretches of work that a person has from before the job."""
    return tuple((s.start_min, s.end_min) for s in person.past_work)


def rest_holds(job: Job, person: Person, stretches: list[tuple[int, int]]) -> bool:
    """Whether a person's working days, one stretch each and in order, keep every rule of rest."""
    if not stretches or not rest_windows_asked(job):
        return True
    return _holds(past_of(person), tuple(stretches), rest_limits(job.rules))


def first_rested_min(job: Job, person: Person, start_min: int, end_min: int) -> int:
    """First minute from ``start_min`` on at which a person may hold any duty; ``end_min`` where none.

    The later a single minute of duty lies after what was worked before, the less of that is in any window
    with it: so the answer is found by halving.
    """
    low, high = start_min, end_min
    while low < high:
        middle = (low + high) // 2
        if rest_holds(job, person, [(middle, middle + 1)]):
            high = middle
        else:
            low = middle + 1
    return low


def hours_matter(problem: Problem) -> bool:
    """Whether any rule of hours can be broken by duties within the hours of the people."""
    rules = problem.job.rules
    longest = max(d.end_min - d.start_min for d in problem.days)
    nights = [later.start_min - earlier.end_min for earlier, later in pairwise(problem.days)]
    return (
        longest > rules.duty_span_max_min
        or any(night < rules.rest_before_duty_min for night in nights)
        or rest_windows_asked(problem.job)
        or bool(rules.meal_break_min)
        or bool(rules.rest_after_night_min)
        or bool(problem.job.one_briefing_days)
    )


def relieved(rules: CrewRules, watches: list[tuple[int, int]]) -> bool:
    """Whether none of one person's watches over dives is too long without a break."""
    if rules.watch_max_min == 0:
        return True
    joined = stretches_of_work(watches, rules.watch_break_min)
    return all(end - start <= rules.watch_max_min for start, end in joined)


def briefed_spells(
    problem: Problem, person: Person, spells: list[tuple[int, int]], calls: Mapping[int, int]
) -> list[tuple[int, int]]:
    """A person's duties with the briefing of each of his stretches on site, in order.

    ``calls``: working day → start of the crew's one briefing.
    """
    out = list(spells)
    for span, minutes in zip(problem.hours[person.name], problem.briefings[person.name], strict=True):
        first = min((a for a, _ in spells if span.start_min <= a < span.end_min), default=None)
        if minutes and first is not None:
            at = problem.job.briefed_from_min(person, first, calls)
            out.append((at, at + minutes))
    return sorted(out)


def hours_hold(
    problem: Problem,
    person: Person,
    held: list[tuple[int, int]],
    leaves: list[int],
    start: int,
    end: int,
    calls: Mapping[int, int] | None = None,
) -> bool:
    """Whether a person may take one more stretch of duty.

    Parameters
    ----------
    held
        His stretches so far, job minutes.
    leaves
        Minutes at which he leaves the surface, with that of the stretch itself where it is a dive's.
    start, end
        The stretch in question.
    calls
        Working day → start of the crew's one briefing, on days that begin with one.
    """
    # Asked again for each duty and each order of the items that is tried.
    called, known = tuple((calls or {}).items()), problem.hours_known
    key = (person.name, tuple(held), tuple(leaves), start, end, called)
    found = known.get(key)
    if found is None:
        if len(known) >= MOST_KNOWN:
            known.clear()
        spells = [*held, (start, end)]
        found = known[key] = _called_in_time(problem, person, spells, calls or {}) and _hours_hold(
            problem, person, spells, leaves, calls or {}
        )
    return found


def _called_in_time(
    problem: Problem, person: Person, spells: list[tuple[int, int]], calls: Mapping[int, int]
) -> bool:
    """Whether all duties come after the crew's briefing of their day, and he is rested when it begins."""
    minutes, days = problem.job.rules.briefing_min, {problem.day_of(start): start for start, _ in spells}
    if any(start < calls.get(problem.day_of(start), start - minutes) + minutes for start, _ in spells):
        return False
    for day in days.keys() & calls.keys():
        own = [s.start_min for s in problem.hours[person.name] if problem.day_of(s.start_min) == day]
        rested = min(own, default=calls[day]) - minutes
        if problem.comes_min(person.name, day) <= calls[day] < rested:
            return False
    return True


def _hours_hold(
    problem: Problem,
    person: Person,
    held: list[tuple[int, int]],
    leaves: list[int],
    calls: Mapping[int, int],
) -> bool:
    rules = problem.job.rules
    spells = briefed_spells(problem, person, held, calls)
    days: dict[int, tuple[int, int]] = {}
    for a, b in spells:
        day = problem.day_of(a)
        first, last = days.get(day, (a, b))
        days[day] = min(first, a), max(last, b)
    stretches = [days[k] for k in sorted(days)]
    if any(b - a > rules.duty_span_max_min for a, b in stretches):
        return False
    if any(later[0] - earlier[1] < rules.rest_before_duty_min for earlier, later in pairwise(stretches)):
        return False
    if rules.meal_break_min:
        joined = stretches_of_work(spells, rules.meal_break_min)
        if any(b - a > rules.meal_break_after_min for a, b in joined):
            return False
    if rules.rest_after_night_min:
        ends = [b for a, b in spells if in_the_night(problem.job.clock, a, b)]
        if any(e <= leave < e + rules.rest_after_night_min for e in ends for leave in leaves):
            return False
    return rest_holds(problem.job, person, stretches)

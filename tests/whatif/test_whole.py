"""Several jobs as one: a week or a season, each case over all of them, sums and chance over the whole."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from decimal import Decimal

import pytest

from planner.errors import InputFaults
from planner.hours.pay_rules import EXAMPLE_RULES
from planner.hours.timesheets import timesheets
from planner.hours.worked import from_plan
from planner.job import Job
from planner.whatif.best import least_crew
from planner.whatif.cases import Case, parse_variations
from planner.whatif.figures import cost_of, figures_of, weighted_needed_min
from planner.whatif.results import CaseResult, Sweep
from planner.whatif.retime import retime
from planner.whatif.spread import Spread, draw
from planner.whatif.stand_in import StandIns
from planner.whatif.sure import how_sure
from planner.whatif.sweep import SEEDS_A_JOB, sweep
from planner.whatif.whole import put_together, whole_cases
from tests.whatif.short_day import SHORT
from tests.world.changed import with_site
from tests.world.sample_plans import planned

JOB, PLAN = planned("small heavy dress")
#: Days that go badly, so that some of them break even a short plan.
HARSH = Spread(work_likely_percent=100, work_most_percent=400, late_chance_percent=60, late_most_min=600)
CREW = {p.name for p in SHORT.people}


def _later(job: Job, days: int, name: str) -> Job:
    return with_site(job, first_day=job.site.first_day + timedelta(days=days), name=name)


NEXT = _later(SHORT, 1, "The next day")
WEEK = _later(SHORT, 3, "Later in the week")


@pytest.fixture(scope="module")
def swept() -> Sweep:
    """Two crews over two days, the later day given first."""
    variations = parse_variations(NEXT, ["tenders=6..7"], [SHORT])
    lanes = whole_cases([NEXT, SHORT], variations)
    return sweep(*lanes, seconds=0.05, processes=1, draws=30, seed=4, spread=HARSH)


def test_each_case_is_told_over_all_jobs(swept: Sweep) -> None:
    """The parts stand in order of their days; work, dives, hours and people are theirs together."""
    assert [r.case.number for r in swept.results] == [1, 2]
    assert "2 jobs together" in swept.sentence
    for one in swept.results:
        assert [p.case.job.site.name for p in one.parts] == [SHORT.site.name, "The next day"]
        assert one.figures is not None and one.plan is None
        own = [p.figures for p in one.parts if p.figures is not None]
        assert one.figures.work_min == sum(f.work_min for f in own)
        assert one.figures.dives == sum(f.dives for f in own)
        assert one.figures.people_min == sum(f.people_min for f in own)
        assert one.figures.people == len({p.name for part in one.parts for p in part.case.job.people})
        # the second day ends a day after its own clock says
        assert one.figures.end_min == own[1].end_min + 1440
        day = SHORT.site.first_day + timedelta(days=1)
        assert f"{day:%d %b}" in one.when(one.figures.end_min)


def test_the_chance_over_the_whole_is_counted_day_by_day(swept: Sweep) -> None:
    """Drawn again one by one: day n of both jobs happens together, and their days are not the same days."""
    one = swept.results[1]
    assert one.sure is not None
    held, reached = 0, Counter[int]()
    days = [list(_days(p, 4 + k * SEEDS_A_JOB)) for k, p in enumerate(one.parts)]
    whole = sum(weighted_needed_min(p.case.job) for p in one.parts)
    for pair in zip(*days, strict=True):
        held += all(as_planned for _, as_planned in pair)
        reached[int(100 * sum(done for done, _ in pair) / whole + 1e-6)] += 1
    assert one.sure.draws == 30
    assert one.sure.day_percent == pytest.approx(100 * held / 30)
    assert one.sure.reached == tuple(reached[n] for n in range(101))
    assert days[0] != days[1] and 0 < held < 30
    assert one.sure.day_percent <= min(p.sure.day_percent for p in one.parts if p.sure is not None)
    assert {i.item.split(": ")[0] for i in one.sure.items} == {SHORT.site.name, "The next day"}


def _days(part: CaseResult, seed: int) -> list[tuple[float, bool]]:
    """Weighted minutes done on each drawn day, and whether all that is planned was done."""
    job, plan = part.case.job, part.plan
    assert plan is not None
    manned, found = StandIns(plan, job), []
    weights = job.rules.priority_weights
    for n in range(30):
        drawn = draw(job, HARSH, seed, n)
        tied, air = manned.manned(drawn.unfit)
        day = retime(tied, drawn, air=air)
        done = sum(weights[i.priority - 1] * i.needed_min * day.done[i.name] for i in job.items)
        as_planned = all(
            day.done[i.name] >= 1 for i in job.items if plan.worked_min(i.name) >= i.needed_min
        ) and all(plan.worked_min(i.name) in (0, i.needed_min) for i in job.items)
        found.append((done, as_planned))
    return found


def test_the_week_is_paid_as_one() -> None:
    """Six days of one crew: hours past forty a week are overtime only when the days are added up; who is on
    two jobs has a least paid day for each day, once (the office's own sums, timesheets of all days)."""
    days = [_later(JOB, n, f"Day {n + 1}") for n in range(6)]
    together = cost_of([(PLAN, job) for job in days])
    sheets = timesheets([from_plan(PLAN, job) for job in days], EXAMPLE_RULES)
    assert together.worked_pay == sheets.pay
    alone = cost_of([(PLAN, JOB)])
    assert together.worked_pay > 6 * alone.worked_pay
    assert together.gear == 6 * alone.gear


def test_two_jobs_on_one_day_are_paid_each_and_who_is_at_both_has_one_least_day() -> None:
    """One day, two crews: the sums of both; the same people there twice wait only once."""
    other = with_site(JOB, name="Across the river").replace(
        people=tuple(p.replace(name=f"{p.name} B") for p in JOB.people), pins=()
    )
    there = PLAN.replace(
        duties=tuple(s.replace(person=f"{s.person} B") for s in PLAN.duties),
        dives=tuple(
            d.replace(divers=tuple(r.replace(person=f"{r.person} B") for r in d.divers)) for d in PLAN.dives
        ),
    )
    alone, both = cost_of([(PLAN, JOB)]), cost_of([(PLAN, JOB), (there, other)])
    assert both.total == 2 * alone.total
    assert figures_of([(PLAN, JOB), (there, other)]).people == 2 * len(JOB.people)
    twice = cost_of([(PLAN, JOB), (PLAN, with_site(JOB, name="Across the river"))])
    assert twice.waiting_pay < 2 * alone.waiting_pay or alone.waiting_pay == Decimal(0)


def test_nobody_is_at_two_jobs_at_the_same_time() -> None:
    """The same crew at two jobs on one day is refused, with the name of everybody it concerns."""
    twin = with_site(SHORT, name="Across the river")
    with pytest.raises(InputFaults) as refused:
        whole_cases([SHORT, twin], parse_variations(SHORT, ["tenders=6..7"], [twin]))
    assert {f.found.split(":")[0] for f in refused.value.faults} == CREW
    assert all("at the same time" in f.sentence for f in refused.value.faults)


def test_extra_people_of_two_jobs_on_one_day_are_two_people() -> None:
    """Both crews grow by one tender: each job has its own."""
    twin = with_site(SHORT, name="Across the river").replace(
        people=tuple(p.replace(name=f"{p.name} B") for p in SHORT.people)
    )
    here, there = whole_cases([SHORT, twin], parse_variations(SHORT, ["tenders=9"], [twin]))
    extra = [{p.name for p in case.job.people if p.name.startswith("Extra")} for (case,) in (here, there)]
    assert extra[0] and extra[1] and not extra[0] & extra[1]


def test_short_rest_from_one_job_to_the_next_is_told() -> None:
    """The day's last duty and the next job's first lie closer than the rest that the job asks for."""
    assert PLAN.duties and JOB.rules.rest_before_duty_min
    first = CaseResult(_case(JOB), PLAN, figures_of([(PLAN, JOB)]), "made up")
    longest = max(s.end_min for s in PLAN.duties) - min(s.start_min for s in PLAN.duties)
    asked = 1440 - longest + 60
    strict = JOB.replace(rules=JOB.rules.replace(rest_before_duty_min=asked))
    for job, told in ((strict, True), (JOB.replace(rules=JOB.rules.replace(rest_before_duty_min=0)), False)):
        parts = [
            CaseResult(_case(one), PLAN, first.figures, "made up") for one in (job, _later(job, 1, "Next"))
        ]
        found = put_together(parts)
        assert ("Short of rest" in found.sentence) is told


def _case(job: Job) -> Case:
    return Case(1, (), job)


def test_a_case_that_one_job_cannot_have_has_no_figures() -> None:
    """No plan for the second job: the case is told by it, the other part stays to be seen."""
    done = CaseResult(_case(SHORT), PLAN, figures_of([(PLAN, JOB)]), "made up")
    none = CaseResult(_case(WEEK), None, None, "Nothing fits.")
    found = put_together([done, none])
    assert found.figures is None and found.plan is None
    assert found.sentence == "No plan for Later in the week: Nothing fits."


def test_the_least_crew_of_a_week_is_asked_in_one_line(swept: Sweep) -> None:
    """Its people count once each over all jobs, and the finish is told with its day."""
    answer = least_crew(swept.results, 0, 1)
    assert answer.result is not None and answer.result.figures is not None
    assert f"{answer.result.figures.people} people" in answer.sentence


def test_days_are_kept_only_where_they_are_asked_for() -> None:
    """A draw told one by one adds up to the whole: as many as draws, those without a cause the chance."""
    sure = how_sure(PLAN, JOB, draws=40, spare=False, each=True)
    assert len(sure.days) == 40
    assert sure.day_percent == pytest.approx(100 * sum(not d.cause for d in sure.days) / 40)
    assert how_sure(PLAN, JOB, draws=5, spare=False).days == ()

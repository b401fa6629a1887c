"""Briefings in the scheduler: room for each, in every rule of hours, in the first plan and in a replan."""

from __future__ import annotations

from datetime import time

import pytest

from planner.check import check
from planner.day import with_briefings
from planner.job import Gear, Job, Pin, PinKind, Span
from planner.job.crew_rules import STAGE_ORDER
from planner.job.duties import BRIEFING
from planner.plan import Plan
from planner.schedule import first_plan, solve
from tests.schedule.day import PEOPLE, item, job
from tests.world.changed import with_person, with_rules, with_site


def briefed(made: Job, minutes: int = 15) -> Job:
    return with_rules(made, briefing_min=minutes)


def planned(made: Job, seconds: float = 8) -> Plan:
    outcome = solve(made, seconds=seconds, workers=1)
    assert outcome.plan is not None, outcome.sentence
    assert check(made, outcome.plan) == ()
    return outcome.plan


def briefings(plan: Plan, person: str) -> list[tuple[int, int]]:
    return [(s.start_min, s.end_min) for s in plan.duties_of(person) if s.duty == BRIEFING]


def test_the_day_begins_with_the_briefing() -> None:
    """Day from 07:00: the first call is then, the first dressing a quarter of an hour later; proven best."""
    made = briefed(job(item("A", 30, 40)))
    plan = planned(made)
    assert min(s.start_min for s in plan.duties) == 7 * 60
    assert plan.dives[0].dress_start_min == 7 * 60 + 15
    assert all(stage.proven for stage in plan.stages[:2])
    first = first_plan(made)
    assert first is not None and check(made, first) == ()


def test_it_counts_in_overtime_and_people_hours() -> None:
    """A quarter of an hour more of overtime and of people-hours for everybody than without."""
    bare = with_rules(job(item("A", 30, 40)), overtime_after_min=60)
    plans = [planned(bare), planned(briefed(bare))]
    without, more = ({s.name: s.value for s in plan.stages} for plan in plans)
    people = len({s.person for s in plans[1].duties})
    assert people >= 7
    assert more["people-hours"] == without["people-hours"] + people * 15
    # one who only helps to dress may stay within the ordinary day
    assert without["overtime"] + 7 * 15 <= more["overtime"] <= without["overtime"] + people * 15
    assert more["finish"] == without["finish"] + 15


def test_who_joins_later_is_briefed_on_joining() -> None:
    """One who is on site from 09:00 is briefed at 09:00 at the earliest, before his first duty."""
    made = briefed(
        with_person(job(item("A", 30, 150)), "Ciro", available=(Span(start_min=540, end_min=900),))
    )
    plan = planned(made)
    assert all(start >= 540 for start, _ in briefings(plan, "Ciro"))


def test_each_stretch_on_site_has_its_own() -> None:
    """Who is away from ten to noon is briefed again on coming back; a pin cuts the stretch as hours do."""
    made = briefed(job(item("A", 30, 60), item("B", 30, 60, windows=(Span(start_min=720, end_min=900),))))
    away = made.replace(pins=(Pin(kind=PinKind.AWAY, person="Ines", start_min=600, end_min=720),))
    assert [s.start_min for s in away.on_site["Ines"]] == [420, 720]
    plan = planned(away, 2)
    assert len(briefings(plan, "Ines")) == 2


def test_days_past_midnight_have_a_briefing_each() -> None:
    """Two days of 16:00 to 02:00: the briefing lies in the working day of the duty, once a day."""
    late = with_site(job(item("A", 30, 120, splittable=True)), days=2, day_start=time(16), day_end=time(2))
    plan = planned(briefed(with_rules(late, dives_a_day=1, rest_before_duty_min=0)), 10)
    for name in (p.name for p in PEOPLE):
        days = {(s.start_min - 960) // 1440 for s in plan.duties_of(name) if s.duty != BRIEFING}
        assert len(briefings(plan, name)) == len(days)


def test_a_meal_is_not_eaten_in_the_briefing() -> None:
    """Five hours at most from the briefing on, with a meal of 45 min: the plan holds, and stays exact."""
    made = briefed(with_rules(job(item("A", 30, 150, gear=Gear.HEAVY)), meal_break_min=45))
    plan = planned(with_rules(made, meal_break_after_min=285))
    for name in (p.name for p in PEOPLE):
        assert check(made, plan) == () and plan.duties_of(name)


def test_it_follows_from_the_duties_alone() -> None:
    """Taken out and put in again it is the same; twice is once; with 0 min there is none."""
    made = briefed(job(item("A", 30, 40)))
    plan = planned(made)
    bare = plan.replace(duties=tuple(s for s in plan.duties if s.duty != BRIEFING))
    assert with_briefings(made, bare).duties == plan.duties
    assert with_briefings(made, plan) == plan
    assert with_briefings(briefed(made, 0), plan).duties == bare.duties


# ---------------------------------------------------------------------- one for the whole crew


def called(made: Job, minutes: int = 15) -> Job:
    return with_rules(made, briefing_min=minutes, one_briefing=True)


def test_the_whole_crew_is_briefed_at_the_first_call() -> None:
    """A dive and a task at the end of it: all begin at one time, right before the first work."""
    made = called(job(item("A", 30, 40), item("B", 25, 30)))
    plan = planned(made)
    people = {s.person for s in plan.duties}
    assert len(people) >= 7
    assert {briefings(plan, name)[0] for name in people} == {(420, 435)}
    first = first_plan(made)
    assert first is not None and check(made, first) == ()
    assert len({s for p in people for s in briefings(first, p)}) == 1


def test_who_is_not_there_yet_is_briefed_when_he_comes() -> None:
    """Ciro is on site from 09:00: the others at the call, he from then on, if he has a duty."""
    made = called(with_person(job(item("A", 30, 150)), "Ciro", available=(Span(start_min=540, end_min=900),)))
    plan = planned(made)
    assert all(start >= 540 for start, _ in briefings(plan, "Ciro"))
    others = {s for p in PEOPLE if p.name != "Ciro" for s in briefings(plan, p.name)}
    assert len(others) == 1


@pytest.mark.long
def test_each_day_has_a_call_of_its_own() -> None:
    """Two days: one briefing on each, for those on duty that day."""
    tomorrow = (Span(start_min=1440 + 540, end_min=1440 + 700),)
    plan = planned(called(with_site(job(item("A", 30, 40), item("B", 30, 40, windows=tomorrow)), days=2)))
    starts = {s for p in PEOPLE for s, _ in briefings(plan, p.name)}
    assert {(s - 420) // 1440 for s in starts} == {0, 1}
    assert len(starts) == 2


@pytest.mark.long
def test_one_who_is_on_site_on_one_day_alone() -> None:
    """Two days, the second of which Ciro is away, though his duty of the first might fall on either."""
    away = with_person(job(item("A", 30, 40)), "Ciro", available=(Span(start_min=420, end_min=900),))
    order = ("nitrogen", *(stage for stage in STAGE_ORDER if stage != "nitrogen"))
    made = called(with_rules(with_site(away, days=2), overtime_after_min=60, stage_order=order))
    plan = planned(made)
    assert all(s.start_min < 1440 for s in plan.duties if s.person == "Ciro")


def test_a_pinned_briefing_is_the_crews() -> None:
    """Pinned to 07:20 for one who must be there: everybody is briefed then, the work follows."""
    made = called(job(item("A", 30, 40)))
    hold = Pin(kind=PinKind.HOLDS, item="A", duty="supervisor", person="Ines")
    pinned = made.replace(pins=(Pin(kind=PinKind.BRIEFED, person="Ines", start_min=440), hold))
    plan = planned(pinned)
    assert {s.start_min for s in plan.duties if s.duty == BRIEFING} == {440}
    assert plan.dives[0].dress_start_min >= 455


def test_without_briefing_minutes_it_does_nothing() -> None:
    """The plan is that of the job without it."""
    bare = with_rules(job(item("A", 30, 40)), briefing_min=0)
    plans = [planned(m) for m in (bare, with_rules(bare, one_briefing=True))]
    assert plans[0].replace(seconds=0) == plans[1].replace(seconds=0)


def test_a_day_that_has_begun_is_past_it() -> None:
    """Somebody was briefed this morning: he is not again, and the others may be each when he joins."""
    fresh = called(job(item("A", 30, 40)))
    made = with_person(fresh, "Gus", briefed_until_min=430)
    assert made.one_briefing_days == frozenset()
    plan = planned(made)
    assert briefings(plan, "Gus") == []
    first, *others = (s for s in plan.duties if s.duty == BRIEFING)
    sooner = first.replace(start_min=first.start_min - 1, end_min=first.end_min - 1)
    apart = plan.replace(duties=(*(s for s in plan.duties if s != first), sooner))
    assert others and "one-briefing" not in {finding.rule for finding in check(made, apart)}
    assert "one-briefing" in {finding.rule for finding in check(fresh, apart)}


def test_pay_and_hours_begin_with_the_call() -> None:
    """Meal and overtime count from the call for everybody: with an hour of ordinary day all the minutes from
    then to each one's last duty are over it."""
    bare = with_rules(job(item("A", 30, 40), item("B", 25, 30)), overtime_after_min=60)
    plan = planned(called(bare))
    over = 0
    for name in {s.person for s in plan.duties}:
        own = plan.duties_of(name)
        over += max(0, max(s.end_min for s in own) - min(s.start_min for s in own) - 60)
    assert over == next(s.value for s in plan.stages if s.name == "overtime")

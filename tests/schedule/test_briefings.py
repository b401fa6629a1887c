"""Briefings in the scheduler: room for each, in every rule of hours, in the first plan and in a replan."""

from __future__ import annotations

from datetime import time

from planner.check import check
from planner.day import with_briefings
from planner.job import Gear, Job, Pin, PinKind, Span
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
    plan = planned(away)
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

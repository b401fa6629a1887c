"""What follows from a dive's times.

Table numbers are read off the published tables 9-7 to 9-9 of the U.S. Navy Diving Manual, revision 7; dates
and minutes are counted by hand.
"""

from __future__ import annotations

from datetime import timedelta

import pytest

from planner.check import check
from planner.day import (
    AfterDive,
    AtLeave,
    DiveTimes,
    Hindrance,
    Moment,
    at_leave,
    bench_starts,
    chamber_ascent_min,
    descent_min,
    dived_on,
    held_from_to,
    left_over,
    longest_bottom_min,
    plan_later,
    times_of,
    water_ascent_min,
)
from planner.day.by_hand import worked_out
from planner.day.dive import duty_moments
from planner.job import CrewRules, Policy
from planner.job.duties import CHAMBER_OPERATOR, DIVER, SUPERVISOR, TENDER
from planner.table_sets import table_set
from planner.tables import ExposureOptions, plan_exposure
from tests.world.changed import past, with_person
from tests.world.parts import at
from tests.world.quay import a_plan, with_air

NAVY = table_set()


JOB, PLAN = with_air(), a_plan()
DAY_MIN = 24 * 60

#: Dressed from 10, in the water 30 to 75, out of the chamber only at 160.
TIMES = DiveTimes(10, 30, 70, 75, 95, 160, 20)


def test_a_dive_goes_down_at_the_jobs_rate_in_whole_minutes() -> None:
    """At 60 fsw a minute 60 fsw take a minute; the 61st begins another one (arithmetic)."""
    rules = CrewRules(descent_fsw_per_min=60)
    assert [descent_min(d, rules) for d in (1, 60, 61, 121)] == [1, 1, 2, 3]


def test_the_team_comes_up_with_the_longest_way_up() -> None:
    """60 fsw for 60 min is 2:00 up without stops (30 fsw a minute); a diver with stops holds both."""
    quick = plan_exposure(60, 60).schedule
    slow = plan_exposure(
        60, 70, None, ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=60)
    ).schedule
    assert water_ascent_min([quick]) == 2
    assert water_ascent_min([quick, slow]) == -(-slow.ascent_s // 60) > 2
    assert chamber_ascent_min([quick, slow]) is None


def test_who_decompresses_in_the_chamber_is_up_first_and_out_later() -> None:
    """Surface decompression: the water is left long before the pressure is (way up of the schedule)."""
    chamber = plan_exposure(100, 60, None, ExposureOptions(policy=Policy.SURFACE_DECOMPRESSION)).schedule
    out = chamber_ascent_min([chamber])
    assert out is not None
    assert out > water_ascent_min([chamber])


@pytest.mark.parametrize(
    ("duty", "span"),
    [(DIVER, (10, 160)), (TENDER, (10, 95)), (SUPERVISOR, (20, 75)), (CHAMBER_OPERATOR, (30, 160))],
)
def test_a_duty_is_held_between_two_moments_of_its_dive(duty: str, span: tuple[int, int]) -> None:
    """Diver: dressing to out of pressure; tender: to undressed; station: from when it takes over to the
    surface; chamber operator: leave surface to out of pressure, the watch on top."""
    start, end = duty_moments(duty)
    assert (TIMES.at(start), TIMES.at(end)) == span


def test_the_end_of_pressure_and_of_undressing_free_a_diver() -> None:
    """The later of the two."""
    assert TIMES.at(Moment.FREE) == 160
    assert DiveTimes(10, 30, 70, 75, 95, 75, 10).free_min == 95


def test_every_duty_of_a_plan_moves_with_its_dive() -> None:
    """A dive half an hour later takes each of its duties along, to the minute, in a plan made by hand."""
    bench = bench_starts(PLAN.dives)
    dives = {d.id: d for d in PLAN.dives}
    for spell in (s for s in PLAN.duties if s.dive is not None):
        times = times_of(dives[spell.dive or ""], bench[spell.dive or ""])
        hangs = held_from_to(spell, times)
        assert hangs.span(times) == (spell.start_min, spell.end_min)
        moved = times_of(dives[spell.dive or ""].later(30), times.bench_start_min + 30)
        assert hangs.span(moved) == (spell.start_min + 30, spell.end_min + 30)


def test_the_crew_takes_over_when_the_dive_before_has_surfaced() -> None:
    """On one station the second diver dresses while the first is down; its crew comes at his surfacing."""
    first = PLAN.dives[0]
    second = first.later(first.reach_surface_min - first.dress_start_min - 5).replace(id="next")
    starts = bench_starts([second, first])
    assert starts[first.id] == first.dress_start_min
    assert starts["next"] == first.reach_surface_min == second.dress_start_min + 5


def test_credit_for_the_surface_interval() -> None:
    """Table 9-8: group H is H at first and clean in the end; under ten minutes both dives are one."""
    assert at_leave(None, 500) == AtLeave()
    before = AfterDive(NAVY, 100, "H")
    assert at_leave(before, 109) == AtLeave(9, None, Hindrance.SAME_DIVE)
    assert at_leave(before, 110) == AtLeave(10, "H")
    assert at_leave(before, before.clean_at_min) == AtLeave(before.clean_at_min - 100, None)


def test_without_a_group_nothing_is_known_until_clean() -> None:
    """No printed group: hindered for the longest wait of the tables, clean after it; no row: for ever."""
    before = AfterDive(NAVY, 0, None)
    assert at_leave(before, NAVY.clean_without_group_min - 1).hindrance is Hindrance.NO_DIVE_YET
    assert at_leave(before, NAVY.clean_without_group_min) == AtLeave(NAVY.clean_without_group_min, None)
    assert at_leave(AfterDive(NAVY, 0, None, known=False), 9_999).hindrance is Hindrance.UNKNOWN


@pytest.mark.parametrize(("depth", "limit"), [(60, 63), (50, 92), (100, 25)])
def test_the_longest_dive_without_stops(depth: int, limit: int) -> None:
    """No-stop limits of table 9-7 for a clean diver."""
    assert longest_bottom_min(depth, None, ExposureOptions(), True, 240) == limit


def test_dives_are_counted_by_calendar_day() -> None:
    """Yesterday's dive counts yesterday, today's early one today; a dive past midnight where it began."""
    name = JOB.people[0].name
    job = with_person(JOB, name, past_dives=(past(40, 20, -60), past(40, 30, 60)))
    first = job.site.first_day
    made = [(at(9), 41), (DAY_MIN - 10, 30), (DAY_MIN + 300, 25)]
    assert dived_on(job, name, first - timedelta(days=1), made) == (1, 20)
    assert dived_on(job, name, first, made) == (3, 30 + 41 + 30)
    assert dived_on(job, name, first + timedelta(days=1), made) == (1, 25)


def test_a_plan_made_by_hand_is_worked_out_to_itself() -> None:
    """The quay's plan, its table numbers typed in by hand, comes out of the clock as it went in, and the
    check, which works everything out again by itself, has nothing to say."""
    again = worked_out(PLAN, JOB, PLAN)
    assert again.dives == PLAN.dives
    assert again.duties == PLAN.duties
    assert check(JOB, again) == check(JOB, PLAN)


def test_a_plan_later_is_the_same_plan() -> None:
    """There and back again; what it leaves undone does not hang on the hour."""
    later = plan_later(PLAN, 45)
    assert later.dives[0].leave_surface_min == PLAN.dives[0].leave_surface_min + 45
    assert plan_later(later, -45) == PLAN
    assert left_over(later, JOB, {}, "late") == left_over(PLAN, JOB, {}, "late")

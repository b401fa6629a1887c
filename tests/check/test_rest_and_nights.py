"""Rest in windows that reach into a plan, and duty in the night."""

from __future__ import annotations

from datetime import date

import hypothesis.strategies as st
import pytest
from hypothesis import given, settings

from planner.check.rest import REST_IN_24, RestLimits, short_rests, stretches_of_work
from planner.job import Clock, CrewRules, Job, Person, Site, WorkSpell
from planner.job.night import earliest_dive_min, in_the_night, past_night_ends

CLOCK = Clock(date(2026, 5, 12), "Europe/Lisbon")


def test_worked_example_of_the_rolling_window() -> None:
    """Rest 00:00–06:00 and 20:00–24:00, next day's work from 05:00: the 24 hours from 06:00 to 06:00 hold 9 h
    (MLC 2006, Standard A2.3, and STCW A-VIII/1: any 24 hours, not the calendar day)."""
    first_day, second_day = (360, 1200), (1740, 2000)
    (breach,) = short_rests([first_day, second_day], since_min=1740)
    assert (breach.rule, breach.start_min, breach.end_min, breach.found_min) == (REST_IN_24, 360, 1800, 540)
    assert short_rests([first_day, (1800, 2000)], since_min=1800) == ()


def test_what_lies_before_is_past() -> None:
    """Hours that were too long before the job convict no plan that comes after a day of rest."""
    long_ago, today = (-3000, -1900), (420, 600)
    assert {b.rule for b in short_rests([long_ago, today])} == {
        REST_IN_24,
        "rest-six-hours",
        "rest-14-between",
    }
    assert short_rests([long_ago, today], since_min=420) == ()


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.tuples(st.integers(-60, 40), st.integers(1, 16)), min_size=1, max_size=5), st.integers(0, 30)
)
def test_windows_since_by_brute_force(hours: list[tuple[int, int]], since_hours: int) -> None:
    """Window by window in steps of an hour from the plan's first duty on: too little rest in any 24 hours is
    found exactly when one of the windows that end after it has it."""
    work = [(60 * start, 60 * (start + length)) for start, length in hours]
    since = 60 * since_hours
    busy = {hour for start, length in hours for hour in range(start, start + length)}
    short = any(
        sum(h not in busy for h in range(end - 24, end)) < 10
        for end in range(since_hours + 1, since_hours + 90)
    )
    found = any(b.rule == REST_IN_24 for b in short_rests(work, since_min=since))
    # a window that ends within the first hour may have a little less than the next full one
    assert found or not short
    edge = sum(h not in busy for h in range(since_hours - 24, since_hours)) < 10
    assert not found or short or edge


@pytest.mark.parametrize(
    ("start", "end", "night"),
    [
        (-240, 0, False),  # until midnight
        (-240, 1, True),
        (299, 400, True),
        (300, 400, False),  # from five
        (1000, 1440 + 1, True),
        (600, 1200, False),
        (-3000, -1440 - 100, True),
    ],
)
def test_the_night_is_midnight_to_five(start: int, end: int, night: bool) -> None:
    """A duty that takes in any time between 00:00 and 05:00 is a night duty (MLC 2006, A1.1)."""
    assert in_the_night(CLOCK, start, end) is night


def test_the_earliest_dive_after_a_night() -> None:
    """The last night before the job decides; a last duty of which only the end is known counts when it ended
    in the night; without the rule any time will do."""
    spells = (WorkSpell(start_min=-1500, end_min=-1400), WorkSpell(start_min=-60, end_min=120))
    ana = Person(name="Ana", duties=frozenset({"diver"}), depth_rating_fsw=60, past_work=spells)
    bo = ana.replace(name="Bo", past_work=(), last_duty_end_min=180)
    cruz = bo.replace(name="Cruz", last_duty_end_min=-180)
    site = Site(name="Quay", first_day=date(2026, 5, 12), time_zone="Europe/Lisbon")
    job = Job(site=site, stations=(), people=(ana, bo, cruz), rules=CrewRules(rest_after_night_min=600))
    assert past_night_ends(job, ana) == (-1400, 120)
    assert [earliest_dive_min(job, p) for p in (ana, bo, cruz)] == [720, 780, None]
    off = job.replace(rules=CrewRules())
    assert earliest_dive_min(off, ana) is None


def test_the_limits_as_shipped_are_those_of_the_convention() -> None:
    """MLC 2006, Standard A2.3: 10 hours in any 24 and 77 in any 7 days (paragraph 5 b); two periods, one of
    at least 6 hours, 14 hours between two of them (paragraph 6)."""
    shipped = RestLimits()
    assert (shipped.in_24h_min, shipped.in_7_days_min) == (10 * 60, 77 * 60)
    assert (shipped.parts, shipped.one_part_min, shipped.between_max_min) == (2, 6 * 60, 14 * 60)


def test_what_ends_as_it_begins_or_before_is_no_work() -> None:
    """A stretch of no minutes, or one that is turned round, parts no rest and joins no work."""
    assert stretches_of_work([(0, 10), (40, 40), (60, 50), (75, 90)]) == ((0, 10), (75, 90))


def test_work_within_work_makes_no_stretch_longer() -> None:
    """Two posts at once, after an earlier stretch: the shorter of the two changes nothing."""
    assert stretches_of_work([(0, 10), (100, 400), (150, 200)]) == ((0, 10), (100, 400))


def test_each_breach_is_told_where_it_is() -> None:
    """Too little rest one day, told once; days later enough of it, but in three parts: told as well."""
    too_long = (0, 15 * 60)
    later = [(60 * (240 + start), 60 * (240 + end)) for start, end in ((6, 10), (13, 17), (20, 24), (30, 34))]
    assert {b.rule for b in short_rests(later)} == {"rest-two-parts"}
    both = {(b.rule, b.start_min > 7200) for b in short_rests([too_long, *later])}
    assert ("rest-10-in-24", False) in both
    assert ("rest-two-parts", True) in both
    assert ("rest-two-parts", False) not in both
    week = (7 * 1440 + 15 * 60 + 60 * 240, 7 * 1440 + 30 * 60 + 60 * 240)
    assert {b.rule for b in short_rests([*later, week]) if b.start_min < 60 * 290} == {"rest-two-parts"}


def test_the_first_window_that_counts_ends_a_minute_after_the_plan_begins() -> None:
    """14 h 01 of work from 0 to 841 leave 599 min in every window that holds all of it, the last of them from
    0 to 1440; the next one holds 600. Whoever begins at 1440 has his rest, whoever begins at 1439 has not."""
    work = [(0, 841)]
    assert {b.rule for b in short_rests(work, since_min=1439)} == {REST_IN_24}
    assert short_rests(work, since_min=1440) == ()


@pytest.mark.parametrize(
    ("start_min", "long_min", "told"),
    [(0, 720, False), (0, 721, True), (100, 720, False), (100, 721, True), (-700, 721, True)],
)
def test_a_shorter_longest_work_is_held_where_the_nights_are_long(
    start_min: int, long_min: int, told: bool
) -> None:
    """A crew that allows 12 hours from one rest to the next (MLC 2006, A2.3, paragraph 6, allows 14): one
    minute more is told though the night around it leaves all other rest."""
    found = short_rests([(start_min, start_min + long_min)], RestLimits(between_max_min=720))
    assert [b.rule for b in found] == (["rest-14-between"] if told else [])


def test_of_windows_that_overlap_one_is_told() -> None:
    """Fifteen hours of work leave nine in each of the 24 that hold them: the first such window is told, of
    the next day's the one that begins where that ends, of a day a week later its own first, and no other."""
    work = [(0, 900), (1440, 2340), (10_080, 10_980)]
    told = [(b.start_min, b.end_min, b.found_min) for b in short_rests(work) if b.rule == REST_IN_24]
    assert told == [(-540, 900, 540), (900, 2340, 540), (9540, 10_980, 540)]

"""The way up as logged: stops, the five minutes to the chamber, and decompression that was left out.

Rows are of tables 9-7 and 9-9 of the U.S. Navy Diving Manual, Revision 7; the five minutes are of its surface
decompression (chapter 9).
"""

from __future__ import annotations

import pytest

from planner.job import Job, Policy
from planner.log.day_log import Entry, Kind
from planner.log.exposures import ActualExposure, actual_exposures, after_dives
from planner.log.happened import happened
from planner.log.judge import judge
from planner.log.way_up import chamber_by_min, left_out, next_steps, stops_due
from planner.log.wording import day_text, exposure_lines
from planner.tables import TableSchedule
from planner.tables.schedule import IN_CHAMBER, Stop
from tests.log.logging import day_of, dived, entry, log_of_day
from tests.world.parts import at
from tests.world.quay import a_plan, with_air

JOB: Job = with_air()
PLAN = a_plan()
#: 70 min at 58 fsw: row 60/70, 7 min at 20 fsw on air, first stop after 1:20, ascent 9:00 (table 9-9).
LONG = dived("1", at(8, 30), at(9, 40), None)
REACHED = entry(Kind.REACH_STOP, at(9, 42), "1", depth_fsw=20)


def one_of(*entries: Entry, now: int, job: Job = JOB) -> ActualExposure:
    return actual_exposures(day_of(job, PLAN, *entries), now)[0]


def told(*entries: Entry, now: int, job: Job = JOB) -> str:
    return " ".join(exposure_lines(one_of(*entries, now=now, job=job), job, now))


def through_chamber() -> Job:
    """80 fsw for 60 min goes through the chamber, one period (table 9-9), no stop in the water."""
    site = JOB.site.replace(policy=Policy.SURFACE_DECOMPRESSION)
    return JOB.replace(site=site, rules=JOB.rules.replace(chamber_heavy_min=3))


SURFACED = (
    *dived("1", at(8, 30), at(9, 30), at(9, 33)),
    entry(Kind.DEPTH, at(9), "1", depth_fsw=80),
)


def test_the_stop_that_is_due_is_told() -> None:
    """Before the stop what it is; at it the minute before which it is not left: 09:42 and 7 min."""
    assert "Next stop 20 fsw, 7 min on air." in told(*LONG, now=at(9, 41))
    assert "At the stop of 20 fsw, 7 min on air: not left before 09:49." in told(
        *LONG, REACHED, now=at(9, 44)
    )


def test_buttons_follow_the_row() -> None:
    """After leave bottom the stop, then leaving it, then the surface; the surface can always be logged."""
    steps = []
    log: tuple[Entry, ...] = LONG
    for minute in (at(9, 42), at(9, 49), at(9, 50)):
        one = one_of(*log, now=minute)
        found = next_steps(one.dive, one.schedule)
        steps.append(found[0])
        assert found[-1] == (Kind.REACH_SURFACE, None)
        log = (*log, entry(found[0][0], minute, "1", depth_fsw=found[0][1]))
    assert steps == [(Kind.REACH_STOP, 20), (Kind.LEAVE_STOP, 20), (Kind.REACH_SURFACE, None)]
    after = one_of(*log, now=at(9, 51))
    assert next_steps(after.dive, after.schedule) == ()
    assert left_out(after.dive, after.schedule) is None


def test_a_stop_does_not_count_as_the_depth_of_the_dive() -> None:
    """The dive stays at its planned 58 fsw, and at a logged depth, whatever the stops."""
    assert one_of(*LONG, REACHED, now=at(9, 44)).dive.logged_depth_fsw is None


def test_a_later_stop_begins_when_the_one_before_is_left() -> None:
    """Way between stops is part of the next stop (table 9-9): 30 fsw left 10:05, so 20 fsw until 10:25."""
    row = TableSchedule(
        table="9-9",
        way_up="air",
        depth_fsw=120,
        time_min=40,
        stops=(Stop(depth_fsw=30, minutes=5), Stop(depth_fsw=20, minutes=20)),
        ascent_s=1800,
    )
    log = (
        *LONG,
        entry(Kind.REACH_STOP, at(10), "1", depth_fsw=30),
        entry(Kind.LEAVE_STOP, at(10, 5), "1", depth_fsw=30),
        entry(Kind.REACH_STOP, at(10, 6), "1", depth_fsw=20),
    )
    first, second = stops_due(one_of(*log, now=at(10, 7)).dive, row)
    assert (first.leave_at_min, first.held, second.leave_at_min) == (at(10, 5), True, at(10, 25))


@pytest.mark.parametrize(("left", "short"), [(at(9, 47), True), (at(9, 48), False)])
def test_a_stop_left_too_soon(left: int, short: bool) -> None:
    """Seven minutes from 09:42: left at 09:47 two are missing; one less may be how minutes are logged."""
    log = (*LONG, REACHED, entry(Kind.LEAVE_STOP, left, "1", depth_fsw=20))
    words = told(*log, now=at(9, 48))
    assert ("The stop at 20 fsw was left 2 min before its end." in words) is short
    assert ("omitted decompression" in words) is short
    assert one_of(*log, now=at(9, 48)).off_row


def test_up_too_soon_names_the_published_procedure() -> None:
    """The procedure, its first step from memory, and who decides; never an instruction of the program."""
    words = told(*dived("1", at(8, 30), at(9, 40), at(9, 42)), now=at(9, 45))
    assert "Up 2 min after leave bottom; the row takes 9 min: stops were left out." in words
    assert "omitted decompression, U.S. Navy Diving Manual, Revision 7, chapter 9" in words
    assert "deepest stop left out 20 fsw, 3 min on the surface" in words
    assert "into the chamber" in words
    assert "From memory, not an instruction of this program" in words
    assert "licensed person in charge decide" in words


@pytest.mark.parametrize(
    ("entries", "now", "away", "step"),
    [
        (
            dived("1", at(8, 30), at(9, 40), at(9, 42)),
            at(9, 42),
            0,
            "back to the stop at once, a minute longer",
        ),
        (dived("1", at(8, 30), at(9, 40), at(9, 42)), at(9, 50), 90, "half as long again"),
        (dived("1", at(8, 30), at(9), at(9)), at(9, 10), 0, "watch the diver on the surface for an hour"),
    ],
)
def test_the_first_step_goes_by_the_stop_and_the_minutes(
    entries: tuple[Entry, ...], now: int, away: int, step: str
) -> None:
    """By the deepest stop left out, the minutes on the surface, and whether a chamber is at the location."""
    job = JOB.replace(site=JOB.site.replace(chamber_minutes_away=away))
    assert step in told(*entries, now=now, job=job)


def test_five_minutes_to_the_chamber() -> None:
    """80 fsw left at 09:30: 40 fsw is passed 1:20 later, five minutes on it is 09:36 in whole minutes."""
    job = through_chamber()
    one = one_of(*SURFACED, now=at(9, 34), job=job)
    assert chamber_by_min(one.dive, one.schedule) == at(9, 36)
    words = told(*SURFACED, now=at(9, 34), job=job)
    assert "50 fsw in the chamber by 09:36, 2 min left" in words
    late = told(*SURFACED, now=at(9, 39), job=job)
    assert "3 min over the five" in late
    assert "interval exceeded" in late
    assert one_of(*SURFACED, now=at(9, 39), job=job).off_row


def test_the_clock_counts_from_the_stop_at_40() -> None:
    """40 fsw left at 09:51: 50 fsw in the chamber by 09:56; without the stop's end, from the surface back."""
    row = TableSchedule(
        table="9-9",
        way_up=IN_CHAMBER,
        depth_fsw=150,
        time_min=30,
        stops=(Stop(depth_fsw=40, minutes=8),),
        ascent_s=4000,
        chamber_periods=1.0,
    )
    reached = entry(Kind.REACH_STOP, at(9, 43), "1", depth_fsw=40)
    left = entry(Kind.LEAVE_STOP, at(9, 51), "1", depth_fsw=40)
    assert chamber_by_min(one_of(*LONG, reached, left, now=at(9, 52)).dive, row) == at(9, 56)
    up = entry(Kind.REACH_SURFACE, at(9, 53), "1")
    assert chamber_by_min(one_of(*LONG, reached, up, now=at(9, 54)).dive, row) == at(9, 56)
    assert chamber_by_min(one_of(*LONG, reached, now=at(9, 50)).dive, row) is None


def test_out_of_the_chamber_is_logged() -> None:
    """In it by the log nothing of after the dive is told yet; out at 10:20, everything counts from there."""
    job = through_chamber()
    inside = (*SURFACED, entry(Kind.AT_CHAMBER_DEPTH, at(9, 36), "1"))
    day = day_of(job, PLAN, *inside)
    assert after_dives(day, at(10)) == ()
    assert "in the chamber" in day_text(day, at(10))
    assert any("is in the chamber" in note for note in happened(day, at(10)).notes)
    one = one_of(*inside, now=at(10), job=job)
    assert next_steps(one.dive, one.schedule) == ((Kind.OUT_OF_CHAMBER, None),)
    out = (*inside, entry(Kind.OUT_OF_CHAMBER, at(10, 20), "1"))
    (rest,) = after_dives(day_of(job, PLAN, *out), at(10, 30))
    assert (rest.surfaced_min, rest.chamber_until_min) == (at(10, 20), at(11, 20))
    assert not one_of(*out, now=at(10, 30), job=job).flags[0].startswith("Out of the chamber")
    early = (*inside, entry(Kind.OUT_OF_CHAMBER, at(9, 50), "1"))
    assert "Out of the chamber 14 min after 50 fsw" in told(*early, now=at(10), job=job)


@pytest.mark.parametrize(
    ("new", "before", "said"),
    [
        (entry(Kind.REACH_STOP, at(9, 42), "1"), LONG, "needs the depth of the stop"),
        (REACHED, LONG[:2], "Leave bottom of dive 1 is not logged. Log it first"),
        (REACHED, (*LONG, REACHED), "Reach stop 20 fsw of dive 1 is logged already"),
        (entry(Kind.LEAVE_STOP, at(9, 49), "1", depth_fsw=30), (*LONG, REACHED), "Reach stop of dive 1"),
        (
            entry(Kind.LEAVE_STOP, at(9, 41), "1", depth_fsw=20),
            (*LONG, REACHED),
            "would lie before reach stop",
        ),
        (entry(Kind.REACH_SURFACE, at(9, 41), "1"), (*LONG, REACHED), "would lie before reach stop"),
        (entry(Kind.REACH_STOP, at(9, 39), "1", depth_fsw=20), LONG, "would lie before leave bottom"),
        (entry(Kind.AT_CHAMBER_DEPTH, at(9, 50), "1"), LONG, "Reach surface of dive 1 is not logged"),
        (entry(Kind.OUT_OF_CHAMBER, at(9, 50), "1"), SURFACED, "50 fsw in the chamber of dive 1"),
    ],
)
def test_what_cannot_be_of_a_way_up(new: Entry, before: tuple[Entry, ...], said: str) -> None:
    """Each stop twice at most, in its order; the chamber after the surface, out of it after being in."""
    faults = judge(new, JOB, PLAN, log_of_day(*before), at(12)).faults
    assert said in " ".join(str(f) for f in faults)


def test_a_shallower_stop_comes_after_a_deeper_one() -> None:
    """Two stops are two pairs of times: neither stands in the way of the other."""
    deeper = (*LONG, entry(Kind.REACH_STOP, at(9, 42), "1", depth_fsw=30))
    left = entry(Kind.LEAVE_STOP, at(9, 45), "1", depth_fsw=30)
    for before, new in (
        (deeper, left),
        ((*deeper, left), entry(Kind.REACH_STOP, at(9, 45), "1", depth_fsw=20)),
    ):
        assert judge(new, JOB, PLAN, log_of_day(*before), at(12)).faults == ()


@pytest.mark.parametrize(("number", "kept"), [(3, True), (4, True), (5, False)])
def test_undo_of_a_stop(number: int, kept: bool) -> None:
    """Leave bottom and a stop that was left rest under what came later; the last entry goes."""
    log = log_of_day(*LONG, REACHED, entry(Kind.LEAVE_STOP, at(9, 49), "1", depth_fsw=20))
    back = entry(Kind.TAKEN_BACK, at(9, 50))
    assert bool(judge(back, JOB, PLAN, log, at(12), corrects=number).faults) is kept


def test_on_another_set_nothing_of_the_manual_is_borrowed() -> None:
    """70 min at 58 fsw is past chart 1 of the ocean agency: no row, no wait before flying, no procedure of
    the Navy's manual; the set is named."""
    charts = JOB.replace(site=JOB.site.replace(table_set="noaa-no-decompression"))
    log = (*dived("1", at(8, 30), at(9, 40), at(9, 42)),)
    words = told(*log, now=at(9, 45), job=charts)
    assert "60 min is the most" in words
    day = day_text(day_of(charts, PLAN, *log), at(9, 45))
    assert "NOAA No-Decompression Air Table" in day and "prints no wait before flying" in day
    assert "U.S. Navy" not in words + day and "table 9" not in words + day

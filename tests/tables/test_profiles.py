"""A profile as data: every stretch in order, and the way up adds up to the printed total ascent."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from manual_files import rows, stops
from readings import CLEAN_TO_Z, IN_CHAMBER, ON_AIR, ON_OXYGEN, WAYS_UP

from planner.errors import TableRefusal
from planner.job import Policy
from planner.table_sets import table_set
from planner.tables import Exposure, ExposureOptions, Segment, plan_exposure, total_s
from planner.tables.profile import ascent_s, profile
from planner.tables.rows import TableEntry, in_water_schedule
from planner.tables.schedule import TableSchedule
from planner.tables.ways import way

NAVY = table_set()


#: The only rate faster than the ascent is compression in the chamber: 50 fsw in 30 s (see schedule.py).
ASCENT_FSW_PER_MIN = 30


def chamber(segments: tuple[Segment, ...]) -> bool:
    """Whether the way up goes through the chamber."""
    return any(s.kind == "chamber" for s in segments)


def holds_together(exposure: Exposure) -> None:
    """What must be true of any profile."""
    segments = exposure.segments
    assert segments[0].start_s == 0 and segments[0].start_depth_fsw == 0
    assert segments[-1].end_depth_fsw == 0
    for one, after in pairwise(segments):
        assert one.end_s == after.start_s
        assert one.end_depth_fsw == after.start_depth_fsw
    assert all(s.seconds > 0 for s in segments)
    assert total_s(segments, "descent", "bottom") == exposure.bottom_time_min * 60
    assert ascent_s(segments) == exposure.schedule.ascent_s
    on_deck = [s.kind for s in segments].index("surface interval") if chamber(segments) else len(segments)
    assert ascent_s(segments[:on_deck]) == exposure.schedule.water_ascent_s
    for segment in segments:
        if segment.kind == "travel":
            rise = segment.start_depth_fsw - segment.end_depth_fsw
            assert 0 <= rise <= segment.seconds * ASCENT_FSW_PER_MIN / 60 + 1e-9


@pytest.mark.parametrize("name", WAYS_UP)
def test_every_schedule_that_may_be_planned_adds_up(name: str) -> None:
    """At each depth of the tables, clean and from group F: the parts equal the total ascent."""
    options, schedules = WAYS_UP[name], 0
    for depth in (10, 15, 20, 25, 30, 35, 40, 45, 50, 55, *range(60, 200, 10)):
        for group in (None, "F"):
            for bottom in way(depth, group, options).bottom_max_min:
                holds_together(plan_exposure(depth, bottom, group, options))
                schedules += 1
    assert schedules > 300


def test_total_ascent_is_the_printed_one() -> None:
    """For every row of table 9-9 that is not exceptional the schedule's ascent is the printed one."""
    seen = 0
    for row in rows("stops.csv"):
        if row["exposure"] not in ("normal", "surdo2_recommended"):
            continue
        options = ON_AIR if row["breathing"] == "air" else ON_OXYGEN
        exposure = plan_exposure(int(row["depth_fsw"]), int(row["bottom_time_min"]), None, options)
        schedule = exposure.schedule
        assert schedule.ascent_s == int(row["total_ascent_s"])
        assert schedule.time_to_first_stop_s == int(row["time_to_first_stop_s"])
        assert {s.depth_fsw: s.minutes for s in schedule.stops} == stops(row)
        assert exposure.group_after == (row["repetitive_group"] or None)
        holds_together(exposure)
        seen += 1
    assert seen == 276


def test_every_row_of_9_9_lays_out() -> None:
    """All 718 rows with stops, exceptional ones too, as segments: the parts are the printed total ascent.

    The one row of table 9-9 that its own arithmetic contradicts, 170 fsw / 180 min on oxygen, is 20 s short.
    """
    wrong = []
    laid_out = 0
    for pair in (pair for pairs in NAVY.stops.values() for pair in pairs):
        for row in pair:
            if not row.stops:
                continue
            schedule = in_water_schedule(TableEntry(row.depth_fsw, ON_AIR), row, False)
            segments = profile(row.depth_fsw, row.time_min, schedule)
            on_stops = sum(s.seconds for s in segments if s.kind in ("stop", "oxygen"))
            travel = sum(s.seconds for s in segments if s.kind == "travel")
            breaks = total_s(segments, "air break")
            whole = on_stops + travel + breaks
            if whole != row.ascent_s or segments[-1].seconds != 40:
                wrong.append((row.depth_fsw, row.time_min, row.oxygen, segments[-1].seconds))
            laid_out += 1
    assert laid_out == 718
    assert wrong == [(170, 180, True, 20)]


def test_stops_on_air_minute_by_minute() -> None:
    """190 fsw / 20 min on air: the move to a later stop belongs to that stop's minutes (table 9-9)."""
    way_up = [s for s in plan_exposure(190, 20, None, ON_AIR).segments if s.start_s >= 20 * 60]
    assert [(s.kind, s.seconds, s.end_depth_fsw) for s in way_up] == [
        ("travel", 260, 60),
        ("stop", 60, 60),
        ("travel", 20, 50),
        ("stop", 100, 50),
        ("travel", 20, 40),
        ("stop", 340, 40),
        ("travel", 20, 30),
        ("stop", 400, 30),
        ("travel", 20, 20),
        ("stop", 34 * 60 - 20, 20),
        ("travel", 40, 0),
    ]


def test_oxygen_begins_after_the_shift() -> None:
    """190 fsw / 20 min: 20 s from 40 to 30 fsw beside the stop times, then 4 and 17 min of oxygen."""
    way_up = [s for s in plan_exposure(190, 20, None, ON_OXYGEN).segments if s.start_depth_fsw <= 40]
    way_up = [s for s in way_up if s.start_s >= 20 * 60]
    assert [(s.kind, s.seconds, s.end_depth_fsw, s.gas) for s in way_up] == [
        ("stop", 340, 40, "air"),
        ("travel", 20, 30, "air"),
        ("oxygen", 240, 30, "oxygen"),
        ("travel", 20, 20, "oxygen"),
        ("oxygen", 17 * 60 - 20, 20, "oxygen"),
        ("travel", 40, 0, "oxygen"),
    ]


def oxygen_schedule(at_30: int, at_20: int, ascent: int) -> Exposure:
    """A dive to 190 fsw that first stops at 30 fsw on oxygen; 160 fsw of travel take 320 s."""
    schedule = TableSchedule.model_validate(
        {
            "table": "9-9",
            "way_up": "air and oxygen",
            "depth_fsw": 190,
            "time_min": 20,
            "stops": [
                {"depth_fsw": 30, "minutes": at_30, "gas": "oxygen"},
                {"depth_fsw": 20, "minutes": at_20, "gas": "oxygen"},
            ],
            "time_to_first_stop_s": 320,
            "ascent_s": ascent,
        }
    )
    return Exposure(0, 20, schedule, None, 190, 20, 0)


@pytest.mark.parametrize(
    ("at_30", "at_20", "breaks"),
    [
        (5, 30, []),
        (5, 31, [20]),
        (14, 85, [20, 20, 20]),
        (30, 40, [30, 20]),
        (35, 30, [30]),
        (41, 178, [30, *[20] * 6]),
    ],
)
def test_air_breaks_minute_by_minute(at_30: int, at_20: int, breaks: list[int]) -> None:
    """5 min of air after every 30 min of oxygen, none when 35 min or less remain (U.S. Navy Diving Manual).

    14/85 and 41/178 are the oxygen stops of the exceptional rows 190/50 and 190/90 of table 9-9, whose
    printed totals hold the same number of breaks.
    """
    exposure = oxygen_schedule(at_30, at_20, 320 + (at_30 + at_20) * 60 + 40 + 300 * len(breaks))
    holds_together(exposure)
    taken = [s for s in exposure.segments if s.kind == "air break"]
    assert [s.end_depth_fsw for s in taken] == breaks
    assert all(s.seconds == 300 and s.gas == "air" for s in taken)
    oxygen = 0
    for segment in exposure.segments:
        if segment.gas == "oxygen" and segment.end_depth_fsw > 0:
            oxygen += segment.seconds
        if segment.kind == "air break":
            assert oxygen == 30 * 60
            oxygen = 0
    assert oxygen <= 35 * 60


def test_surface_decompression_minute_by_minute() -> None:
    """80 fsw / 80 min: one and a half periods, 5 min from 40 fsw to the chamber, 5 min of air between.

    Seen in copies of the U.S. Navy Diving Manual or from memory (see `planner.tables.schedule`).
    """
    exposure = plan_exposure(80, 80, None, IN_CHAMBER)
    assert exposure.schedule.chamber_periods == 1.5
    way_up = [s for s in exposure.segments if s.start_s >= 80 * 60]
    assert [(s.kind, s.seconds, s.start_depth_fsw, s.end_depth_fsw, s.gas) for s in way_up] == [
        ("travel", 160, 80, 0, "air"),
        ("surface interval", 190, 0, 0, "air"),
        ("chamber", 30, 0, 50, "air"),
        ("chamber", 900, 50, 50, "oxygen"),
        ("chamber", 20, 50, 40, "oxygen"),
        ("chamber", 880, 40, 40, "oxygen"),
        ("chamber", 300, 40, 40, "air"),
        ("chamber", 900, 40, 40, "oxygen"),
        ("chamber", 80, 40, 0, "air"),
    ]
    # from passing 40 fsw (80 s before the surface) to 50 fsw in the chamber
    assert 80 + 190 + 30 == 5 * 60


def test_surface_decompression_from_a_stop_and_from_shallow_water() -> None:
    """The five minutes count from leaving the 40 fsw stop, or leave bottom of a shallower dive."""
    for depth, bottom in ((190, 20), (35, 240)):
        exposure = plan_exposure(depth, bottom, None, IN_CHAMBER)
        holds_together(exposure)
        in_chamber = next(s for s in exposure.segments if s.kind == "chamber").end_s
        leaves_40 = bottom * 60
        if exposure.schedule.stops:
            leaves_40 = max(s.end_s for s in exposure.segments if s.kind == "stop")
        assert in_chamber - leaves_40 == 5 * 60


def test_a_bottom_time_shorter_than_the_descent() -> None:
    """190 fsw at 60 fsw a minute takes 3:10: of 2 min none are left on the bottom, and 190 fsw is drawn."""
    exposure = plan_exposure(190, 2)
    assert exposure.segments[0] == Segment("descent", 0, 120, 0, 190)
    assert [s.kind for s in exposure.segments] == ["descent", "travel"]
    holds_together(exposure)


@given(
    depth=st.integers(1, 190),
    bottom=st.integers(1, 400),
    group=st.sampled_from(CLEAN_TO_Z),
    altitude=st.sampled_from([0, 300, 301, 2000, 5000, 10_000]),
    oxygen=st.booleans(),
    policy=st.sampled_from(list(Policy)),
    longer=st.booleans(),
    read=st.booleans(),
    one_foot=st.booleans(),
    descent=st.integers(20, 75),
)
def test_any_profile_adds_up(
    depth: int,
    bottom: int,
    group: str | None,
    altitude: int,
    oxygen: bool,
    policy: Policy,
    longer: bool,
    read: bool,
    one_foot: bool,
    descent: int,
) -> None:
    """Whatever the options, a profile is whole and its way up is the schedule's ascent."""
    options = ExposureOptions(
        policy=policy,
        in_water_stop_max_min=1000,
        oxygen_in_water=oxygen,
        next_longer_row=longer,
        pneumofathometer_correction=read,
        altitude_ft=altitude,
        one_foot_rows=one_foot,
        descent_fsw_per_min=descent,
    )
    try:
        exposure = plan_exposure(depth, bottom, group, options)
    except TableRefusal as refused:
        assert str(refused).endswith((".", ")."))
        return
    holds_together(exposure)

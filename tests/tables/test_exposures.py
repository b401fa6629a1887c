"""How a dive is planned: special cells, options, policies, altitude."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from readings import IN_CHAMBER, NO_STOP, ON_AIR, ON_OXYGEN

from planner.errors import TableRefusal
from planner.job import DiveItem, Job, Policy, Site, Station
from planner.table_sets import table_set
from planner.tables import (
    ExposureOptions,
    options_for,
    plan_exposure,
    standby_minutes_left,
)
from planner.tables.schedule import OnDeck

NAVY = table_set()


def test_undetermined_leaves_the_group_as_it_was() -> None:
    """20 fsw with group M: table 9-8 says undetermined; the dive is allowed and the group stays M."""
    assert NAVY.residual_nitrogen(20, "M") is None
    exposure = plan_exposure(18, 600, "M")
    assert (exposure.group_after, exposure.residual_nitrogen_min, exposure.equivalent_min) == ("M", 0, 600)
    assert any("undetermined" in note for note in exposure.schedule.notes)
    assert standby_minutes_left(18, "M") is None


def test_star_is_the_highest_group_at_that_depth() -> None:
    """Table 9-7: at 15 fsw, past 449 min, group I however long; with group H (450 min) before too."""
    assert plan_exposure(15, 449).group_after == "H"
    assert plan_exposure(15, 450).group_after == "I"
    assert plan_exposure(15, 1440).group_after == "I"
    assert plan_exposure(15, 1, "H").group_after == "I"
    assert plan_exposure(15, 1, "I").group_after == "I"


def test_use_30_fsw_takes_the_30_fsw_row() -> None:
    """25 fsw with group O or Z: residual nitrogen and limit of the 30 fsw row (table 9-8): 308, 372, 371."""
    assert NAVY.residual_nitrogen(25, "O") == 308
    assert NAVY.residual_nitrogen(22, "Z") == 372
    assert NAVY.residual_nitrogen(25, "N") == 470
    assert standby_minutes_left(25, "O") == 371 - 308
    assert standby_minutes_left(25, "N") == 1102 - 470
    assert standby_minutes_left(25, "Z") == 0
    exposure = plan_exposure(25, 64, "O", ON_AIR)
    assert (exposure.schedule.depth_fsw, exposure.schedule.time_min) == (30, 380)


def test_minutes_of_a_standby_at_130_and_150_fsw() -> None:
    """Table 9-7: 12 min at 130 fsw, 8 at 150; table 9-8 takes 4 and 9 min of A and C at 130, 4 and 8 at 150.
    Table 9-9, air: 130/15 has 3 min of stops, 130/20 8 min, 130/25 17 min; 150/10 is the last without."""
    at_130 = {None: 12, "A": 12 - 4, "C": 12 - 9, "E": 0}
    at_150 = {None: 8, "A": 8 - 4, "C": 0, "E": 0}
    stops = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=8)
    for group, left in at_130.items():
        assert standby_minutes_left(130, group) == left
        assert standby_minutes_left(130, group, stops.no_stop_only) == left
    for group, left in at_150.items():
        assert standby_minutes_left(150, group) == left
    by_policy = {None: 20, "A": 20 - 4, "C": 20 - 9, "E": 20 - 13, "H": 20 - 20}
    assert {g: standby_minutes_left(130, g, stops) for g in by_policy} == by_policy


def test_no_group_is_printed_and_said() -> None:
    """30 fsw / 480 min has no repetitive group in table 9-9; the schedule says what follows."""
    exposure = plan_exposure(30, 421, None, ON_AIR)
    assert exposure.group_after is None
    assert any("no repetitive dive until clean" in note for note in exposure.schedule.notes)


def test_pneumofathometer_correction() -> None:
    """+1 fsw to 100 fsw, +2 to 200 (U.S. Navy Diving Manual): 60 enters 70, 100 enters 110."""
    read = ExposureOptions(pneumofathometer_correction=True)
    assert plan_exposure(59, 10, None, read).schedule.depth_fsw == 60
    assert plan_exposure(60, 10, None, read).schedule.depth_fsw == 70
    assert plan_exposure(100, 10, None, read).schedule.depth_fsw == 110
    assert plan_exposure(109, 10, None, read).schedule.depth_fsw == 120
    with pytest.raises(TableRefusal, match=r"191 fsw \(189 read\) is deeper than the 190 fsw"):
        plan_exposure(189, 3, None, read)


def test_margin_stays_under_limits_and_rows() -> None:
    """Plan to at most the limit less N: 60 fsw 63 - 5 = 58 min; 80/40 (the first stop row) 40 - 5 = 35 min.

    The group stays the one printed for the equivalent time.
    """
    margin = ExposureOptions(margin_min=5)
    assert plan_exposure(60, 58, None, margin).group_after == "K"
    assert plan_exposure(60, 57, None, margin).group_after == "J"
    with pytest.raises(TableRefusal, match=r"margin of 5 min\). 58 min is the most"):
        plan_exposure(60, 59, None, margin)
    with_stops = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=60, margin_min=5)
    assert plan_exposure(80, 34, None, with_stops).schedule.way_up == "no-stop"
    assert plan_exposure(80, 35, None, with_stops).schedule.time_min == 40
    assert plan_exposure(80, 36, None, with_stops).schedule.time_min == 45
    assert standby_minutes_left(60, "C", margin) == 63 - 19 - 5


def test_next_longer_row_for_arduous_or_cold() -> None:
    """One schedule longer (common practice): 80/50 becomes 80/55; without stops the next group's time counts.

    80 fsw: 28 min G, 32 H, 36 I, 39 J and the limit (table 9-7), so 36 min is the longest without stops.
    """
    cold = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=100, next_longer_row=True)
    assert plan_exposure(78, 47, None, cold).schedule.time_min == 55
    assert plan_exposure(80, 28, None, cold).group_after == "H"
    assert plan_exposure(80, 36, None, cold).schedule.way_up == "no-stop"
    assert plan_exposure(80, 37, None, cold).schedule.time_min == 40
    assert plan_exposure(15, 1440, None, cold).group_after == "I"
    # 60 fsw / 120 min is the last row that is not exceptional, so nothing over 110 min has a next longer one
    assert plan_exposure(60, 110, None, cold).schedule.time_min == 120
    with pytest.raises(TableRefusal, match=r"exceptional.*next longer schedule"):
        plan_exposure(60, 111, None, cold)


def test_one_foot_rows_only_when_asked() -> None:
    """33 fsw: 232 min by the 35 fsw row of 9-7, 281 min by table 2A-1; RNT of C there 35 by 2A-2."""
    assert standby_minutes_left(33, None) == 232
    fine = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=100, one_foot_rows=True)
    assert standby_minutes_left(33, None, fine.no_stop_only) == 281
    exposure = plan_exposure(33, 100, "C", fine)
    assert (exposure.residual_nitrogen_min, exposure.schedule.table) == (35, "2A-1, 2A-2")
    assert exposure.schedule.depth_fsw == 33
    # past the one-foot limit the usual rows hold, and only those longer than that limit
    assert plan_exposure(33, 282, None, fine).schedule.time_min == 300
    assert plan_exposure(51, 30, None, fine).schedule.table == "9-7"
    cold = ExposureOptions(one_foot_rows=True, next_longer_row=True)
    assert standby_minutes_left(33, None, cold) == 215


def test_oxygen_rows_only_with_oxygen() -> None:
    """Without oxygen in the water the air stops of table 9-9 hold."""
    assert plan_exposure(78, 47, None, ON_AIR).schedule.stops[0].gas == "air"
    assert plan_exposure(78, 47, None, ON_OXYGEN).schedule.stops[0].gas == "oxygen"


def test_air_breaks_count_against_the_longest_stops() -> None:
    """190 fsw / 20 min in oxygen: 1 + 2 + 6 min on air, 4 + 17 on oxygen, no break: 30 min of stops."""
    thirty = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=30, oxygen_in_water=True)
    assert plan_exposure(190, 20, None, thirty).schedule.stop_min == 30
    # 160 fsw / 30 min: 38 min of stops on air and oxygen together, 35 of oxygen or less, so no break either
    assert plan_exposure(160, 30, None, ON_OXYGEN).schedule.stop_min == 38


def test_the_schedule_recommends_as_the_table_does() -> None:
    """80/50 on air carries the table's recommendation; 80/40 (normal) and the oxygen row do not."""
    assert any("recommends" in n for n in plan_exposure(80, 50, None, ON_AIR).schedule.notes)
    assert plan_exposure(80, 40, None, ON_AIR).schedule.notes == ()
    assert plan_exposure(80, 50, None, ON_OXYGEN).schedule.notes == ()


def test_altitude_schedule() -> None:
    """60 fsw for 45 min at 5,000 ft is 80/45: 10 min at 16.6 fsw; travel at 30 fsw a minute."""
    options = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=100, altitude_ft=5000)
    exposure = plan_exposure(60, 45, None, options)
    stop = exposure.schedule.stops[0]
    assert (stop.depth_fsw, stop.held_fsw, stop.minutes) == (20, 16.6, 10)
    # (60 - 16.6) * 2 s, 10 min, 16.6 * 2 s, each rounded up to the second
    assert exposure.schedule.ascent_s == 87 + 600 + 34
    assert exposure.schedule.table == "9-4, 9-9"
    assert any("72.1 fsw" in note for note in exposure.schedule.notes)


def test_altitude_rounds_to_the_safe_side() -> None:
    """To 300 ft sea level, then the next 1,000 ft (U.S. Navy Diving Manual, altitude chapter)."""
    for feet, same_as in ((0, 0), (300, 0), (301, 1000), (1000, 1000), (1001, 2000), (4001, 5000)):
        own = plan_exposure(60, 20, None, ExposureOptions(altitude_ft=feet)).schedule
        other = plan_exposure(60, 20, None, ExposureOptions(altitude_ft=same_as)).schedule
        assert own == other
    assert NAVY.group_on_arrival(300) is None
    assert NAVY.group_on_arrival(301) == "A"
    assert NAVY.wait_before_altitude_min("K", 7001) == NAVY.wait_before_altitude_min("K", 8000)
    assert NAVY.wait_before_altitude_min("K", 0) == 0
    assert NAVY.wait_before_altitude_min(None) == 48 * 60


def test_a_row_for_the_chamber_is_refused_where_he_is_not_there_in_time() -> None:
    """60 fsw 65 min, table 9-9: half a chamber period. With 20 min of undressing and 5 min of way the row is
    refused with the sum, and 63 min without stops are left; with 2 and 1 it stands, 40 fsw by the 5 min, and
    from 35 fsw 1:10 up leaves 3:20."""
    late = replace(IN_CHAMBER, on_deck=OnDeck("heavy dress", 20, 5))
    with pytest.raises(
        TableRefusal, match=r"1:20 up, 20 min out of heavy dress, 5 min .* 26:50 in all.*63 min"
    ):
        plan_exposure(60, 65, None, late)
    assert plan_exposure(60, 63, None, late).schedule.way_up == "no-stop"
    assert standby_minutes_left(60, None, late) == 63
    soon = replace(IN_CHAMBER, on_deck=OnDeck("a light helmet", 2, 1))
    assert plan_exposure(60, 65, None, soon).schedule.way_up == "surface decompression"
    assert plan_exposure(60, 65, None, late.any_time_on_deck) == plan_exposure(60, 65, None, IN_CHAMBER)
    assert OnDeck("x", 2, 1).in_time(40) and not OnDeck("x", 3, 1).in_time(40)
    assert "1:10 up" in OnDeck("x", 3, 1).sum_words(35)


def test_surface_decompression_not_at_altitude() -> None:
    """No source at hand gives chamber depths at altitude, so dives with stops are refused there."""
    options = ExposureOptions(policy=Policy.SURFACE_DECOMPRESSION, altitude_ft=5000)
    assert plan_exposure(60, 39, None, options).schedule.way_up == "no-stop"
    with pytest.raises(TableRefusal, match="not planned at altitude"):
        plan_exposure(60, 40, None, options)


def test_surface_decompression_keeps_the_water_stops() -> None:
    """190 fsw / 20 min: the stops at 60, 50 and 40 fsw of table 9-9 stay in the water, one chamber period."""
    schedule = plan_exposure(190, 20, None, IN_CHAMBER).schedule
    assert [(s.depth_fsw, s.minutes) for s in schedule.stops] == [(60, 1), (50, 2), (40, 6)]
    assert schedule.chamber_periods == 1
    assert plan_exposure(60, 63, None, IN_CHAMBER).schedule.way_up == "no-stop"


def test_equal_limits_read_the_next_deeper_row() -> None:
    """Exact or next deeper row, never between: 61 fsw has the 48 min of 70 fsw (table 9-7)."""
    assert NAVY.no_stop_limit(60) == 63
    assert NAVY.no_stop_limit(61) == 48
    assert NAVY.no_stop_limit(1) is None


def test_options_come_from_the_site_the_rules_and_the_item() -> None:
    """A cold item asks for the next longer row; the site gives policy, altitude, margin, oxygen."""
    site = Site(
        name="Quay",
        first_day=date(2026, 5, 4),
        time_zone="Europe/Lisbon",
        altitude_ft=1200,
        policy=Policy.IN_WATER_STOPS,
        in_water_stop_max_min=20,
        oxygen_in_water=True,
        margin_min=2,
        pneumofathometer_correction=True,
    )
    item = DiveItem(name="Grate", depth_fsw=60, bottom_work_min=30)
    job = Job(site=site, stations=(Station(name="Barge"),), people=(), dive_items=(item,))
    options = options_for(job, item)
    assert options == ExposureOptions(
        policy=Policy.IN_WATER_STOPS,
        in_water_stop_max_min=20,
        oxygen_in_water=True,
        margin_min=2,
        pneumofathometer_correction=True,
        altitude_ft=1200,
        descent_fsw_per_min=job.rules.descent_fsw_per_min,
        greatest_depth_fsw=job.rules.greatest_depth_fsw,
    )
    assert options_for(job, item) is options
    assert options_for(job, item.replace(arduous_or_cold=True)).next_longer_row
    assert not NO_STOP.next_longer_row


def test_on_air_no_break_is_counted() -> None:
    """60 fsw / 100 min on air is 42 min at 20 fsw (table 9-9): more than 35 min, and all of it air, so a job
    that allows 42 min of stops takes it, and one that allows 41 does not."""
    for most, bottom in ((42, 100), (41, 90)):
        options = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=most)
        assert plan_exposure(60, bottom, None, options).schedule.time_min == bottom
        with pytest.raises(TableRefusal, match=f"{bottom} min is the most"):
            plan_exposure(60, bottom + 1, None, options)


@pytest.mark.parametrize(("has", "lacks"), [("air", "oxygen in the water"), ("air and oxygen", "stops")])
def test_a_set_without_a_way_up_is_refused_for_that_way_alone(has: str, lacks: str) -> None:
    """A set that has stops on air only, or with oxygen only, is read for what it has."""
    tables = replace(NAVY, ways_up=frozenset({"no-stop", has}))
    for way, options in (("air", ON_AIR), ("air and oxygen", ON_OXYGEN)):
        asked = replace(options, tables=tables)
        if way == has:
            assert plan_exposure(78, 47, None, asked).schedule.way_up == way
        else:
            with pytest.raises(TableRefusal, match=f"no rows for {lacks}"):
                plan_exposure(78, 47, None, asked)

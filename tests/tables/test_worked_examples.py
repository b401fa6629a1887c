"""Published and computed examples, from the U.S. Navy Diving Manual unless a test names something else."""

from __future__ import annotations

import pytest
from readings import IN_CHAMBER, NO_STOP, ON_AIR, ON_OXYGEN

from planner.table_sets import table_set
from planner.tables import (
    ExposureOptions,
    combined_dive,
    equivalent_depth_fsw,
    plan_exposure,
    stop_held_at_fsw,
)
from planner.tables.altitude import pressure_mb
from planner.tables.schedule import Stop

NAVY = table_set()


def test_equivalent_depth_at_5000_ft() -> None:
    """60 fsw at 5,000 ft (843 mb, not 1,013) is 72.1 fsw, so the 80 fsw table. Manual, altitude chapter."""
    assert round(pressure_mb(5000)) == 843
    assert round(equivalent_depth_fsw(60, 5000), 1) == 72.1
    at_altitude = ExposureOptions(altitude_ft=5000)
    assert plan_exposure(60, 30, None, at_altitude).schedule.depth_fsw == 80


def test_stop_depth_at_5000_ft() -> None:
    """The 20 fsw stop is taken at 16.6 fsw at 5,000 ft. Manual, altitude chapter."""
    assert stop_held_at_fsw(20, 5000) == 16.6


def test_group_on_arrival_4000_ft_up() -> None:
    """4,000 ft above the altitude at which the diver is equilibrated: group C on arrival. Table 9-5."""
    assert NAVY.group_on_arrival(4000) == "C"


def test_eight_minutes_on_the_surface_are_one_dive() -> None:
    """60 fsw for 30 min, 8 min up, 50 fsw for 25 min: one dive to 60 fsw for 55 min, within 63 min.

    Rule: under 10 min on the surface is the same dive (U.S. Navy Diving Manual, table 9-8).
    """
    depth, minutes = combined_dive([(60, 30), (50, 25)])
    assert (depth, minutes) == (60, 55)
    assert NAVY.no_stop_limit(60) == 63
    assert plan_exposure(depth, minutes).schedule.way_up == "no-stop"
    with pytest.raises(ValueError, match="count as one dive"):
        NAVY.group_after_interval("F", 8)


def test_longest_no_stop_dive_to_154_fsw() -> None:
    """154 fsw enters the 160 fsw row: 7 min, group E, ascent 5:20. Tables 9-7 and 9-9."""
    assert NAVY.no_stop_limit(154) == 7
    exposure = plan_exposure(154, 7)
    assert (exposure.group_after, exposure.schedule.ascent_s) == ("E", 5 * 60 + 20)


def test_78_fsw_for_47_minutes_every_way_up() -> None:
    """78 fsw for 47 min is 80/50: 17 min at 20 fsw on air, 9 on oxygen, half a chamber period. Table 9-9."""
    air = plan_exposure(78, 47, None, ON_AIR)
    assert (air.schedule.depth_fsw, air.schedule.time_min, air.group_after) == (80, 50, "M")
    assert air.schedule.time_to_first_stop_s == 120
    assert air.schedule.stops == (Stop(depth_fsw=20, minutes=17),)
    assert air.schedule.ascent_s == 19 * 60 + 40
    oxygen = plan_exposure(78, 47, None, ON_OXYGEN)
    assert oxygen.schedule.stops == (Stop(depth_fsw=20, minutes=9, gas="oxygen"),)
    assert oxygen.schedule.ascent_s == 11 * 60 + 40
    chamber = plan_exposure(78, 47, None, IN_CHAMBER)
    assert chamber.schedule.chamber_periods == 0.5
    assert chamber.schedule.stops == ()


def test_group_k_then_a_commercial_flight() -> None:
    """Group K waits 15:35 before a commercial flight. Table 9-6, 8,000 ft column."""
    assert NAVY.wait_before_altitude_min("K") == 15 * 60 + 35


def test_second_dive_after_6_26() -> None:
    """100/48, 6:26 up, then 98 fsw for 15 min: O, H, RNT 26, equivalent 41, 36 min at 20 fsw, ascent 39:20.

    Computed from tables 9-8 and 9-9, not published as an example.
    """
    first = plan_exposure(100, 48, None, ON_AIR)
    assert (first.schedule.time_min, first.group_after) == (50, "O")
    assert NAVY.group_after_interval("O", 6 * 60 + 26) == "H"
    assert NAVY.residual_nitrogen(98, "H") == 26
    second = plan_exposure(98, 15, "H", ON_AIR)
    assert (second.residual_nitrogen_min, second.equivalent_min) == (26, 41)
    assert (second.schedule.depth_fsw, second.schedule.time_min) == (100, 45)
    assert second.schedule.stops == (Stop(depth_fsw=20, minutes=36),)
    assert second.schedule.ascent_s == 39 * 60 + 20
    assert second.schedule.table == "9-8, 9-9"


def test_no_stop_is_the_default_policy() -> None:
    """Without options nothing with stops is planned: 60 fsw is 63 min at most (table 9-7)."""
    assert plan_exposure(60, 63, None, NO_STOP).schedule.decompression is False

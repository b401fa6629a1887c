"""What the tables do not hold is refused with one sentence, never answered with the nearest row."""

from __future__ import annotations

import pytest
from readings import IN_CHAMBER, NO_STOP, ON_AIR

from planner.errors import TableRefusal
from planner.table_sets import table_set
from planner.tables import (
    ExposureOptions,
    combined_dive,
    modes,
    plan_exposure,
    standby_minutes_left,
)
from planner.tables.schedule import chamber_legs

NAVY = table_set()


def one_sentence(text: str) -> bool:
    """One line that ends as sentences do."""
    return "\n" not in text and text.endswith(".") and len(text) > 20


@pytest.mark.parametrize("depth_fsw", [0, -1, -60])
def test_a_depth_must_be_under_water(depth_fsw: int) -> None:
    """Depth 0 or less is refused by every look-up that takes one."""
    for ask in (
        lambda: NAVY.no_stop_limit(depth_fsw),
        lambda: NAVY.residual_nitrogen(depth_fsw, "C"),
        lambda: standby_minutes_left(depth_fsw, None),
        lambda: plan_exposure(depth_fsw, 10),
        lambda: modes(depth_fsw, NO_STOP),
    ):
        with pytest.raises(TableRefusal, match="must be more than 0 fsw") as refused:
            ask()
        assert one_sentence(str(refused.value))


def test_deeper_than_the_rule() -> None:
    """29 CFR 1910.425(b)(1) ends air at 190 fsw for ordinary dives; a job may set less."""
    with pytest.raises(TableRefusal, match="191 fsw is deeper than the 190 fsw that the rules allow"):
        plan_exposure(191, 3)
    with pytest.raises(TableRefusal, match="101 fsw is deeper than the 100 fsw that the rules allow"):
        plan_exposure(101, 3, None, ExposureOptions(greatest_depth_fsw=100))


def test_past_the_last_depth_of_the_tables() -> None:
    """Table 9-7 ends at 190 fsw and every deeper row of 9-9 is an exceptional exposure."""
    with pytest.raises(TableRefusal, match="The air tables end at 190 fsw; 200 fsw is deeper"):
        NAVY.no_stop_limit(200)
    with pytest.raises(TableRefusal, match="exceptional exposures and are not planned"):
        plan_exposure(200, 3, None, ExposureOptions(greatest_depth_fsw=220))
    with pytest.raises(TableRefusal, match=r"\(150 fsw entered as 219 fsw\)"):
        plan_exposure(150, 3, None, ExposureOptions(altitude_ft=10_000))


def test_longer_than_the_last_row() -> None:
    """25 fsw ends at 1,102 min (table 9-7); no stop row follows."""
    assert plan_exposure(25, 1102).group_after == "Z"
    with pytest.raises(TableRefusal, match=r"longer than the last row.*1102 min is the most"):
        plan_exposure(25, 1103, None, ON_AIR)


def test_longer_than_a_day_where_time_is_unlimited() -> None:
    """Table 9-7 prints no limit to 20 fsw; a bottom time over a day is still refused."""
    assert plan_exposure(20, 1440).group_after == "L"
    with pytest.raises(TableRefusal, match="over 1440 min are not planned"):
        plan_exposure(20, 1441)


@pytest.mark.parametrize("minutes", [0, -5])
def test_a_bottom_time_must_be_above_zero(minutes: int) -> None:
    """No bottom time, no dive."""
    with pytest.raises(TableRefusal, match="bottom time must be at least 1 min"):
        plan_exposure(60, minutes)


@pytest.mark.parametrize("group", ["P", "Y", "a", "", "AA", "*"])
def test_a_group_that_does_not_exist(group: str) -> None:
    """Table 9-8 has A to O and Z; nothing else is read as one of them."""
    for ask in (
        lambda: NAVY.group_after_interval(group, 60),
        lambda: NAVY.minutes_to_group(group, None),
        lambda: NAVY.minutes_to_group("C", group),
        lambda: NAVY.residual_nitrogen(60, group),
        lambda: standby_minutes_left(60, group),
        lambda: plan_exposure(60, 10, group),
        lambda: NAVY.wait_before_altitude_min(group),
    ):
        with pytest.raises(TableRefusal, match="There is no repetitive group") as refused:
            ask()
        assert one_sentence(str(refused.value))


def test_intervals_that_are_none() -> None:
    """A negative interval is nonsense, one under 10 min is the same dive (table 9-8)."""
    with pytest.raises(ValueError, match="cannot be negative"):
        NAVY.group_after_interval("C", -1)
    with pytest.raises(ValueError, match="under 10 min"):
        NAVY.group_after_interval("C", 9)
    assert NAVY.group_after_interval("C", 10) == "C"


def test_exceptional_exposures_are_refused() -> None:
    """100 fsw / 70 min and longer are exceptional exposures in table 9-9; the last row before is 60 min."""
    for options in (ON_AIR, IN_CHAMBER):
        assert plan_exposure(100, 60, None, options).schedule.time_min == 60
        with pytest.raises(TableRefusal, match=r"exceptional exposure, which is never planned. 60 min is"):
            plan_exposure(100, 61, None, options)


def test_stops_that_the_policy_does_not_allow() -> None:
    """The refusal says why, how many minutes, and what is the most that goes."""
    with pytest.raises(TableRefusal, match=r"dives without stops only. 39 min is the most"):
        plan_exposure(78, 47)
    ten = ExposureOptions(policy=ON_AIR.policy, in_water_stop_max_min=10)
    assert plan_exposure(78, 45, None, ten).schedule.stop_min == 10
    with pytest.raises(TableRefusal, match=r"needs 17 min of stops, and the job allows 10 min. 45 min"):
        plan_exposure(78, 47, None, ten)


def test_no_bottom_time_at_all() -> None:
    """Group O at 190 fsw has 25 min of residual nitrogen against a limit of 5 (tables 9-7, 9-8)."""
    assert standby_minutes_left(190, "O") == 0
    with pytest.raises(TableRefusal, match="No bottom time is possible"):
        plan_exposure(190, 1, "O")


def test_altitudes_outside_the_tables() -> None:
    """Tables 9-5 and 9-6 end at 10,000 ft."""
    for ask in (
        lambda: NAVY.group_on_arrival(10_001),
        lambda: NAVY.group_on_arrival(-1),
        lambda: plan_exposure(30, 10, None, ExposureOptions(altitude_ft=12_000)),
        lambda: NAVY.wait_before_altitude_min("C", 10_001),
    ):
        with pytest.raises(TableRefusal, match="10,000 ft"):
            ask()


def test_options_that_make_no_sense() -> None:
    """Descent no faster than 75 fsw a minute (U.S. Navy Diving Manual); no negative margin."""
    for rate in (0, 76):
        with pytest.raises(ValueError, match="outside 1 to 75"):
            ExposureOptions(descent_fsw_per_min=rate)
    assert [ExposureOptions(descent_fsw_per_min=rate).descent_fsw_per_min for rate in (1, 75)] == [1, 75]
    with pytest.raises(ValueError, match="cannot be negative"):
        ExposureOptions(margin_min=-1)
    with pytest.raises(ValueError, match="no dive to combine"):
        combined_dive([])
    with pytest.raises(ValueError, match="bottom time above 0"):
        combined_dive([(60, 0)])
    for periods in (0, 4.5):
        with pytest.raises(TableRefusal, match=f"{periods} chamber periods is not planned"):
            chamber_legs(periods)

"""Dives that belong together: same dive, past dives, the RNT exception, no printed group."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest
from manual_files import rows

from planner.errors import TableRefusal
from planner.job import PastDive, Policy
from planner.table_sets import table_set
from planner.tables import (
    ExposureOptions,
    combined_dive,
    groups_of_past_dives,
    plan_exposure,
    plan_in_series,
)
from planner.tables.exposure import SEA_LEVEL_NO_STOP

NAVY = table_set()


def past(depth: int, bottom: int, surfaced: int, group: str | None = None) -> PastDive:
    """A dive of the log."""
    return PastDive(depth_fsw=depth, bottom_time_min=bottom, surfaced_min=surfaced, group_after=group)


def group_after_past_dives(
    dives: Sequence[PastDive], options: ExposureOptions = SEA_LEVEL_NO_STOP
) -> tuple[int, str | None] | None:
    """When a diver last surfaced and with which group; None without a past dive."""
    found = groups_of_past_dives(dives, options)
    return found[-1][:2] if found else None


def group_of_past_dive(dive: PastDive, options: ExposureOptions = SEA_LEVEL_NO_STOP) -> str | None:
    """The group after the only dive before the job."""
    return groups_of_past_dives([dive], options)[-1].group


def test_group_of_a_past_dive() -> None:
    """The logged group is believed; else the tables: 60/55 J (9-7), 78/47 M (9-9), 30/480 and 100/70 none."""
    assert group_of_past_dive(past(60, 55, -100)) == "J"
    assert group_of_past_dive(past(60, 55, -100, "L")) == "L"
    assert group_of_past_dive(past(78, 47, -100)) == "M"
    assert group_of_past_dive(past(30, 480, -100)) is None
    assert group_of_past_dive(past(100, 70, -100)) is None
    assert group_of_past_dive(past(210, 5, -100)) is None
    assert group_of_past_dive(past(20, 1000, -100)) == "L"
    assert group_of_past_dive(past(25, 1102, -100)) == "Z"


def test_a_past_dive_at_altitude_enters_deeper() -> None:
    """60 fsw for 20 min: D at sea level, 80 fsw and E at 5,000 ft (tables 9-4 and 9-7)."""
    assert group_of_past_dive(past(60, 20, -100)) == "D"
    assert group_of_past_dive(past(60, 20, -100), ExposureOptions(altitude_ft=5000)) == "E"


def test_past_dives_add_up() -> None:
    """60/30 F; 100 min up: E, RNT 29 at 60 fsw; 60/20 is 49 min, I. As a first dive it would be D."""
    first = past(60, 30, -300)
    # surfaced 122 min later: 20 min of bottom time, 2 min of ascent, 100 min on the surface
    second = past(60, 20, -300 + 100 + 20 + 2)
    assert group_after_past_dives([second, first]) == (-178, "I")
    assert group_after_past_dives([first]) == (-300, "F")
    assert group_after_past_dives([]) is None


def test_past_dives_under_ten_minutes_apart_are_one() -> None:
    """60 fsw 30 min, 8 min up, 50 fsw 25 min: 60 fsw for 55 min, group J (table 9-7)."""
    first = past(60, 30, -300)
    second = past(50, 25, -300 + 8 + 25 + 2)
    assert group_after_past_dives([first, second]) == (-265, "J")
    # a logged group higher than that is kept
    assert group_after_past_dives([past(60, 30, -300, "L"), second]) == (-265, "L")


@pytest.mark.parametrize(("up_min", "group"), [(9, "J"), (10, "I")])
def test_past_dives_ten_minutes_apart_are_two(up_min: int, group: str) -> None:
    """60 fsw 30 min is F, still F after 10 min; its 55 min at 40 fsw and 25 more are 80: I. As one dive it is
    60 fsw for 55 min: J (tables 9-7 and 9-8)."""
    first, second = past(60, 30, -300), past(40, 25, -300 + up_min + 25 + 2)
    found = group_after_past_dives([first, second])
    assert found == (second.surfaced_min, group)


def test_after_a_dive_without_a_group() -> None:
    """No group until clean: a dive before that has none either, one after it counts as a first dive."""
    first = past(30, 480, -4000)
    soon = past(60, 20, -4000 + 600)
    late = past(60, 20, -4000 + NAVY.clean_without_group_min + 20 + 2)
    assert group_after_past_dives([first, soon]) == (-3400, None)
    assert group_after_past_dives([first, past(60, 20, -3400, "H")]) == (-3400, "H")
    assert group_after_past_dives([first, past(60, 5, -4000 + 10)]) == (-3990, None)
    assert group_after_past_dives([first, late]) == (late.surfaced_min, "D")


def test_long_past_dives_are_believed_to_be_the_worst() -> None:
    """A repetitive past dive that no row covers has no group: 60/120 Z, 60 min up, 60/60 again."""
    assert group_after_past_dives([past(60, 120, -400), past(60, 60, -200)]) == (-200, None)


def test_no_group_waits_longer_than_the_tables_could_ask() -> None:
    """48 h is over what table 9-8 itself would ask after any row without a group that may be planned.

    Upper bound: tension of the 120 min compartment after the whole bottom time, nothing lost at the stops;
    from there down to Z at the pace of the table, one group (about 1.578 fsw) in 53 min at the slowest, then
    Z's own time until clean.
    """
    assert NAVY.minutes_until_clean(None) == NAVY.clean_without_group_min == 48 * 60
    assert NAVY.minutes_until_clean("Z") == NAVY.minutes_to_group("Z", None) == 951
    seen = 0
    for row in rows("stops.csv"):
        if row["exposure"] in ("normal", "surdo2_recommended") and not row["repetitive_group"]:
            tension = int(row["depth_fsw"]) * (1 - 2 ** (-int(row["bottom_time_min"]) / 120))
            groups_above_z = math.ceil((tension - 26.49) / 1.578)
            assert 951 + 53 * groups_above_z < NAVY.clean_without_group_min
            seen += 1
    assert seen == 6


EARLIER = [(60, 30)]


def test_rnt_exception_is_off_unless_asked_for() -> None:
    """60/30 then 60/20 in group E: 29 + 20 = 49 min either way when the exception is off."""
    usual = plan_in_series(60, 20, "E", EARLIER, ExposureOptions())
    assert usual == plan_exposure(60, 20, "E")


def test_rnt_exception_is_used_where_it_gives_less_and_said() -> None:
    """100/20 (G), 10 min up, 100/5 in G: RNT 23 + 5 = 28 min, with stops; together 25 min, without.

    Rule: the bottom times of all dives at the greatest depth may be summed when that gives less decompression
    (U.S. Navy Diving Manual).
    """
    stops = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=30)
    on = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=30, rnt_exception=True)
    usual = plan_in_series(100, 5, "G", [(100, 20)], stops)
    assert (usual.equivalent_min, usual.schedule.stop_min) == (28, 3)
    summed = plan_in_series(100, 5, "G", [(100, 20)], on)
    assert (summed.residual_nitrogen_min, summed.equivalent_min) == (20, 25)
    assert summed.schedule.way_up == "no-stop"
    assert summed.group_after == "H"
    assert any("RNT exception used" in note for note in summed.schedule.notes)
    assert (summed.depth_fsw, summed.bottom_time_min) == (100, 5)


def test_rnt_exception_can_allow_what_is_refused_otherwise() -> None:
    """Without stops allowed, 100/20 and 100/5 go only as one dive of 25 min, the limit (table 9-7)."""
    with pytest.raises(TableRefusal):
        plan_in_series(100, 5, "G", [(100, 20)], ExposureOptions())
    on = ExposureOptions(rnt_exception=True)
    assert plan_in_series(100, 5, "G", [(100, 20)], on).equivalent_min == 25
    with pytest.raises(TableRefusal, match="a diver in group G"):
        plan_in_series(100, 6, "G", [(100, 20)], on)


def test_rnt_exception_is_left_where_it_gives_more() -> None:
    """A deep short dive first: 150/8 and 40 fsw 60 min summed would be 68 min at 150 fsw; RNT it stays."""
    on = ExposureOptions(rnt_exception=True)
    kept = plan_in_series(40, 60, "D", [(150, 8)], on)
    assert kept == plan_exposure(40, 60, "D", on)
    assert not any("exception" in note for note in kept.schedule.notes)


def test_rnt_exception_never_lowers_the_group() -> None:
    """A sum that prints a lower group than the diver came with keeps his own."""
    on = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=60, rnt_exception=True)
    exposure = plan_in_series(60, 10, "M", [(60, 30)], on)
    assert exposure.equivalent_min == 40
    assert exposure.group_after == "M"


def test_combined_dive_takes_the_greatest_depth_and_all_minutes() -> None:
    """Order does not matter."""
    assert combined_dive([(50, 25), (60, 30), (20, 1)]) == (60, 56)


@pytest.mark.parametrize(("minutes_late", "known"), [(-1, False), (0, True)])
def test_in_the_minute_in_which_he_is_clean_a_group_is_known_again(minutes_late: int, known: bool) -> None:
    """48 h after an exceptional exposure, for which no group is printed (longest wait of table 9-6), the next
    dive is a clean diver's: 30 min at 40 fsw and two minutes of ascent later it has that of table 9-7."""
    first = PastDive(depth_fsw=150, bottom_time_min=90, surfaced_min=0)
    after = 48 * 60 + minutes_late + 30 + 2
    second = PastDive(depth_fsw=40, bottom_time_min=30, surfaced_min=after)
    group = groups_of_past_dives([first, second])[-1].group
    assert group == (plan_exposure(40, 30).group_after if known else None)

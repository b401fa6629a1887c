"""No flight before: the highest group of 24 hours, from the last dive's end on (table 9-6, note 1)."""

from __future__ import annotations

import pytest

from planner.table_sets import table_set
from planner.tables import plan_exposure

NAVY = table_set()


def test_the_first_dive_s_group_decides() -> None:
    """60 fsw 60 min, 6:10 up, 30 fsw 20 min: the first dive's group, from the end of the second on.

    NOAA Diving Center newsletter, vol. 2 no. 9, October 1999. With the tables of today: 60/60 is K (table
    9-7) and K waits 15:35 (table 9-6, 8,000 ft); the second dive leaves F, which alone would wait 7:06.
    """
    first = plan_exposure(60, 60).group_after
    assert first == "K"
    second = plan_exposure(30, 20, NAVY.group_after_interval(first, 6 * 60 + 10)).group_after
    assert (second, NAVY.wait_before_altitude_min(second)) == ("F", 7 * 60 + 6)
    ended = 62 + 6 * 60 + 10 + 21
    assert NAVY.flight_wait([(62, first), (ended, second)]) == (ended, "K", ended + 15 * 60 + 35)


def test_only_the_groups_of_24_hours_count() -> None:
    """A group obtained 24:01 before the last dive's end counts no more; at 24:00 it still does."""
    assert NAVY.flight_wait([(0, "K"), (24 * 60, "C")]).until_min == 24 * 60 + NAVY.wait_before_altitude_min(
        "K"
    )
    assert NAVY.flight_wait(
        [(0, "K"), (24 * 60 + 1, "C")]
    ).until_min == 24 * 60 + 1 + NAVY.wait_before_altitude_min("C")


def test_no_single_dive_s_own_wait_is_cut_short() -> None:
    """A dive without a printed group waits 48 h from its own end, though a later one is 25 h after it."""
    assert NAVY.flight_wait([(0, None), (25 * 60, "A")]) == (25 * 60, None, 48 * 60)
    assert NAVY.flight_wait([(0, "A"), (60, None), (300, "B")]) == (300, None, 300 + 48 * 60)
    with pytest.raises(ValueError, match="empty"):
        NAVY.flight_wait([])

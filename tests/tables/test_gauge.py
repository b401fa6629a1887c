"""The greatest depth: what the gauge reads, and its corrections (`planner.tables.gauge`)."""

from __future__ import annotations

import pytest

from planner.errors import TableRefusal
from planner.tables import ExposureOptions, plan_exposure
from planner.tables.gauge import (
    corrected_depth_fsw,
    depth_as_read_words,
    fixed_reference_fsw,
    pneumofathometer_fsw,
)


@pytest.mark.parametrize(("read", "more"), [(1, 1), (100, 1), (101, 2), (200, 2), (201, 4), (300, 4)])
def test_the_pneumofathometer_s_correction(read: int, more: int) -> None:
    """+1 fsw to 100, +2 to 200, +4 to 300; the corrected depth is the greatest depth for tables and triggers.

    U.S. Navy Diving Manual, Revision 7, chapter 9 study material.
    """
    assert pneumofathometer_fsw(read) == more
    assert corrected_depth_fsw(read, 0, pneumofathometer=True, fixed_reference=False) == read + more


def test_a_gauge_with_a_fixed_reference_reads_too_shallow_at_altitude() -> None:
    """75 fsw read at 7,750 ft, fixed reference, pneumofathometer: 75 + 8 + 1 = 84, sea-level table depth 120.

    U.S. Navy Diving Manual, Revision 4, 9-44. At sea level such a gauge reads true.
    """
    assert fixed_reference_fsw(7750) == 8
    assert corrected_depth_fsw(75, 7750, pneumofathometer=True, fixed_reference=True) == 84
    options = ExposureOptions(altitude_ft=7750, pneumofathometer_correction=True, fixed_reference_gauge=True)
    schedule = plan_exposure(75, 10, None, options).schedule
    assert schedule.depth_fsw == 120
    assert any("8 fsw added" in note for note in schedule.notes)
    assert any("75 fsw read as 84 fsw, both together" in note for note in schedule.notes)
    assert (fixed_reference_fsw(0), fixed_reference_fsw(300), fixed_reference_fsw(301)) == (0, 0, 1)


def test_the_way_up_at_altitude_is_from_the_depth_that_is_there() -> None:
    """84 fsw at 30 fsw a minute are 168 s, though the gauge reads 75."""
    options = ExposureOptions(altitude_ft=7750, pneumofathometer_correction=True, fixed_reference_gauge=True)
    assert plan_exposure(75, 10, None, options).schedule.ascent_s == 168


def test_the_greatest_depth_of_the_rules_is_the_corrected_one() -> None:
    """100 fsw read by pneumofathometer are 101: past a job's 100 fsw."""
    options = ExposureOptions(pneumofathometer_correction=True, greatest_depth_fsw=100)
    with pytest.raises(TableRefusal, match=r"101 fsw \(100 read\) is deeper than the 100 fsw"):
        plan_exposure(100, 10, None, options)
    assert plan_exposure(99, 10, None, options).schedule.depth_fsw == 100
    assert (depth_as_read_words(100, 101), depth_as_read_words(58, 58)) == ("101 fsw (100 read)", "58 fsw")

"""The five minutes between the water and the chamber, second by second; the row a bottom time stands in."""

from __future__ import annotations

import pytest

from planner.tables.schedule import OnDeck, TableAnswer, TableSchedule, Way, on_deck_s, to_chamber_s


@pytest.mark.parametrize("leaves_fsw", range(61))
def test_in_time_is_five_minutes_from_forty_feet_to_fifty_in_the_chamber(leaves_fsw: int) -> None:
    """From leaving 40 fsw (or a last stop above it) at 30 fsw a minute, through undressing and the way, until
    half a minute of compression is over: 300 s at most. Source: the copies named in
    `planner.tables.schedule`, five minutes from 40 fsw to 50 fsw in the chamber; the sum is made here by
    itself."""
    for out_of_dress in range(7):
        for way in range(4):
            seconds = 2 * min(leaves_fsw, 40) + 60 * out_of_dress + 60 * way + 30
            told = OnDeck("heavy dress", out_of_dress, way)
            assert told.in_time(leaves_fsw) == (seconds <= 300)
            assert f"{seconds // 60}:{seconds % 60:02} in all; 5:00 at most" in told.sum_words(leaves_fsw)
            assert f"{out_of_dress} min out of heavy dress, {way} min to the chamber" in told.sum_words(
                leaves_fsw
            )
    assert on_deck_s(leaves_fsw) == 300 - 30 - 2 * min(leaves_fsw, 40)
    assert to_chamber_s(leaves_fsw) == 300 + 2 * max(0, leaves_fsw - 40)


def _answer(time_min: int) -> TableAnswer:
    row = TableSchedule(table="9-7", way_up="no-stop", depth_fsw=60, time_min=time_min, ascent_s=120)
    return TableAnswer(counted=None, schedule=row, group_after=None)  # type: ignore[arg-type]


def test_a_row_runs_over_all_the_steps_of_its_schedule() -> None:
    """Greatest bottom times 10, 20 and 30 of one row, 40 of the next, 50 and 60 of a third: from any of its
    steps a row begins over the last of the row before (0 for the first) and ends with its own last."""
    one, two, three = _answer(30), _answer(40), _answer(60)
    way = Way((10, 20, 30, 40, 50, 60), (one, one, one, two, three, three), "")
    assert [way.row_of(k) for k in range(6)] == [(0, 30)] * 3 + [(30, 40)] + [(40, 60)] * 2


def test_a_schedule_that_names_no_rate_is_at_thirty_feet_a_minute() -> None:
    """As a plan of an earlier version is read. Source: U.S. Navy Diving Manual, table 9-9, printed for 30 fsw
    a minute: two seconds a foot."""
    assert _answer(30).schedule.ascent_fsw_per_min == 30
    assert to_chamber_s(50) - to_chamber_s(40) == 20

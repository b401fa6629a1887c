"""Deeper, longer, sooner, or with a higher group never gives less decompression or a lower group.

Where the published tables themselves break this, the cells are listed, and the list must be exact.
"""

from __future__ import annotations

import pytest
from deeper_dives import every_break, found, listed, longer_when_deeper
from hypothesis import assume, given
from hypothesis import strategies as st
from readings import CLEAN_TO_Z, WAYS_UP

from planner.errors import TableRefusal
from planner.job import Policy
from planner.table_sets import table_set
from planner.tables import (
    Exposure,
    ExposureOptions,
    plan_exposure,
    standby_minutes_left,
)

NAVY = table_set()


options = st.builds(
    ExposureOptions,
    policy=st.sampled_from(list(Policy)),
    in_water_stop_max_min=st.sampled_from([0, 10, 30, 1000]),
    oxygen_in_water=st.booleans(),
    margin_min=st.sampled_from([0, 0, 3, 10]),
    next_longer_row=st.booleans(),
    pneumofathometer_correction=st.booleans(),
    altitude_ft=st.sampled_from([0, 0, 1000, 4500, 10_000]),
    one_foot_rows=st.booleans(),
)
depths = st.integers(1, 190)
bottoms = st.one_of(st.integers(1, 60), st.integers(1, 500))
befores = st.sampled_from(CLEAN_TO_Z)

#: 180 fsw prints a group time of 5 min beside its limit of 6, 170 fsw only the limit (table 9-7). So the next
#: longer schedule after 5 min has stops at 170 fsw and none at 180.
NEXT_LONGER_QUIRK = (170, 180, 5)


def ask(depth: int, bottom: int, group: str | None, how: ExposureOptions) -> Exposure | None:
    """The exposure, or None for the most decompression of all: a dive that is refused."""
    try:
        return plan_exposure(depth, bottom, group, how)
    except TableRefusal:
        return None


def never_less(easy: Exposure | None, hard: Exposure | None) -> bool:
    """Whether the harder dive has no less decompression and no lower group; a refused dive is the hardest."""
    if hard is None:
        return True
    return (
        easy is not None
        and hard.schedule.ascent_s >= easy.schedule.ascent_s
        and hard.schedule.stop_min >= easy.schedule.stop_min
        and hard.schedule.chamber_periods >= easy.schedule.chamber_periods
        and NAVY.rank_after(hard.group_after) >= NAVY.rank_after(easy.group_after)
    )


@given(depths, bottoms, bottoms, befores, options)
def test_longer(depth: int, one: int, other: int, group: str | None, how: ExposureOptions) -> None:
    """A longer bottom time never gives less, whatever the reading."""
    easy, hard = sorted((one, other))
    assert never_less(ask(depth, easy, group, how), ask(depth, hard, group, how))


@given(depths, bottoms, befores, befores, options)
def test_higher_group(
    depth: int, bottom: int, one: str | None, other: str | None, how: ExposureOptions
) -> None:
    """A higher group before the dive never gives less, special cells of table 9-8 included."""
    easy, hard = sorted((one, other), key=lambda group: NAVY.rank(group))
    assert never_less(ask(depth, bottom, easy, how), ask(depth, bottom, hard, how))


@given(depths, bottoms, befores, options)
def test_no_dive_lowers_the_group(depth: int, bottom: int, group: str | None, how: ExposureOptions) -> None:
    """The group after a dive is never lower than the one before it."""
    exposure = ask(depth, bottom, group, how)
    assume(exposure is not None)
    assert exposure is not None
    assert NAVY.rank_after(exposure.group_after) >= NAVY.rank(group)


@given(st.sampled_from(NAVY.groups), st.integers(10, 1000), st.integers(10, 1000), depths, bottoms, options)
def test_shorter_interval(
    group: str, one: int, other: int, depth: int, bottom: int, how: ExposureOptions
) -> None:
    """A shorter surface interval never gives less."""
    short, long = sorted((one, other))
    hard = ask(depth, bottom, NAVY.group_after_interval(group, short), how)
    assert never_less(ask(depth, bottom, NAVY.group_after_interval(group, long), how), hard)


@given(depths, depths, bottoms, options)
def test_deeper_for_a_clean_diver(one: int, other: int, bottom: int, how: ExposureOptions) -> None:
    """For a clean diver deeper never gives less, but for one cell read with the next longer schedule."""
    easy, hard = sorted((one, other))
    shallow, deep = ask(easy, bottom, None, how), ask(hard, bottom, None, how)
    if how.next_longer_row and shallow is not None and deep is not None:
        cell = (shallow.schedule.depth_fsw, deep.schedule.depth_fsw, bottom + how.margin_min)
        assume(cell != NEXT_LONGER_QUIRK)
    assert never_less(shallow, deep)


def test_the_next_longer_quirk_is_real() -> None:
    """5 min with the next longer schedule: stops at 170 fsw, none at 180 (tables 9-7 and 9-9)."""
    cold = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=100, next_longer_row=True)
    assert plan_exposure(170, 5, None, cold).schedule.time_min == 10
    assert plan_exposure(180, 5, None, cold).schedule.way_up == "no-stop"


def test_deeper_for_a_clean_diver_in_every_cell() -> None:
    """All depths, all minutes, all ways up of tables 9-7 and 9-9: no break for a clean diver."""
    assert found(None) == set()
    assert longer_when_deeper(None) == set()


def test_deeper_for_a_repetitive_diver_in_every_cell() -> None:
    """The published cells where a deeper repetitive dive has less are exactly the listed ones."""
    assert every_break() == listed()
    assert len(listed()) == 432


def test_where_a_deeper_repetitive_dive_may_be_longer() -> None:
    """The same published rounding lets some deeper dives be longer before they become exceptional exposures.

    Depths, group, greatest bottom times by rows that may be planned; the same for each way up.
    """
    seen = {cell for group in NAVY.groups for cell in longer_when_deeper(group)}
    assert {cell[0] for cell in seen} == set(WAYS_UP)
    assert len(seen) == 3 * len(LONGER_WHEN_DEEPER)
    assert {cell[1:] for cell in seen} == LONGER_WHEN_DEEPER


LONGER_WHEN_DEEPER = {
    (70, 80, "N", 19, 20),
    (70, 80, "O", 13, 15),
    (70, 80, "Z", 7, 10),
    (70, 90, "Z", 7, 9),
    (150, 160, "B", 24, 25),
    (150, 160, "C", 22, 23),
    (150, 160, "G", 15, 16),
    (150, 160, "H", 13, 14),
    (150, 160, "I", 11, 12),
    (150, 160, "J", 9, 10),
    (150, 160, "K", 7, 8),
    (150, 160, "L", 4, 6),
    (150, 160, "M", 2, 4),
    (150, 160, "N", 0, 2),
    (170, 180, "C", 18, 19),
    (170, 180, "F", 13, 14),
    (170, 180, "G", 11, 12),
    (170, 180, "H", 10, 11),
    (170, 180, "I", 8, 9),
    (170, 180, "J", 6, 7),
    (170, 180, "K", 4, 6),
    (170, 180, "L", 3, 4),
    (170, 180, "M", 1, 2),
}


@pytest.mark.parametrize("group", NAVY.groups)
def test_intervals_fall_step_by_step(group: str) -> None:
    """Table 9-8: minute by minute the group never rises; `minutes_to_group` is each one's first minute."""
    before = NAVY.rank(group)
    first: dict[str | None, int] = {}
    for minutes in range(10, 1000):
        now = NAVY.group_after_interval(group, minutes)
        assert NAVY.rank(now) <= before
        before = NAVY.rank(now)
        first.setdefault(now, minutes)
    assert before == 0
    for target in CLEAN_TO_Z:
        if NAVY.rank(target) <= NAVY.rank(group):
            assert NAVY.minutes_to_group(group, target) == first[target]
        else:
            assert NAVY.minutes_to_group(group, target) == 10


@given(depths, st.sampled_from(NAVY.groups))
def test_standby_has_what_limit_and_residual_leave(depth: int, group: str) -> None:
    """No-stop minutes left are the limit less the residual nitrogen time (tables 9-7, 9-8), never below 0."""
    limit, residual = NAVY.no_stop_limit(depth), NAVY.residual_nitrogen(depth, group)
    left = standby_minutes_left(depth, group)
    if limit is None or residual is None:
        assert left is None
        return
    if 20 < depth <= 25 and group in ("O", "Z"):
        limit = NAVY.no_stop_limit(30)
    assert limit is not None
    assert left == max(0, limit - residual)


def test_minutes_left_never_grow_with_depth() -> None:
    """For every group the no-stop minutes left fall from row to row of tables 9-7 and 9-8."""
    for group in CLEAN_TO_Z:
        before: int | None = None
        for depth in range(1, 191):
            left = standby_minutes_left(depth, group)
            if before is not None:
                assert left is not None and left <= before
            before = left

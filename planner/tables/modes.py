"""The few exposures worth choosing between at one depth, for the scheduler."""

from __future__ import annotations

from typing import NamedTuple

from planner.tables.options import ExposureOptions
from planner.tables.published import GROUP_RANK, GROUPS, NO_GROUP_RANK
from planner.tables.schedule import TableSchedule
from planner.tables.ways import Way, way


class Mode(NamedTuple):
    """One exposure to choose.

    Any bottom time from 1 to ``bottom_time_max_min`` is allowed from ``group_before``; none of them takes
    longer than ``ascent_min`` or ends higher than ``group_after``.
    """

    group_before: str | None
    group_after: str | None
    """None: no group is printed."""
    bottom_time_max_min: int
    ascent_min: int
    """Total ascent, rounded up to the minute."""
    way_up: str
    schedule: TableSchedule


def rank_after(group_after: str | None) -> int:
    """Rank of the group a dive leaves: None there means that none is printed, the worst."""
    return NO_GROUP_RANK if group_after is None else GROUP_RANK[group_after]


def modes(depth_fsw: int, options: ExposureOptions, *, greatest_incoming: bool = False) -> tuple[Mode, ...]:
    """Every exposure at a depth that no other one beats, for each group before the dive.

    Parameters
    ----------
    depth_fsw
        Depth of the dive.
    greatest_incoming
        Read ``group_before`` as the highest group that may come in, and leave out a mode that a mode of a
        higher group equals or beats.

    Raises
    ------
    TableRefusal
        A depth that the tables or the rules do not allow.
    """
    found: list[Mode] = []
    kept: list[Mode] = []
    for group in reversed((None, *GROUPS)):
        own = _of_way(group, way(depth_fsw, group, options))
        if greatest_incoming:
            own = [mode for mode in own if not any(_beats(other, mode) for other in kept)]
            kept += own
        found = own + found
    return tuple(found)


def _of_way(group: str | None, found: Way) -> list[Mode]:
    result: list[Mode] = []
    ascent, after = 0, None
    worst = -1
    for bottom, step in zip(found.bottom_max_min, found.steps, strict=True):
        ascent = max(ascent, -(-step.schedule.ascent_s // 60))
        if rank_after(step.group_after) >= worst:
            worst, after = rank_after(step.group_after), step.group_after
        mode = Mode(group, after, bottom, ascent, step.schedule.way_up, step.schedule)
        result = [other for other in result if not _beats(mode, other)]
        result.append(mode)
    return result


def _beats(one: Mode, other: Mode) -> bool:
    """Whether ``one`` gives at least as much for no more, with the same way up."""
    return (
        one.way_up == other.way_up
        and one.bottom_time_max_min >= other.bottom_time_max_min
        and one.ascent_min <= other.ascent_min
        and rank_after(one.group_after) <= rank_after(other.group_after)
    )

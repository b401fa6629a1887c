"""The few exposures worth choosing between at one depth, for the scheduler."""

from __future__ import annotations

from typing import NamedTuple

from planner.tables.options import ExposureOptions
from planner.tables.published import GROUPS, rank_after
from planner.tables.schedule import TableSchedule
from planner.tables.ways import way


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


def modes(depth_fsw: int, options: ExposureOptions) -> tuple[Mode, ...]:
    """Every exposure at a depth that no other one beats, for each group before the dive, clean first.

    A longer bottom time never has a shorter ascent or a lower group (the tests hold the tables to that), so
    each mode is honest for all bottom times below its own.

    Raises
    ------
    TableRefusal
        A depth that the tables or the rules do not allow.
    """
    found: list[Mode] = []
    for group in (None, *GROUPS):
        own: list[Mode] = []
        limits, steps, *_ = way(depth_fsw, group, options)
        for bottom, (_, schedule, group_after) in zip(limits, steps, strict=True):
            mode = Mode(group, group_after, bottom, -(-schedule.ascent_s // 60), schedule.way_up, schedule)
            if own and _no_worse(mode, own[-1]):
                own.pop()
            own.append(mode)
        found += own
    return tuple(found)


def _no_worse(longer: Mode, shorter: Mode) -> bool:
    """Whether the longer of two modes costs nothing more."""
    return longer.ascent_min <= shorter.ascent_min and rank_after(longer.group_after) <= rank_after(
        shorter.group_after
    )

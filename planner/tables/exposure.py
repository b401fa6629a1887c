"""The question the whole program asks: this deep, this long, with this group; which schedule, which group?"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from planner.errors import TableRefusal
from planner.tables.intervals import known_group
from planner.tables.options import ExposureOptions
from planner.tables.profile import Segment, profile
from planner.tables.published import next_deeper, published
from planner.tables.schedule import TableSchedule
from planner.tables.ways import positive_depth, way

SEA_LEVEL_NO_STOP = ExposureOptions()


@dataclass(frozen=True)
class Exposure:
    """What the tables give for one dive of one diver. Minutes; depths in fsw."""

    residual_nitrogen_min: int
    equivalent_min: int
    """Equivalent single dive time: residual nitrogen time and bottom time."""
    schedule: TableSchedule
    group_after: str | None
    """None: no group is printed, so no repetitive dive until clean (`minutes_until_clean`)."""
    depth_fsw: int
    bottom_time_min: int
    descent_fsw_per_min: int = field(default=60, repr=False)

    @cached_property
    def segments(self) -> tuple[Segment, ...]:
        """The dive's profile; the part after leave bottom adds up to the schedule's total ascent."""
        return profile(self.depth_fsw, self.bottom_time_min, self.schedule, self.descent_fsw_per_min)


def no_stop_limit(depth_fsw: int) -> int | None:
    """No-stop limit in minutes at the exact or next deeper row of table 9-7; None: unlimited.

    Raises
    ------
    TableRefusal
        Depth not above 0, or past the last row (190 fsw).
    """
    positive_depth(depth_fsw)
    tables = published()
    return tables.no_stop[next_deeper(tables.depths, depth_fsw)].limit_min


def residual_nitrogen(depth_fsw: int, group: str) -> int | None:
    """Residual nitrogen time in minutes (table 9-8, exact or next deeper row).

    None where the table says *undetermined*. Where it sends the reader to the 30 fsw row (25 fsw, groups O
    and Z), the time of that row, which belongs with the 30 fsw limit; `standby_minutes_left` minds that.

    Raises
    ------
    TableRefusal
        No such group, depth not above 0, or past the last row.
    """
    positive_depth(depth_fsw)
    known_group(group)
    tables = published()
    row = next_deeper(tables.depths, depth_fsw)
    return tables.residual[30 if (row, group) in tables.use_30_fsw else row][group]


def standby_minutes_left(
    depth_fsw: int, group: str | None, options: ExposureOptions = SEA_LEVEL_NO_STOP
) -> int | None:
    """Minutes that a diver of that group still has at that depth; None: unlimited, 0: none left.

    To the longest row that the options allow: under a policy without stops the no-stop minutes
    (`planner.tables.standby_options`).
    """
    found = way(depth_fsw, group, options)
    if found.unlimited:
        return None
    return found.bottom_max_min[-1] if found.bottom_max_min else 0


def plan_exposure(
    depth_fsw: int,
    bottom_time_min: int,
    group_before: str | None = None,
    options: ExposureOptions = SEA_LEVEL_NO_STOP,
) -> Exposure:
    """The schedule that a dive needs and the group it leaves.

    Parameters
    ----------
    depth_fsw
        Greatest depth of the dive.
    bottom_time_min
        Leave surface to leave bottom, rounded up to the minute.
    group_before
        Repetitive group at leave surface, after the surface interval; None for a clean diver.

    Raises
    ------
    TableRefusal
        The tables, the policy or the rules do not allow the dive; the text says which.
    """
    found = options.ways.get((depth_fsw, group_before)) or way(depth_fsw, group_before, options)
    if bottom_time_min < 1:
        raise TableRefusal(f"A bottom time must be at least 1 min; {bottom_time_min} min is not.")
    limits = found.bottom_max_min
    index = bisect_left(limits, bottom_time_min)
    if index == len(limits):
        raise TableRefusal(_refusal(depth_fsw, bottom_time_min, group_before, limits, found.refusal))
    residual, schedule, group_after = found.steps[index]
    return Exposure(
        residual,
        residual + bottom_time_min,
        schedule,
        group_after,
        depth_fsw,
        bottom_time_min,
        options.descent_fsw_per_min,
    )


def _refusal(depth_fsw: int, bottom_time_min: int, group: str | None, limits: Sequence[int], why: str) -> str:
    who = "a clean diver" if group is None else f"a diver in group {group}"
    most = f"{limits[-1]} min is the most." if limits else "No bottom time is possible."
    return f"{bottom_time_min} min at {depth_fsw} fsw for {who}: {why}. {most}"

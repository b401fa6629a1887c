"""The question the whole program asks: this deep, this long, with this group; which schedule, which group?"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from planner.errors import TableRefusal
from planner.table_sets import carrying_words
from planner.tables.options import ExposureOptions
from planner.tables.profile import Segment, profile
from planner.tables.schedule import TableSchedule
from planner.tables.ways import way

SEA_LEVEL_NO_STOP = ExposureOptions()


@dataclass(frozen=True)
class Exposure:
    """What the tables give for one dive of one diver. Minutes; depths in fsw."""

    residual_nitrogen_min: int
    """What counts beside the bottom time: residual nitrogen time, or what a factor adds."""
    equivalent_min: int
    """Equivalent single dive time: both together."""
    schedule: TableSchedule
    group_after: str | None
    """None: no group is printed, so no repetitive dive until clean (`minutes_until_clean`)."""
    depth_fsw: int
    bottom_time_min: int
    row_left_min: int
    """Minutes by which the bottom time could grow before the no-stop limit, or the row with stops, ends: as
    the options have it, so a margin to the table is off it, and residual nitrogen time is in it."""
    descent_fsw_per_min: int = field(default=60, repr=False)

    @cached_property
    def segments(self) -> tuple[Segment, ...]:
        """The dive's profile; the part after leave bottom adds up to the schedule's total ascent."""
        return profile(self.depth_fsw, self.bottom_time_min, self.schedule, self.descent_fsw_per_min)


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
        What is carried at leave surface, after the surface interval: a repetitive group, or the factor where
        the set counts by one; None for a clean diver.

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
    counted, schedule, group_after = found.steps[index]
    equivalent_min = counted.equivalent_min(bottom_time_min)
    return Exposure(
        equivalent_min - bottom_time_min,
        equivalent_min,
        schedule,
        group_after,
        depth_fsw,
        bottom_time_min,
        found.row_of(index)[1] - bottom_time_min,
        options.descent_fsw_per_min,
    )


def _refusal(depth_fsw: int, bottom_time_min: int, group: str | None, limits: Sequence[int], why: str) -> str:
    who = "a clean diver" if group is None else f"a diver {carrying_words(group)}"
    most = f"{limits[-1]} min is the most." if limits else "No bottom time is possible."
    return f"{bottom_time_min} min at {depth_fsw} fsw for {who}: {why}. {most}"

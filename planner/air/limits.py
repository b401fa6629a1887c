"""Air of one dive item as plain numbers, before there is a plan: constants for a scheduler.

Rows of the crew minima that ask for people only on decompression dives count as holding, so a number
from here is never below what a plan's own dive asks.
"""

from __future__ import annotations

from planner.air.flow import diver_scfm
from planner.job import CrewMinimum, DiveItem, Job
from planner.job.duties import ENTRY_DIVER, STANDBY


def _count(job: Job, item: DiveItem, duty: str) -> int:
    rows = [r for r in job.rules.minima if r.duty == duty and _may_hold(r, item)]
    down = item.divers if duty == ENTRY_DIVER else divers_in_water(job, item)
    return max((r.count * (down if r.per_diver else 1) for r in rows), default=0)


def _may_hold(row: CrewMinimum, item: DiveItem) -> bool:
    return (
        (row.gear is None or row.gear is item.gear)
        and (row.deeper_than_fsw is None or item.depth_fsw > row.deeper_than_fsw)
        and (item.enclosed_space or not row.enclosed_space)
    )


def divers_in_water(job: Job, item: DiveItem) -> int:
    """Working divers and divers at the entry."""
    return item.divers + _count(job, item, ENTRY_DIVER)


def standby_count(job: Job, item: DiveItem) -> int:
    """Standby divers that the crew minima ask for."""
    return _count(job, item, STANDBY)


def dive_demand_scfm(job: Job, item: DiveItem) -> float:
    """Flow of a dive at the bottom: its divers at depth and its tools, scfm."""
    each = diver_scfm(job.air, item.gear, item.depth_fsw)
    return divers_in_water(job, item) * each + item.tool_air_scfm


def standby_reserve_scfm(job: Job, item: DiveItem) -> float:
    """Flow kept for the standby divers of a station, sent down to the item's depth, scfm."""
    return standby_count(job, item) * diver_scfm(job.air, item.gear, item.depth_fsw)

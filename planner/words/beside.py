"""The table schedule of a dive, and those that lie beside it: stay longer, or go deeper."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from planner.errors import TableRefusal
from planner.job import DiveItem, Job, Policy
from planner.plan.model import Dive, DiverExposure
from planner.tables import ExposureOptions, TableSchedule, options_for, plan_exposure
from planner.tables.options import ANY_STOPS_MIN
from planner.tables.schedule import UNLIMITED_MIN
from planner.tables.ways import way


@dataclass(frozen=True)
class ScheduleBeside:
    """One schedule on a dive sheet."""

    kind: str
    """``planned``, ``row`` (the planned row to its end), ``longer`` or ``deeper``."""
    depth_fsw: int
    """Depth that it is entered with."""
    longest_bottom_min: int
    """Longest bottom time that it covers for this diver; for ``planned`` the planned bottom time."""
    schedule: TableSchedule
    """The table's row."""
    group_after: str | None
    """Group at that bottom time, as the no-stop table prints it: 60/63 is K, though 41 min of it are H."""
    in_policy: bool
    """Whether the job would have allowed it; if not, it is there for the case that the dive runs late."""

    @property
    def unlimited(self) -> bool:
        """Whether the tables set no limit to the time on the bottom."""
        return self.longest_bottom_min >= UNLIMITED_MIN


@lru_cache(maxsize=64)
def _wide(options: ExposureOptions, depth_fsw: int) -> ExposureOptions:
    """The same reading of the tables with every way up in the water allowed, for a dive that runs late."""
    in_water = options.policy is Policy.NO_STOP or not options.in_time_from(depth_fsw)
    policy = Policy.IN_WATER_STOPS if in_water else options.policy
    return replace(
        options,
        policy=policy,
        in_water_stop_max_min=ANY_STOPS_MIN,
        greatest_depth_fsw=options.tables.deepest_planned_fsw,
    )


def _runs(
    item_depth_fsw: int, group: str | None, options: ExposureOptions
) -> list[tuple[int, TableSchedule, str | None]]:
    """Schedules of a depth in order, groups of one schedule joined: longest bottom time, schedule, group."""
    found = way(item_depth_fsw, group, options)
    runs: list[tuple[int, TableSchedule, str | None]] = []
    for bottom, step in zip(found.bottom_max_min, found.steps, strict=True):
        if runs and runs[-1][1] == step.schedule:
            runs.pop()
        runs.append((bottom, step.schedule, step.group_after))
    return runs


def _allowed(item: DiveItem, job: Job, depth_fsw: int, bottom_min: int, group: str | None) -> bool:
    try:
        plan_exposure(depth_fsw, bottom_min, group, options_for(job, item))
    except TableRefusal:
        return False
    return True


def schedules_beside(job: Job, dive: Dive, diver: DiverExposure) -> tuple[ScheduleBeside, ...]:
    """The planned schedule, the next two longer ones at its depth, and the one at the next deeper row.

    The planned one with the planned minutes and their group, then, where its row is longer, the whole row
    with the group of that. Where the tables end, a row is missing; nothing is made up.
    """
    item = job.dive_item(dive.item)
    wide = _wide(options_for(job, item), dive.depth_fsw)
    group, bottom = diver.group_before, dive.bottom_time_min
    rows: list[ScheduleBeside] = []
    own = [run for run in _runs(dive.depth_fsw, group, wide) if run[0] >= bottom]
    for index, (longest, schedule, group_after) in enumerate(own[:3]):
        if not index:
            planned = bottom, schedule, diver.group_after
            rows.append(ScheduleBeside("planned", dive.depth_fsw, *planned, in_policy=True))
            if longest == bottom:
                continue
        kind, allowed = "longer" if index else "row", _allowed(item, job, dive.depth_fsw, longest, group)
        rows.append(ScheduleBeside(kind, dive.depth_fsw, longest, schedule, group_after, allowed))
    for depth in range(dive.depth_fsw + 1, job.tables.deepest_planned_fsw + 1):
        try:
            deeper = [run for run in _runs(depth, group, wide) if run[0] >= bottom]
        except TableRefusal:
            break
        if deeper and deeper[0][1].depth_fsw == diver.schedule.depth_fsw:
            continue
        for longest, schedule, group_after in deeper[:2]:
            allowed = _allowed(item, job, depth, longest, group)
            rows.append(ScheduleBeside("deeper", depth, longest, schedule, group_after, allowed))
        break
    return tuple(rows)

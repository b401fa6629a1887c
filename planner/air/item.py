"""Air of one dive item before there is a plan: numbers for a scheduler, and whether the plant can carry it.

Rows of the crew minima that ask for people only on decompression dives count as holding, so a number
from here is never below what a plan's own dive asks.
"""

from __future__ import annotations

from planner.air.chamber import item_chamber_finding
from planner.air.flow import Leg, ascent_legs, diver_scfm, emergency_scfm, item_manifold_psi
from planner.air.reserve import (
    emergency_legs,
    emergency_words,
    independent_reserve,
    reserve_capacity_scfm,
    reserve_stored_scf,
)
from planner.air.supply import (
    ROUNDING,
    delivered_psi,
    has_plant,
    primary_bank_scf,
    primary_capacity_scfm,
    primary_tank_scf,
)
from planner.job import AirRole, CrewMinimum, DiveItem, Job
from planner.job.duties import ENTRY_DIVER, STANDBY
from planner.plan.finding import Finding
from planner.tables.gauge import greatest_depth_fsw
from planner.tables.schedule import TableSchedule
from planner.words.measures import own_depth_words


def _count(job: Job, item: DiveItem, duty: str) -> int:
    deepest = greatest_depth_fsw(job.site, item.depth_fsw)
    rows = [r for r in job.rules.asked_rows if r.duty == duty and _may_hold(r, item, deepest)]
    down = item.divers if duty == ENTRY_DIVER else divers_in_water(job, item)
    return max((r.count * (down if r.per_diver else 1) for r in rows), default=0)


def _may_hold(row: CrewMinimum, item: DiveItem, deepest_fsw: int) -> bool:
    return (
        (row.gear is None or row.gear is item.gear)
        and (row.deeper_than_fsw is None or deepest_fsw > row.deeper_than_fsw)
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


def _on_reserve_scfm(job: Job, item: DiveItem, depth_fsw: float) -> float:
    """Flow of the item's divers and standby together on the reserve at a depth, scfm."""
    people = divers_in_water(job, item) + standby_count(job, item)
    return people * emergency_scfm(job.air, item.gear, depth_fsw)


def _emergency_legs(job: Job, item: DiveItem, schedule: TableSchedule) -> tuple[Leg, ...]:
    return emergency_legs(job.air, item.depth_fsw, ascent_legs(item.depth_fsw, schedule), 0, 0)


def reserve_scf(job: Job, item: DiveItem, schedule: TableSchedule, compressors_scfm: float = 0.0) -> float:
    """Gas for the item's divers and standby at depth and up by a schedule, scf: before there is a plan.

    Parameters
    ----------
    compressors_scfm
        Flow that the reserve's compressors carry of it at every moment.
    """
    legs = _emergency_legs(job, item, schedule)
    return sum(
        leg.minutes * max(0.0, _on_reserve_scfm(job, item, leg.mean_fsw) - compressors_scfm) for leg in legs
    )


def reserve_flow_scfm(job: Job, item: DiveItem) -> float:
    """Flow that the reserve must carry at the item's depth, tools shut off, scfm."""
    return _on_reserve_scfm(job, item, item.depth_fsw)


def item_air_finding(job: Job, item: DiveItem, schedule: TableSchedule) -> Finding | None:
    """The first air rule that keeps the item from being dived even alone; None when none does.

    Notes
    -----
    Strict where time decides: a primary short of flow passes only when tank or bank hold something, for
    how long is the plan's own check. Without an air plant only the chamber's gas is judged, where given.
    """
    if not has_plant(job.air):
        return item_chamber_finding(job, item, schedule)
    psi, where = item_manifold_psi(job, item), f"{item.name} at {own_depth_words(item, job.site.units)}"
    held = delivered_psi(job, AirRole.PRIMARY)
    if held < psi - ROUNDING:
        return Finding(
            "air-primary-pressure",
            f"{where} needs {psi:.0f} psi at the manifold; the primary holds {held:.0f} psi.",
            item.name,
        )
    needed = dive_demand_scfm(job, item) + standby_reserve_scfm(job, item)
    capacity = primary_capacity_scfm(job, psi)
    if needed > capacity + ROUNDING and primary_bank_scf(job, psi) + primary_tank_scf(job, psi) <= 0:
        return Finding(
            "air-primary-flow",
            f"{where} needs {needed:.1f} scfm for divers, standby and tools; the "
            f"primary gives {capacity:.1f} scfm at {psi:.0f} psi.",
            item.name,
        )
    return _reserve(job, item, schedule, psi) or item_chamber_finding(job, item, schedule)


def _reserve(job: Job, item: DiveItem, schedule: TableSchedule, psi: float) -> Finding | None:
    alone = job.replace(air=independent_reserve(job.air))
    for rule, whose in (("air-reserve", job), ("air-reserve-independent", alone)):
        capacity, stored = reserve_capacity_scfm(whose, psi), reserve_stored_scf(whose, psi)
        needed = reserve_scf(job, item, schedule, capacity)
        if needed > stored + ROUNDING:
            of = "the reserve" if whose is job else "the reserve that shares nothing with the primary"
            return Finding(
                rule,
                f"{item.name} at {own_depth_words(item, job.site.units)}: with the primary lost, for "
                f"{emergency_words(job.air)} banks must give {needed:.0f} scf beside {capacity:.1f} scfm "
                f"from compressors; {of} holds {stored:.0f} scf at {psi:.0f} psi.",
                item.name,
            )
    return None

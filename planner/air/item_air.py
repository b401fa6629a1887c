"""Whether the plant can carry a dive item at all, before there is a plan: for a scheduler and its reasons."""

from __future__ import annotations

from planner.air.capacity import (
    delivered_psi,
    has_plant,
    primary_bank_scf,
    primary_capacity_scfm,
    primary_tank_scf,
)
from planner.air.flow import diver_scfm, item_manifold_psi
from planner.air.limits import (
    dive_demand_scfm,
    divers_in_water,
    standby_count,
    standby_reserve_scfm,
)
from planner.air.profile import ascent_legs
from planner.air.reserve import independent_reserve, reserve_capacity_scfm, reserve_stored_scf
from planner.air.rules import AirBreach
from planner.job import AirRole, DiveItem, Job
from planner.tables.schedule import TableSchedule

_GUARD = 1e-6


def item_air_breach(job: Job, item: DiveItem, schedule: TableSchedule | None = None) -> AirBreach | None:
    """The first air rule that keeps the item from being dived even alone; None when none does.

    Parameters
    ----------
    job, item
        The item and whose plant it is.
    schedule
        The way up; with None the reserve is looked at for flow and pressure only where it has no bank.

    Notes
    -----
    Strict where time decides: a primary short of flow passes only when tank or bank hold something, for
    how long is the plan's own check. Without an air plant nothing is judged.
    """
    if not has_plant(job.air):
        return None
    psi = item_manifold_psi(job, item)
    held = delivered_psi(job, AirRole.PRIMARY)
    if held < psi - _GUARD:
        return AirBreach(
            "air-primary-pressure",
            f"{item.name} at {item.depth_fsw} fsw needs {psi:.0f} psi at the manifold; the primary holds "
            f"{held:.0f} psi.",
            item.name,
        )
    needed = dive_demand_scfm(job, item) + standby_reserve_scfm(job, item)
    capacity = primary_capacity_scfm(job, psi)
    if needed > capacity + _GUARD and primary_bank_scf(job, psi) + primary_tank_scf(job, psi) <= 0:
        return AirBreach(
            "air-primary-flow",
            f"{item.name} at {item.depth_fsw} fsw needs {needed:.1f} scfm for divers, standby and tools; the "
            f"primary gives {capacity:.1f} scfm at {psi:.0f} psi.",
            item.name,
        )
    return _reserve(job, item, schedule, psi)


def _reserve(job: Job, item: DiveItem, schedule: TableSchedule | None, psi: float) -> AirBreach | None:
    alone = job.replace(air=independent_reserve(job.air))
    for rule, whose in (("air-reserve", job), ("air-reserve-independent", alone)):
        capacity, stored = reserve_capacity_scfm(whose, psi), reserve_stored_scf(whose, psi)
        needed = _stored_scf(job, item, schedule, capacity)
        if needed > stored + _GUARD or (schedule is None and capacity + stored <= 0):
            of = "the reserve" if whose is job else "the reserve that shares nothing with the primary"
            return AirBreach(
                rule,
                f"{item.name} at {item.depth_fsw} fsw: with the primary lost, banks must give {needed:.0f} "
                f"scf beside {capacity:.1f} scfm from compressors; {of} holds {stored:.0f} scf at "
                f"{psi:.0f} psi.",
                item.name,
            )
    return None


def _stored_scf(job: Job, item: DiveItem, schedule: TableSchedule | None, capacity: float) -> float:
    """Gas that banks must give on the way up, scf; 0 when the way up is not known."""
    if schedule is None:
        return 0.0
    people = divers_in_water(job, item) + standby_count(job, item)
    return sum(
        leg.minutes * max(0.0, people * diver_scfm(job.air, item.gear, leg.mean_fsw) - capacity)
        for leg in ascent_legs(item.depth_fsw, schedule)
        if leg.deepest_fsw > 0
    )

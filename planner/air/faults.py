"""What is wrong with a job's air plant before any plan is made: named, and refused."""

from __future__ import annotations

from planner.air.flow import item_manifold_psi
from planner.errors import Fault
from planner.job import AirSource, Job


def air_faults(job: Job) -> tuple[Fault, ...]:
    """Faults of the air plant.

    A compressor on line that does not reach the pressure of the job's most demanding dive item, a bank
    or a tank above its working pressure, two sources of one name. Negative numbers are refused by the
    job's own fields.
    """
    return (*_weak_compressors(job), *_overfilled(job), *_same_names(job))


def _weak_compressors(job: Job) -> list[Fault]:
    if not job.dive_items:
        return []
    item = max(job.dive_items, key=lambda i: item_manifold_psi(job, i))
    needed = item_manifold_psi(job, item)
    return [
        Fault(
            where=f"compressor {c.name}",
            found=f"{c.discharge_psi:g} psi",
            allowed=f"{needed:.0f} psi or more, or not on line",
            sentence=f"{item.name} at {item.depth_fsw} fsw in {item.gear} needs {needed:.0f} psi at the "
            f"manifold and this compressor delivers {c.discharge_psi:g} psi.",
        )
        for c in job.air.compressors
        if c.on_line and c.discharge_psi < needed
    ]


def _overfilled(job: Job) -> list[Fault]:
    limits = [(f"bank {b.name}", b.pressure_psi, b.working_pressure_psi) for b in job.air.banks]
    for tank in job.air.tanks:
        if tank.working_pressure_psi is not None:
            limits.append((f"volume tank {tank.name}", tank.pressure_psi, tank.working_pressure_psi))
    return [
        Fault(
            where=where,
            found=f"{held:g} psi",
            allowed=f"{limit:g} psi at most",
            sentence=f"Its pressure of {held:g} psi is above its working pressure of {limit:g} psi.",
        )
        for where, held, limit in limits
        if held > limit
    ]


def _same_names(job: Job) -> list[Fault]:
    sources: tuple[AirSource, ...] = (*job.air.compressors, *job.air.banks, *job.air.tanks)
    names = [s.name for s in sources]
    return [
        Fault(
            where="air plant",
            found=name,
            allowed="one source of that name",
            sentence=f"{names.count(name)} sources of air are called {name}.",
        )
        for name in dict.fromkeys(names)
        if names.count(name) > 1
    ]

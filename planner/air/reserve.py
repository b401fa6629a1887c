"""The reserve: what it must give to bring everyone up when the primary dies, and what it has.

The worst moment of a dive is the end of its bottom time, with the whole way up still to go; from leave
surface to leave bottom the same way up is counted. Divers and the standby diver, taken as sent down to
them, leave together. Gas of an ascent: mean depth of each leg, minutes rounded up (U.S. Navy Diving
Manual), at the flow of the gear.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from planner.air.demand import Breather, breathers
from planner.air.flow import Leg, dive_legs, diver_scfm, manifold_psi
from planner.air.supply import ROUNDING, bank_scf, capacity_scfm, tank_scf
from planner.job import AirPlant, AirRole, Job
from planner.job.air_plant import AirSource
from planner.plan.model import Dive, Plan


@dataclass(frozen=True)
class ReserveNeed:
    """What the reserve must give from one moment on.

    Parameters
    ----------
    at_min
        Moment at which the primary dies, job minutes.
    scf
        Gas for everyone's way up.
    stored_scf
        Part of it that must come out of banks, the reserve's compressors carrying what they can.
    scfm
        Highest flow on the way.
    manifold_psi
        Pressure that the manifold must hold, psi gauge.
    dives
        Ids of the dives in the water then.
    """

    at_min: int
    scf: float
    stored_scf: float
    scfm: float
    manifold_psi: float
    dives: tuple[str, ...]


def reserve_sources(plant: AirPlant) -> tuple[AirSource, ...]:
    """Sources of the reserve that are on line."""
    sources: tuple[AirSource, ...] = (*plant.compressors, *plant.banks, *plant.tanks)
    return tuple(s for s in sources if s.role is AirRole.RESERVE and s.on_line)


def shared_needs(plant: AirPlant, source: AirSource) -> frozenset[str]:
    """What a source relies on that a primary source relies on too: they fail together."""
    sources: tuple[AirSource, ...] = (*plant.compressors, *plant.banks, *plant.tanks)
    primary = frozenset(need for s in sources if s.role is AirRole.PRIMARY for need in s.needs)
    return source.needs & primary


def independent_reserve(plant: AirPlant) -> AirPlant:
    """The plant with only those reserve sources that share nothing with the primary."""

    def kept(source: AirSource) -> bool:
        return source.role is not AirRole.RESERVE or not shared_needs(plant, source)

    return plant.replace(
        compressors=tuple(c for c in plant.compressors if kept(c)),
        banks=tuple(b for b in plant.banks if kept(b)),
        tanks=tuple(t for t in plant.tanks if kept(t)),
    )


def reserve_capacity_scfm(job: Job, psi: float) -> float:
    """Flow of the reserve's compressors that reach the pressure, scfm."""
    return capacity_scfm(job, AirRole.RESERVE, psi)


def reserve_stored_scf(job: Job, psi: float) -> float:
    """Usable gas of the reserve's banks and tanks at a manifold pressure, scf."""
    banks = sum(bank_scf(b, psi) for b in job.air.banks if b.role is AirRole.RESERVE)
    return banks + sum(tank_scf(t, psi) for t in job.air.tanks if t.role is AirRole.RESERVE)


def _way_up(dive: Dive, at_min: int) -> tuple[Leg, ...]:
    """Legs from a moment to the surface."""
    if at_min <= dive.leave_bottom_min:
        shift = dive.leave_bottom_min - at_min
        legs = [
            Leg(leg.start_min - shift, leg.end_min - shift, leg.from_fsw, leg.to_fsw)
            for leg in dive_legs(dive)
            if leg.start_min >= dive.leave_bottom_min
        ]
    else:
        legs = [
            Leg(max(leg.start_min, at_min), leg.end_min, leg.from_fsw, leg.to_fsw)
            for leg in dive_legs(dive)
            if leg.end_min > at_min
        ]
    return tuple(leg for leg in legs if leg.deepest_fsw > 0)


def _stored(pieces: list[tuple[int, int, float]], compressors_scfm: float) -> float:
    """Gas over what compressors carry, scf, of flows ``(start, end, scfm)`` that run together."""
    marks = sorted({t for start, end, _ in pieces for t in (start, end)})
    total = 0.0
    for start, end in pairwise(marks):
        flow = sum(scfm for a, b, scfm in pieces if a < end and start < b)
        total += max(0.0, flow - compressors_scfm) * (end - start)
    return total


def reserve_need_at(plan: Plan, job: Job, at_min: int) -> ReserveNeed:
    """What the reserve must give when the primary dies at ``at_min``."""
    down = [d for d in plan.dives if d.leave_surface_min <= at_min < d.reach_surface_min]
    pieces: list[tuple[int, int, float]] = []
    psi = flow = 0.0
    for dive in down:
        legs = _way_up(dive, at_min)
        deepest = max((leg.deepest_fsw for leg in legs), default=0)
        for b in breathers(dive, plan, job):
            psi = max(psi, manifold_psi(job.air, b.gear, deepest, b.hose_ft))
            flow += diver_scfm(job.air, b.gear, deepest)
            pieces += _pieces(b, legs, job.air)
    scf = sum((end - start) * scfm for start, end, scfm in pieces)
    stored = _stored(pieces, reserve_capacity_scfm(job, psi))
    return ReserveNeed(at_min, scf, stored, flow, psi, tuple(d.id for d in down))


def _pieces(breather: Breather, legs: tuple[Leg, ...], plant: AirPlant) -> list[tuple[int, int, float]]:
    return [(leg.start_min, leg.end_min, diver_scfm(plant, breather.gear, leg.mean_fsw)) for leg in legs]


def reserve_short_scf(need: ReserveNeed, job: Job) -> float:
    """Gas that the reserve lacks for a need, scf; below 0 what it has over."""
    return need.stored_scf - reserve_stored_scf(job, need.manifold_psi)


def reserve_needs(plan: Plan, job: Job) -> tuple[ReserveNeed, ...]:
    """The worst moment of each group of dives that are in the water together, in order of time.

    Looked for where it can lie: whenever a dive leaves the surface or the bottom. Of equal moments the
    last one is told, which for a single dive is the end of its bottom time.
    """
    worst: dict[tuple[str, ...], ReserveNeed] = {}
    for at_min in sorted({t for d in plan.dives for t in (d.leave_surface_min, d.leave_bottom_min)}):
        need = reserve_need_at(plan, job, at_min)
        before = worst.get(need.dives)
        if before is None or reserve_short_scf(need, job) >= reserve_short_scf(before, job) - ROUNDING:
            worst[need.dives] = need
    return tuple(sorted(worst.values(), key=lambda n: n.at_min))


def reserve_worst(plan: Plan, job: Job) -> ReserveNeed | None:
    """The moment at which the reserve is nearest to failing; None for a plan without dives."""
    return max(reserve_needs(plan, job), key=lambda n: reserve_short_scf(n, job), default=None)

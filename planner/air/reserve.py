"""The reserve: what it must give to bring everyone up when the primary dies, and what it has.

Until leave bottom the plant's minutes at depth are counted first (a diver caught, another sent to him),
then the whole way up; who has left the bottom has only the rest of his way up. So the worst moment of a
dive is the end of its bottom time. Divers and every standby diver, taken as sent down to them, breathe at
the flow of an emergency and leave together. Gas of an ascent: mean depth of each leg, minutes rounded up
(U.S. Navy Diving Manual 8-2.2.1).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from planner.air.demand import Breather, breathers
from planner.air.flow import Leg, dive_legs, emergency_scfm, manifold_psi
from planner.air.supply import ROUNDING, bank_scf, capacity_scfm, tank_scf
from planner.job import AirPlant, AirRole, Job
from planner.job.air_plant import AirSource
from planner.plan.model import Dive, Plan


@dataclass(frozen=True)
class ReserveNeed:
    """What the reserve must give from one moment on."""

    at_min: int
    """Moment at which the primary dies, job minutes."""
    scf: float
    """Gas for everyone's minutes at depth and way up."""
    stored_scf: float
    """Part of it that must come out of banks, the reserve's compressors carrying what they can."""
    scfm: float
    """Highest flow on the way."""
    manifold_psi: float
    """Pressure that the manifold must hold, psi gauge."""
    dives: tuple[str, ...]
    """Ids of the dives in the water then."""


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


def emergency_legs(
    plant: AirPlant, depth_fsw: int, way_up: Iterable[Leg], from_min: int, at_min: int
) -> tuple[Leg, ...]:
    """Minutes at depth from ``at_min``, then a way up that was to begin at ``from_min``."""
    up_at = at_min + plant.reserve_minutes_at_depth
    later = up_at - from_min
    moved = (Leg(g.start_min + later, g.end_min + later, g.from_fsw, g.to_fsw) for g in way_up)
    legs = (Leg(at_min, up_at, depth_fsw, depth_fsw), *moved)
    return tuple(leg for leg in legs if leg.minutes > 0 and leg.deepest_fsw > 0)


def emergency_words(plant: AirPlant) -> str:
    """What the reserve carries everyone through: ``10 min at depth and the way up``."""
    minutes = plant.reserve_minutes_at_depth
    return f"{minutes} min at depth and the way up" if minutes else "the way up"


def _to_surface(dive: Dive, at_min: int, plant: AirPlant) -> tuple[Leg, ...]:
    """Legs from a moment to the surface, the minutes at depth included."""
    bottom = dive.leave_bottom_min
    if at_min <= bottom:
        up = [leg for leg in dive_legs(dive) if leg.start_min >= bottom]
        return emergency_legs(plant, dive.depth_fsw, up, bottom, at_min)
    return tuple(
        Leg(max(leg.start_min, at_min), leg.end_min, leg.from_fsw, leg.to_fsw)
        for leg in dive_legs(dive)
        if leg.end_min > at_min and leg.deepest_fsw > 0
    )


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
        legs = _to_surface(dive, at_min, job.air)
        deepest = max((leg.deepest_fsw for leg in legs), default=0)
        for b in breathers(dive, plan, job):
            psi = max(psi, manifold_psi(job.air, b.gear, deepest, b.hose_ft))
            flow += emergency_scfm(job.air, b.gear, deepest)
            pieces += _pieces(b, legs, job.air)
    scf = sum((end - start) * scfm for start, end, scfm in pieces)
    stored = _stored(pieces, reserve_capacity_scfm(job, psi))
    return ReserveNeed(at_min, scf, stored, flow, psi, tuple(d.id for d in down))


def _pieces(breather: Breather, legs: tuple[Leg, ...], plant: AirPlant) -> list[tuple[int, int, float]]:
    return [(leg.start_min, leg.end_min, emergency_scfm(plant, breather.gear, leg.mean_fsw)) for leg in legs]


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

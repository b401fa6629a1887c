"""Air as integers for the model and the first plan: what each item draws, what the plant gives.

Constants come from `planner.air`; each is on the safe side of what its check asks, so a plan that holds
here holds there. Flows are in tenths of a scfm, gas in tenths of a scf.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from planner.air import (
    dive_demand_scfm,
    has_plant,
    independent_reserve,
    item_manifold_psi,
    primary_bank_scf,
    primary_capacity_scfm,
    primary_tank_scf,
    reserve_ascent_scf,
    reserve_capacity_scfm,
    reserve_flow_scfm,
    reserve_stored_scf,
    standby_reserve_scfm,
)
from planner.job import DiveItem, Job
from planner.tables import Mode


@dataclass(frozen=True)
class Ceiling:
    """A sum over the dives in the water that must not pass a capacity.

    ``padded``: counted from some minutes before leave surface until some after reach surface.
    """

    amount: tuple[int, ...]
    """By dive item; 0 for an item that has no dive."""
    capacity: int
    padded: bool


@dataclass(frozen=True)
class AirLimits:
    """What the plant allows: ceilings at every moment, and a store drawn from through the day."""

    ceilings: tuple[Ceiling, ...] = ()
    draw: tuple[int, ...] = ()
    """Flow by item counted as drawn from bank and tank; empty where the compressors carry every dive."""
    store: int = 0


def air_limits(job: Job, items: Sequence[tuple[DiveItem, tuple[Mode, ...]]]) -> AirLimits:
    """The limits for the items that can be dived (those with modes). No plant: no limits."""
    live = [(item, modes) for item, modes in items if modes]
    if not has_plant(job.air) or not live:
        return AirLimits()
    psi = max(item_manifold_psi(job, item) for item, _ in live)
    flow = tuple(
        math.ceil(10 * (dive_demand_scfm(job, item) + standby_reserve_scfm(job, item))) if modes else 0
        for item, modes in items
    )
    capacity = math.floor(10 * primary_capacity_scfm(job, psi))
    ceilings: list[Ceiling] = []
    draw: tuple[int, ...] = ()
    store = 0
    if capacity >= max(flow):
        ceilings.append(Ceiling(flow, capacity, padded=True))
    else:
        draw = flow
        store = math.floor(10 * (primary_bank_scf(job, psi) + primary_tank_scf(job, psi)))
    for whose in (job, job.replace(air=independent_reserve(job.air))):
        ceilings.append(_reserve(job, whose, items, psi))
    return AirLimits(tuple(ceilings) if len(job.stations) > 1 else (), draw, store)


def _reserve(job: Job, whose: Job, items: Sequence[tuple[DiveItem, tuple[Mode, ...]]], psi: float) -> Ceiling:
    flow = tuple(math.ceil(10 * reserve_flow_scfm(job, item)) if modes else 0 for item, modes in items)
    carried = math.floor(10 * reserve_capacity_scfm(whose, psi))
    if max(flow) <= carried:
        return Ceiling(flow, carried, padded=False)
    gas = tuple(
        math.ceil(max((10 * reserve_ascent_scf(job, item, m.schedule) for m in modes), default=0))
        for item, modes in items
    )
    stored = math.floor(10 * reserve_stored_scf(whose, psi))
    if max(gas) <= stored:
        return Ceiling(gas, stored, padded=False)
    # Neither alone brings every item's people up: one station in the water at a time.
    return Ceiling(tuple(int(bool(modes)) for _, modes in items), 1, padded=False)

"""Air as integers for the model and the first plan: what each item draws, what the plant gives.

Constants come from `planner.air`; each is on the safe side of what its check asks, so a plan that holds
here holds there. Flows are in tenths of a scfm, gas in tenths of a scf.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

from planner.air import (
    dive_demand_scfm,
    has_plant,
    independent_reserve,
    item_manifold_psi,
    primary_bank_scf,
    primary_capacity_scfm,
    primary_tank_scf,
    reserve_capacity_scfm,
    reserve_flow_scfm,
    reserve_scf,
    reserve_stored_scf,
    standby_reserve_scfm,
)
from planner.air.flow import diver_scfm
from planner.air.item import divers_in_water, standby_count
from planner.day import dressing_of
from planner.job import DiveItem, Job
from planner.tables import Mode

#: Minutes by which air is counted on before leave surface and after reach surface (`planner.air` is within).
AIR_PADDING_MIN = 5


@dataclass(frozen=True)
class Ceiling:
    """A sum over the dives in the water that must not pass a capacity.

    ``edge``: by dive item, the flow at the surface, counted for some minutes before the surface is left and
    after it is reached (`AIR_PADDING_MIN`, or until a standby diver who undresses is off); empty where none.
    """

    amount: tuple[int, ...]
    """By dive item; 0 for an item that has no dive."""
    capacity: int
    edge: tuple[int, ...] = ()

    def can_bind(self, at_once: int) -> bool:
        """Whether so many dives in the water, with others before and after theirs, can pass the capacity."""
        return at_once * (max(self.amount) + 2 * max(self.edge, default=0)) > self.capacity

    def at_work(self, index: int, minute: int, leave_min: int, reach_min: int, after_min: int) -> int:
        """What one dive counts for at a minute."""
        if leave_min <= minute < reach_min:
            return self.amount[index]
        if self.edge and leave_min - AIR_PADDING_MIN <= minute < reach_min + after_min:
            return self.edge[index]
        return 0


@dataclass(frozen=True)
class AirLimits:
    """What the plant allows: ceilings at every moment, and a store drawn from through the day."""

    ceilings: tuple[Ceiling, ...] = ()
    draw: tuple[int, ...] = ()
    """By item, what bank and tank give each minute in the water; empty where compressors carry every dive."""
    edge_draw: tuple[int, ...] = ()
    """By item, what they give before and after a dive, where one comes up as the next goes down."""
    store: int = 0

    @property
    def exact(self) -> bool:
        """Whether nothing can bind, so that the check refuses no plan for air and these limits none at all.

        Else they are on the safe side: flow at depth for the whole of a dive, no tank filled again, the
        highest manifold pressure of all.
        """
        return not self.ceilings and not self.draw


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
    edge = _edge(job, items)
    at_once = min(len(job.stations), job.site.stations_at_once)
    ceilings: list[Ceiling] = []
    draw: tuple[int, ...] = ()
    edge_draw: tuple[int, ...] = ()
    store = 0
    if capacity >= max(flow):
        ceilings.append(Ceiling(flow, capacity, edge))
    else:
        # Each dive has its share of the compressors: what is over that comes out of bank and tank.
        draw = tuple(max(0, f - capacity // at_once) for f in flow)
        beside = [
            e * (AIR_PADDING_MIN + edge_after_min(job, item))
            for e, (item, _) in zip(edge, items, strict=True)
        ]
        edge_draw = tuple(beside)
        store = math.floor(10 * (primary_bank_scf(job, psi) + primary_tank_scf(job, psi)))
    # Where one of these binds it is on the safe side: compressors and banks together may carry more, and of
    # two dives one may be on its way up already.
    ceilings += [
        _reserve(job, whose, items, psi) for whose in (job, job.replace(air=independent_reserve(job.air)))
    ]
    if len(job.stations) == 1:
        # One dive at a time: only where one comes up as the next goes down can two count.
        ceilings = [c for c in ceilings if c.edge and max(c.amount) + max(c.edge) > c.capacity]
    ceilings = [c for c in ceilings if c.can_bind(at_once)]
    return AirLimits(tuple(ceilings), draw, edge_draw, store)


def edge_after_min(job: Job, item: DiveItem) -> int:
    """Minutes after reach surface in which a dive's people still breathe from the plant."""
    return max(AIR_PADDING_MIN, dressing_of(job, item)[1])


def _edge(job: Job, items: Sequence[tuple[DiveItem, tuple[Mode, ...]]]) -> tuple[int, ...]:
    return tuple(
        math.ceil(
            10 * (divers_in_water(job, item) + standby_count(job, item)) * diver_scfm(job.air, item.gear, 0)
        )
        if modes
        else 0
        for item, modes in items
    )


def _reserve(job: Job, whose: Job, items: Sequence[tuple[DiveItem, tuple[Mode, ...]]], psi: float) -> Ceiling:
    """The dives that may be in the water at once: by flow on compressors or by gas, whichever allows more."""
    flow = tuple(math.ceil(10 * reserve_flow_scfm(job, item)) if modes else 0 for item, modes in items)
    carried = math.floor(10 * reserve_capacity_scfm(whose, psi))
    if max(flow) <= carried:
        return Ceiling(flow, carried)
    gas = tuple(
        math.ceil(max((10 * reserve_scf(job, item, m.schedule) for m in modes), default=0))
        for item, modes in items
    )
    stored = math.floor(10 * reserve_stored_scf(whose, psi))
    return max((_alone_at_most(flow, carried), _alone_at_most(gas, stored)), key=_pairs)


def _alone_at_most(amount: tuple[int, ...], capacity: int) -> Ceiling:
    """A ceiling under which an item that passes it by itself is dived alone.

    Such an item's own modes were looked at one by one (`planner.air.item_air_finding`): compressors and
    banks together may carry what neither does.
    """
    capacity = max(1, capacity)
    return Ceiling(tuple(min(max(1, a), capacity) if a else 0 for a in amount), capacity)


def _pairs(ceiling: Ceiling) -> int:
    """Pairs of items that may be in the water together."""
    live = [a for a in ceiling.amount if a]
    return sum(a + b <= ceiling.capacity for a, b in combinations_with_replacement(live, 2))

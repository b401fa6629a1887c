"""A standby diver who goes on from one dive to the next in dress."""

from __future__ import annotations

from planner.schedule.order import Order
from planner.schedule.stretch import Lit, Model
from planner.schedule.variables import DiveVars


def stay_dressed(model: Model, dives: list[DiveVars], order: Order) -> None:
    """Link the dives of which one's standby divers go on to the next: the same people, station and gear."""
    onward: dict[int, list[Lit]] = {k: [] for k in range(len(dives))}
    inward: dict[int, list[Lit]] = {k: [] for k in range(len(dives))}
    for i, one in enumerate(dives):
        for j, other in enumerate(dives):
            if i == j or (one.work == other.work and i > j) or not _may_link(one, other):
                continue
            assert one.dresses is not None and other.dresses is not None
            link = model.new_bool_var(f"dressed.{i}.{j}")
            model.add_implication(link, order.before(i, j))
            model.add(other.dresses.start == one.reach_surface).only_enforce_if(link)
            model.add(other.dresses.dressed == one.dresses.dressed).only_enforce_if(link)
            _same(model, link, one.station, other.station)
            _same(model, link, one.standby, other.standby)
            onward[i].append(link)
            inward[j].append(link)
    for k, dive in enumerate(dives):
        if dive.dresses is not None:
            model.add(sum(onward[k]) == dive.dresses.stays_dressed)
            model.add(sum(inward[k]) == dive.dresses.comes_dressed)


def _may_link(one: DiveVars, other: DiveVars) -> bool:
    return (
        one.dresses is not None
        and other.dresses is not None
        and one.data.item.gear is other.data.item.gear
        and bool(one.station.keys() & other.station.keys())
        and bool(one.standby.keys() & other.standby.keys())
    )


def _same(model: Model, link: Lit, mine: dict[str, Lit], theirs: dict[str, Lit]) -> None:
    """Under the link the two choose the same."""
    for name in mine.keys() | theirs.keys():
        here, there = mine.get(name), theirs.get(name)
        if here is not None and there is not None:
            model.add(here == there).only_enforce_if(link)
        else:
            only = here if here is not None else there
            assert only is not None
            model.add(only == 0).only_enforce_if(link)

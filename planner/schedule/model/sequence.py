"""Which dive is before which, and a standby diver who goes on from one dive to the next in dress."""

from __future__ import annotations

from ortools.sat.python import cp_model

from planner.schedule.model.interval import Interval, Lit, Model
from planner.schedule.model.variables import DiveVars


class Order:
    """Literals "i is out of the water before j leaves the surface", made once a pair."""

    def __init__(self, model: Model, dives: list[DiveVars], turnaround_min: int = 0) -> None:
        """``turnaround_min``: between two dives of one station, from surface to surface."""
        self._model = model
        self._dives = dives
        self._turnaround_min = turnaround_min
        self._known: dict[tuple[int, int], Lit] = {}
        for i, one in enumerate(dives):
            for j in range(i + 1, len(dives)):
                self._pair(i, j, one, dives[j])

    def before(self, i: int, j: int) -> Lit:
        return self._known[i, j]

    def _pair(self, i: int, j: int, one: DiveVars, other: DiveVars) -> None:
        model = self._model
        forward = model.new_bool_var(f"{one.name}<{other.name}")
        backward = model.new_bool_var(f"{other.name}<{one.name}")
        self._known[i, j], self._known[j, i] = forward, backward
        both = [one.present, other.present]
        for literal, first, second in ((forward, one, other), (backward, other, one)):
            shared = sorted(first.station.keys() & second.station.keys())
            always = self._turnaround_min if len(first.station) == len(second.station) == len(shared) else 0
            model.add(first.reach_surface + always <= second.leave_surface).only_enforce_if(literal)
            for name in shared if self._turnaround_min > always else ():
                model.add(first.reach_surface + self._turnaround_min <= second.leave_surface).only_enforce_if(
                    [literal, first.station[name], second.station[name]]
                )
            for present in both:
                model.add_implication(literal, present)
        model.add_at_most_one([forward, backward])
        if one.work == other.work:
            # Slots of one item are alike: used from the first on, in the order of the clock, one at a time.
            model.add_implication(other.present, one.present)
            model.add(backward == 0)
            model.add_implication(other.present, forward)
            return
        if one.data.item.name == other.data.item.name:
            # one-team-an-item, at another depth of the tide
            model.add_bool_or(forward, backward).only_enforce_if(both)
            return
        for station in sorted(one.station.keys() & other.station.keys()):
            model.add_bool_or(forward, backward).only_enforce_if(
                [one.station[station], other.station[station]]
            )

    def apart(self, i: int, j: int, *when: Lit) -> None:
        """Under ``when``, one of the two is out of the water before the other leaves the surface."""
        self._model.add_bool_or(self._known[i, j], self._known[j, i]).only_enforce_if(list(when))


def station_intervals(
    model: Model, dives: list[DiveVars], station: str, what: str, *, extra_min: int = 0
) -> list[cp_model.IntervalVar]:
    """Intervals of one kind (``water``, ``bench``, ``watch``) of the dives that may be at a station, each
    longer by minutes at its end."""
    out = []
    for dive in dives:
        literal = dive.station.get(station)
        if literal is None:
            continue
        whole: Interval = getattr(dive, what)
        alone = len(dive.station) == 1 and not extra_min
        out.append(whole.interval if alone else whole.when(model, literal, station, extra_min=extra_min))
    return out


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
    for name in sorted(mine.keys() | theirs.keys()):
        here, there = mine.get(name), theirs.get(name)
        if here is not None and there is not None:
            model.add(here == there).only_enforce_if(link)
        else:
            only = here if here is not None else there
            assert only is not None
            model.add(only == 0).only_enforce_if(link)

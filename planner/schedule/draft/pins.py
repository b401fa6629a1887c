"""Pins on a draft: which of them its dives and tasks do not keep. Support duties are for the naming."""

from __future__ import annotations

from collections.abc import Sequence

from planner.job import Pin, PinKind
from planner.job.duties import DIVER, STANDBY
from planner.schedule.draft.draft import Draft, DraftDive
from planner.schedule.problem.problem import Problem


def keeps(pin: Pin, dive: DraftDive) -> bool:
    """Whether a dive of the pin's item is the one that a pin ``dives`` asks for."""
    return (
        pin.allows(dive.leave_surface_min)
        and (pin.person is None or (pin.person, DIVER) in dive.seats)
        and pin.station in (None, dive.station)
        and pin.bottom_time_min in (None, dive.bottom_time_min)
    )


def next_pin(problem: Problem, item: str, placed: Sequence[DraftDive]) -> Pin | None:
    """A pin that asks for a dive on an item and that no dive placed so far keeps; None where there is none.

    ``placed``: the dives so far, of any item.
    """
    mine = [d for d in placed if problem.dives[d.work].item.name == item]
    for pin in problem.job.pins:
        if pin.item != item:
            continue
        if pin.kind is PinKind.STARTS and not mine:
            return pin
        if pin.kind is PinKind.DIVES and not any(keeps(pin, d) for d in mine):
            return pin
    return None


def given_to(problem: Problem, item: str, duty: str) -> frozenset[str]:
    """People whom a pin gives a duty on every dive of an item."""
    return frozenset(
        pin.person or ""
        for pin in problem.job.pins
        if pin.kind is PinKind.HOLDS and pin.item == item and pin.duty == duty
    )


def pins_broken(problem: Problem, draft: Draft) -> int:
    """How many pins a draft does not keep, as far as dives, divers, standby divers and times go."""
    if not problem.job.pins:
        return 0
    count = 0
    for pin in problem.job.pins:
        mine = [d for d in draft.dives if problem.dives[d.work].item.name == pin.item]
        if pin.kind is PinKind.STARTS:
            starts = [d.leave_surface_min for d in mine]
            starts += [t.start_min for t in draft.tasks if problem.tasks[t.task].item.name == pin.item]
            count += not (starts and pin.allows(min(starts)))
        elif pin.kind is PinKind.DIVES:
            count += not any(keeps(pin, d) for d in mine)
        elif pin.kind is PinKind.HOLDS and pin.duty == DIVER:
            count += not all((pin.person, DIVER) in d.seats for d in mine)
        elif pin.kind is PinKind.HOLDS and pin.duty == STANDBY:
            count += not all(pin.person in d.standby for d in mine)
    return count

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


def free_behind(problem: Problem, draft: Draft, dive: DraftDive, minutes: int) -> bool:
    """Whether nothing begins at a dive's station for so long behind it, and its day is long enough."""
    up = dive.reach_surface_min
    until = up + problem.job.rules.station_turnaround_min + minutes
    begins = [d.leave_surface_min for d in draft.dives if d is not dive and d.station == dive.station]
    begins += [t.start_min for t in draft.tasks if problem.tasks[t.task].item.station == dive.station]
    day = problem.days[problem.day_of(dive.leave_surface_min)]
    return until <= day.end_min and not any(up <= start < until for start in begins)


def free_asked_min(problem: Problem, item: str) -> int:
    """Minutes that the rule of thumb keeps free behind every dive of an item: on the safe side also where a
    pin asks it of one dive alone."""
    return max((p.free_min or 0 for p in problem.job.pins if p.item == item), default=0)


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
            free = pin.free_min or 0
            kept = [d for d in mine if keeps(pin, d)]
            count += not any(not free or free_behind(problem, draft, d, free) for d in kept)
        elif pin.kind is PinKind.KEEPS_FREE:
            count += not all(free_behind(problem, draft, d, pin.free_min or 0) for d in mine)
        elif pin.kind is PinKind.HOLDS and pin.duty == DIVER:
            count += not all((pin.person, DIVER) in d.seats for d in mine)
        elif pin.kind is PinKind.HOLDS and pin.duty == STANDBY:
            count += not all(pin.person in d.standby for d in mine)
    return count

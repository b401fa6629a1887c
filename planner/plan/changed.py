"""Which duties one plan gives and another does not: what a new plan changes for the people of an old one.

A duty is a person, what he does, and for what: the n-th dive of an item, counted from the first dive that
both plans still have before them, or a surface item. The clock is no part of it: a dive that only moves
in time changes nobody's duty, nor does a briefing. Stations, outfits and numbers of dives are no part of it
either.
"""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

from planner.job.duties import BRIEFING
from planner.plan.model import Plan

#: Person, duty, item, and which of the item's dives, from 0; 0 for a surface item.
HeldDuty = tuple[str, str, str, int]


@dataclass(frozen=True)
class ChangedDuties:
    """Duties that only the new plan has, and those that only the old one had."""

    given: frozenset[HeldDuty]
    taken: frozenset[HeldDuty]

    @property
    def count(self) -> int:
        """Changed duties. One that passes from a person to another counts twice: once for each of them."""
        return len(self.given) + len(self.taken)

    @property
    def people(self) -> frozenset[str]:
        """People whose day changes."""
        return frozenset(person for person, *_ in self.given | self.taken)

    @property
    def sentence(self) -> str:
        """``4 duties of 2 people changed``; a plan that keeps them all says so."""
        if not self.count:
            return "nobody's duties changed"
        duties = "duty" if self.count == 1 else "duties"
        people = "person" if len(self.people) == 1 else "people"
        return f"{self.count} {duties} of {len(self.people)} {people} changed"


def held_duties(plan: Plan) -> frozenset[HeldDuty]:
    """Every duty of a plan as it is compared."""
    number: dict[str, int] = {}
    seen: dict[str, int] = {}
    for dive in sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.id)):
        number[dive.id] = seen.get(dive.item, 0)
        seen[dive.item] = number[dive.id] + 1
    return frozenset(
        (s.person, s.duty, s.item, 0 if s.dive is None else number[s.dive])
        for s in plan.duties
        if s.duty != BRIEFING and (s.dive is None or s.dive in number)
    )


def changed_duties(old: Plan, new: Plan) -> ChangedDuties:
    """What changes from one plan to another."""
    before, after = held_duties(old), held_duties(new)
    return ChangedDuties(given=after - before, taken=before - after)


def still_ahead(plan: Plan, dives_begun: Container[str], tasks_begun: Container[str]) -> Plan:
    """The part of a plan that has not begun, to compare a plan of the rest with."""
    return plan.replace(
        stages=(),
        dives=tuple(d for d in plan.dives if d.id not in dives_begun),
        surface_tasks=tuple(t for t in plan.surface_tasks if t.item not in tasks_begun),
        duties=tuple(
            s
            for s in plan.duties
            if (s.dive not in dives_begun if s.dive is not None else s.item not in tasks_begun)
        ),
    )


def planned_depths_fsw(plan: Plan) -> dict[str, int]:
    """The greatest depth at which a plan has each item, fsw."""
    depths: dict[str, int] = {}
    for dive in plan.dives:
        depths[dive.item] = max(depths.get(dive.item, 0), dive.depth_fsw)
    return depths

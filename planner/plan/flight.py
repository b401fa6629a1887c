"""How long each diver of a plan waits before flying."""

from __future__ import annotations

from dataclasses import dataclass

from planner.plan.facts import in_range
from planner.plan.model import Plan
from planner.tables import GROUPS, wait_before_altitude_min


@dataclass(frozen=True)
class NoFlight:
    """One diver's wait before a commercial flight (8,000 ft column of table 9-6).

    Parameters
    ----------
    person
        The diver.
    surfaced_min
        When the last dive of the plan was out of pressure: at the surface, or out of the chamber.
    group
        Its repetitive group; None when the table prints none, which waits 48 h.
    until_min
        No flight before this job minute.
    """

    person: str
    surfaced_min: int
    group: str | None
    until_min: int


def no_flight(plan: Plan) -> tuple[NoFlight, ...]:
    """The wait of everyone who dives, by the last dive; in order of name.

    The groups are the plan's own, so the plan must have passed the check. A group that no table has waits
    as long as one that is not printed.
    """
    last: dict[str, tuple[int, str | None]] = {}
    for dive in sorted(plan.dives, key=lambda d: d.out_min):
        for diver in dive.divers if in_range(dive.out_min) else ():
            group = diver.group_after if diver.group_after in GROUPS else None
            last[diver.person] = dive.out_min, group
    return tuple(
        NoFlight(person, surfaced, group, surfaced + wait_before_altitude_min(group))
        for person, (surfaced, group) in sorted(last.items())
    )

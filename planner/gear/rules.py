"""Rules of the outfits that go beyond state, numbers and kind: size and length, applied to a plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.gear.outfits import too_short, wrong_size
from planner.job import Job
from planner.plan.model import Dive, Plan
from planner.rules import Basis, Rule

_RULES = (
    Rule(
        "outfit-size",
        "Divers and standby divers wear an outfit of their own size, where both sizes are given.",
        "common practice",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "outfit-length",
        "Umbilical and lifeline of each outfit worn reach down to the depth and out to the work.",
        "common practice",
        Basis.COMMON_PRACTICE,
    ),
)

GEAR_RULES: dict[str, Rule] = {rule.id: rule for rule in _RULES}


@dataclass(frozen=True)
class GearBreach:
    """One gear rule broken by a plan.

    Parameters
    ----------
    rule
        Id of the rule, a key of `GEAR_RULES`.
    sentence
        What is wrong, with the numbers.
    where
        Dive and person.
    """

    rule: str
    sentence: str
    where: str

    @property
    def source(self) -> str:
        """Where the rule comes from."""
        return GEAR_RULES[self.rule].source


def gear_breaches(plan: Plan, job: Job) -> tuple[GearBreach, ...]:
    """Every gear rule that a plan breaks; empty when none. Unknown names are left to the plan's check."""
    return tuple(breach for dive in plan.dives for breach in _of_dive(dive, plan, job))


def _of_dive(dive: Dive, plan: Plan, job: Job) -> Iterator[GearBreach]:
    outfits = {o.name: o for o in job.outfits}
    people = {p.name: p for p in job.people}
    item = next((i for i in job.dive_items if i.name == dive.item), None)
    worn = {(d.person, d.outfit) for d in dive.divers}
    worn |= {(s.person, s.outfit) for s in plan.duties if s.dive == dive.id and s.outfit}
    for name, outfit_name in sorted(worn):
        outfit, person = outfits.get(outfit_name), people.get(name)
        if outfit is None or item is None:
            continue
        where = f"dive {dive.id}, {name}"
        size = None if person is None else wrong_size(outfit, person)
        if size:
            yield GearBreach("outfit-size", f"Outfit {size}.", where)
        short = too_short(outfit, item)
        if short:
            yield GearBreach("outfit-length", f"Outfit {short}.", where)

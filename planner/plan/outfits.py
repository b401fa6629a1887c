"""The outfits that divers and standby divers wear."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from planner.job import OutfitState
from planner.job.duties import STANDBY
from planner.job.gear import Outfit
from planner.plan.breach import Breach
from planner.plan.facts import Facts, KnownDive


@dataclass(frozen=True)
class Wearing:
    """One outfit on one person, from when to when it is not free for another."""

    outfit: Outfit
    person: str
    known: KnownDive
    start_min: int
    end_min: int

    @property
    def where(self) -> str:
        return f"{self.known.where}, {self.person}"


def wearings(facts: Facts) -> tuple[Wearing, ...]:
    """Every known outfit worn: a diver's until undressed and turned around, a standby's over the duty."""
    outfits = {outfit.name: outfit for outfit in facts.job.outfits}
    found = []
    for known in facts.dives:
        for diver in known.divers():
            outfit = outfits.get(diver.outfit)
            if outfit is not None:
                free = known.dive.undressed_min + outfit.turnaround_min
                found.append(Wearing(outfit, diver.person, known, known.dive.dress_start_min, free))
        for spell in facts.holders(known, STANDBY):
            outfit = outfits.get(spell.outfit or "")
            if outfit is not None:
                found.append(Wearing(outfit, spell.person, known, spell.start_min, spell.end_min))
    return tuple(found)


def outfit_rules(facts: Facts) -> Iterator[Breach]:
    """Rules ``outfit-ready``, ``outfit-matched``, ``outfit-kind`` and ``outfit-one-wearer``."""
    worn: dict[str, list[Wearing]] = defaultdict(list)
    for wearing in wearings(facts):
        outfit, where = wearing.outfit, wearing.where
        worn[outfit.name].append(wearing)
        day = facts.job.clock.day_of(wearing.known.dive.leave_surface_min)
        if outfit.state is not OutfitState.READY:
            yield Breach("outfit-ready", f"Outfit {outfit.name} is marked {outfit.state}.", where)
        elif outfit.inspection_due is not None and outfit.inspection_due < day:
            yield Breach(
                "outfit-ready",
                f"The inspection of outfit {outfit.name} was due {outfit.inspection_due}, before "
                f"{day.isoformat()}.",
                where,
            )
        if not outfit.numbers_agree:
            numbers = ", ".join(
                n or "none" for n in (outfit.helmet_no, outfit.breastplate_no, outfit.straps_no)
            )
            yield Breach(
                "outfit-matched",
                f"Outfit {outfit.name} has helmet, breastplate and straps numbered {numbers}.",
                where,
            )
        if outfit.kind is not wearing.known.item.gear:
            yield Breach(
                "outfit-kind",
                f"Outfit {outfit.name} is {outfit.kind}; {wearing.known.item.name} asks for "
                f"{wearing.known.item.gear}.",
                where,
            )
    for name, uses in worn.items():
        uses.sort(key=lambda w: (w.start_min, w.end_min))
        for index, one in enumerate(uses):
            for other in uses[index + 1 :]:
                if other.start_min < one.end_min and one.start_min < other.end_min:
                    yield Breach(
                        "outfit-one-wearer",
                        f"Outfit {name} is on {one.person} or turned around until {facts.at(one.end_min)}, "
                        f"and on {other.person} from {facts.at(other.start_min)}.",
                        f"{one.where}; {other.where}",
                    )

"""The outfits that divers and standby divers wear."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from planner.check.facts import Facts, KnownDive
from planner.check.rule import Basis, Rule, convicts_by
from planner.gear.outfits import too_short, wrong_size
from planner.job.duties import STANDBY
from planner.job.gear import Outfit, OutfitState
from planner.plan.finding import Finding


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


@convicts_by(
    Rule(
        "outfit-ready",
        "Every outfit worn by a diver or a standby diver is marked ready and not past its inspection date.",
        "inspected before each dive: 29 CFR 1910.421(g)",
        Basis.REGULATION,
    ),
    Rule(
        "outfit-matched", "Helmet, breastplate and straps of an outfit in heavy dress carry the same number."
    ),
    Rule("outfit-kind", "Divers and standby diver wear the kind of dress that the item asks for."),
    Rule(
        "outfit-one-wearer",
        "An outfit serves one wearer at a time, and rests its turnaround after each dive.",
    ),
)
def outfit_rules(facts: Facts) -> Iterator[Finding]:
    worn: dict[str, list[Wearing]] = defaultdict(list)
    for wearing in wearings(facts):
        outfit, where = wearing.outfit, wearing.where
        worn[outfit.name].append(wearing)
        day = facts.job.clock.day_of(wearing.known.dive.leave_surface_min)
        if outfit.state is not OutfitState.READY:
            yield Finding("outfit-ready", f"Outfit {outfit.name} is marked {outfit.state}.", where)
        elif outfit.inspection_due is not None and outfit.inspection_due < day:
            yield Finding(
                "outfit-ready",
                f"The inspection of outfit {outfit.name} was due {outfit.inspection_due}, before "
                f"{day.isoformat()}.",
                where,
            )
        if not outfit.numbers_agree:
            numbers = ", ".join(
                n or "none" for n in (outfit.helmet_no, outfit.breastplate_no, outfit.straps_no)
            )
            yield Finding(
                "outfit-matched",
                f"Outfit {outfit.name} has helmet, breastplate and straps numbered {numbers}.",
                where,
            )
        if outfit.kind is not wearing.known.item.gear:
            yield Finding(
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
                    yield Finding(
                        "outfit-one-wearer",
                        f"Outfit {name} is on {one.person} or turned around until {facts.at(one.end_min)}, "
                        f"and on {other.person} from {facts.at(other.start_min)}.",
                        f"{one.where}; {other.where}",
                    )


@convicts_by(
    Rule(
        "outfit-size",
        "Divers and standby divers wear an outfit of their own size, where both sizes are given.",
    ),
    Rule(
        "outfit-length",
        "Umbilical and lifeline of each outfit worn reach down to the depth and out to the work.",
    ),
)
def size_and_length(facts: Facts) -> Iterator[Finding]:
    outfits, items = {o.name: o for o in facts.job.outfits}, facts.dive_items
    for dive in facts.plan.dives:
        worn = {(d.person, d.outfit) for d in dive.divers}
        worn |= {(s.person, s.outfit) for s in facts.plan.duties if s.dive == dive.id and s.outfit}
        for name, outfit_name in sorted(worn):
            outfit, person = outfits.get(outfit_name), facts.people.get(name)
            if outfit is None or dive.item not in items:
                # an unknown name is convicted by ``known-names``
                continue
            where = f"dive {dive.id}, {name}"
            size = None if person is None else wrong_size(outfit, person)
            if size:
                yield Finding("outfit-size", f"Outfit {size}.", where)
            short = too_short(outfit, items[dive.item])
            if short:
                yield Finding("outfit-length", f"Outfit {short}.", where)

"""The standby diver's own dressing, how long he stays dressed, and his undressing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from planner.job.duties import STANDBY, STANDBY_TENDER, TENDER
from planner.plan.breach import Breach
from planner.plan.crew import people_asked
from planner.plan.exposures import TrueExposures
from planner.plan.facts import Facts, KnownDive, first_gap
from planner.plan.model import DutySpell


@dataclass(frozen=True)
class Dressed:
    """One standby diver in one outfit from the start of dressing until undressed: spells without a gap."""

    spells: tuple[tuple[KnownDive, DutySpell], ...]

    @property
    def first(self) -> tuple[KnownDive, DutySpell]:
        """The dive and the spell that it begins with."""
        return self.spells[0]

    @property
    def last(self) -> tuple[KnownDive, DutySpell]:
        """The dive and the spell that it ends with."""
        return self.spells[-1]


def dressed_stretches(facts: Facts) -> tuple[Dressed, ...]:
    """Every standby diver's spells, joined where no gap lies between two on one station."""
    chains: dict[tuple[str, str | None, str], list[list[tuple[KnownDive, DutySpell]]]] = {}
    for known in facts.dives:
        for spell in facts.holders(known, STANDBY):
            own = chains.setdefault((spell.person, spell.outfit, known.dive.station), [])
            if own and spell.start_min <= own[-1][-1][1].end_min:
                own[-1].append((known, spell))
            else:
                own.append([(known, spell)])
    return tuple(Dressed(tuple(chain)) for own in chains.values() for chain in own)


def standby_dressing(facts: Facts, exposures: TrueExposures) -> Iterator[Breach]:
    """Rule ``standby-dressing``."""
    rules = facts.job.rules
    limit = rules.standby_dressed_max_min
    if limit == 0:
        return
    for stretch in dressed_stretches(facts):
        (first, start_spell), (last, end_spell) = stretch.first, stretch.last
        name, start, up = start_spell.person, start_spell.start_min, last.dive.reach_surface_min
        dressed = start + rules.dressing_min(first.item.gear)
        undressed = up + rules.undressing_min(last.item.gear)
        if dressed > first.dive.leave_surface_min:
            yield Breach(
                "standby-dressing",
                f"{name} stands by from {facts.at(start)} and is dressed {facts.at(dressed)}; the divers "
                f"leave the surface {facts.at(first.dive.leave_surface_min)}.",
                first.where,
            )
        if end_spell.end_min < undressed:
            yield Breach(
                "standby-dressing",
                f"{name} stands by until {facts.at(end_spell.end_min)}; undressing ends "
                f"{facts.at(undressed)}.",
                last.where,
            )
        if up - dressed > limit:
            yield Breach(
                "standby-dressing",
                f"{name} is dressed {facts.stretch(dressed, up)}, {up - dressed} min; {limit} at most.",
                last.where,
            )
        for known, begin, end, does in (
            (first, start, dressed, "dresses"),
            (last, up, undressed, "undresses"),
        ):
            hands = hands_asked(facts, known, exposures)
            gap = first_gap(facts.holders(known, STANDBY_TENDER), begin, end, hands)
            if gap is not None:
                yield Breach(
                    "standby-dressing",
                    f"{name} {does} {facts.stretch(begin, end)} with {gap[2]} standby's tender(s) "
                    f"{facts.stretch(gap[0], gap[1])}; {hands} asked.",
                    known.where,
                )


def hands_asked(facts: Facts, known: KnownDive, exposures: TrueExposures) -> int:
    """Tenders that one diver of the dive is asked to have, and so the standby diver while he dresses."""
    asked = people_asked(facts, known, exposures.decompression(known.dive.id)).get(TENDER, 0)
    return math.ceil(asked / max(1, len(known.divers())))

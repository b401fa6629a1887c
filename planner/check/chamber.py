"""The chamber as a place: who decompresses in it, until when, and how many dives at once."""

from __future__ import annotations

from collections.abc import Iterator

from planner.check.exposures import TrueExposure, TrueExposures
from planner.check.facts import Facts, KnownDive
from planner.plan.finding import Finding


def in_the_chamber(facts: Facts, exposures: TrueExposures) -> Iterator[Finding]:
    """Rule ``in-the-chamber``."""
    for true in exposures.all:
        if true.in_chamber:
            yield from _until_out(facts, true)


def _until_out(facts: Facts, true: TrueExposure) -> Iterator[Finding]:
    known, name = true.known, true.person
    out = known.dive.out_min
    duties = {d.duty for d in known.dive.divers if d.person == name}
    own = [
        s
        for duty in duties
        for s in facts.holders(known, duty)
        if s.person == name and s.start_min <= known.dive.reach_surface_min
    ]
    ends = max((s.end_min for s in own), default=known.dive.reach_surface_min)
    if ends >= out:
        # the rest of the stretch is his duty, and one-duty-at-a-time keeps others out of it
        return
    where = f"{known.where}, {name}"
    yield Finding(
        "in-the-chamber",
        f"{name}'s duty on the dive ends {facts.at(ends)}; he is out of the chamber {facts.at(out)}.",
        where,
    )
    for spell in facts.spells_of_person.get(name, ()):
        if spell not in own and max(ends, spell.start_min) < min(out, spell.end_min):
            yield Finding(
                "in-the-chamber",
                f"{name} is {spell.duty} {facts.stretch(spell.start_min, spell.end_min)} and in the chamber "
                f"until {facts.at(out)}.",
                where,
            )


def one_at_a_time(facts: Facts, exposures: TrueExposures) -> Iterator[Finding]:
    """Rule ``chamber-one-at-a-time``."""
    places = facts.job.site.chamber_places
    through = [k for k in facts.dives if any(t.in_chamber for t in exposures.of_dive(k.dive.id))]
    for known in through:
        moment = known.dive.reach_surface_min
        there = [k for k in through if _holds_it_at(k, moment)]
        if len(there) > places:
            yield Finding(
                "chamber-one-at-a-time",
                f"At {facts.at(moment)} {len(there)} dives have divers in the chamber or on the way into it "
                f"({', '.join(sorted(k.dive.id for k in there))}); {places} at once at most.",
                known.where,
            )


def _holds_it_at(known: KnownDive, minute: int) -> bool:
    return known.dive.reach_surface_min <= minute < known.dive.out_min

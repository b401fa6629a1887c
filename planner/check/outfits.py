"""The outfits that divers and standby divers wear."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from planner.air.bailout import asks_for_bailout, needed_psi
from planner.air.station_gear import (
    STATION_GEAR_SOURCE,
    asks_station_gear,
    deep_in_heavy_dress,
    station_lacks,
)
from planner.air.supply import ROUNDING
from planner.check.facts import Facts, KnownDive
from planner.check.rule import Basis, Rule, convicts_by
from planner.gear.outfits import reaches_hazard, too_short, wrong_size
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
    diving: bool = False

    @property
    def taken_off_min(self) -> int:
        """When it comes off its wearer."""
        return self.known.dive.undressed_min if self.diving else self.end_min

    @property
    def where(self) -> str:
        return f"{self.known.where}, {self.person}"


def worn_on(facts: Facts, known: KnownDive) -> Iterator[Wearing]:
    """Every known outfit worn on a dive: a diver's until undressed and turned around, a standby's over the
    duty."""
    outfits = {outfit.name: outfit for outfit in facts.job.outfits}
    for diver in known.divers():
        outfit = outfits.get(diver.outfit)
        if outfit is not None:
            free = known.dive.undressed_min + outfit.turnaround_min
            yield Wearing(outfit, diver.person, known, known.dive.dress_start_min, free, True)
    for spell in facts.holders(known, STANDBY):
        outfit = outfits.get(spell.outfit or "")
        if outfit is not None:
            yield Wearing(outfit, spell.person, known, spell.start_min, spell.end_min)


def wearings(facts: Facts) -> tuple[Wearing, ...]:
    """Every known outfit worn, dive by dive."""
    return tuple(wearing for known in facts.dives for wearing in worn_on(facts, known))


@convicts_by(
    Rule(
        "outfit-ready",
        "Every outfit worn by a diver or a standby diver is marked ready and not past its inspection date, "
        "until it is taken off.",
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
        # worn up to midnight it is of the day before
        day = facts.job.clock.day_of(wearing.taken_off_min - 1)
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
        worn_until_min = uses[0].outfit.worn_until_min
        if worn_until_min is not None and uses[0].start_min < worn_until_min:
            yield Finding(
                "outfit-one-wearer",
                f"Outfit {name} is worn or turned around until {facts.at(worn_until_min)}, and is on "
                f"{uses[0].person} from {facts.at(uses[0].start_min)}.",
                uses[0].where,
            )
        for index, one in enumerate(uses):
            for other in uses[index + 1 :]:
                if other.start_min < one.end_min:
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
        "Umbilical and lifeline of each outfit worn, where their lengths are given, reach down to the depth "
        "and out to the work.",
    ),
    Rule(
        "hose-short-of-hazard",
        "Where the job gives the distance from the station to an intake, a propeller or another hazard, the "
        "umbilical of every diver and standby diver of the item, where its length is given, is shorter than "
        "that.",
        "common practice where divers work near thrusters and intakes (from memory); distances are the job's",
    ),
)
def size_and_length(facts: Facts) -> Iterator[Finding]:
    for wearing in wearings(facts):
        outfit, item, person = wearing.outfit, wearing.known.item, facts.people.get(wearing.person)
        for rule, wrong in (
            ("outfit-size", None if person is None else wrong_size(outfit, person)),
            ("outfit-length", too_short(outfit, item, facts.job.site.units)),
            (
                "hose-short-of-hazard",
                reaches_hazard(outfit, facts.job.hazard_ft(item.name), facts.job.site.units),
            ),
        ):
            if wrong is not None:
                yield Finding(rule, f"Outfit {wrong}.", wearing.where)


@convicts_by(
    Rule(
        "standby-hose",
        "A standby diver's umbilical is at least as long as that of every diver of the dive, where both "
        "lengths are given.",
        "he must reach the diver wherever the hose lets him go: common practice; codes of practice ask for a "
        "longer one (from memory)",
    )
)
def standby_hose(facts: Facts) -> Iterator[Finding]:
    for known in facts.dives:
        here = tuple(worn_on(facts, known))
        longest = max((w.outfit.umbilical_length_ft for w in here if w.diving), default=0)
        for wearing in here:
            length = wearing.outfit.umbilical_length_ft
            if not wearing.diving and 0 < length < longest:
                yield Finding(
                    "standby-hose",
                    f"The umbilical of {wearing.person}'s outfit {wearing.outfit.name} is {length} ft; a "
                    f"diver's is {longest} ft.",
                    wearing.where,
                )


@convicts_by(
    Rule(
        "bailout-carried",
        "In a light helmet every diver and standby diver of a dive that is deeper than the job's depth for "
        "it, outside the no-stop limits or in an enclosed space carries a bottle on his own outfit, which "
        "shows what minutes at depth and the way to the first stop take.",
        "29 CFR 1910.425(c)(4): deeper than 100 fsw or outside the no-stop limits, not in heavy gear; the "
        "pressure: U.S. Navy Diving Manual 8-2.2.1; no straight way up: 29 CFR 1910.425(c)(6), that "
        "manual, chapter 6; the standby's: common practice",
        Basis.REGULATION,
        limits=("bailout_min", "bailout_deeper_than_fsw"),
    )
)
def bailout_carried(facts: Facts) -> Iterator[Finding]:
    """Way up by way up of the dive's divers, whichever asks for most; the standby counts as they do."""
    job = facts.job
    for known in facts.dives:
        outside = facts.exposures.decompression(known.dive.id)
        if not asks_for_bailout(job, known.item, known.depth_fsw, decompression=outside):
            continue
        ways = [e.exposure.schedule for e in facts.exposures.of_dive(known.dive.id) if e.exposure is not None]
        for wearing in worn_on(facts, known):
            outfit = wearing.outfit
            if outfit.kind is not known.item.gear:
                continue
            if not outfit.carries_bailout:
                yield Finding(
                    "bailout-carried",
                    f"No bailout bottle is given for outfit {outfit.name}; at {known.depth_words} "
                    f"{wearing.person} must carry one.",
                    wearing.where,
                )
                continue
            needed = max(needed_psi(job, outfit, known.depth_fsw, ways), default=0.0)
            if (outfit.bailout_psi or 0.0) < needed - ROUNDING:
                yield Finding(
                    "bailout-carried",
                    f"The bailout bottle of outfit {outfit.name} shows {outfit.bailout_psi:.0f} psi; "
                    f"{job.rules.bailout_min} min at {known.depth_words} and the way to the first stop take "
                    f"{needed:.0f} psi.",
                    wearing.where,
                )


@convicts_by(
    Rule(
        "heavy-stage-and-hose",
        "In heavy dress a dive that is deeper than the job's depth for it or outside the no-stop limits is "
        "made only from a station with an in-water stage and a spare hose for the standby diver, long enough "
        "for depth and reach and tested within the year before it; what is not given is not there.",
        STATION_GEAR_SOURCE,
        Basis.REGULATION,
        limits=("stage_deeper_than_fsw",),
    )
)
def stage_and_spare_hose(facts: Facts) -> Iterator[Finding]:
    job, stations = facts.job, {s.name: s for s in facts.job.stations}
    for known in facts.dives:
        station, (down, up) = stations.get(known.dive.station), known.water
        stops = facts.exposures.decompression(known.dive.id)
        deep = deep_in_heavy_dress(job, known.item, known.depth_fsw)
        if station is None or not asks_station_gear(job, known.item, known.depth_fsw, stops=stops):
            continue
        days = job.clock.day_of(down), job.clock.day_of(max(down, up - 1))
        lacking = station_lacks(station, known.item, known.depth_fsw, *days, job.site.units)
        if lacking is not None:
            why = f"is at {known.depth_words}" if deep else "has stops"
            yield Finding(
                "heavy-stage-and-hose",
                f"In heavy dress it {why}; {station.name} has {lacking}.",
                known.where,
            )

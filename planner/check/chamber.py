"""The chamber: which dives need one, the watch by it, who decompresses in it, and how many at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from planner.air.chamber import CHAMBER_SOURCE, ChamberUse, chamber_days, short_words
from planner.check.facts import Facts, KnownDive, TrueExposure
from planner.check.rule import NAVY, Basis, Rule, convicts_by
from planner.job.bounds import CHAMBER_REACH_MIN
from planner.job.duties import STANDBY
from planner.plan.finding import Finding
from planner.tables.past_dives import past_watches
from planner.tables.profile import SURFACE_INTERVAL, total_s
from planner.tables.schedule import IN_CHAMBER, NO_STOP, OnDeck
from planner.words.measures import depth_limit_words


def _needs_chamber(known: KnownDive, facts: Facts, decompression: bool) -> str | None:
    """Why a dive needs a chamber, in words; None when it does not."""
    trigger = facts.job.rules.chamber_trigger_fsw
    if known.greatest_fsw > trigger:
        more = depth_limit_words(facts.job.rules, facts.job.site.units, "chamber_trigger_fsw")
        return f"{known.depth_words} is deeper than {more}"
    return "the dive is outside the no-stop limits" if decompression else None


@convicts_by(
    Rule(
        "chamber-at-location",
        "A dive deeper than the job's trigger depth or outside the no-stop limits needs a chamber at the "
        "dive location, within five minutes.",
        "29 CFR 1910.423(c)(1); five minutes: 1910.423(c)(3)(iii); the trigger is 130 fsw in 46 CFR "
        "197.432(e)",
        Basis.REGULATION,
        limits=("chamber_trigger_fsw",),
    )
)
def chamber_at_location(facts: Facts) -> Iterator[Finding]:
    away = facts.job.site.chamber_minutes_away
    if away is not None and away <= CHAMBER_REACH_MIN:
        return
    place = "there is none in reach" if away is None else f"the nearest is {away} min away"
    for known in facts.dives:
        reason = _needs_chamber(known, facts, facts.exposures.decompression(known.dive.id))
        if reason is not None:
            yield Finding(
                "chamber-at-location",
                f"A chamber is needed within {CHAMBER_REACH_MIN} min because {reason}; {place}.",
                known.where,
            )


@convicts_by(
    Rule(
        "chamber-gas",
        "Where a dive needs the chamber, each of its two supplies of air brings both locks to 165 fsw once "
        "and ventilates them for the hour after; what the day's surface decompressions take comes on top, of "
        "the primary all of them, of the secondary the largest; its oxygen holds all periods of the day.",
        CHAMBER_SOURCE,
        Basis.REGULATION,
        limits=("chamber_trigger_fsw",),
    )
)
def chamber_gas(facts: Facts) -> Iterator[Finding]:
    """Judged as far as the job gives the chamber's gas; what it does not give is for a person to tick."""
    job = facts.job
    uses = []
    for known in facts.dives:
        dive = known.dive
        if _needs_chamber(known, facts, facts.exposures.decompression(dive.id)) is None:
            continue
        found = [t.exposure.schedule for t in facts.exposures.of_dive(dive.id) if t.exposure is not None]
        periods = tuple(s.chamber_periods for s in found if s.chamber_periods)
        uses.append(ChamberUse(dive.id, job.clock.day_of(dive.leave_surface_min), periods))
    for day in chamber_days(job.air, uses):
        short = short_words(job.air, day)
        if short is not None:
            yield Finding("chamber-gas", f"For the dives of {day.day} {short}.", ", ".join(day.dives))


@convicts_by(
    Rule(
        "chamber-watch",
        "After such a dive the diver stays awake near the chamber for the job's watch, and neither dives "
        "nor stands by in it.",
        "29 CFR 1910.423(b)(2); not standing by: common practice",
        Basis.REGULATION,
        limits=("chamber_trigger_fsw", "chamber_watch_min"),
    )
)
def chamber_watch(facts: Facts) -> Iterator[Finding]:
    watches: dict[str, list[tuple[int, int, str]]] = defaultdict(list)
    for person in facts.job.people:
        for surfaced, end in past_watches(person, facts.job.rules, facts.job.tables):
            watches[person.name].append((surfaced, end, "a dive before the job"))
    for true in facts.exposures.all:
        known = true.known
        outside = true.exposure is not None and true.exposure.schedule.way_up != NO_STOP
        if _needs_chamber(known, facts, outside) is not None:
            # nobody dives or stands by between the water and the chamber either
            end = known.dive.out_min + facts.job.rules.chamber_watch_min
            watches[true.person].append((known.dive.reach_surface_min, end, known.where))
    for known in facts.dives:
        for diver in known.divers():
            yield from _in_watch(facts, watches, diver.person, known, known.water, "leaves the surface")
        for spell in facts.holders(known, STANDBY):
            stretch = (spell.start_min, spell.end_min)
            yield from _in_watch(facts, watches, spell.person, known, stretch, "stands by")


def _in_watch(
    facts: Facts,
    watches: dict[str, list[tuple[int, int, str]]],
    person: str,
    known: KnownDive,
    stretch: tuple[int, int],
    does: str,
) -> Iterator[Finding]:
    for start, end, dive in watches.get(person, ()):
        if dive != known.where and start < stretch[1] and stretch[0] < end:
            yield Finding(
                "chamber-watch",
                f"{person} {does} {facts.at(stretch[0])} and belongs near the chamber "
                f"{facts.stretch(start, end)} after {dive}.",
                f"{known.where}, {person}",
            )


@convicts_by(
    Rule(
        "in-the-chamber",
        "A diver who decompresses in the chamber is on that duty until out of its pressure, undressed or "
        "not, and has no other duty before.",
        f"surface decompression on oxygen: {NAVY}, table 9-9, chamber times partly from memory",
        Basis.PUBLISHED_TABLE,
        by_way_up=IN_CHAMBER,
    )
)
def in_the_chamber(facts: Facts) -> Iterator[Finding]:
    for true in facts.exposures.all:
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


@convicts_by(
    Rule(
        "chamber-in-time",
        "A diver who decompresses in the chamber is at 50 fsw in it at most five minutes after leaving 40 "
        "fsw (leave bottom where the dive is shallower): the way up, getting out of his kind of dress, the "
        "way to the chamber and the compression fit into that.",
        f"five minutes from 40 fsw to 50 fsw in the chamber: {NAVY}, surface decompression by table 9-9; "
        "compression in 30 s, 100 fsw a minute: study cards after that manual",
        Basis.PUBLISHED_TABLE,
        by_way_up=IN_CHAMBER,
        limits=("chamber_heavy_min", "chamber_light_min"),
    )
)
def in_time(facts: Facts) -> Iterator[Finding]:
    """Rule ``chamber-in-time``; without a chamber in reach ``chamber-at-location`` convicts."""
    way_min = facts.job.site.chamber_minutes_away
    if way_min is None:
        return
    for true in facts.exposures.all:
        if true.exposure is None or not true.in_chamber:
            continue
        gear = true.known.item.gear
        deck = OnDeck(gear.value, facts.job.rules.out_of_dress_min(gear), way_min)
        # what the way up, laid out stretch by stretch, leaves between surface and compression
        if 60 * (deck.out_of_dress_min + deck.way_min) > total_s(true.exposure.segments, SURFACE_INTERVAL):
            leaves_fsw = true.exposure.schedule.leaves_water_fsw
            yield Finding(
                "chamber-in-time",
                f"{true.person} is not in the chamber in time, {deck.sum_words(leaves_fsw)}.",
                f"{true.known.where}, {true.person}",
            )


@convicts_by(
    Rule(
        "chamber-one-at-a-time",
        "From reaching the surface until out of the chamber, no more dives have divers decompressing in it "
        "than the job gives it places: one, unless the job says more.",
        "a dual-lock chamber within five minutes: 29 CFR 1910.423(c)(3); five "
        f"minutes from 40 fsw to 50 fsw in the chamber: {NAVY}; one decompression at a time: common practice",
        Basis.REGULATION,
        by_way_up=IN_CHAMBER,
    )
)
def one_at_a_time(facts: Facts) -> Iterator[Finding]:
    places = facts.job.site.chamber_places
    through = [k for k in facts.dives if any(t.in_chamber for t in facts.exposures.of_dive(k.dive.id))]
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

"""The people of a dive: how many in each duty, hand-over, the standby diver able to go, and his dressing."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from planner.check.facts import Facts, KnownDive, first_gap
from planner.check.people import medical_expired, missing_certificates
from planner.check.rule import Basis, Rule, convicts_by
from planner.errors import TableRefusal
from planner.job.duties import (
    DIVER,
    DUTIES,
    ENTRY_DIVER,
    STANDBY,
    STANDBY_TENDER,
    TENDER,
    CrewMinimum,
    crew_rule_of,
)
from planner.job.people import Person
from planner.plan.finding import Finding
from planner.plan.model import DutySpell
from planner.table_sets import carried_words
from planner.tables import standby_minutes_left, standby_options
from planner.words.measures import dive_depth_words, own_depth_words, standby_minutes_words

CREW_DATA = "the job's crew rules"


def row_holds(row: CrewMinimum, known: KnownDive, decompression: bool) -> bool:
    """Whether every condition of a crew row is met by a dive."""
    item = known.item
    return (
        (row.gear is None or row.gear is item.gear)
        and (row.deeper_than_fsw is None or known.greatest_fsw > row.deeper_than_fsw)
        and (decompression or not row.decompression)
        and (item.enclosed_space or not row.enclosed_space)
    )


def people_asked(facts: Facts, known: KnownDive) -> dict[str, int]:
    """People that a dive must have by duty: the largest of the rows that hold.

    The number of divers is the item's and is no matter of these rows.
    """
    in_water, decompression = len(known.divers()), facts.exposures.decompression(known.dive.id)
    asked: dict[str, int] = {}
    for row in facts.job.rules.asked_rows:
        if row.duty != DIVER and row_holds(row, known, decompression):
            count = row.count * in_water if row.per_diver else row.count
            asked[row.duty] = max(count, asked.get(row.duty, 0))
    return asked


#: What asks for each built-in duty (`planner.job.duties`), then for every other.
CREW_RULES: tuple[Rule, ...] = (
    *(
        Rule(
            duty.rule.id,
            duty.rule.sentence,
            f"{duty.rule.source}; {CREW_DATA}",
            Basis.REGULATION if duty.rule.regulation else Basis.COMMON_PRACTICE,
            duty.rule.limits,
        )
        for duty in DUTIES
        if duty.rule is not None
    ),
    Rule(
        "crew-other",
        "Every other duty for which the job sets a least number is manned from dressing until the divers "
        "have surfaced.",
        CREW_DATA,
        limits=("minima",),
    ),
)


@convicts_by(*CREW_RULES)
def crews(facts: Facts) -> Iterator[Finding]:
    """The ``crew-…`` rules: every duty of a dive is manned over the whole of its time."""
    watch = facts.job.rules.chamber_watch_min
    for known in facts.dives:
        asked = people_asked(facts, known)
        for duty, count in asked.items():
            if duty == ENTRY_DIVER:
                found = len({d.person for d in known.dive.divers if d.duty == ENTRY_DIVER})
                if found < count:
                    yield Finding(
                        crew_rule_of(duty),
                        f"{found} at the entry of the enclosed space; {count} asked.",
                        known.where,
                    )
                continue
            start, end = known.span_of(duty, watch)
            gap = first_gap(facts.holders(known, duty), start, end, count) if end > start else None
            if gap is not None:
                yield Finding(
                    crew_rule_of(duty),
                    f"{gap[2]} in the duty {duty} {facts.stretch(gap[0], gap[1])}; {count} asked.",
                    known.where,
                )


@convicts_by(
    Rule(
        "hand-over",
        "A duty of a dive is held by the same people from its first minute to its last: a tender's from "
        "dressing until undressed, the station's crew's until the divers have surfaced, a chamber operator's "
        "until the watch by the chamber is over. Where the job allows it, it changes hands after both have "
        "held it together for the job's hand-over minutes; a standby diver's never.",
        "who has dressed the diver and checked the dive stays with it",
        limits=("hand_over_min", "hand_over_lead_min"),
    )
)
def hand_over(facts: Facts) -> Iterator[Finding]:
    watch = facts.job.rules.chamber_watch_min
    for known in facts.dives:
        leave, surfaced = known.water
        asked_of = people_asked(facts, known)
        for spell in facts.spells_of_dive.get(known.dive.id, ()):
            duty, asked = spell.duty, asked_of.get(spell.duty, 1)
            start, end = known.span_of(duty, watch)
            in_water = leave < spell.end_min < surfaced
            if not in_water and (
                duty not in asked_of
                or duty in (DIVER, ENTRY_DIVER)
                or not start < spell.end_min < end
                or _from_first_to_last(facts, known, duty, start, end) >= asked
            ):
                continue
            together = facts.job.rules.handed_over_min(duty)
            if together and _going_on(facts, known, spell, together) >= asked:
                continue
            late = f"; nobody has held it with him for {together} min to go on with it" if together else ""
            until = (
                f"divers are in the water {facts.stretch(leave, surfaced)}"
                if in_water
                else f"too few hold it the whole time, {facts.stretch(start, end)}"
            )
            yield Finding(
                "hand-over",
                f"{spell.person} leaves the duty {duty} at {facts.at(spell.end_min)}; {until}{late}.",
                known.where,
            )


def _from_first_to_last(facts: Facts, known: KnownDive, duty: str, start_min: int, end_min: int) -> int:
    """How many people hold a duty of a dive over the whole of its time; all it asks where nobody does."""
    held = facts.holders(known, duty)
    asked = people_asked(facts, known).get(duty, 0)
    if first_gap(held, start_min, end_min, asked) is not None:
        # too few at some moment: the crew rules convict that
        return asked
    return sum(
        first_gap([s for s in held if s.person == person], start_min, end_min, 1) is None
        for person in {s.person for s in held}
    )


def _going_on(facts: Facts, known: KnownDive, spell: DutySpell, together_min: int) -> int:
    """How many others have held the duty for long enough when one leaves it, and go on with it."""
    return len(
        {
            other.person
            for other in facts.holders(known, spell.duty)
            if other.person != spell.person
            and other.start_min <= spell.end_min - together_min
            and other.end_min > spell.end_min
        }
    )


@convicts_by(
    Rule(
        "standby-able-to-go",
        "The standby diver could go at once: rated for the depth, with the item's certificates and a valid "
        "medical, in an outfit, on the surface for the tables' shortest interval at least (mostly ten "
        "minutes), and with a repetitive group that leaves the job's least minutes at that depth, never "
        "fewer than one: without stops, or as its policy allows with a chamber at the location, whichever "
        "the job says.",
        "ready to enter the water at once: U.S. Navy Diving Manual; minutes left: tables 9-7, 9-8 and 9-9; "
        "how many: common practice",
        limits=("standby_no_stop_min", "standby_way_up"),
        by_tables=("no_stop", "residual", "stops"),
    )
)
def standby_able(facts: Facts) -> Iterator[Finding]:
    """Rule ``standby-able-to-go``; qualification and the outfit's state have rules of their own."""
    for known in facts.dives:
        for spell in facts.holders(known, STANDBY):
            for why in _unable(facts, known, spell):
                yield Finding(
                    "standby-able-to-go",
                    f"{spell.person} stands by and could not go at once: {why}.",
                    known.where,
                )


def _unable(facts: Facts, known: KnownDive, spell: DutySpell) -> Iterator[str]:
    person: Person = facts.people[spell.person]
    item, leave = known.item, known.dive.leave_surface_min
    day = facts.job.clock.day_of(leave)
    if person.depth_rating_fsw < known.depth_fsw:
        rated = own_depth_words(person, facts.job.site.units, "depth_rating_fsw")
        lies = dive_depth_words(facts.job, item.name, known.depth_fsw)
        yield f"rated to {rated}, the item lies at {lies}"
    missing = missing_certificates(person, item, day)
    if missing:
        yield f"no valid certificate for {', '.join(missing)}"
    if medical_expired(person, day):
        yield f"the medical expired {person.medical_expires}"
    if spell.outfit is None:
        yield "no outfit is named"
    yield from _nitrogen(facts, known, person.name)


def _nitrogen(facts: Facts, known: KnownDive, name: str) -> Iterator[str]:
    leave, depth = known.dive.leave_surface_min, known.depth_fsw
    last = facts.exposures.before(name, leave)
    group: str | None = None
    if last is not None:
        if not last.known:
            # the dive before is convicted itself; nothing can be said about what it left
            return
        interval = leave - last.at_min
        if interval < last.tables.same_dive_under_min:
            yield (
                f"in the chamber until {facts.at(last.at_min)}"
                if interval < 0
                else f"{interval} min after surfacing at {facts.at(last.at_min)}"
            )
            return
        if interval < last.tables.no_dive_min(last.group):
            yield f"{last.tables.why_no_dive(last.group).rstrip('.')}; clean {facts.at(last.clean_at_min())}"
            return
        if last.group is not None:
            group = last.tables.group_after_interval(last.group, interval)
    needed = facts.job.rules.standby_no_stop_min
    try:
        left = standby_minutes_left(depth, group, standby_options(facts.job, known.item))
    except TableRefusal:
        # the depth itself is refused: the dive is convicted for that
        return
    if left is not None and left < needed:
        at = dive_depth_words(facts.job, known.item.name, depth)
        yield (
            f"{carried_words(group)} leaves {left} "
            f"{standby_minutes_words(facts.job.rules)} at {at}; this job asks for {needed}"
        )


@dataclass(frozen=True)
class Dressed:
    """One standby diver in one outfit from the start of dressing until undressed: spells without a gap."""

    spells: tuple[tuple[KnownDive, DutySpell], ...]

    @property
    def first(self) -> tuple[KnownDive, DutySpell]:
        return self.spells[0]

    @property
    def last(self) -> tuple[KnownDive, DutySpell]:
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


@convicts_by(
    Rule(
        "standby-dressing",
        "A standby diver begins to dress the dressing time before the divers leave the surface, or has stood "
        "by on that station in that outfit without a gap; he undresses when the last dive of the stretch has "
        "surfaced; for both he has as many standby's tenders as a diver has tenders; he does not go from one "
        "outfit or station to the next in the same minute; and he stays dressed no longer than the job's "
        "limit, where it sets one.",
        "ready to enter the water at once: U.S. Navy Diving Manual; how he is dressed: common practice",
        limits=("standby_dressed_max_min",),
    )
)
def standby_dressing(facts: Facts) -> Iterator[Finding]:
    limit = facts.job.rules.standby_dressed_max_min
    stretches = dressed_stretches(facts)
    ends = {(s.last[1].person, s.last[1].end_min) for s in stretches}
    tended: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for stretch in stretches:
        (first, start_spell), (last, end_spell) = stretch.first, stretch.last
        name, start, up = start_spell.person, start_spell.start_min, last.dive.reach_surface_min
        dressed = start + dressing_of(facts, first)[0]
        undressed = up + dressing_of(facts, last)[1]
        if (name, start) in ends:
            yield Finding(
                "standby-dressing",
                f"{name} stands by until {facts.at(start)} and begins to dress for another outfit or station "
                "in the same minute.",
                first.where,
            )
        if dressed > first.dive.leave_surface_min:
            yield Finding(
                "standby-dressing",
                f"{name} stands by from {facts.at(start)} and is dressed {facts.at(dressed)}; the divers "
                f"leave the surface {facts.at(first.dive.leave_surface_min)}.",
                first.where,
            )
        if end_spell.end_min < undressed:
            yield Finding(
                "standby-dressing",
                f"{name} stands by until {facts.at(end_spell.end_min)}; undressing ends "
                f"{facts.at(undressed)}.",
                last.where,
            )
        if limit and up - dressed > limit:
            yield Finding(
                "standby-dressing",
                f"{name} is dressed {facts.stretch(dressed, up)}, {up - dressed} min; {limit} at most.",
                last.where,
            )
        tended[first.dive.id].append((start, dressed))
        tended[last.dive.id].append((up, undressed))
    for dive, spans in tended.items():
        yield from _hands(facts, facts.dive_by_id[dive], spans)


def _hands(facts: Facts, known: KnownDive, spans: list[tuple[int, int]]) -> Iterator[Finding]:
    """Too few hands at any moment at which standby divers of a dive dress or undress: two at once take two
    pairs of hands."""
    each, held = hands_asked(facts, known), facts.holders(known, STANDBY_TENDER)
    for begin, end in pairwise(sorted({minute for span in spans for minute in span})):
        hands = each * sum(start <= begin and end <= stop for start, stop in spans)
        gap = first_gap(held, begin, end, hands) if hands else None
        if gap is not None:
            yield Finding(
                "standby-dressing",
                f"The standby diver dresses or undresses {facts.stretch(begin, end)} with {gap[2]} standby's "
                f"tender(s) {facts.stretch(gap[0], gap[1])}; {hands} asked.",
                known.where,
            )


def hands_asked(facts: Facts, known: KnownDive) -> int:
    """Tenders that one diver of the dive is asked to have, and so the standby diver while he dresses."""
    asked = people_asked(facts, known).get(TENDER, 0)
    return math.ceil(asked / max(1, len(known.divers())))


def dressing_of(facts: Facts, known: KnownDive) -> tuple[int, int]:
    """Minutes of dressing and undressing one diver of a dive, or its standby diver, with those hands."""
    rules, gear, hands = facts.job.rules, known.item.gear, hands_asked(facts, known)
    return rules.dressing_min(gear, hands), rules.undressing_min(gear, hands)

"""How many people each dive has in each duty, hand-over, and whether the standby diver is able to go."""

from __future__ import annotations

from collections.abc import Iterator

from planner.errors import TableRefusal
from planner.job.duties import (
    CHAMBER_OPERATOR,
    DIVER,
    DRESSED_DUTIES,
    DUTY_OF,
    ENTRY_DIVER,
    STANDBY,
    CrewMinimum,
    crew_rule_of,
)
from planner.job.people import Person
from planner.plan.breach import Breach
from planner.plan.exposures import TrueExposures
from planner.plan.facts import Facts, KnownDive, first_gap
from planner.plan.model import DutySpell
from planner.plan.people import medical_expired, missing_certificates
from planner.tables import SAME_DIVE_UNDER_MIN, group_after_interval, options_for, standby_minutes_left


def row_holds(row: CrewMinimum, known: KnownDive, decompression: bool) -> bool:
    """Whether every condition of a crew row is met by a dive."""
    item = known.item
    return (
        (row.gear is None or row.gear is item.gear)
        and (row.deeper_than_fsw is None or known.depth_fsw > row.deeper_than_fsw)
        and (decompression or not row.decompression)
        and (item.enclosed_space or not row.enclosed_space)
    )


def people_asked(facts: Facts, known: KnownDive, decompression: bool) -> dict[str, int]:
    """People that a dive must have by duty: the largest of the rows that hold.

    The number of divers is the item's and is no matter of these rows.
    """
    in_water = len(known.divers())
    asked: dict[str, int] = {}
    for row in facts.job.rules.minima:
        if row.duty != DIVER and row_holds(row, known, decompression):
            count = row.count * in_water if row.per_diver else row.count
            asked[row.duty] = max(count, asked.get(row.duty, 0))
    return asked


def crews(facts: Facts, exposures: TrueExposures) -> Iterator[Breach]:
    """The ``crew-…`` rules: every duty of a dive is manned over the whole of its time."""
    watch = facts.job.rules.chamber_watch_min
    for known in facts.dives:
        asked = people_asked(facts, known, exposures.decompression(known.dive.id))
        for duty, count in asked.items():
            if duty == ENTRY_DIVER:
                found = len({d.person for d in known.dive.divers if d.duty == ENTRY_DIVER})
                if found < count:
                    yield Breach(
                        crew_rule_of(duty),
                        f"{found} at the entry of the enclosed space; {count} asked.",
                        known.where,
                    )
                continue
            start, end = known.span_of(duty, watch)
            gap = first_gap(facts.holders(known, duty), start, end, count) if end > start else None
            if gap is not None:
                yield Breach(
                    crew_rule_of(duty),
                    f"{gap[2]} in the duty {duty} {facts.stretch(gap[0], gap[1])}; {count} asked.",
                    known.where,
                )


def hand_over(facts: Facts, exposures: TrueExposures) -> Iterator[Breach]:
    """Rule ``hand-over``."""
    for known in facts.dives:
        leave, surfaced = known.water
        for spell in facts.spells_of_dive.get(known.dive.id, ()):
            if spell.duty == CHAMBER_OPERATOR or not leave < spell.end_min < surfaced:
                continue
            together = _hand_over_min(facts, spell.duty)
            asked = people_asked(facts, known, exposures.decompression(known.dive.id)).get(spell.duty, 1)
            if together and _going_on(facts, known, spell, together) >= asked:
                continue
            late = f"; nobody has held it with him for {together} min to go on with it" if together else ""
            yield Breach(
                "hand-over",
                f"{spell.person} leaves the duty {spell.duty} at {facts.at(spell.end_min)}; divers are "
                f"in the water {facts.stretch(leave, surfaced)}{late}.",
                known.where,
            )


def _hand_over_min(facts: Facts, duty: str) -> int:
    """How long both hold a duty that changes hands in mid-dive; 0 where it may not."""
    rules = facts.job.rules
    if duty in DRESSED_DUTIES:
        return 0
    return rules.hand_over_lead_min if duty in DUTY_OF and DUTY_OF[duty].leads else rules.hand_over_min


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


def standby_able(facts: Facts, exposures: TrueExposures) -> Iterator[Breach]:
    """Rule ``standby-able-to-go``; qualification and the outfit's state have rules of their own."""
    for known in facts.dives:
        for spell in facts.holders(known, STANDBY):
            for why in _unable(facts, exposures, known, spell):
                yield Breach(
                    "standby-able-to-go",
                    f"{spell.person} stands by and could not go at once: {why}.",
                    known.where,
                )


def _unable(facts: Facts, exposures: TrueExposures, known: KnownDive, spell: DutySpell) -> Iterator[str]:
    person: Person = facts.people[spell.person]
    item, leave = known.item, known.dive.leave_surface_min
    day = facts.job.clock.day_of(leave)
    if person.depth_rating_fsw < known.depth_fsw:
        yield f"rated to {person.depth_rating_fsw} fsw, the item lies at {known.depth_fsw} fsw"
    missing = missing_certificates(person, item, day)
    if missing:
        yield f"no valid certificate for {', '.join(missing)}"
    if medical_expired(person, day):
        yield f"the medical expired {person.medical_expires}"
    if spell.outfit is None:
        yield "no outfit is named"
    yield from _nitrogen(facts, exposures, known, person.name)


def _nitrogen(facts: Facts, exposures: TrueExposures, known: KnownDive, name: str) -> Iterator[str]:
    leave, depth = known.dive.leave_surface_min, known.depth_fsw
    last = exposures.before(name, leave)
    group: str | None = None
    if last is not None:
        if not last.known:
            # the dive before is convicted itself; nothing can be said about what it left
            return
        interval = leave - last.at_min
        if interval < SAME_DIVE_UNDER_MIN:
            yield (
                f"in the chamber until {facts.at(last.at_min)}"
                if interval < 0
                else f"{interval} min after surfacing at {facts.at(last.at_min)}"
            )
            return
        if last.group is None:
            if leave < last.clean_at_min():
                yield f"the tables print no group for the last dive; clean {facts.at(last.clean_at_min())}"
                return
        else:
            group = group_after_interval(last.group, interval)
    needed = facts.job.rules.standby_no_stop_min
    try:
        left = standby_minutes_left(depth, group, options_for(facts.job, known.item))
    except TableRefusal:
        # the depth itself is refused: the dive is convicted for that
        return
    if left is not None and left < needed:
        yield (
            f"{'clean' if group is None else f'group {group}'} leaves {left} no-stop min at {depth} fsw; "
            f"this job asks for {needed}"
        )

"""Each person by himself: fit for the duty, on site, rested, in one place at a time."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from planner.check.facts import Facts, covered
from planner.job.duties import DRESSED_DUTIES, duty_qualifies
from planner.job.people import Person
from planner.job.work import DiveItem
from planner.plan.finding import Finding
from planner.plan.model import DutySpell


def missing_certificates(person: Person, item: DiveItem, day: date) -> tuple[str, ...]:
    """Certificates of the item that the person does not hold on the day, in order of name."""
    valid = {c.name for c in person.certificates if c.expires is None or c.expires >= day}
    return tuple(sorted(item.certificates - valid))


def medical_expired(person: Person, day: date) -> bool:
    """Whether the person's medical has run out on the day; one without a date is for a person to check."""
    return person.medical_expires is not None and person.medical_expires < day


def fit_for_duty(facts: Facts) -> Iterator[Finding]:
    """Rules ``duty-qualified``, ``depth-rating``, ``certificates`` and ``medical``."""
    for name, spells in facts.spells_of_person.items():
        person = facts.people[name]
        unfit = dict.fromkeys(s.duty for s in spells if not duty_qualifies(person.duties, s.duty))
        for duty in unfit:
            yield Finding(
                "duty-qualified",
                f"{name} may not hold the duty {duty}; only {', '.join(sorted(person.duties)) or 'none'}.",
                name,
            )
    for known in facts.dives:
        day = facts.job.clock.day_of(known.dive.leave_surface_min)
        for diver in known.divers():
            if diver.person not in facts.people:
                continue
            person = facts.people[diver.person]
            where = f"{known.where}, {person.name}"
            if person.depth_rating_fsw < known.depth_fsw:
                yield Finding(
                    "depth-rating",
                    f"{person.name} is rated to {person.depth_rating_fsw} fsw, the item lies at "
                    f"{known.depth_fsw} fsw.",
                    where,
                )
            missing = missing_certificates(person, known.item, day)
            if missing:
                yield Finding(
                    "certificates",
                    f"{person.name} has no valid certificate on {day.isoformat()} for {', '.join(missing)}.",
                    where,
                )
            if medical_expired(person, day):
                yield Finding(
                    "medical",
                    f"{person.name}'s medical expired {person.medical_expires}, before {day.isoformat()}.",
                    where,
                )


def hours(facts: Facts) -> Iterator[Finding]:
    """Rules ``hours-available`` and ``rest-before-duty``."""
    rules = facts.job.rules
    for name, spells in facts.spells_of_person.items():
        person = facts.people[name]
        for spell in spells:
            if person.available and not covered(person.available, spell.start_min, spell.end_min):
                on_site = ", ".join(facts.stretch(s.start_min, s.end_min) for s in person.available)
                yield Finding(
                    "hours-available",
                    f"{spell.duty} {facts.stretch(spell.start_min, spell.end_min)}; {name} is on site "
                    f"{on_site}.",
                    name,
                )
        ended = person.last_duty_end_min
        if ended is not None and spells[0].start_min < ended + rules.rest_before_duty_min:
            yield Finding(
                "rest-before-duty",
                f"{name}'s last duty ended {facts.at(ended)}; with {rules.rest_before_duty_min} min of rest "
                f"the next starts {facts.at(ended + rules.rest_before_duty_min)} at the earliest, not "
                f"{facts.at(spells[0].start_min)}.",
                name,
            )


def one_duty(facts: Facts) -> Iterator[Finding]:
    """Rule ``one-duty-at-a-time``."""
    for name, spells in facts.spells_of_person.items():
        for index, one in enumerate(spells):
            for other in spells[index + 1 :]:
                if other.start_min >= one.end_min:
                    break
                if not _may_meet(facts, one, other):
                    start, end = other.start_min, min(one.end_min, other.end_min)
                    yield Finding(
                        "one-duty-at-a-time",
                        f"{name} is {one.duty} ({_for(one)}) and {other.duty} ({_for(other)}) at once, "
                        f"{facts.stretch(start, end)}.",
                        name,
                    )


def _for(spell: DutySpell) -> str:
    return spell.item if spell.dive is None else f"dive {spell.dive}"


def _may_meet(facts: Facts, one: DutySpell, other: DutySpell) -> bool:
    station = facts.station_of(one)
    if station is None or station != facts.station_of(other):
        return False
    if one.duty in DRESSED_DUTIES or other.duty in DRESSED_DUTIES:
        return False
    return facts.job.rules.may_combine(one.duty, other.duty)

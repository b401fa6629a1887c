"""Each person by himself: who may hold a duty, and who is fit to dive."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from planner.check.facts import Facts
from planner.check.rule import Basis, Rule, convicts_by
from planner.job.crew_rules import CrewRules
from planner.job.duties import duty_qualifies
from planner.job.people import Person
from planner.job.work import DiveItem
from planner.plan.finding import Finding
from planner.words.measures import dive_depth_words, own_depth_words


def missing_certificates(person: Person, item: DiveItem, day: date) -> tuple[str, ...]:
    """Certificates of the item that the person does not hold on the day, in order of name."""
    return _not_valid(person, item.certificates, day)


def missing_for_duty(rules: CrewRules, person: Person, duty: str, day: date) -> tuple[str, ...]:
    """Certificates that the job asks of a duty and the person does not hold on the day, in order of name."""
    return _not_valid(person, rules.certificates_for(duty), day)


def _not_valid(person: Person, asked: frozenset[str], day: date) -> tuple[str, ...]:
    valid = {c.name for c in person.certificates if c.expires is None or c.expires >= day}
    return tuple(sorted(asked - valid))


def medical_expired(person: Person, day: date) -> bool:
    """Whether the person's medical has run out on the day; one without a date is for a person to check."""
    return person.medical_expires is not None and person.medical_expires < day


@convicts_by(
    Rule(
        "duty-qualified",
        "Nobody is posted to a duty that he or she may not hold; a standby diver and a diver at the entry "
        "are divers, a standby's tender is a tender.",
        "qualified by experience or training: 29 CFR 1910.410(a)(1), (b)(1)",
        Basis.REGULATION,
    )
)
def duty_qualified(facts: Facts) -> Iterator[Finding]:
    for name, spells in facts.spells_of_person.items():
        held = facts.people[name].duties
        for duty in dict.fromkeys(s.duty for s in spells if not duty_qualifies(held, s.duty)):
            yield Finding(
                "duty-qualified",
                f"{name} may not hold the duty {duty}; only {', '.join(sorted(held)) or 'none'}.",
                name,
            )


@convicts_by(
    Rule(
        "duty-certificates",
        "Whoever holds a duty has every certificate that the job asks for it, none of them expired on any "
        "day that the duty touches; what is asked of a diver is asked of a standby diver and a diver at the "
        "entry too, what is asked of a tender of a standby's tender.",
        "the whole team trained in first aid: 29 CFR 1910.410(a)(3); which certificates: the job's own data",
        Basis.REGULATION,
        ("duty_certificates",),
    )
)
def duty_certificates(facts: Facts) -> Iterator[Finding]:
    rules, clock = facts.job.rules, facts.job.clock
    for name, spells in facts.spells_of_person.items():
        told: dict[str, None] = {}
        for spell in spells:
            day = clock.day_of(max(spell.start_min, spell.end_min - 1))
            missing = missing_for_duty(rules, facts.people[name], spell.duty, day)
            if missing:
                told.setdefault(
                    f"{name} is {spell.duty} on {day.isoformat()} without a valid certificate for "
                    f"{', '.join(missing)}."
                )
        yield from (Finding("duty-certificates", sentence, name) for sentence in told)


@convicts_by(
    Rule(
        "depth-rating",
        "No diver goes deeper than his or her depth rating.",
        "experience or training for the task: 29 CFR 1910.410(a)(1), (b)(1); a rating in fsw: common "
        "practice",
    ),
    Rule(
        "certificates",
        "Every diver on an item holds all certificates it asks for, none of them expired on the day.",
        "experience or training for the task: 29 CFR 1910.410(a)(1), (2)",
        Basis.REGULATION,
    ),
    Rule(
        "medical",
        "No diver's medical has expired on the day of the dive.",
        "no dive with an impairment that is known: 29 CFR 1910.410(b)(3); fitness asked before each duty is "
        "given: 1910.421(f)(2); a dated medical: common practice",
    ),
)
def fit_to_dive(facts: Facts) -> Iterator[Finding]:
    for known in facts.dives:
        day = facts.job.clock.day_of(known.dive.leave_surface_min)
        for person in (facts.people[d.person] for d in known.divers() if d.person in facts.people):
            where = f"{known.where}, {person.name}"
            if person.depth_rating_fsw < known.depth_fsw:
                rated = own_depth_words(person, facts.job.site.units, "depth_rating_fsw")
                lies = dive_depth_words(facts.job, known.item.name, known.depth_fsw)
                yield Finding(
                    "depth-rating",
                    f"{person.name} is rated to {rated}, the item lies at {lies}.",
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

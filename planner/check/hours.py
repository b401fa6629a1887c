"""Hours of each person: on site, spans, rest between days, meal breaks, nights, one duty at a time."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from planner.check.facts import Facts, covered
from planner.check.rest import stretches_of_work
from planner.check.rule import JOB_DATA, Basis, Rule, convicts_by
from planner.job.duties import BRIEFING, DRESSED_DUTIES, WATCH_DUTIES
from planner.job.night import in_the_night, past_night_ends
from planner.plan.finding import Finding
from planner.plan.model import DutySpell


@convicts_by(
    Rule(
        "hours-available",
        "Nobody has a duty outside the hours in which he or she is on site.",
        JOB_DATA,
        Basis.ARITHMETIC,
    )
)
def hours_available(facts: Facts) -> Iterator[Finding]:
    for name, spells in facts.spells_of_person.items():
        on_site = facts.people[name].available
        for spell in spells:
            if on_site and not covered(on_site, spell.start_min, spell.end_min):
                yield Finding(
                    "hours-available",
                    f"{spell.duty} {facts.stretch(spell.start_min, spell.end_min)}; {name} is on site "
                    f"{facts.stretches(on_site)}.",
                    name,
                )


@convicts_by(
    Rule(
        "rest-before-duty",
        "Nobody starts within the job's rest after the end of the last duty before the job.",
        "common practice: eight unbroken hours",
        limits=("rest_before_duty_min",),
    )
)
def rest_before_duty(facts: Facts) -> Iterator[Finding]:
    rest = facts.job.rules.rest_before_duty_min
    for name, spells in facts.spells_of_person.items():
        ended, start = facts.people[name].last_duty_end_min, spells[0].start_min
        if ended is not None and start < ended + rest:
            yield Finding(
                "rest-before-duty",
                f"{name}'s last duty ended {facts.at(ended)}; with {rest} min of rest the next starts "
                f"{facts.at(ended + rest)} at the earliest, not {facts.at(start)}.",
                name,
            )


def working_days(facts: Facts, spells: tuple[DutySpell, ...]) -> tuple[tuple[int, int], ...]:
    """First start and last end of a person's duties, day by day, in order.

    A spell belongs to the day window that it starts in, which may run past midnight; one outside every
    window to its calendar day.
    """
    by_day: dict[int, tuple[int, int]] = {}
    for spell in spells:
        day = _working_day(facts, spell)
        start, end = by_day.get(day, (spell.start_min, spell.end_min))
        by_day[day] = min(start, spell.start_min), max(end, spell.end_min)
    return tuple(sorted(by_day.values()))


def _working_day(facts: Facts, spell: DutySpell) -> int:
    for window in facts.job.day_windows:
        if window.start_min <= spell.start_min < window.end_min:
            return facts.job.clock.day_of(window.start_min).toordinal()
    return facts.job.clock.day_of(spell.start_min).toordinal()


@convicts_by(
    Rule(
        "duty-span",
        "From the start of a person's first duty of a day to the end of the last is at most the job's "
        "longest duty span.",
        "common practice: twelve hours",
        limits=("duty_span_max_min",),
    )
)
def duty_span(facts: Facts) -> Iterator[Finding]:
    longest = facts.job.rules.duty_span_max_min
    for name, spells in facts.spells_of_person.items():
        for start, end in working_days(facts, spells):
            if end - start > longest:
                yield Finding(
                    "duty-span",
                    f"{name} has duties {facts.stretch(start, end)}, {end - start} min; {longest} at most.",
                    name,
                )


@convicts_by(
    Rule(
        "rest-between-days",
        "From the end of a person's last duty of one day to the first of the next lies at least the job's "
        "rest before duty.",
        "common practice: eight unbroken hours",
        limits=("rest_before_duty_min",),
    )
)
def rest_between_days(facts: Facts) -> Iterator[Finding]:
    asked = facts.job.rules.rest_before_duty_min
    for name, spells in facts.spells_of_person.items():
        for (_, ended), (start, _) in pairwise(working_days(facts, spells)):
            if start - ended < asked:
                yield Finding(
                    "rest-between-days",
                    f"{name}'s duties end {facts.at(ended)} and start again {facts.at(start)}, "
                    f"{max(0, start - ended)} min of rest; {asked} asked.",
                    name,
                )


@convicts_by(
    Rule(
        "meal-break",
        "Where the job sets a meal break: nobody is on duty longer than the job allows without a break of at "
        "least that length.",
        limits=("meal_break_min", "meal_break_after_min"),
    ),
    Rule(
        "watch-relief",
        "Nobody supervises dives, mans their air console or keeps their log longer than the job's longest "
        "watch without a break of at least its length from all three.",
        "attention fades in long watches: common practice (from memory)",
        limits=("watch_max_min", "watch_break_min"),
    ),
)
def without_a_break(facts: Facts) -> Iterator[Finding]:
    rules = facts.job.rules
    for name, spells in facts.spells_of_person.items():
        watches = tuple(s for s in spells if s.dive is not None and s.duty in WATCH_DUTIES)
        for rule, own, least, longest, does in (
            ("meal-break", spells, rules.meal_break_min, rules.meal_break_after_min, "is on duty"),
            (
                "watch-relief",
                watches,
                rules.watch_break_min,
                rules.watch_max_min,
                "leads dives, is at the console or keeps the log",
            ),
        ):
            if not (least and longest):
                continue
            for start, end in stretches_of_work(((s.start_min, s.end_min) for s in own), least):
                if end - start > longest:
                    yield Finding(
                        rule,
                        f"{name} {does} {facts.stretch(start, end)}, {end - start} min, without a break of "
                        f"{least} min; {longest} at most.",
                        name,
                    )


@convicts_by(
    Rule(
        "night-duty",
        "Where the job sets time off after a night: nobody leaves the surface sooner than that after the end "
        "of a duty that took in any time between midnight and five in the morning.",
        "time off before diving: common practice; midnight to five as the core of the night: MLC 2006, "
        "Standard A1.1, paragraph 2",
        limits=("rest_after_night_min",),
    )
)
def after_a_night(facts: Facts) -> Iterator[Finding]:
    off = facts.job.rules.rest_after_night_min
    if off == 0:
        return
    ends: dict[str, list[int]] = {p.name: list(past_night_ends(facts.job, p)) for p in facts.job.people}
    for name, spells in facts.spells_of_person.items():
        ends[name] += [s.end_min for s in spells if in_the_night(facts.job.clock, s.start_min, s.end_min)]
    for known in facts.dives:
        leave = known.dive.leave_surface_min
        for diver in known.divers():
            last = max((end for end in ends.get(diver.person, ()) if end <= leave), default=None)
            if last is not None and leave - last < off:
                yield Finding(
                    "night-duty",
                    f"{diver.person}'s night duty ended {facts.at(last)}; with {off} min off the next dive "
                    f"leaves the surface {facts.at(last + off)} at the earliest, not {facts.at(leave)}.",
                    f"{known.where}, {diver.person}",
                )


@convicts_by(
    Rule(
        "one-duty-at-a-time",
        "Nobody holds two duties at once, except a pair that the job allows, for one dive, and never "
        "while diving or standing by.",
        "common practice; the pairs are the job's",
        limits=("pairs",),
    )
)
def one_duty(facts: Facts) -> Iterator[Finding]:
    for name, spells in facts.spells_of_person.items():
        for index, one in enumerate(spells):
            for other in spells[index + 1 :]:
                if other.start_min >= one.end_min:
                    break
                if not _may_meet(facts, one, other):
                    start, end = other.start_min, min(one.end_min, other.end_min)
                    yield Finding(
                        "one-duty-at-a-time",
                        f"{name} is {_held(one)} and {_held(other)} at once, {facts.stretch(start, end)}.",
                        name,
                    )


def _held(spell: DutySpell) -> str:
    if spell.duty == BRIEFING:
        return "in the briefing"
    return f"{spell.duty} ({spell.item if spell.dive is None else f'dive {spell.dive}'})"


def _may_meet(facts: Facts, one: DutySpell, other: DutySpell) -> bool:
    if one.dive is None or one.dive != other.dive:
        return False
    if one.duty in DRESSED_DUTIES or other.duty in DRESSED_DUTIES:
        return False
    return facts.job.rules.may_combine(one.duty, other.duty)

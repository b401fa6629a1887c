"""Hours of each person: rest in rolling windows and between the days, meal breaks, diving after a night."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from planner.check.facts import Facts
from planner.check.rest import RestLimits, rest_breaches
from planner.job.crew_rules import CrewRules
from planner.job.night import in_the_night, past_night_ends
from planner.plan.finding import Finding
from planner.plan.model import DutySpell


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


def spans_and_rest(facts: Facts) -> Iterator[Finding]:
    """Rules ``duty-span``, ``rest-between-days`` and those of rest in rolling windows."""
    rules = facts.job.rules
    limits = rest_limits(rules)
    for name, spells in facts.spells_of_person.items():
        days = working_days(facts, spells)
        for start, end in days:
            if end - start > rules.duty_span_max_min:
                yield Finding(
                    "duty-span",
                    f"{name} has duties {facts.stretch(start, end)}, {end - start} min; "
                    f"{rules.duty_span_max_min} at most.",
                    name,
                )
        for (_, ended), (start, _) in pairwise(days):
            if start - ended < rules.rest_before_duty_min:
                yield Finding(
                    "rest-between-days",
                    f"{name}'s duties end {facts.at(ended)} and start again {facts.at(start)}, "
                    f"{max(0, start - ended)} min of rest; {rules.rest_before_duty_min} asked.",
                    name,
                )
        past = [(s.start_min, s.end_min) for s in facts.people[name].past_work]
        work = [*past, *((s.start_min, s.end_min) for s in spells)]
        for breach in rest_breaches(work, limits, since_min=spells[0].start_min):
            yield Finding(breach.rule, f"{name}: {breach.sentence(facts.at)}", name)


def rest_limits(rules: CrewRules) -> RestLimits:
    """The job's numbers for rest in rolling windows; those it does not ask for can never be broken."""
    asked = rules.rest_in_24h_min > 0
    return RestLimits(
        in_24h_min=rules.rest_in_24h_min,
        in_7_days_min=rules.rest_in_7d_min,
        parts=rules.rest_parts,
        one_part_min=rules.rest_long_part_min if asked else 0,
        between_max_min=rules.work_between_rests_max_min if asked else 10**6,
        short_break_min=rules.rest_least_min,
    )


def meal_breaks(facts: Facts) -> Iterator[Finding]:
    """Rule ``meal-break``."""
    rules = facts.job.rules
    if rules.meal_break_min == 0:
        return
    for name, spells in facts.spells_of_person.items():
        for start, end in stretches_without_break(spells, rules.meal_break_min):
            if end - start > rules.meal_break_after_min:
                yield Finding(
                    "meal-break",
                    f"{name} is on duty {facts.stretch(start, end)}, {end - start} min, without a break of "
                    f"{rules.meal_break_min} min; {rules.meal_break_after_min} at most.",
                    name,
                )


def stretches_without_break(spells: tuple[DutySpell, ...], break_min: int) -> tuple[tuple[int, int], ...]:
    """Duties in order of time, joined where less than a break lies between them."""
    joined: list[tuple[int, int]] = []
    for spell in spells:
        if joined and spell.start_min - joined[-1][1] < break_min:
            joined[-1] = joined[-1][0], max(joined[-1][1], spell.end_min)
        else:
            joined.append((spell.start_min, spell.end_min))
    return tuple(joined)


def after_a_night(facts: Facts) -> Iterator[Finding]:
    """Rule ``night-duty``."""
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

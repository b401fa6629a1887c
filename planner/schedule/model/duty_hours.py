"""Rules of people's hours in a model: duty span, rest between days and in rolling windows, meals, nights.

Works on stretches of duty with times that are variables (the models of the day) and on stretches whose
times are settled (the naming), so that both hold the rules of hours by the same lines.

The check takes a long gap between two duties as rest; the models count the whole stretch from the first
duty of a day to the last as work, since whoever waits on the jobsite is not off duty. So what holds here
holds in the check, and the bounds speak of plans within that (recorded in docs as a limit).

With one stretch a day, the rules over 24 hours need only two days side by side:

- the least rest in any 24 hours around two stretches is the greater of the gap between them and of what
  their lengths leave of 24 hours;
- the rest comes in two parts at most, as soon as there are no more than two stretches.

What people worked before the job enters as numbers, by the check's own function.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from ortools.sat.python import cp_model

from planner.check.rest import (
    DAY_MIN,
    WEEK_MIN,
    RestLimits,
    rest_limits,
    rest_windows_asked,
    stretches_of_work,
)
from planner.job import Person
from planner.job.night import NIGHT_END, NIGHT_START
from planner.schedule.model.interval import Lit, Model
from planner.schedule.model.meal_breaks import meal_breaks
from planner.schedule.model.person_days import PersonDay, PersonDays, Spell
from planner.schedule.problem.duty_hours import past_of, rest_holds
from planner.schedule.problem.problem import Problem


def duty_spans(days: PersonDays) -> None:
    """duty-span: first duty to last, each working day."""
    problem, most = days.problem, days.problem.job.rules.duty_span_max_min
    for k, window in enumerate(problem.days):
        if window.end_min - window.start_min <= most:
            continue
        for person in problem.people:
            one = days.of(person.name, k)
            if one is not None:
                days.model.add(one.length_min <= most).only_enforce_if(one.worked)


def rest_between_days(days: PersonDays) -> None:
    """rest-between-days: from the end of one working day's last duty to the next one's first."""
    problem, least = days.problem, days.problem.job.rules.rest_before_duty_min
    for k in range(len(problem.days) - 1):
        if problem.days[k + 1].start_min - problem.days[k].end_min >= least:
            continue
        for person in problem.people:
            one, following = days.of(person.name, k), days.of(person.name, k + 1)
            if one is not None and following is not None:
                days.model.add(following.first >= one.last + least).only_enforce_if(
                    one.worked, following.worked
                )


def nights(problem: Problem) -> list[tuple[int, int]]:
    """The nights, midnight to five, in which a working day of the job has a minute."""
    clock, first = problem.job.clock, problem.job.site.first_day
    out = []
    for k in range(-1, len(problem.midnights) + 1):
        day = first + timedelta(days=k)
        start, end = clock.minute_on(day, NIGHT_START), clock.minute_on(day, NIGHT_END)
        if any(d.start_min < end and start < d.end_min for d in problem.days):
            out.append((start, end))
    return out


def after_nights(days: PersonDays) -> None:
    """State the rule between the duties that a model may give to one person."""
    problem, off = days.problem, days.problem.job.rules.rest_after_night_min
    if off == 0:
        return
    for start, end in nights(problem):
        for person in problem.people:
            mine = days.spells.get(person.name, [])
            for spell in mine:
                briefing = max(problem.briefing_of_day(person.name, day) for day in spell.day)
                pinned = [at for day in spell.day if (at := problem.briefed_at(person.name, day)) is not None]
                begins = min(pinned, default=spell.start - briefing)
                called = [(days.calls[day], day) for day in spell.day if day in days.calls]
                for dive in mine:
                    if dive.leave is not None and (briefing or dive is not spell):
                        _apart(days.model, spell, dive, (start, end), off, begins, called)


def _apart(
    model: Model,
    spell: Spell,
    dive: Spell,
    night: tuple[int, int],
    off: int,
    begins: cp_model.LinearExprT,
    called: Sequence[tuple[cp_model.LinearExprT, int]],
) -> None:
    """The spell misses the night, or ends after the dive has left the surface, or long enough before.

    On the safe side each spell is taken with a briefing before it, from ``begins``; of a dive's own only that
    counts. ``called``: the call of each day that begins with one briefing.
    """
    ways: list[Lit] = []

    def way(name: str) -> Lit:
        ways.append(model.new_bool_var(name))
        return ways[-1]

    assert dive.leave is not None
    model.add(spell.end <= night[0]).only_enforce_if(way("evening"))
    morning = way("morning")
    model.add(begins >= night[1]).only_enforce_if(morning)
    for call, day in called:
        on = spell.day[day]
        model.add(call >= night[1]).only_enforce_if([morning] if on is None else [morning, on])
    if spell is dive:
        model.add(spell.start <= night[0]).only_enforce_if(way("before"))
        model.add(dive.leave >= spell.start + off).only_enforce_if(way("rested"))
    else:
        model.add(spell.end > dive.leave).only_enforce_if(way("later"))
        model.add(dive.leave >= spell.end + off).only_enforce_if(way("rested"))
    his = [literal for literal in (spell.literal, dive.literal) if literal is not None]
    model.add_bool_or(ways).only_enforce_if(his)


def latest_ends(problem: Problem, person: Person) -> list[int]:
    """For each minute of the first working day: the latest end of a stretch of work that begins then."""
    window = problem.days[0]
    ends, end = [], window.start_min
    for start in range(window.start_min, window.end_min + 1):
        end = max(end, start)
        while end < window.end_min and rest_holds(problem.job, person, [(start, end + 1)]):
            end += 1
        ends.append(end)
    return ends


def rest(days: PersonDays) -> None:
    """rest-10-in-24, rest-77-in-7-days, rest-two-parts, rest-six-hours and rest-14-between."""
    problem = days.problem
    if not rest_windows_asked(problem.job):
        return
    limits = rest_limits(problem.job.rules)
    for person in problem.people:
        mine = days.of_person(person.name)
        for one in mine:
            _alone(days, limits, one)
        for one in mine:
            following = days.of(person.name, one.day + 1) if one.day + 1 < len(problem.days) else None
            if following is not None:
                _two_days(days, limits, one, following)
        _week(days, limits, person, mine)
        if person.past_work and mine and mine[0].day == 0:
            _after_history(days, person, mine[0])


def _alone(days: PersonDays, limits: RestLimits, one: PersonDay) -> None:
    """One stretch: not longer than from one rest to the next, and what is left of 24 hours is enough."""
    most = min(limits.between_max_min, DAY_MIN - max(limits.in_24h_min, limits.one_part_min))
    window = days.problem.days[one.day]
    if window.end_min - window.start_min > most:
        days.model.add(one.length_min <= most).only_enforce_if(one.worked)


def _two_days(days: PersonDays, limits: RestLimits, one: PersonDay, following: PersonDay) -> None:
    """Two working days side by side; see the head of this file."""
    first, second = days.problem.days[one.day], days.problem.days[following.day]
    model, both = days.model, [one.worked, following.worked]
    night = second.start_min - first.end_min
    hull = following.last - one.first
    label = f"{one.person}.{one.day}"
    if night < limits.short_break_min:
        # A shorter gap is a break and no rest: the two days would be one stretch.
        model.add(following.first - one.last >= limits.short_break_min).only_enforce_if(both)
    if night < limits.in_24h_min:
        gap = model.new_bool_var(f"rested.{label}")
        model.add(following.first - one.last >= limits.in_24h_min).only_enforce_if([gap, *both])
        left = DAY_MIN - limits.in_24h_min
        if limits.parts > 1:
            total = one.length_min + following.length_min
            model.add(total <= left).only_enforce_if([~gap, *both])
        else:
            model.add(hull <= left).only_enforce_if([~gap, *both])
    if night < limits.one_part_min:
        part = model.new_bool_var(f"part.{label}")
        model.add(following.first - one.last >= limits.one_part_min).only_enforce_if([part, *both])
        model.add(hull <= DAY_MIN - limits.one_part_min).only_enforce_if([~part, *both])


def _week(days: PersonDays, limits: RestLimits, person: Person, mine: list[PersonDay]) -> None:
    """Any 7 days: a job is at most that long, so its days so far, and what the window holds of the past."""
    if not limits.in_7_days_min or not mine:
        return
    model, problem = days.model, days.problem
    past = stretches_of_work(past_of(person), limits.short_break_min)
    most = WEEK_MIN - limits.in_7_days_min
    lengths: list[cp_model.IntVar] = []
    for one in mine:
        window = problem.days[one.day]
        length = model.new_int_var(0, window.end_min - window.start_min, f"held.{person.name}.{one.day}")
        model.add(length >= one.length_min).only_enforce_if(one.worked)
        before = cp_model.LinearExpr.sum(lengths)
        lengths.append(length)
        # Windows that end with this day's last duty.
        inside = [
            _overlap(past, e - WEEK_MIN, window.start_min)
            for e in range(window.start_min, window.end_min + 1)
        ]
        if max(inside) == min(inside):
            earlier = model.new_constant(inside[0])
        else:
            earlier = model.new_int_var(0, max(inside), f"week.{person.name}.{one.day}")
            model.add_element(one.last - window.start_min, inside, earlier)
        model.add(before + length + earlier <= most).only_enforce_if(one.worked)
        # Windows that begin with a stretch of the past and end within this day.
        for start, _ in past:
            end = start + WEEK_MIN
            if window.start_min < end < window.end_min:
                part = model.new_int_var(0, window.end_min - window.start_min, f"week.{person.name}.{start}")
                whole = model.new_bool_var(f"whole.{person.name}.{start}")
                model.add(part >= length).only_enforce_if([whole, one.worked])
                model.add(part >= end - one.first).only_enforce_if([~whole, one.worked])
                since = _overlap(past, start, window.start_min)
                model.add(before + part + since <= most).only_enforce_if(one.worked)


def _overlap(spells: tuple[tuple[int, int], ...], start: int, end: int) -> int:
    return sum(max(0, min(e, end) - max(s, start)) for s, e in spells)


def _after_history(days: PersonDays, person: Person, one: PersonDay) -> None:
    """The first day after what was worked before the job: for each start the latest end, from the check."""
    window, model = days.problem.days[0], days.model
    ends = latest_ends(days.problem, person)
    if all(end == window.end_min for end in ends):
        return
    latest = model.new_int_var(window.start_min, window.end_min, f"until.{person.name}")
    model.add_element(one.first - window.start_min, ends, latest)
    model.add(one.last <= latest).only_enforce_if(one.worked)


def hours_rules(days: PersonDays) -> None:
    """duty-span, rest-between-days, rest in rolling windows, meal-break and night-duty."""
    duty_spans(days)
    rest_between_days(days)
    rest(days)
    meal_breaks(days)
    after_nights(days)

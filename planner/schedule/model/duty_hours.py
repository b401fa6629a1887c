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

A meal break: between a day's first duty and its last lies a chain of breaks, each at least as long as the
job asks, with no duty inside, such that no piece between two of them is longer than is allowed without one.
A break may be longer, before the first duty or after the last, so that a fixed number serves every day.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta

from ortools.sat.python import cp_model

from planner.check.rest import DAY_MIN, WEEK_MIN, RestLimits, rest_limits, stretches_of_work
from planner.job import Person
from planner.job.night import NIGHT_END, NIGHT_START
from planner.schedule.model.interval import Lit, Model
from planner.schedule.model.named_support import NamedSupport
from planner.schedule.model.variables import DiveVars
from planner.schedule.problem.duty_hours import past_of, rest_holds, rest_windows_asked
from planner.schedule.problem.problem import Problem

_Edge = cp_model.LinearExprT


@dataclass(frozen=True)
class Spell:
    """A stretch of duty that may be one person's.

    Parameters
    ----------
    literal
        Whether it is his; None: it is.
    start, end
        Job minutes, variables or numbers.
    day
        Working day → literal that it falls on that day; None: it can fall on no other.
    leave
        Minute of leaving the surface where the stretch is a dive's.
    """

    literal: Lit | None
    start: _Edge
    end: _Edge
    day: Mapping[int, Lit | None]
    leave: _Edge | None = None

    def on(self, day: int) -> list[Lit] | None:
        """The literals under which it is the person's on a working day; None when it cannot be."""
        if day not in self.day:
            return None
        return [literal for literal in (self.literal, self.day[day]) if literal is not None]


@dataclass(frozen=True)
class PersonDay:
    """One person's working day. Without a duty ``first`` and ``last`` are free."""

    person: str
    day: int
    first: Lit
    last: Lit
    worked: Lit

    @property
    def length_min(self) -> cp_model.LinearExpr:
        """Minutes from the first duty to the end of the last."""
        return self.last - self.first


def spells_of(person: str, dives: list[DiveVars], support: NamedSupport | None) -> list[Spell]:
    """Every stretch of duty that a model may give to a person."""
    out = []
    if support is not None:
        out += [Spell(*row) for row in support.spells.get(person, [])]
    for dive in dives:
        out += [
            Spell(s.who[person], dive.dress_start, dive.seat.end, dive.day, dive.leave_surface)
            for s in dive.seats
            if person in s.who
        ]
        if person in dive.standby:
            out.append(Spell(dive.standby[person], dive.standing.start, dive.standing.end, dive.day))
    return out


class PersonDays:
    """First and last minute of duty of each person on each working day, made when first asked for."""

    def __init__(self, model: Model, problem: Problem, spells: Mapping[str, list[Spell]]) -> None:
        self.model = model
        self.problem = problem
        self.spells = spells
        self._known: dict[tuple[str, int], PersonDay | None] = {}

    def of(self, person: str, day: int) -> PersonDay | None:
        """A person's working day; None where no stretch of duty can fall on it."""
        key = (person, day)
        if key not in self._known:
            self._known[key] = self._make(person, day)
        return self._known[key]

    def of_person(self, person: str) -> list[PersonDay]:
        """All working days on which a person may have a duty, in order."""
        found = (self.of(person, day) for day in range(len(self.problem.days)))
        return [one for one in found if one is not None]

    def _make(self, person: str, day: int) -> PersonDay | None:
        window = self.problem.days[day]
        mine = [(s, when) for s in self.spells.get(person, []) if (when := s.on(day)) is not None]
        if not mine:
            return None
        model, label = self.model, f"{person}.{day}"
        first = model.new_int_var(window.start_min, window.end_min, f"first.{label}")
        last = model.new_int_var(window.start_min, window.end_min, f"last.{label}")
        worked = model.new_bool_var(f"worked.{label}")
        for spell, when in mine:
            model.add(first <= spell.start).only_enforce_if(when)
            model.add(last >= spell.end).only_enforce_if(when)
            model.add_bool_and(worked).only_enforce_if(when)
        return PersonDay(person, day, first, last, worked)


def longest_day_min(problem: Problem) -> int:
    """Longest stretch from first duty to last that a day's window and the duty span allow."""
    window = max(d.end_min - d.start_min for d in problem.days)
    return min(window, problem.job.rules.duty_span_max_min)


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


def overtime_of(days: PersonDays) -> list[Lit]:
    """Minutes past the ordinary day, one variable a person and working day."""
    problem, after = days.problem, days.problem.job.rules.overtime_after_min
    overs = []
    for person in problem.people:
        for one in days.of_person(person.name):
            window = problem.days[one.day]
            if window.end_min - window.start_min <= after:
                continue
            over = days.model.new_int_var(
                0, window.end_min - window.start_min, f"over.{person.name}.{one.day}"
            )
            days.model.add(over >= one.length_min - after).only_enforce_if(one.worked)
            overs.append(over)
    return overs


def days_held(days: PersonDays) -> list[cp_model.IntVar]:
    """Minutes from first duty to last, one variable a person and working day; 0 without a duty."""
    out = []
    for person in days.problem.people:
        for one in days.of_person(person.name):
            window = days.problem.days[one.day]
            held = days.model.new_int_var(
                0, window.end_min - window.start_min, f"held.{person.name}.{one.day}"
            )
            days.model.add(held >= one.length_min).only_enforce_if(one.worked)
            out.append(held)
    return out


def breaks_needed(longest_day: int, after_min: int) -> int:
    """How many breaks a day is chained with: two pieces with their break are longer than one may be."""
    return max(0, 2 * math.ceil(longest_day / after_min) - 1)


def meal_breaks(days: PersonDays) -> None:
    """State the rule for every person and working day."""
    rules = days.problem.job.rules
    longest = longest_day_min(days.problem)
    if rules.meal_break_min == 0 or longest <= rules.meal_break_after_min:
        return
    for person in days.problem.people:
        for one in days.of_person(person.name):
            window = days.problem.days[one.day]
            if window.end_min - window.start_min > rules.meal_break_after_min:
                _chain(days, one, breaks_needed(longest, rules.meal_break_after_min))


def _chain(days: PersonDays, one: PersonDay, count: int) -> None:
    rules, window, model = days.problem.job.rules, days.problem.days[one.day], days.model
    latest = window.end_min + count * rules.meal_break_min
    earliest = window.start_min - count * rules.meal_break_min
    mine = [(s, when) for s in days.spells[one.person] if (when := s.on(one.day)) is not None]
    at = one.first
    for k in range(count):
        label = f"{one.person}.{one.day}.{k}"
        start = model.new_int_var(earliest, latest, f"break.{label}")
        end = model.new_int_var(earliest, latest, f"again.{label}")
        model.add(end >= start + rules.meal_break_min)
        model.add(start - at <= rules.meal_break_after_min).only_enforce_if(one.worked)
        if k:
            model.add(start >= at)
        for number, (spell, when) in enumerate(mine):
            before = model.new_bool_var(f"eats.{label}.{number}")
            model.add(end <= spell.start).only_enforce_if([before, *when])
            model.add(start >= spell.end).only_enforce_if([~before, *when])
        at = end
    model.add(one.last - at <= rules.meal_break_after_min).only_enforce_if(one.worked)


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
                for dive in mine:
                    if dive.leave is not None and dive is not spell:
                        _apart(days.model, spell, dive, (start, end), off)


def _apart(model: Model, spell: Spell, dive: Spell, night: tuple[int, int], off: int) -> None:
    """The spell misses the night, or ends after the dive has left the surface, or long enough before."""
    ways: list[Lit] = []

    def way(name: str) -> Lit:
        ways.append(model.new_bool_var(name))
        return ways[-1]

    assert dive.leave is not None
    model.add(spell.end <= night[0]).only_enforce_if(way("evening"))
    model.add(spell.start >= night[1]).only_enforce_if(way("morning"))
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

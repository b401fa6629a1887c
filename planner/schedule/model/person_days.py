"""Each person's stretches of duty and working days in a model, on which the rules of hours and sums stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ortools.sat.python import cp_model

from planner.schedule.model.interval import Lit, Model
from planner.schedule.model.named_support import NamedSupport
from planner.schedule.model.one_briefing import Calls
from planner.schedule.model.variables import DiveVars
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
    size
        Its minutes, where its times are variables.
    """

    literal: Lit | None
    start: _Edge
    end: _Edge
    day: Mapping[int, Lit | None]
    leave: _Edge | None = None
    size: Lit | None = None

    def on(self, day: int) -> list[Lit] | None:
        """The literals under which it is the person's on a working day; None when it cannot be."""
        if day not in self.day:
            return None
        return [literal for literal in (self.literal, self.day[day]) if literal is not None]


@dataclass(frozen=True)
class PersonDay:
    """One person's working day, from its briefing on. Without a duty ``first`` and ``last`` are free.

    ``called``: whether it begins with the crew's one briefing; a literal where that depends on when it is.
    """

    person: str
    day: int
    first: Lit
    last: Lit
    worked: Lit
    called: Lit | bool = False

    @property
    def length_min(self) -> cp_model.LinearExpr:
        """Minutes from the first duty to the end of the last."""
        return self.last - self.first


def spells_of(person: str, dives: list[DiveVars], support: NamedSupport | None) -> list[Spell]:
    """Every stretch of duty that a model may give to a person."""
    out = []
    if support is not None:
        out += [
            Spell(who, w.start, w.end, day, size=w.size) for who, w, day in support.spells.get(person, [])
        ]
    for dive in dives:
        out += [
            Spell(
                s.who[person],
                dive.dress_start,
                dive.seat.end,
                dive.day,
                dive.leave_surface,
                dive.seat.size,
            )
            for s in dive.seats
            if person in s.who
        ]
        if person in dive.standby:
            by = dive.standing
            out.append(Spell(dive.standby[person], by.start, by.end, dive.day, size=by.size))
    return out


class PersonDays:
    """First and last minute of duty of each person on each working day, made when first asked for."""

    def __init__(
        self,
        model: Model,
        problem: Problem,
        spells: Mapping[str, list[Spell]],
        calls: Calls | None = None,
    ) -> None:
        self.model = model
        self.problem = problem
        self.spells = spells
        self.calls = calls or {}
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

    def own(self, one: PersonDay) -> list[tuple[Spell, list[Lit]]]:
        """The stretches that may be a person's on a working day, each with the literals under which it is."""
        every = ((s, s.on(one.day)) for s in self.spells.get(one.person, []))
        return [(spell, when) for spell, when in every if when is not None]

    def _make(self, person: str, day: int) -> PersonDay | None:
        window = self.problem.days[day]
        mine = [(s, when) for s in self.spells.get(person, []) if (when := s.on(day)) is not None]
        if not mine:
            return None
        model, label = self.model, f"{person}.{day}"
        first, called = self._first(person, day, label)
        last = model.new_int_var(window.start_min, window.end_min, f"last.{label}")
        worked = model.new_bool_var(f"worked.{label}")
        briefing = self.problem.briefing_of_day(person, day)
        for spell, when in mine:
            model.add(first <= spell.start - briefing).only_enforce_if(when)
            model.add(last >= spell.end).only_enforce_if(when)
            model.add_bool_and(worked).only_enforce_if(when)
        at = self.problem.briefed_at(person, day)
        if at is not None:
            model.add(first <= at).only_enforce_if(worked)
            if called is not False:
                model.add(first >= at).only_enforce_if(worked)
        self._rested_by_then(person, day, first, worked, called)
        return PersonDay(person, day, first, last, worked, called)

    def _first(self, person: str, day: int, label: str) -> tuple[Lit, Lit | bool]:
        """First minute of somebody's working day, and whether it is the call of the crew."""
        model, problem, call = self.model, self.problem, self.calls.get(day)
        window = problem.days[day]
        comes = problem.comes_min(person, day)
        if call is not None and isinstance(call, int):
            call = call if call >= comes else None
        if call is None:
            return model.new_int_var(window.start_min, window.end_min, f"first.{label}"), False
        alone = not problem.several_stretches(person, day)
        if isinstance(call, int):
            call = model.new_constant(call)
        elif comes > problem.earliest_call_min(day):
            first = model.new_int_var(window.start_min, window.end_min, f"first.{label}")
            there = model.new_bool_var(f"there.{label}")
            model.add(call >= comes).only_enforce_if(there)
            model.add(call < comes).only_enforce_if(~there)
            model.add(first <= call).only_enforce_if(there)
            if alone:
                model.add(first >= call).only_enforce_if(there)
            return first, there
        # Of several stretches the first counts, on the safe side: he may come with the second.
        return call, True

    def _rested_by_then(self, person: str, day: int, first: Lit, worked: Lit, called: Lit | bool) -> None:
        """Who is on site at the call and not rested yet has no duty that day."""
        problem = self.problem
        own = [s.start_min for s in problem.hours[person] if problem.day_of(s.start_min) == day]
        # Who is not on site that day has no rest to wait for.
        rested = min(own, default=0) - problem.briefing_of_day(person, day)
        if called is False or rested <= problem.comes_min(person, day):
            return
        when = [worked] if called is True else [worked, called]
        self.model.add(first >= rested).only_enforce_if(when)


def longest_day_min(problem: Problem) -> int:
    """Longest stretch from first duty to last that a day's window and the duty span allow."""
    window = max(d.end_min - d.start_min for d in problem.days)
    return min(window, problem.job.rules.duty_span_max_min)


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

"""Each person's stretches of duty and working days in a model, on which the rules of hours and sums stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ortools.sat.python import cp_model

from planner.schedule.model.interval import Lit, Model
from planner.schedule.model.named_support import NamedSupport
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
    """One person's working day, from its briefing on. Without a duty ``first`` and ``last`` are free."""

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

    def own(self, one: PersonDay) -> list[tuple[Spell, list[Lit]]]:
        """The stretches that may be a person's on a working day, each with the literals under which it is."""
        every = ((s, s.on(one.day)) for s in self.spells.get(one.person, []))
        return [(spell, when) for spell, when in every if when is not None]

    def worked(self) -> cp_model.LinearExpr:
        """How many working days of people there are with a duty."""
        every = (one for p in self.problem.people for one in self.of_person(p.name))
        return cp_model.LinearExpr.sum([one.worked for one in every])

    def _make(self, person: str, day: int) -> PersonDay | None:
        window = self.problem.days[day]
        mine = [(s, when) for s in self.spells.get(person, []) if (when := s.on(day)) is not None]
        if not mine:
            return None
        model, label = self.model, f"{person}.{day}"
        first = model.new_int_var(window.start_min, window.end_min, f"first.{label}")
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
        return PersonDay(person, day, first, last, worked)


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

"""one-briefing in the models: the call of each day, with which the whole crew's briefing begins.

The call lies the briefing's minutes before all work of its day, and right before some of it, or where a pin
has it: no earlier, so that it is where the plan has it (`planner.day.briefings`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ortools.sat.python import cp_model

from planner.job import PinKind
from planner.schedule.model.interval import Lit, Model
from planner.schedule.model.variables import DiveVars, TaskVars
from planner.schedule.problem.problem import Problem

#: Working day → its call, job minute.
Calls = Mapping[int, Lit | int]


@dataclass(frozen=True)
class _Piece:
    """Work that may be the first of a day: from when, and the literals under which it is on which day."""

    start: cp_model.LinearExprT
    present: Lit
    day: Mapping[int, Lit | None]

    def on(self, day: int) -> list[Lit]:
        literal = self.day[day]
        return [self.present] if literal is None else [self.present, literal]


def calls_of(model: Model, problem: Problem, dives: list[DiveVars], tasks: list[TaskVars]) -> Calls:
    """A variable for each day that begins with one briefing, held before everything of the model."""
    pieces = [_Piece(d.dress_start, d.present, d.day) for d in dives]
    pieces += [_Piece(d.standing.start, d.present, d.day) for d in dives if d.dresses is not None]
    pieces += [_Piece(t.start, t.present, t.day) for t in tasks]
    minutes = problem.job.rules.briefing_min
    out: dict[int, Lit | int] = {}
    for day in sorted(problem.job.one_briefing_days):
        own = [p for p in pieces if day in p.day]
        if not own:
            continue
        call = out[day] = _call(model, problem, day)
        idle = model.new_bool_var(f"idle.{day}")
        begins: list[Lit] = [idle, *_pinned(model, problem, day, call)]
        for piece in own:
            model.add(call <= piece.start - minutes).only_enforce_if(piece.on(day))
            model.add_bool_or([~literal for literal in piece.on(day)]).only_enforce_if(idle)
            first = model.new_bool_var(f"begins.{day}")
            model.add_bool_and(piece.on(day)).only_enforce_if(first)
            model.add(call >= piece.start - minutes).only_enforce_if(first)
            begins.append(first)
        model.add_bool_or(begins)
    return out


def settled_calls(model: Model, problem: Problem, starts: Iterable[int]) -> Calls:
    """The same where all times are settled: a number but on days for which a briefing is pinned."""
    minutes = problem.job.rules.briefing_min
    firsts: dict[int, int] = {}
    for start in starts:
        day = problem.day_of(start)
        firsts[day] = min(start, firsts.get(day, start))
    out: dict[int, Lit | int] = {}
    for day, first in firsts.items():
        if day not in problem.job.one_briefing_days:
            continue
        out[day] = first - minutes
        call = _call(model, problem, day)
        pinned = _pinned(model, problem, day, call)
        if pinned:
            out[day] = call
            model.add(call <= first - minutes)
            right_before = model.new_bool_var(f"begins.{day}")
            model.add(call >= first - minutes).only_enforce_if(right_before)
            model.add_bool_or([right_before, *pinned])
    return out


def _call(model: Model, problem: Problem, day: int) -> Lit:
    window = problem.days[day]
    return model.new_int_var(window.start_min, window.end_min, f"call.{day}")


def _pinned(model: Model, problem: Problem, day: int, call: Lit) -> list[Lit]:
    """Literals that have the call where a pin has a briefing."""
    out = []
    for pin in problem.job.pins:
        at = pin.start_min
        if pin.kind is PinKind.BRIEFED and at is not None and problem.day_of(at) == day:
            out.append(model.new_bool_var(f"pinned.call.{day}.{at}"))
            model.add(call == at).only_enforce_if(out[-1])
    return out

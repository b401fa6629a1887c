"""How evenly a day is shared: dives and turns standing by, and the minutes of both."""

from __future__ import annotations

from ortools.sat.python import cp_model

from planner.schedule.model.interval import Lit, Model
from planner.schedule.model.variables import DiveVars
from planner.schedule.problem.problem import Problem


def spread_of_turns(model: Model, problem: Problem, dives: list[DiveVars]) -> cp_model.LinearExpr:
    """Spread of dives over the divers plus spread of turns standing by; past dives count."""
    down: dict[str, list[Lit]] = {p: [] for p in problem.share_takers.dives}
    turns: dict[str, list[Lit]] = {p: [] for p in problem.share_takers.standing_by}
    for dive in dives:
        for person in dive.data.divers:
            down.setdefault(person, []).extend(s.who[person] for s in dive.seats)
        for person, literal in dive.standby.items():
            turns.setdefault(person, []).append(literal)
    past = {p.name: len(p.past_dives) for p in problem.people}
    return _spread(model, down, past) + _spread(model, turns, dict.fromkeys(past, 0))


def spread_of_minutes(
    model: Model, problem: Problem, dives: list[DiveVars], bottom: dict[str, list[Lit]]
) -> cp_model.LinearExpr:
    """Spread of bottom minutes plus spread of standby minutes, past ones counted."""
    people = problem.people
    past = {p.name: sum(d.bottom_time_min for d in p.past_dives) for p in people}
    by = {p.name: p.past_standby_min for p in people}
    return _spread(model, bottom, past) + _spread(model, _standby_minutes(model, problem, dives), by)


def _standby_minutes(model: Model, problem: Problem, dives: list[DiveVars]) -> dict[str, list[Lit]]:
    length = problem.window.end_min - problem.window.start_min
    out: dict[str, list[Lit]] = {}
    for dive in dives:
        shared = []
        for person, literal in dive.standby.items():
            own = model.new_int_var(0, length, f"{dive.name}.by.{person}")
            model.add(own == dive.standing.size).only_enforce_if(literal)
            model.add(own <= length * literal)
            out.setdefault(person, []).append(own)
            shared.append(own)
        if shared:
            total = model.new_int_var(0, length, f"{dive.name}.watched")
            model.add(total == dive.standing.size).only_enforce_if(dive.present)
            model.add(total <= length * dive.present)
            model.add(cp_model.LinearExpr.sum(shared) == dive.data.standbys * total)
    return out


def _spread(model: Model, amounts: dict[str, list[Lit]], past: dict[str, int]) -> cp_model.LinearExpr:
    if len(amounts) < 2:
        return cp_model.LinearExpr.sum([])
    most = model.new_int_var(0, 50_000, "most")
    least = model.new_int_var(0, 50_000, "least")
    for person, own in amounts.items():
        total = cp_model.LinearExpr.sum(own) + past[person]
        model.add(most >= total)
        model.add(least <= total)
    return most - least

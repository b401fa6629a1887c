"""How evenly a day is shared: dives and turns standing by, and the minutes of both."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from planner.schedule.model.interval import Lit

if TYPE_CHECKING:
    from planner.schedule.model.day_model import DayModel


def spread_of_turns(day: DayModel) -> cp_model.LinearExpr:
    """Spread of dives over the divers plus spread of turns standing by; past dives count."""
    dives: dict[str, list[Lit]] = {}
    turns: dict[str, list[Lit]] = {}
    for dive in day.dives:
        for person in dive.data.divers:
            dives.setdefault(person, []).extend(s.who[person] for s in dive.seats)
        for person, literal in dive.standby.items():
            turns.setdefault(person, []).append(literal)
    past = {p.name: len(p.past_dives) for p in day.problem.people}
    return _spread(day, dives, past) + _spread(day, turns, dict.fromkeys(past, 0))


def spread_of_minutes(day: DayModel) -> cp_model.LinearExpr:
    """Spread of bottom minutes plus spread of standby minutes, past ones counted."""
    people = day.problem.people
    bottom = {p.name: sum(d.bottom_time_min for d in p.past_dives) for p in people}
    by = {p.name: p.past_standby_min for p in people}
    down = {p: list(own) for p, own in day.bottom.items()}
    return _spread(day, down, bottom) + _spread(day, _standby_minutes(day), by)


def _standby_minutes(day: DayModel) -> dict[str, list[Lit]]:
    length = day.problem.window.end_min - day.problem.window.start_min
    out: dict[str, list[Lit]] = {}
    for dive in day.dives:
        shared = []
        for person, literal in dive.standby.items():
            own = day.model.new_int_var(0, length, f"{dive.name}.by.{person}")
            day.model.add(own == dive.standing.size).only_enforce_if(literal)
            day.model.add(own <= length * literal)
            out.setdefault(person, []).append(own)
            shared.append(own)
        if shared:
            total = day.model.new_int_var(0, length, f"{dive.name}.watched")
            day.model.add(total == dive.standing.size).only_enforce_if(dive.present)
            day.model.add(total <= length * dive.present)
            day.model.add(cp_model.LinearExpr.sum(shared) == dive.data.standbys * total)
    return out


def _spread(day: DayModel, amounts: dict[str, list[Lit]], past: dict[str, int]) -> cp_model.LinearExpr:
    if len(amounts) < 2:
        return cp_model.LinearExpr.sum([])
    most = day.model.new_int_var(0, 50_000, "most")
    least = day.model.new_int_var(0, 50_000, "least")
    for person, own in amounts.items():
        total = cp_model.LinearExpr.sum(own) + past[person]
        day.model.add(most >= total)
        day.model.add(least <= total)
    return most - least

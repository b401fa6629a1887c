"""What no finish can be earlier than: redundant, and said outright because the search does not see it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from planner.schedule.problem import Problem
from planner.schedule.stretch import Lit
from planner.schedule.variables import DiveVars

if TYPE_CHECKING:
    from planner.schedule.model import DayModel


def bound_finish(day: DayModel, finish: Lit) -> None:
    """Redundant: what must follow one another on a station cannot end before it is all done."""
    hours = _working_minutes(day, finish)
    for names in _station_sets(day.problem):
        own = [d for d in day.dives if set(d.station) <= names]
        if not own:
            continue
        water = cp_model.LinearExpr.sum([d.water_min() for d in own])
        ends = min(d.data.dressing_min for d in own) + min(d.data.undressing_min for d in own)
        some = day.model.new_bool_var("used")
        day.model.add_max_equality(some, [d.present for d in own])
        # Of several stations each is dressed for, dived and undressed from within the same stretch.
        count = len(names)
        day.model.add(count * hours >= water + count * ends * some)
        day.model.add(water <= count * sum(_water_hours(day.problem, own)))
    for station, works in day.benches.items():
        bench = [d.bench_min() for d in day.dives if d.work in works and set(d.station) == {station}]
        if bench:
            day.model.add(hours >= cp_model.LinearExpr.sum(bench))
    for group in day.tasks_apart:
        one_by_one = [day.tasks[k].data.item.duration_min * day.tasks[k].present for k in group]
        day.model.add(hours >= cp_model.LinearExpr.sum(one_by_one))


def _working_minutes(day: DayModel, finish: Lit) -> cp_model.LinearExpr:
    """Minutes of the working days up to the finish; nights are none."""
    if len(day.problem.days) == 1:
        return finish - day.problem.window.start_min
    parts = []
    for k, window in enumerate(day.problem.days):
        length = window.end_min - window.start_min
        begun = day.model.new_bool_var(f"begun.{k}")
        part = day.model.new_int_var(0, length, f"open.{k}")
        day.model.add(part <= length * begun)
        day.model.add(finish >= window.start_min).only_enforce_if(begun)
        day.model.add(part <= finish - window.start_min).only_enforce_if(begun)
        parts.append(part)
    return cp_model.LinearExpr.sum(parts)


def _water_hours(problem: Problem, dives: list[DiveVars]) -> list[int]:
    """Minutes of water there are at all for some dives, each working day.

    From the first minute anyone may leave the surface to the end of the last window.
    """
    out = []
    for k, window in enumerate(problem.days):
        spans = [
            (max(p.span.start_min, window.start_min + d.data.dressing_min), p.span.end_min)
            for d in dives
            for p in d.data.placements
            if problem.day_of(p.span.start_min) == k
        ]
        if spans:
            out.append(max(0, max(end for _, end in spans) - min(start for start, _ in spans)))
    return out


def _station_sets(problem: Problem) -> list[set[str]]:
    names = [s.name for s in problem.job.stations]
    return [{n} for n in names] + ([set(names)] if len(names) > 1 else [])

"""air-primary-flow and air-reserve in the model: everyone in the water against the plant."""

from __future__ import annotations

from ortools.sat.python import cp_model

from planner.schedule.problem import AIR_PADDING_MIN, Problem
from planner.schedule.stretch import Model
from planner.schedule.variables import DiveVars


def air(model: Model, problem: Problem, dives: list[DiveVars]) -> None:
    """State the limits of `planner.schedule.air_limits` for all dives together."""
    limits = problem.air
    for ceiling in limits.ceilings:
        pad = AIR_PADDING_MIN if ceiling.padded else 0
        intervals = [d.water.when(model, d.present, "air", extra_min=pad, earlier_min=pad) for d in dives]
        model.add_cumulative(intervals, [ceiling.amount[d.work] for d in dives], ceiling.capacity)
    if limits.draw:
        drawn = [limits.draw[d.work] * (d.water_min() + 2 * AIR_PADDING_MIN * d.present) for d in dives]
        model.add(cp_model.LinearExpr.sum(drawn) <= limits.store)

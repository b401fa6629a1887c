"""air-primary-flow and air-reserve in the model: everyone in the water against the plant."""

from __future__ import annotations

from ortools.sat.python import cp_model

from planner.schedule.air_limits import AIR_PADDING_MIN as PAD
from planner.schedule.air_limits import edge_after_min
from planner.schedule.problem import Problem
from planner.schedule.stretch import Model
from planner.schedule.variables import DiveVars


def air(model: Model, problem: Problem, dives: list[DiveVars]) -> None:
    """State the limits of `planner.schedule.air_limits` for all dives together."""
    limits = problem.air
    for ceiling in limits.ceilings:
        intervals = [d.water.interval for d in dives]
        amounts = [ceiling.amount[d.work] for d in dives]
        for dive in dives if ceiling.edge else ():
            after = edge_after_min(problem.job, dive.data.item)
            for start, minutes in ((dive.leave_surface - PAD, PAD), (dive.reach_surface, after)):
                name = f"{dive.name}.air.{minutes}"
                intervals.append(
                    model.new_optional_fixed_size_interval_var(start, minutes, dive.present, name)
                )
                amounts.append(ceiling.edge[dive.work])
        model.add_cumulative(intervals, amounts, ceiling.capacity)
    if limits.draw:
        drawn = [limits.draw[d.work] * (d.water_min() + 2 * PAD * d.present) for d in dives]
        model.add(cp_model.LinearExpr.sum(drawn) <= limits.store)

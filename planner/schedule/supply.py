"""Air in the model: flow of everyone in the water against the plant, and the reserve that brings them up.

Constants come from `planner.air`; each is on the safe side of what its check asks, so a plan that holds
here holds there. Tenths of a scfm and whole scf keep the numbers integers.
"""

from __future__ import annotations

import math

from ortools.sat.python import cp_model

from planner.air import (
    dive_demand_scfm,
    has_plant,
    independent_reserve,
    item_manifold_psi,
    primary_bank_scf,
    primary_capacity_scfm,
    primary_tank_scf,
    reserve_ascent_scf,
    reserve_capacity_scfm,
    reserve_flow_scfm,
    reserve_stored_scf,
    standby_reserve_scfm,
)
from planner.schedule.problem import AIR_PADDING_MIN, Problem
from planner.schedule.variables import DiveVars, Model


def air(model: Model, problem: Problem, dives: list[DiveVars]) -> None:
    """air-primary-flow and air-reserve for all dives together; each alone was weighed beforehand."""
    job = problem.job
    if not has_plant(job.air) or not dives:
        return
    psi = max(item_manifold_psi(job, d.data.item) for d in dives)
    flow = [
        math.ceil(10 * (dive_demand_scfm(job, d.data.item) + standby_reserve_scfm(job, d.data.item)))
        for d in dives
    ]
    capacity = math.floor(10 * primary_capacity_scfm(job, psi))
    stored = math.floor(10 * (primary_bank_scf(job, psi) + primary_tank_scf(job, psi)))
    if capacity >= max(flow):
        if len(job.stations) > 1:
            model.add_cumulative([_air_on(model, d) for d in dives], flow, capacity)
    else:
        # Compressors alone do not carry a dive: everything is counted as drawn from bank and tank.
        drawn = [f * (d.water_min() + AIR_PADDING_MIN * d.present) for f, d in zip(flow, dives, strict=True)]
        model.add(cp_model.LinearExpr.sum(drawn) <= stored)
    if len(job.stations) > 1:
        for whose in (job, job.replace(air=independent_reserve(job.air))):
            _reserve(model, problem, dives, reserve_capacity_scfm(whose, psi), reserve_stored_scf(whose, psi))


def _reserve(
    model: Model, problem: Problem, dives: list[DiveVars], capacity_scfm: float, stored_scf: float
) -> None:
    job = problem.job
    flow = [math.ceil(10 * reserve_flow_scfm(job, d.data.item)) for d in dives]
    gas = [
        math.ceil(max(reserve_ascent_scf(job, d.data.item, m.schedule) for m in d.data.modes)) for d in dives
    ]
    water = [d.water.interval for d in dives]
    if max(flow) <= math.floor(10 * capacity_scfm):
        model.add_cumulative(water, flow, math.floor(10 * capacity_scfm))
    elif max(gas) <= math.floor(stored_scf):
        model.add_cumulative(water, gas, math.floor(stored_scf))
    else:
        # Neither alone brings every item's people up: one station in the water at a time.
        model.add_no_overlap(water)


def _air_on(model: Model, dive: DiveVars) -> cp_model.IntervalVar:
    return dive.water.when(model, dive.present, "air", extra_min=AIR_PADDING_MIN, earlier_min=AIR_PADDING_MIN)

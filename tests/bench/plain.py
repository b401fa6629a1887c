"""A plain formulation, to measure the scheduler against: every duty a person-level optional interval.

The same variables and hard rules, without what makes the scheduler fast: no counted crews, no redundant
bounds, no cliques, alike divers not ordered, no first plan and no hint.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from unittest import mock

from ortools.sat.python import cp_model

from planner.job import Job
from planner.schedule.model import capacity, day_model
from planner.schedule.model.day_model import DayModel
from planner.schedule.problem.prepare import prepare
from planner.schedule.problem.problem import Problem


@dataclass(frozen=True)
class PlainRun:
    """What the plain formulation came to in its time."""

    value: int | None
    bound: int
    proven: bool
    seconds: float
    seconds_to_value: float


def plain_work(job: Job, *, seconds: float, target: int | None = None) -> PlainRun:
    """Most weighted work by the plain formulation; stops once ``target`` is reached."""
    problem = prepare(job)
    with (
        mock.patch.object(capacity, "crews", lambda *_: None),
        mock.patch.object(capacity, "one_bench_at_a_time", lambda *_: []),
        mock.patch.object(capacity, "tasks_one_at_a_time", lambda *_: []),
        mock.patch.object(Problem, "alike", ()),
        mock.patch.object(day_model, "bound_finish", lambda *_: None),
    ):
        began = time.perf_counter()
        day = DayModel(problem, named_support=True)
    day.model.maximize(day.work())
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = seconds

    class Reached(cp_model.CpSolverSolutionCallback):
        at_s = seconds

        def on_solution_callback(self) -> None:
            if target is not None and round(self.objective_value) >= target:
                self.at_s = time.perf_counter() - began
                self.stop_search()

    watcher = Reached()
    status = solver.solve(day.model, watcher)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return PlainRun(
        round(solver.objective_value) if found else None,
        round(solver.best_objective_bound),
        status == cp_model.OPTIMAL,
        time.perf_counter() - began,
        watcher.at_s,
    )

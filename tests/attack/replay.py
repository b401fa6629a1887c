"""A plan that the check accepts, put into the scheduler's model: whether the model shuts it out.

Fixed are the main decisions (which dives, when, how long, from where, who dives, who stands by, which tasks
when); who holds the rest is for the model to find. A model that has no room for such a plan is narrower than
the check, and its bounds are no proofs.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from planner.job import Job
from planner.plan import Plan
from planner.schedule.draft.draft import draft_of, in_order
from planner.schedule.model.day_model import DayModel
from planner.schedule.problem.prepare import prepare
from planner.schedule.problem.problem import Problem


class Replay:
    """The exact model of a job, made once for many plans."""

    def __init__(self, job: Job) -> None:
        self.problem: Problem = prepare(job)
        self.day = DayModel(self.problem, named_support=True)

    def shuts_out(self, plan: Plan) -> str | None:
        """Why the model has no room for a plan; None where it holds it (or the time did not decide it)."""
        draft = draft_of(self.problem, plan)
        if draft is None:
            return "no slot or no seat for it"
        clone = self.day.model.clone()
        self.day.pin(clone, in_order(self.problem, draft))
        clone.clear_objective()
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = 2.0
        return "infeasible" if solver.solve(clone) == cp_model.INFEASIBLE else None

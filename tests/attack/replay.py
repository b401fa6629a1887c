"""A plan that the check accepts, put into the scheduler's model: whether the model shuts it out.

Fixed are the main decisions (which dives, when, how long, from where, who dives, who stands by, which tasks
when); who holds the rest is for the model to find. A model that has no room for such a plan, or gives it
fewer minutes in hand, a later finish, more overtime or more people-hours than the check does, is narrower
than the check, and its bounds are no proofs. So is what is said of people-hours from the work alone, and the
model that counts support duties where it holds the overtime.
"""

from __future__ import annotations

from collections.abc import Mapping

from ortools.sat.python import cp_model

from planner.check.stages import FINISH, MINUTES_IN_HAND, OVERTIME, PEOPLE_HOURS, WORK_FINISHED
from planner.job import Job
from planner.plan import Plan
from planner.schedule.draft.draft import Draft, draft_of, in_order
from planner.schedule.model.bounds import PeopleBound, first_duty_min
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.ends import overtime_at_the_ends
from planner.schedule.model.overtime import overtime_bound
from planner.schedule.problem.least import work_there_is
from planner.schedule.problem.prepare import prepare
from planner.schedule.problem.problem import Problem
from tests.attack.claims import Values, values_of


def overtime_of_its_ends(problem: Problem, plan: Plan) -> int:
    """What is told of the overtime of every plan of a one-day job that begins and ends when this one does."""
    dressed = min(d.leave_surface_min - problem.work_of(d.item).dressing_min for d in plan.dives)
    undressed = max(d.undressed_min for d in plan.dives)
    finish = max(undressed, *(t.end_min for t in plan.surface_tasks), 0)
    if not problem.standing:
        start = min(dressed, *(t.start_min for t in plan.surface_tasks), problem.window.end_min)
        return overtime_bound(problem, finish_min=finish, latest_start_min=start)
    dived = undressed - dressed
    return overtime_at_the_ends(problem, dived, finish - first_duty_min(problem, 0) - dived)


class Replay:
    """The exact model of a job, made once for many plans."""

    def __init__(self, job: Job) -> None:
        self.problem: Problem = prepare(job)
        self.day = DayModel(self.problem, named_support=True)
        self.counted = DayModel(self.problem)
        self._held = self.counted.model.new_int_var(0, 10_000_000, "held")
        self.counted.hold_overtime(self._held)
        self._least = {
            kind.name: self._at_least(expression())
            for kind, expression in (
                (MINUTES_IN_HAND, self.day.short),
                (FINISH, self.day.finish_counted),
                (OVERTIME, self.day.overtime),
                (PEOPLE_HOURS, self.day.people_minutes),
            )
        }

    def _at_least(self, expression: cp_model.LinearExprT) -> cp_model.IntVar:
        """A variable that is none below an expression."""
        told = self.day.model.new_int_var(0, 10_000_000, "told")
        self.day.model.add(told >= expression)
        return told

    def shuts_out(self, plan: Plan) -> str | None:
        """Why the model has no room for a plan; None where it holds it (or the time did not decide it)."""
        draft = draft_of(self.problem, plan)
        if draft is None:
            return "no slot or no seat for it"
        values = values_of(self.problem.job, plan)
        if self._none(self.counted, draft, {OVERTIME.name: self._held}, values):
            return "infeasible where support is counted and the overtime held"
        if values[WORK_FINISHED.name] == work_there_is(self.problem):
            least = PeopleBound(self.problem).all_the_work_min()
            if values[PEOPLE_HOURS.name] < least:
                return f"{values[PEOPLE_HOURS.name]} people-minutes, said to take {least} for the work alone"
        return "infeasible" if self._none(self.day, draft, self._least, values) else None

    def _none(self, day: DayModel, draft: Draft, most: Mapping[str, cp_model.IntVar], values: Values) -> bool:
        """Whether a model has no solution with a draft and no more of the values than its plan."""
        clone = day.model.clone()
        day.pin(clone, in_order(self.problem, draft))
        for name, var in most.items():
            if name in values:
                clone.add(clone.get_int_var_from_proto_index(var.index) <= values[name])
        clone.clear_objective()
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = 2.0
        return solver.solve(clone) == cp_model.INFEASIBLE

"""Items for which the same diver is preferred: how many more different ones than one team go down to them."""

from __future__ import annotations

from ortools.sat.python import cp_model

from planner.job.words import DIVER
from planner.schedule.draft import Crew, Draft
from planner.schedule.model import DayModel
from planner.schedule.problem import Problem


def asked(problem: Problem) -> bool:
    """Whether the job prefers it for an item that may take more than one dive."""
    return any(w.item.same_diver and w.slots > 1 for w in problem.dives)


def same_diver_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Different working divers less one team, summed over those items."""
    beyond = 0
    for index, work in enumerate(problem.dives):
        if work.item.same_diver:
            own = [d for d in draft.dives if d.work == index]
            different = {p for d in own for p, duty in d.seats if duty == DIVER}
            beyond += max(0, len(different) - work.item.divers)
    return beyond


def same_diver_expression(day: DayModel) -> cp_model.LinearExpr:
    """The same in a model."""
    model = day.model
    terms: list[cp_model.LinearExprT] = []
    for index, work in enumerate(day.problem.dives):
        if not work.item.same_diver or work.slots < 2:
            continue
        mine = [d for d in day.dives if d.work == index]
        for person in work.divers:
            down = model.new_bool_var(f"down.{index}.{person}")
            for dive in mine:
                for seat in dive.seats:
                    if seat.duty == DIVER:
                        model.add_implication(seat.who[person], down)
            terms.append(down)
        # Slots are used from the first on: with any dive there is one team.
        terms.append(-work.item.divers * mine[0].present)
    return cp_model.LinearExpr.sum(terms)

"""Items for which the same diver is preferred: how many more different ones than one team go down to them."""

from __future__ import annotations

from ortools.sat.python import cp_model

from planner.job.words import DIVER
from planner.schedule.draft import Crew, Draft
from planner.schedule.model import DayModel
from planner.schedule.problem import Problem


def asked(problem: Problem) -> bool:
    """Whether the job prefers it for an item that may take more than one dive."""
    return any(w.item.same_diver and _slots(problem, w.item.name) > 1 for w in problem.items_under)


def _slots(problem: Problem, item: str) -> int:
    return sum(problem.dives[k].slots for k in problem.by_item[item])


def same_diver_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Different working divers less one team, summed over those items."""
    beyond = 0
    for work in problem.items_under:
        if work.item.same_diver:
            works = problem.by_item[work.item.name]
            own = [d for d in draft.dives if d.work in works]
            different = {p for d in own for p, duty in d.seats if duty == DIVER}
            beyond += max(0, len(different) - work.item.divers)
    return beyond


def same_diver_expression(day: DayModel) -> cp_model.LinearExpr:
    """The same in a model."""
    model = day.model
    terms: list[cp_model.LinearExprT] = []
    for work in day.problem.items_under:
        name = work.item.name
        if not work.item.same_diver or _slots(day.problem, name) < 2:
            continue
        mine = [d for d in day.dives if d.work in day.problem.by_item[name]]
        for person in sorted({p for d in mine for p in d.data.divers}):
            down = model.new_bool_var(f"down.{name}.{person}")
            for dive in mine:
                for seat in dive.seats:
                    if seat.duty == DIVER and person in seat.who:
                        model.add_implication(seat.who[person], down)
            terms.append(down)
        # With any dive there is one team.
        some = model.new_bool_var(f"any.{name}")
        model.add_max_equality(some, [d.present for d in mine])
        terms.append(-work.item.divers * some)
    return cp_model.LinearExpr.sum(terms)

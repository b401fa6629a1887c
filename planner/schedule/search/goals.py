"""The objective in strict order: each stage's expression in the model and its value on a draft.

Every value can be worked out again from the plan alone; the expressions only tell the solver.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ortools.sat.python import cp_model

from planner.job.duties import DIVER
from planner.plan.work import PEOPLE_HOURS, SAME_DIVER
from planner.schedule.draft.build import exposures_of
from planner.schedule.draft.draft import Crew, Draft
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.duty_hours import people_value
from planner.schedule.problem.problem import Problem
from planner.schedule.search.changes import Near, changes_expression, changes_value
from planner.tables import rank_after


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


@dataclass(frozen=True)
class Goal:
    """One stage.

    Parameters
    ----------
    name, unit
        As shown to a person.
    maximise
        Whether more is better.
    expression
        The stage's value in a model.
    value
        The same of a draft and its crew.
    share
        Part of the time left that the stage may take.
    names_everyone
        The expression needs a model that names every support duty.
    refined
        In a model that counts support duties the expression is only a bound: what it leaves open is settled
        in one that names them.
    most
        Part of the whole budget that the stage takes at most.
    by_core
        Whether one of two searches raises the bound by cores (`planner.schedule.search.stage.Budget`).
    """

    name: str
    unit: str
    maximise: bool
    expression: Callable[[DayModel], cp_model.LinearExpr | cp_model.IntVar]
    value: Callable[[Problem, Draft, Crew], int]
    share: float
    names_everyone: bool = False
    refined: bool = False
    most: float = 1.0
    by_core: bool = False

    def better(self, one: int, other: int) -> bool:
        return one > other if self.maximise else one < other


def work_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Priority-weighted minutes of work."""
    under = sum(
        problem.dives[d.work].weight * (d.bottom_time_min - problem.dives[d.work].descent_min)
        for d in draft.dives
    )
    above = sum(problem.tasks[t.task].weight * problem.tasks[t.task].item.duration_min for t in draft.tasks)
    return under + above


def finish_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Minute of the job at which the last diver is undressed and the last task done."""
    ends = [d.undressed_min for d in draft.dives]
    ends += [t.start_min + problem.tasks[t.task].item.duration_min for t in draft.tasks]
    return max(ends, default=0)


def decompression_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Minutes on the way up, summed over everyone in the water."""
    return sum(-(-e.schedule.ascent_s // 60) for each in exposures_of(problem, draft) for e in each.values())


def nitrogen_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Repetitive groups at surfacing as numbers (A is 1, Z is 16), summed over everyone in the water."""
    return sum(rank_after(e.group_after) + 1 for each in exposures_of(problem, draft) for e in each.values())


def shares_value(problem: Problem, draft: Draft, crew: Crew | None = None) -> int:
    """Spread of dives over the divers plus spread of turns standing by."""
    down = {p: 0 for d in problem.dives if d.slots for p in d.divers}
    by = {p: 0 for d in problem.dives if d.slots and d.standbys for p in d.standby_people}
    for person in problem.people:
        if person.name in down:
            down[person.name] = len(person.past_dives)
    for dive in draft.dives:
        for p, _ in dive.seats:
            down[p] += 1
        for p in dive.standby:
            by[p] += 1
    return sum(max(v.values()) - min(v.values()) if len(v) > 1 else 0 for v in (down, by))


WORK = Goal("work finished", "weighted minutes", True, DayModel.work, work_value, 0.6, by_core=True)
FINISH = Goal("finish", "minute of the job", False, DayModel.finish, finish_value, 0.7)
OVERTIME = Goal(
    "overtime",
    "minutes",
    False,
    DayModel.overtime,
    lambda _p, _d, c: c.overtime_min,
    0.4,
    names_everyone=True,
)
DECOMPRESSION = Goal(
    "decompression",
    "minutes on the way up",
    False,
    DayModel.decompression,
    decompression_value,
    0.4,
    by_core=True,
)
NITROGEN = Goal("nitrogen", "groups, A as 1", False, DayModel.nitrogen, nitrogen_value, 0.4)
SHARES = Goal("fair shares", "turns", False, DayModel.shares, shares_value, 0.7)

SAME = Goal(SAME_DIVER, "divers beyond one team", False, same_diver_expression, same_diver_value, 0.4)
PEOPLE = Goal(
    PEOPLE_HOURS,
    "minutes on site",
    False,
    DayModel.people_minutes,
    people_value,
    0.9,
    names_everyone=True,
    most=0.1,
)

#: In strict order, those of every job. Overtime is part of the second stage, nitrogen of the third.
GOALS: tuple[Goal, ...] = (WORK, FINISH, OVERTIME, DECOMPRESSION, NITROGEN, SHARES, PEOPLE)


def changes_goal(near: Near) -> Goal:
    """Fewest changed duties beside those of a plan in force."""
    return Goal(
        "changed duties",
        "duties given or taken away",
        False,
        lambda day: changes_expression(day, near),
        lambda problem, draft, crew: changes_value(problem, near, draft, crew),
        0.4,
        refined=True,
    )


def goals_of(problem: Problem, near: Near | None) -> tuple[Goal, ...]:
    """The stages of a job in strict order: with a plan in force its changes, and the same diver if asked."""
    out = list(GOALS)
    if asked(problem):
        out.insert(out.index(SHARES), SAME)
    if near is not None:
        out.insert(out.index(WORK) + 1, changes_goal(near))
    return tuple(out)

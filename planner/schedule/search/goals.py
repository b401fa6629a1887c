"""The objective in strict order: each stage's expression in the model and its value on a draft.

Every value can be worked out again from the plan alone; the expressions only tell the solver.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ortools.sat.python import cp_model

from planner.check import stages
from planner.check.stages import StageKind, stage_kinds
from planner.job.duties import DIVER
from planner.schedule.draft.draft import Crew, Draft
from planner.schedule.draft.values import (
    HeldDuties,
    changes_value,
    decompression_value,
    finish_value,
    margin_value,
    nitrogen_value,
    one_go_value,
    people_value,
    same_diver_value,
    shares_value,
    slots_of,
    work_value,
)
from planner.schedule.model.bounds import PeopleBound, least_finish_min
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.most_work import most_work
from planner.schedule.model.one_go import least_between_min, minutes_between
from planner.schedule.model.overtime import least_overtime_min, least_overtime_over_days
from planner.schedule.problem.least import (
    least_beyond_one_team,
    least_decompression_min,
    least_nitrogen,
    least_shares,
    least_short_min,
    work_there_is,
)
from planner.schedule.problem.problem import Problem
from planner.schedule.search.changes import changes_expression
from planner.schedule.search.neighbourhoods import (
    Neighbourhood,
    few_free,
    items_free,
    length_free,
    times_free,
)


def same_diver_expression(day: DayModel) -> cp_model.LinearExpr:
    """Different working divers less one team, summed over the items for which the same diver is preferred."""
    model = day.model
    terms: list[cp_model.LinearExprT] = []
    for work in day.problem.items_under:
        name = work.item.name
        if not work.item.same_diver or slots_of(day.problem, name) < 2:
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


def _from_zero(problem: Problem, work: int) -> int:
    return 0


@dataclass(frozen=True)
class Goal:
    """One stage.

    Parameters
    ----------
    kind
        What it is called and counted in, and whether more is better.
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
    near
        How plans near the best one differ from it, which are searched first; None: not at all.
    known
        What no plan at all with so many weighted minutes of work can beat, told without a search.
    by_core
        Whether one of two searches raises the bound by cores (`planner.schedule.search.stage.Budget`).
    """

    kind: StageKind
    expression: Callable[[DayModel], cp_model.LinearExpr | cp_model.IntVar]
    value: Callable[[Problem, Draft, Crew], int]
    share: float
    names_everyone: bool = False
    refined: bool = False
    most: float = 1.0
    by_core: bool = False
    near: Neighbourhood | None = None
    known: Callable[[Problem, int], int] = _from_zero

    @property
    def name(self) -> str:
        return self.kind.name

    @property
    def unit(self) -> str:
        return self.kind.unit

    @property
    def maximise(self) -> bool:
        return self.kind.maximise

    def better(self, one: int, other: int) -> bool:
        return one > other if self.maximise else one < other

    def hold(self, day: DayModel, value: int) -> None:
        """Keep a settled value in a model; a counted one keeps what needs names as far as it shows there."""
        if self.names_everyone and day.support is None:
            if self is OVERTIME:
                day.hold_overtime(value)
            return
        expression = self.expression(day)
        day.model.add(expression >= value if self.maximise else expression <= value)
        if self is WORK and value == day.work_bound:
            day.finish_everything()


def _finish_known(problem: Problem, work: int) -> int:
    return problem.job.finish_counted_min(least_finish_min(problem, work))


def _people_known(problem: Problem, work: int) -> int:
    return PeopleBound(problem).all_the_work_min() if work == work_there_is(problem) else 0


def _overtime_known(problem: Problem, work: int) -> int:
    """What the people-hours leave where everyone works the ordinary day, every day; and what those take who
    are there at both its ends."""
    least = least_overtime_min(problem, work)
    if work != work_there_is(problem):
        return least
    days = sum(bool(problem.hours[p.name]) for p in problem.people) * len(problem.days)
    more = _people_known(problem, work) - days * problem.job.rules.overtime_after_min
    return max(more, least, least_overtime_over_days(problem))


def _same_diver_known(problem: Problem, work: int) -> int:
    return least_beyond_one_team(problem) if work == work_there_is(problem) else 0


def _one_go_known(problem: Problem, work: int) -> int:
    return least_between_min(problem) if work == work_there_is(problem) else 0


WORK = Goal(
    stages.WORK_FINISHED, DayModel.work, work_value, 0.6, by_core=True, known=lambda p, _: most_work(p)
)
MARGIN = Goal(
    stages.MINUTES_IN_HAND,
    DayModel.short,
    margin_value,
    0.6,
    by_core=True,
    near=few_free,
    known=least_short_min,
)
FINISH = Goal(stages.FINISH, DayModel.finish_counted, finish_value, 0.7, near=times_free, known=_finish_known)
OVERTIME = Goal(
    stages.OVERTIME,
    DayModel.overtime,
    lambda _p, _d, c: c.overtime_min,
    0.4,
    names_everyone=True,
    near=length_free,
    known=_overtime_known,
)
DECOMPRESSION = Goal(
    stages.DECOMPRESSION,
    DayModel.decompression,
    decompression_value,
    0.4,
    by_core=True,
    near=few_free,
    known=least_decompression_min,
)
NITROGEN = Goal(stages.NITROGEN, DayModel.nitrogen, nitrogen_value, 0.4, near=few_free, known=least_nitrogen)
SAME = Goal(
    stages.SAME_DIVER, same_diver_expression, same_diver_value, 0.4, near=few_free, known=_same_diver_known
)
ONE_GO = Goal(
    stages.IN_ONE_GO,
    lambda day: minutes_between(day.model, day.problem, day.dives),
    one_go_value,
    0.6,
    near=items_free,
    known=_one_go_known,
)
SHARES = Goal(stages.FAIR_SHARES, DayModel.shares, shares_value, 0.7, near=few_free, known=least_shares)
PEOPLE = Goal(
    stages.PEOPLE_HOURS,
    DayModel.people_minutes,
    people_value,
    0.9,
    names_everyone=True,
    most=0.1,
    near=times_free,
    known=_people_known,
)

_GOALS = {
    goal.kind: goal
    for goal in (WORK, MARGIN, FINISH, OVERTIME, DECOMPRESSION, NITROGEN, SAME, ONE_GO, SHARES, PEOPLE)
}


def changes_goal(in_force: HeldDuties) -> Goal:
    """Fewest changed duties beside those of a plan in force."""
    return Goal(
        stages.CHANGED_DUTIES,
        lambda day: changes_expression(day, in_force),
        lambda problem, draft, crew: changes_value(problem, in_force, draft, crew),
        0.4,
        refined=True,
    )


def goals_of(problem: Problem, in_force: HeldDuties | None) -> tuple[Goal, ...]:
    """The stages of a job in its own strict order (`planner.check.stages.stage_kinds`)."""
    kinds = stage_kinds(problem.job, beside_a_plan_in_force=in_force is not None)
    goals = _GOALS if in_force is None else {**_GOALS, stages.CHANGED_DUTIES: changes_goal(in_force)}
    return tuple(goals[kind] for kind in kinds)

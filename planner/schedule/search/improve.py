"""One stage of a search: plans near the best one, then the whole day, shown as they are found."""

from __future__ import annotations

from ortools.sat.python import cp_model

from planner.schedule.draft.draft import Draft
from planner.schedule.model.day_model import DayModel
from planner.schedule.search.goals import PEOPLE, Goal
from planner.schedule.search.incumbent import Incumbent
from planner.schedule.search.neighbourhoods import better_nearby, few_free, items_free
from planner.schedule.search.stage import Budget, NamedOrStopped, StageResult, run_stage

#: Part of the time left for another plan as good as one that could not be named.
NAMED_AGAIN = 0.25

#: Seconds kept for evening out minutes once every stage is settled.
EVEN_SECONDS = 1.0


def searched(
    best: Incumbent, day: DayModel, expression: cp_model.LinearExprT, seconds: float, *, maximise: bool = True
) -> StageResult:
    """Run the solver on something that is no stage of its own: nothing is shown."""
    budget = Budget(max(0.2, seconds), best.workers, best.seed + best.rounds, deadline=best.deadline)
    stop = NamedOrStopped(best.stop)
    return run_stage(day, expression, maximise=maximise, budget=budget, stop=stop, on_incumbent=_unshown)


def _unshown(value: int, bound: int, draft: Draft) -> None:
    """What is found on the way is left alone."""


def _shown(
    best: Incumbent, day: DayModel, goal: Goal, expression: cp_model.LinearExprT, seconds: float
) -> StageResult:
    """Run the solver on a stage and show what it finds."""

    def better(value: int, bound: int, draft: Draft) -> None:
        if best.left_s <= 0 and not best.deadline.counted:
            return
        before = best.draft, best.crew, best.readable, best.refused, best.air_binds
        taken = best.take(draft, readable=goal is PEOPLE, goal=goal, shown=True)
        plan = best.plan({}) if taken else None
        if best.deadline.counted:
            # Which of them are seen is a matter of the clock: in a run that repeats they are only shown.
            best.draft, best.crew, best.readable, best.refused, best.air_binds = before
        enough.named = best.air_binds
        best.tell(goal.name, value, bound, plan)

    enough = NamedOrStopped(best.stop)
    budget = Budget(
        max(0.2, seconds), best.workers, best.seed + best.rounds, by_core=goal.by_core, deadline=best.deadline
    )
    return run_stage(
        day,
        expression,
        maximise=goal.maximise,
        budget=budget,
        stop=enough,
        on_incumbent=better if best.on_progress else _unshown,
    )


def _seconds_for(best: Incumbent, goal: Goal) -> float:
    """What a stage may take: its part at first, later an even part of what is left to those open."""
    if not best.rounds:
        return min(best.left_s * goal.share, best.deadline.budget_s * goal.most)
    still = best.goals[best.goals.index(goal) :]
    return max(0.0, best.left_s - EVEN_SECONDS) / max(1, sum(map(best.is_open, still)))


def improve(best: Incumbent, day: DayModel, goal: Goal, bound: int) -> tuple[int, bool]:
    """Run the solver on one stage.

    Parameters
    ----------
    bound
        What no plan can beat, as far as it is known.

    Returns
    -------
    tuple
        The bound, and whether the best plan found could be named.
    """
    expression = goal.expression(day)
    if goal.maximise:
        day.model.add(expression <= bound)
    else:
        day.model.add(expression >= bound)
    if best.draft is not None:
        best.hint(day)
        if best.ended:
            return bound, True
    seconds, left_s = _seconds_for(best, goal), best.left_s
    if best.draft is not None and goal.near is not None:
        better_nearby(
            day,
            expression,
            best.draft,
            best.value(goal),
            bound,
            goal.near,
            deadline=best.deadline,
            seconds=seconds * goal.near.part,
            seed=best.seed + best.rounds,
            taken=lambda draft: _take_nearby(best, draft, goal, bound),
            ended=best.stop.is_set,
        )
        best.hint(day)
        if best.value(goal) == bound or best.ended:
            return bound, True
    result = _shown(best, day, goal, expression, max(0.0, seconds - (left_s - best.left_s)))
    if result.infeasible and best.draft is not None:
        # A plan that holds is outside the model: it is kept, and nothing that the model says is a proof.
        best.narrow = True
        return bound, True
    if result.infeasible:
        bound = 0
    elif result.found:
        bound = min(bound, result.bound) if goal.maximise else max(bound, result.bound)
    as_good = best.draft is not None and not goal.better(result.value, best.value(goal))
    if result.draft is None or (as_good and not goal.names_everyone):
        # Nothing better than what is named already.
        return bound, True
    named = best.take(result.draft, readable=goal is PEOPLE, goal=goal)
    if not named and day.support is not None:
        # Named in the model, yet not within the naming's short time: the plan before is kept.
        return bound, True
    return bound, named


def _take_nearby(best: Incumbent, draft: Draft, goal: Goal, bound: int) -> bool:
    """Keep and show a draft found near the best one, where it can be named and is better."""
    before = best.value(goal)
    if not best.take(draft, readable=goal is PEOPLE, goal=goal, soon=True) or best.value(goal) == before:
        return False
    best.tell(goal.name, best.value(goal), bound, best.plan({}))
    return True


def in_parts(best: Incumbent, goal: Goal) -> bool:
    """Whether the plan is one of many dives, which is searched a few of them at a time."""
    return goal.near in (few_free, items_free) and len(best.held()[0].dives) >= few_free.fewest_dives


def named_otherwise(best: Incumbent, day: DayModel, goal: Goal, bound: int) -> bool:
    """Whether another plan as good as the bound can be named: station duties as short as can be.

    What counting does not see is that one person stays for a whole dive; long watches are what fails.
    """
    if best.ended:
        return False
    expression = goal.expression(day)
    day.model.add(expression >= bound if goal.maximise else expression <= bound)
    day.model.clear_hints()
    found = NamedOrStopped(best.stop)

    def name(value: int, bound: int, draft: Draft) -> None:
        # The first that can be named is enough; with one worker the search runs on, so that it repeats.
        if best.workers > 1 and not found.named and best.take(draft, readable=False):
            found.named = True

    again = run_stage(
        day,
        day.watches(),
        maximise=False,
        budget=Budget(max(0.2, best.left_s * NAMED_AGAIN), best.workers, best.seed, deadline=best.deadline),
        stop=found,
        on_incumbent=name,
    )
    return found.named or (again.draft is not None and best.take(again.draft, readable=False))

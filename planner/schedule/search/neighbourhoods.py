"""Better values beside a plan: a few of its dives set free, the rest kept, over and over.

A whole day's model proves; it seldom finds. With most people and places kept the rest is small enough to be
searched to the end in a moment. Nothing is claimed here: what is found is a draft like any other.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from ortools.sat.python import cp_model

from planner.schedule.draft.draft import Draft
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.deadline import Deadline
from planner.schedule.model.solving import solved

#: Dives set free at a time; a plan of few more is searched as a whole as soon.
FREE_DIVES = 2
FEWEST_DIVES = 4

#: Seconds for one of them; so many one after another without a better value end it.
STEP_S = 0.2
FRUITLESS = 20

#: How often the free dives are those that follow one another, and how often a kept dive keeps its standby.
IN_A_ROW = 0.5
STANDBY_KEPT = 0.7


def better_nearby(
    day: DayModel,
    expression: cp_model.LinearExprT,
    draft: Draft,
    value: int,
    bound: int,
    *,
    deadline: Deadline,
    seconds: float,
    seed: int,
    taken: Callable[[Draft], bool],
    ended: Callable[[], bool],
) -> None:
    """Look for drafts with less of an expression than one that fits the model has, each from the last taken.

    Parameters
    ----------
    value, bound
        What the draft has of it, and what is known to be the least.
    seconds
        Of the deadline, at most.
    taken
        Whether a draft can be named and holds: where not, the search goes on from the one before.
    ended
        Whether the whole search is to end.
    """
    if len(draft.dives) < FEWEST_DIVES or day.large:
        return
    random, fruitless = Random(seed), 0
    until_s = deadline.left_s - seconds
    while value > bound and fruitless < FRUITLESS and deadline.left_s > until_s and not ended():
        near = day.model.clone()
        free = _free(random, len(draft.dives))
        swapped = {k for k in range(len(draft.dives)) if k in free or random.random() > STANDBY_KEPT}
        day.keep_but(near, draft, free, swapped)
        near.add(expression <= value - 1)
        near.minimize(expression)
        solver = cp_model.CpSolver()
        solver.parameters.random_seed = random.randrange(1 << 30)
        solver.parameters.cp_model_probing_level = 0
        deadline.step(solver, min(STEP_S, seconds))
        status = solved(solver, near)
        deadline.spend(solver)
        fruitless += 1
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) and taken(other := day.draft(solver.value)):
            draft, value, fruitless = other, round(solver.objective_value), 0
            day.hint_values(list(solver.response_proto.solution))


def _free(random: Random, count: int) -> set[int]:
    """Places of the dives that are set free, in the order of leaving the surface."""
    if random.random() < IN_A_ROW:
        first = random.randrange(max(1, count - FREE_DIVES + 1))
        return set(range(first, first + FREE_DIVES))
    return set(random.sample(range(count), FREE_DIVES))

"""Better values beside a plan: a few of its dives set free, the rest kept, over and over.

A whole day's model proves; it seldom finds. With most people and places kept the rest is small enough to be
searched to the end in a moment. Nothing is claimed here: what is found is a draft like any other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import combinations
from random import Random

from ortools.sat.python import cp_model

from planner.schedule.draft.draft import Draft, in_order
from planner.schedule.model.day_model import DayModel, Free
from planner.schedule.model.deadline import Deadline
from planner.schedule.model.solving import solved

#: Dives set free at a time where all times are; so many tries in a row without a better value end it.
FREE_DIVES = 2
FRUITLESS = 20

#: How often the free dives are those that follow one another, and how often a kept dive keeps its standby.
IN_A_ROW = 0.5
STANDBY_KEPT = 0.7

#: Dives that follow one another and are set free where the times of the others stay, sweep after sweep.
AT_ONCE = (4, 6)

#: What keeps most of a draft, in a copy of the day's model.
Kept = Callable[[cp_model.CpModel], None]


@dataclass(frozen=True)
class Neighbourhood:
    """How plans differ from one that they are near.

    Parameters
    ----------
    kept
        What is kept, one way after another; where none gives a better value, none is left to try.
    fewest_dives
        A plan of fewer is searched as a whole as soon.
    step_s
        Seconds for one of them.
    part
        Of a stage's time, before the whole day is searched.
    """

    kept: Callable[[DayModel, Draft, Random], Iterator[Kept]]
    fewest_dives: int
    step_s: float
    part: float = 0.4


def better_nearby(
    day: DayModel,
    expression: cp_model.LinearExprT,
    draft: Draft,
    value: int,
    bound: int,
    near: Neighbourhood,
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
    if len(draft.dives) < near.fewest_dives or day.large:
        return
    random, until_s = Random(seed), deadline.left_s - seconds
    ways = near.kept(day, draft, random)
    while value > bound and deadline.left_s > until_s and not ended():
        keep = next(ways, None)
        if keep is None:
            return
        copy = day.model.clone()
        keep(copy)
        copy.add(expression <= value - 1)
        copy.minimize(expression)
        solver = cp_model.CpSolver()
        solver.parameters.random_seed = random.randrange(1 << 30)
        solver.parameters.cp_model_probing_level = 0
        # Little is left to be alike, and OR-Tools 9.15 may end with an error where it looks for that in vain.
        solver.parameters.symmetry_level = 0
        deadline.step(solver, min(near.step_s, seconds))
        status = solved(solver, copy)
        deadline.spend_copy(copy)
        deadline.spend(solver)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) and taken(other := day.draft(solver.value)):
            draft, value = other, round(solver.objective_value)
            day.hint_values(list(solver.response_proto.solution))
            ways = near.kept(day, draft, random)


def _two_free(day: DayModel, draft: Draft, random: Random) -> Iterator[Kept]:
    """Two dives free, of all others who dives where and mostly the standby divers kept; all times free."""
    for _ in range(FRUITLESS):
        free = _free(random, len(draft.dives))
        swapped = {k for k in range(len(draft.dives)) if k in free or random.random() > STANDBY_KEPT}
        yield partial(day.keep_but, draft=draft, free=free, swapped=swapped)


def _none_to_two_free(day: DayModel, draft: Draft, random: Random) -> Iterator[Kept]:
    """All times free, who dives where kept: of every dive, then of all but one, then of all but two."""
    count = len(draft.dives)
    for free in [set[int](), *({k} for k in range(count))]:
        yield partial(day.keep_but, draft=draft, free=free, swapped=free)
    yield from _two_free(day, draft, random)


def _free(random: Random, count: int) -> set[int]:
    """Places of the dives that are set free, in the order of leaving the surface."""
    if random.random() < IN_A_ROW:
        first = random.randrange(max(1, count - FREE_DIVES + 1))
        return set(range(first, first + FREE_DIVES))
    return set(random.sample(range(count), FREE_DIVES))


def _few_free(day: DayModel, draft: Draft, random: Random) -> Iterator[Kept]:
    """The times of all kept and nobody's name; then a few dives free that follow one another, with the
    surface work beside them; then all dives of two items."""
    if day.support is not None:
        # Everybody on every other duty is free too then: too much for a moment.
        return
    draft = in_order(day.problem, draft)
    yield partial(day.pin, draft=draft, free=Free(people=True))
    slots = [(d.work, sum(o.work == d.work for o in draft.dives[:k])) for k, d in enumerate(draft.dives)]
    unused = {(d.work, d.slot) for d in day.dives} - set(slots)
    for size in AT_ONCE:
        for start in range(0, max(1, len(slots) - size // 2), size // 2):
            window = draft.dives[start : start + size]
            begins, ends = window[0].dress_start_min, max(d.undressed_min for d in window)
            works = {d.work for d in window}
            more = {slot for slot in unused if slot[0] in works}
            tasks = frozenset(t.task for t in draft.tasks if begins <= t.start_min <= ends)
            free = Free(frozenset(slots[start : start + size]) | more, tasks)
            yield partial(day.pin, draft=draft, free=free)
    for pair in combinations(sorted({work for work, _ in slots}), 2):
        free = Free(frozenset((d.work, d.slot) for d in day.dives if d.work in pair))
        yield partial(day.pin, draft=draft, free=free)


def _items_free(day: DayModel, draft: Draft, random: Random) -> Iterator[Kept]:
    """All dives of an item that is preferred in one go free, then those of another item with them, and the
    surface work; of all others times and people kept."""
    if day.support is not None:
        return
    of_item: dict[str, set[tuple[int, int]]] = {}
    for dive in day.dives:
        of_item.setdefault(dive.data.item.name, set()).add((dive.work, dive.slot))
    asked = [n for n in of_item if day.problem.job.dive_item(n).in_one_go]
    asked.sort(key=lambda n: len(of_item[n]))
    pairs = [
        of_item[n] | of_item[o]
        for n in asked
        for o in of_item
        if o != n and (o not in asked or asked.index(n) < asked.index(o))
    ]
    tasks = frozenset(task.index for task in day.tasks)
    draft = in_order(day.problem, draft)
    for dives in (*(of_item[name] for name in asked), *random.sample(pairs, len(pairs))):
        yield partial(day.pin, draft=draft, free=Free(frozenset(dives), tasks))


#: For values that hang on when dives are.
times_free = Neighbourhood(_two_free, fewest_dives=4, step_s=0.2)

#: For how long people are there, which hangs on the times of all: in the model that names everyone, so that
#: it takes longer.
length_free = Neighbourhood(_none_to_two_free, fewest_dives=2, step_s=3.0)

#: For values that hang on who dives how long: on plans of so many dives the solver takes most of a stage's
#: time to read the whole; on fewer this takes the time from the proof.
few_free = Neighbourhood(_few_free, fewest_dives=9, step_s=1.0)

#: For values that hang on how the dives of an item lie to one another.
items_free = Neighbourhood(_items_free, fewest_dives=4, step_s=2.0, part=0.7)

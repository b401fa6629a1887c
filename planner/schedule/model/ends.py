"""Least overtime of a day with standing work: who can be on its first and last dive and on the blocks around.

A small model of its own, since what makes a day long is who is there at both ends: all on the first dive come
before its dressing, all on the last stay until they are undressed (the watch: until they have
surfaced), and the opening and closing blocks come before and after. All else is left out, so that no plan has
less overtime.
"""

from __future__ import annotations

from itertools import combinations, product

from ortools.sat.python import cp_model

from planner.job.duties import DIVER, STANDBY
from planner.schedule.model.capacity import held_together
from planner.schedule.model.deadline import Deadline
from planner.schedule.problem.problem import Problem, TaskWork

#: Seconds; a bound that is not found in them is taken as far as it is proven.
SECONDS = 8.0

#: Part of what is left that it may take at most.
PART = 0.2

#: With more ways of a day over all people than this the bound is not looked for.
MOST_WAYS = 60_000

_Block = tuple[str, ...]


def overtime_at_the_ends(
    problem: Problem, dived_min: int, around_min: int, deadline: Deadline | None = None
) -> int:
    """Least overtime, minutes, of a one-day job.

    Parameters
    ----------
    dived_min
        No plan in question has fewer minutes from its first dressing to its last undressed.
    around_min
        No plan in question has more minutes before that and after that together, from the first minute of
        duty to the finish.
    """
    works = [w for w in problem.dives if w.slots]
    if not works or len(problem.days) > 1:
        return 0
    around = [t for t in problem.tasks if t.spans and _asked_by_all(problem, t)]
    opening, closing = [t for t in around if _opens(t)], [t for t in around if not _opens(t)]
    posts = _of_any_dive(problem)
    bench = {DIVER} | {p.duty for w in works for p in w.posts if p.held == "bench"}
    undressing = max(w.undressing_min for w in works)
    # What the one side takes at least is not there for the other.
    early_most = around_min - max((t.item.duration_min for t in closing), default=0)
    late_most = around_min - max((t.item.duration_min for t in opening), default=0)
    model = cp_model.CpModel()
    held: dict[tuple[str, str], list[cp_model.IntVar]] = {}
    costs: list[cp_model.LinearExpr] = []
    ways = 0
    for person in problem.people:
        name = person.name
        if not problem.hours[name]:
            continue
        able = [duty for duty, (_, people) in posts.items() if name in people]
        before = _sets(problem, name, opening, early_most)
        after = _sets(problem, name, closing, late_most)
        day = []
        ordinary = problem.job.rules.overtime_after_min - problem.briefing_of_day(name, 0)
        dives: list[str | None] = [None, *able]
        ways += len(dives) ** 2 * len(before) * len(after)
        if ways > MOST_WAYS:
            return 0
        for first, last, (opens, early), (closes, late) in product(dives, dives, before, after):
            over = 0
            if (first or opens) and (last or closes):
                stays = late if closes or last in bench else -undressing
                over = max(0, early + dived_min + stays - ordinary)
            way = model.new_bool_var("")
            day.append(way)
            costs.append(over * way)
            for when, had in (("first", first), ("last", last), *(("block", b) for b in (*opens, *closes))):
                if had is not None:
                    held.setdefault((when, had), []).append(way)
        model.add_exactly_one(day)
    for duty, (count, _) in posts.items():
        for when in ("first", "last"):
            model.add(cp_model.LinearExpr.sum(held.get((when, duty), [])) >= count)
    for task in around:
        for _, count in task.crew:
            model.add(cp_model.LinearExpr.sum(held.get(("block", task.item.name), [])) >= count)
    model.minimize(cp_model.LinearExpr.sum(costs))
    solver, deadline = cp_model.CpSolver(), deadline or Deadline()
    solver.parameters.linearization_level = 2
    deadline.step(solver, min(SECONDS, deadline.left_s * PART))
    status = solver.solve(model)
    deadline.spend(solver)
    return max(0, round(solver.best_objective_bound)) if status != cp_model.INFEASIBLE else 0


def _opens(task: TaskWork) -> bool:
    return task.standing is not None and task.standing.block.opens


def _asked_by_all(problem: Problem, task: TaskWork) -> bool:
    block = task.standing
    return block is not None and all(
        block.concerns(w.item, p.station) for w in problem.dives if w.slots for p in w.placements
    )


def _sets(problem: Problem, person: str, tasks: list[TaskWork], most_min: int) -> list[tuple[_Block, int]]:
    """The blocks that a person may have on one side of the dives, and their minutes together."""
    able = [t for t in tasks if all(person in problem.qualified[duty] for duty, _ in t.crew)]
    out = []
    for size in range(len(able) + 1):
        for chosen in combinations(able, size):
            minutes = sum(t.item.duration_min for t in chosen)
            if not chosen or minutes <= most_min:
                out.append((tuple(t.item.name for t in chosen), minutes))
    return out


def _of_any_dive(problem: Problem) -> dict[str, tuple[int, frozenset[str]]]:
    """Duties of a dive: as few in each as any dive of the job asks for, and who may have it on any."""
    works = [w for w in problem.dives if w.slots]
    asked = []
    for work in works:
        need = held_together(problem, work)
        own = {p.duty: need[p.duty] for p in work.posts if p.held != "chamber"}
        asked.append(own | {DIVER: len(work.seats), STANDBY: work.standbys})
    able = {
        DIVER: frozenset(p for w in works for p in w.divers),
        STANDBY: frozenset(p for w in works for p in w.standby_people),
    }
    return {
        duty: (count, able[duty] if duty in able else problem.qualified[duty])
        for duty in asked[0]
        if (count := min(need.get(duty, 0) for need in asked))
    }

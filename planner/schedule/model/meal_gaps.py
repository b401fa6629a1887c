"""How far apart meal breaks keep a day's dives, where one crew has them all one after another.

Whoever is on two dives that follow one another has between them only what the station stands still, and on
watch the undressing too. So a day long enough for a break asks for a dive that its person is not on, or for
dives that far apart; and a dive leaves few people free. A small model of its own, of who is on which dive.
"""

from __future__ import annotations

import math

from ortools.sat.python import cp_model

from planner.schedule.model.bounds import fewest_dives, items_within, least_dived_min
from planner.schedule.model.capacity import one_bench_at_a_time
from planner.schedule.model.deadline import Deadline
from planner.schedule.model.ends import of_any_dive, stays_until_undressed
from planner.schedule.problem.least import work_there_is
from planner.schedule.problem.problem import DiveWork, Problem

#: Seconds; what is proven in them is told.
SECONDS = 4.0

#: Part of what is left that it may take at most.
PART = 0.1


def dived_with_meals_min(problem: Problem, deadline: Deadline | None = None) -> int:
    """Minutes from the first dressing to the last undressed of any plan with all of the work, one day's.

    `least_dived_min`, and where all dives of the day follow one another on one bench, what meal breaks keep
    them apart: the least of as few and as short dives as the work can be done in, or one dive more.
    """
    least, rules = least_dived_min(problem, work_there_is(problem)), problem.job.rules
    relieved = rules.hand_over_min or rules.hand_over_lead_min
    if len(problem.days) > 1 or len(problem.job.stations) > 1 or not rules.meal_break_min or relieved:
        return least
    slots = [k for k, w in enumerate(problem.dives) if w.slots]
    items = items_within(problem, one_bench_at_a_time(problem, slots))
    if not items or sum(map(len, items)) < len(slots):
        return least
    lengths = sorted(length for own in items for length in _lengths(own))
    together = sum(_together(own) for own in items)
    one_more = min(map(_around, (w for own in items for w in own)))
    return max(least, together + _apart(problem, lengths, one_more, deadline or Deadline()))


def _around(work: DiveWork) -> int:
    return work.dressing_min + work.descent_min + work.ascent_least_min + work.undressing_min


def _together(own: list[DiveWork]) -> int:
    """Minutes on the bench that all of an item takes, in as few dives as can be."""
    return own[0].item.bottom_work_min + fewest_dives(own) * min(map(_around, own))


def _lengths(own: list[DiveWork]) -> list[int]:
    """Of each of an item's dives, the fewest there can be, at least so many minutes on the bench."""
    count, work = fewest_dives(own), own[0].item.bottom_work_min
    rest = work - (count - 1) * max(w.work_max_min for w in own)
    return [min(map(_around, own)) + max(rest, min(w.least_work_min for w in own))] * count


def _apart(problem: Problem, lengths: list[int], most_min: int, deadline: Deadline) -> int:
    """Minutes between dives, summed, that the meal breaks ask for; no more than ``most_min`` are told.

    ``lengths``: minutes of each dive on the bench at least, the shortest first.
    """
    rules, dives = problem.job.rules, range(len(lengths))
    works = [w for w in problem.dives if w.slots]
    undressing = max(w.undressing_min for w in works)
    posts, stays = of_any_dive(problem), stays_until_undressed(works)
    people = [p.name for p in problem.people if problem.hours[p.name]]
    model = cp_model.CpModel()
    gaps = [model.new_int_var(0, most_min, "gap") for _ in dives[1:]]
    # Long enough for whoever was on watch, and for whoever was on the bench.
    for_watch, for_bench = ([model.new_bool_var("break") for _ in gaps] for _ in range(2))
    for gap, watch, bench in zip(gaps, for_watch, for_bench, strict=True):
        model.add(gap >= rules.meal_break_min - undressing).only_enforce_if(watch)
        model.add(gap >= rules.meal_break_min).only_enforce_if(bench)
        model.add_implication(bench, watch)
    held = {
        (name, dive, duty): model.new_bool_var("on")
        for duty, (_, able) in posts.items()
        for name in able.intersection(people)
        for dive in dives
    }
    for duty, (count, able) in posts.items():
        for dive in dives:
            model.add(sum(held[name, dive, duty] for name in able.intersection(people)) >= count)
    for name in people:
        mine = [
            {duty: held[name, dive, duty] for duty in posts if (name, dive, duty) in held} for dive in dives
        ]
        on = [model.new_bool_var("on") for _ in dives]
        rests = [model.new_bool_var("rests") for _ in gaps]
        for own, there in zip(mine, on, strict=True):
            model.add(sum(own.values()) == there)
        for dive, rest in enumerate(rests):
            stayed = sum(literal for duty, literal in mine[dive].items() if duty in stays)
            model.add_implication(rest, for_watch[dive])
            model.add(rest + stayed <= 1 + for_bench[dive])
        # From one dive to the first that is past the time without a break. Before his first dive somebody may
        # have had one, also where he has been called long before.
        for first in dives:
            last = _past(lengths, first, rules.meal_break_after_min + undressing)
            if last is not None:
                free = sum(1 - there for there in on[first + 1 : last]) + sum(rests[first:last])
                model.add(free >= 1).only_enforce_if(on[first], on[last])
    model.minimize(sum(gaps))
    solver = cp_model.CpSolver()
    solver.parameters.linearization_level = 2
    deadline.step(solver, min(SECONDS, deadline.left_s * PART))
    status = solver.solve(model)
    deadline.spend(solver)
    if status == cp_model.INFEASIBLE:
        return most_min
    return min(most_min, max(0, math.ceil(solver.best_objective_bound - 1e-6)))


def _past(lengths: list[int], first: int, most_min: int) -> int | None:
    """The first dive after ``first`` at whose end more than so many minutes have passed since that began,
    however short those between are; None where there is none."""
    for last in range(first + 1, len(lengths)):
        if sum(lengths[: last - first + 1]) > most_min:
            return last
    return None

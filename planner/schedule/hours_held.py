"""The rules of hours asked of one person's duties with settled times: what the rule of thumb goes by.

Each working day is judged as one stretch, as in the models (`planner.schedule.rest_days`).
"""

from __future__ import annotations

from itertools import pairwise

from planner.job import Person
from planner.rules.night import in_the_night
from planner.rules.rest import stretches_of_work
from planner.schedule.problem import Problem
from planner.schedule.rested import asked, stretches_hold


def hours_matter(problem: Problem) -> bool:
    """Whether any rule of hours can be broken by duties within the hours of the people."""
    rules = problem.job.rules
    longest = max(d.end_min - d.start_min for d in problem.days)
    nights = [later.start_min - earlier.end_min for earlier, later in pairwise(problem.days)]
    return (
        longest > rules.duty_span_max_min
        or any(night < rules.rest_before_duty_min for night in nights)
        or asked(problem.job)
        or bool(rules.meal_break_min)
        or bool(rules.rest_after_night_min)
    )


def hours_hold(
    problem: Problem, person: Person, held: list[tuple[int, int]], leaves: list[int], start: int, end: int
) -> bool:
    """Whether a person may take one more stretch of duty.

    Parameters
    ----------
    held
        His stretches so far, job minutes.
    leaves
        Minutes at which he leaves the surface, with that of the stretch itself where it is a dive's.
    start, end
        The stretch in question.
    """
    rules = problem.job.rules
    spells = sorted([*held, (start, end)])
    days: dict[int, tuple[int, int]] = {}
    for a, b in spells:
        day = problem.day_of(a)
        first, last = days.get(day, (a, b))
        days[day] = min(first, a), max(last, b)
    stretches = [days[k] for k in sorted(days)]
    if any(b - a > rules.duty_span_max_min for a, b in stretches):
        return False
    if any(later[0] - earlier[1] < rules.rest_before_duty_min for earlier, later in pairwise(stretches)):
        return False
    if rules.meal_break_min:
        joined = stretches_of_work(spells, rules.meal_break_min)
        if any(b - a > rules.meal_break_after_min for a, b in joined):
            return False
    if rules.rest_after_night_min:
        ends = [b for a, b in spells if in_the_night(problem.job.clock, a, b)]
        if any(e <= leave < e + rules.rest_after_night_min for e in ends for leave in leaves):
            return False
    return stretches_hold(problem.job, person, stretches)

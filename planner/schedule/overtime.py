"""A lower bound on the crew's overtime that holds for every plan with the same work.

A day's first piece of work and its last need most of the crew each; where the two together need more
people than there are, some stay from the first start to the last end whatever the plan.
"""

from __future__ import annotations

from planner.schedule.capacity import held_together
from planner.schedule.problem import Problem


def overtime_bound(problem: Problem, *, finish_min: int, latest_start_min: int) -> int:
    """Least overtime of the crew, minutes.

    Parameters
    ----------
    finish_min
        No plan with that work ends its last piece of work earlier than this.
    latest_start_min
        No plan with that finish and that work starts its first piece of work later than this.
    """
    first_crews, last_crews = [], []
    for work in problem.dives:
        if not work.slots:
            continue
        posts = held_together(problem, work)
        watch = work.standbys + sum(posts[p.duty] for p in work.posts if p.held == "watch")
        bench = len(work.seats) + sum(posts[p.duty] for p in work.posts if p.held == "bench")
        first_crews.append(watch + bench)
        last_crews.append([finish_min - work.undressing_min] * watch + [finish_min] * bench)
    for task in problem.tasks:
        if task.spans:
            count = sum(c for _, c in task.crew)
            first_crews.append(count)
            last_crews.append([finish_min] * count)
    if not first_crews:
        return 0
    people = sum(1 for p in problem.people if problem.hours[p.name])
    least = None
    for ends in last_crews:
        both = max(0, min(first_crews) + len(ends) - people)
        over = sum(
            max(0, end - latest_start_min - problem.job.rules.overtime_after_min) for end in ends[:both]
        )
        least = over if least is None else min(least, over)
    return least or 0

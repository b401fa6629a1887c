"""What no plan can beat in a stage: told without a search, or by a few small ones."""

from __future__ import annotations

from planner.schedule.model.bounds import first_duty_min, least_dived_min
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.ends import overtime_at_the_ends
from planner.schedule.model.meal_gaps import dived_with_meals_min
from planner.schedule.model.overtime import least_overtime_over_days, overtime_bound
from planner.schedule.problem.least import work_there_is
from planner.schedule.search.goals import FINISH, OVERTIME, WORK, Goal
from planner.schedule.search.improve import searched
from planner.schedule.search.incumbent import Incumbent


def told(best: Incumbent, goal: Goal) -> int:
    """What no plan can beat in a stage, without any search."""
    bound = goal.known(best.problem, 0 if best.draft is None else best.value(WORK))
    if goal is WORK and best.work_at_most is not None:
        bound = min(bound, best.work_at_most)
    if goal is OVERTIME and best.value(WORK) == work_there_is(best.problem):
        bound = max(bound, least_overtime_over_days(best.problem, _finish_at_most(best)))
    return bound


def overtime_bound_by_search(best: Incumbent, day: DayModel) -> int:
    """What a few small searches tell of the overtime of a day: who can be there at both its ends."""
    if best.ended or len(best.problem.days) > 1:
        return 0
    best.hint(day)
    dived = searched(best, day, day.dived_min(), max(1.5, best.left_s * 0.15), maximise=False)
    all_of_it = best.value(WORK) == work_there_is(best.problem)
    least = (
        dived_with_meals_min(best.problem, best.deadline)
        if all_of_it
        else least_dived_min(best.problem, best.value(WORK))
    )
    least = max(dived.bound, least)
    around = _finish_at_most(best) - first_duty_min(best.problem, 0) - least
    bound = overtime_at_the_ends(best.problem, least, around, best.deadline)
    if best.problem.standing or bound >= best.value(OVERTIME) or best.ended:
        return bound
    start = day.start()
    best.hint(day)
    latest = searched(best, day, start, max(1.5, best.left_s * 0.15))
    at_the_ends = overtime_bound(
        best.problem,
        finish_min=_no_finish_before(best),
        latest_start_min=latest.bound if latest.bound > 0 else best.problem.window.end_min,
    )
    return max(bound, at_the_ends)


def _finish_at_most(best: Incumbent) -> int:
    """The finish that is settled; where it comes later in the officer's order, the last day's end."""
    return next((value for goal, value in best.settled if goal is FINISH), best.problem.window.end_min)


def _no_finish_before(best: Incumbent) -> int:
    """A minute before which no plan with what is settled finishes, as far as proven.

    The proven bound, not the value: while the finish is not proven, a plan may still end earlier. One
    that is early enough may stand for any earlier finish.
    """
    start = best.problem.window.start_min
    found, _ = best.bounds.get(FINISH, (start, start))
    return found if found > best.problem.job.early_enough_min else start

"""A station stands still where the standby diver changes and the crew is too small for two in dress."""

from __future__ import annotations

import pytest
from ortools.sat.python import cp_model

from planner.job import Job
from planner.schedule.model import bounds, day_model
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.sequence import Order
from planner.schedule.model.standby_change import change_fits, still_min
from planner.schedule.problem.prepare import prepare
from planner.schedule.problem.problem import Problem
from planner.schedule.search.goals import WORK
from tests.bench.ladder import Rung, ladder_job


def _day(people: int) -> Job:
    """Two dives of half an hour in light helmets, 15 min into one and 10 out of it."""
    job = ladder_job(Rung(people, 1, 2))
    items = [item.replace(bottom_work_min=30, splittable=False) for item in job.dive_items]
    return job.replace(dive_items=tuple(items))


@pytest.mark.parametrize(
    ("people", "together", "undresses"), [(8, False, False), (9, True, False), (10, True, True)]
)
def test_whether_the_crew_reaches_for_two_standby_divers(
    people: int, together: bool, undresses: bool
) -> None:
    """Two benches of a diver and a tender each, supervisor, console, standby's tender and two standby divers
    are nine people (common practice, the crew minima that ship); hands to undress one of them make ten."""
    problem = prepare(_day(people))
    assert change_fits(problem, 0, 1, undresses=False) is together
    assert change_fits(problem, 0, 1, undresses=True) is undresses


def _without_it(problem: Problem, monkeypatch: pytest.MonkeyPatch) -> tuple[DayModel, Order]:
    """The day's model as it is without what this file is about."""
    seen: list[Order] = []
    monkeypatch.setattr(day_model, "changes_apart", lambda model, problem, dives, order: seen.append(order))
    monkeypatch.setattr(bounds, "still_min", lambda problem, station, own: 0)
    day = DayModel(problem)
    return day, seen[0]


def _solved(day: DayModel) -> cp_model.CpSolverStatus:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = 60
    return solver.solve(day.model)


@pytest.mark.parametrize(
    ("people", "status"),
    [pytest.param(8, cp_model.INFEASIBLE, marks=pytest.mark.long), (10, cp_model.OPTIMAL)],
)
def test_no_plan_has_the_benches_meet(
    people: int, status: cp_model.CpSolverStatus, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without it the model has no plan either in which the standby diver changes and the next one's dressing
    begins before the last one is undressed: it is only said outright. With two people more there is one."""
    problem = prepare(_day(people))
    day, order = _without_it(problem, monkeypatch)
    met = []
    for i, one in enumerate(day.dives):
        for j, other in enumerate(day.dives):
            if one.work == other.work or other.dresses is None:
                continue
            meet = day.model.new_bool_var("")
            day.model.add_implication(meet, order.before(i, j))
            day.model.add_implication(meet, ~other.dresses.comes_dressed)
            day.model.add(one.undressed > other.dress_start).only_enforce_if(meet)
            met.append(meet)
    day.model.add_bool_or(met)
    assert _solved(day) == status


def test_no_plan_stands_still_for_less(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same of the sum: from the first dressing on no plan without it ends sooner than it says, and one
    ends just then."""
    problem = prepare(_day(8))
    for less, status in ((1, cp_model.INFEASIBLE), (0, cp_model.OPTIMAL)):
        day, _ = _without_it(problem, monkeypatch)
        WORK.hold(day, day.work_bound)
        water = sum(dive.water_min() for dive in day.dives)
        least = bounds.first_duty_min(problem, 0) + 25 + water
        still = still_min(problem, "Station 1", day.dives)
        day.model.add(day.finish() <= least + still - less)
        assert _solved(day) == status

"""How far apart meal breaks keep the dives of a day that has one crew for them: told, and no further."""

from __future__ import annotations

from pathlib import Path

import pytest
from ortools.sat.python import cp_model

from planner import read_job
from planner.schedule.model.bounds import least_dived_min
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.meal_gaps import dived_with_meals_min
from planner.schedule.problem.least import work_there_is
from planner.schedule.problem.prepare import prepare
from planner.schedule.problem.problem import Problem
from planner.schedule.search.goals import WORK
from tests.world.changed import with_rules

JOB = read_job(Path(__file__).resolve().parents[2] / "sample_jobs" / "small_heavy_dress.xlsx")


def _problem(items: int = 4, **rules: int) -> Problem:
    """The sample's first items of dive work, with other rules of breaks."""
    return prepare(with_rules(JOB.model_copy(update={"dive_items": JOB.dive_items[:items]}), **rules))


def test_the_sample_s_dives_are_ten_minutes_longer_apart() -> None:
    """Four dives take 93, 138, 163 and 132 min on the bench, seven people each. From the first to the last
    are 506 min, so whoever is on both has 30 min of break between. Of nine people that are five at least;
    two free people on each dive between make four of them, the fifth has undressing, 20 min, and 10 more."""
    problem = _problem()
    assert least_dived_min(problem, work_there_is(problem)) == 93 + 138 + 163 + 132
    assert dived_with_meals_min(problem) == 526 + 10


@pytest.mark.parametrize(
    "rules",
    [
        pytest.param({"meal_break_min": 0}, id="no break is asked for"),
        pytest.param({"meal_break_min": 20}, id="undressing is as long"),
        pytest.param({"meal_break_after_min": 720}, id="nobody is there so long"),
        pytest.param({"hand_over_min": 5}, id="a duty may change hands in mid-dive"),
    ],
)
def test_nothing_is_told_where_nothing_is_asked(rules: dict[str, int]) -> None:
    """Of what keeps dives apart nothing is left, or somebody else may take over."""
    assert dived_with_meals_min(_problem(**rules)) == 526


@pytest.mark.parametrize(
    ("after_min", "break_min", "dived_min"),
    [pytest.param(180, 30, 261, marks=pytest.mark.long), (180, 40, 271), (360, 30, 231)],
)
def test_the_model_that_names_everyone_agrees(after_min: int, break_min: int, dived_min: int) -> None:
    """Two dives: the whole model has a day that long, and finds none that is a minute shorter."""
    problem = _problem(2, meal_break_after_min=after_min, meal_break_min=break_min)
    assert dived_with_meals_min(problem) == dived_min
    for most, found in ((dived_min, cp_model.OPTIMAL), (dived_min - 1, None)):
        day = DayModel(problem, named_support=True)
        day.model.add(WORK.expression(day) >= work_there_is(problem))
        day.model.add(day.dived_min() <= most)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 2
        solver.parameters.max_time_in_seconds = 60 if found is not None else 2
        status = solver.solve(day.model)
        assert status == found or (found is None and status in (cp_model.INFEASIBLE, cp_model.UNKNOWN))


def test_a_break_before_the_first_dive_is_a_break() -> None:
    """Two dives of 211 min in a row, 220 min allowed: who is called long before them rests before the first,
    and between them nothing is asked for."""
    assert dived_with_meals_min(_problem(2, meal_break_after_min=220)) == 93 + 138

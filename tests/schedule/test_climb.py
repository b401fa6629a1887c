"""The first plan by rule of thumb: orders of the items tried one after another."""

from __future__ import annotations

from planner.schedule.climb import Climb, construct
from planner.schedule.constructive import build, pressing_first
from planner.schedule.draft import Draft
from planner.schedule.goals import finish_value, work_value
from planner.schedule.prepare import prepare
from planner.schedule.problem import Problem
from tests.bench.ladder import Rung, ladder_job
from tests.schedule.day import item, job

RUNG = ladder_job(Rung(9, 1, 6))


def worth(problem: Problem, draft: Draft) -> tuple[int, int]:
    """Weighted work and finish: the less of this pair, the better."""
    return -work_value(problem, draft), finish_value(problem, draft)


def test_more_orders_never_make_it_worse() -> None:
    """Turn by turn the plan is at least as good as before, and better than by the items' own order."""
    problem = prepare(RUNG)
    climb = Climb(problem)
    values = [worth(problem, climb.draft)]
    assert climb.draft == build(problem, pressing_first(problem))
    for _ in range(30):
        better = climb.turn(1)
        values.append(worth(problem, climb.draft))
        assert better == (values[-1] < values[-2])
    assert values == sorted(values, reverse=True)
    assert values[-1] < values[0]


def test_a_seed_repeats() -> None:
    """The same seed tries the same orders."""
    problem = prepare(RUNG)
    assert construct(problem, seed=3) == construct(problem, seed=3)


def test_it_stops_when_asked() -> None:
    """Stopped, or without time: no order more is tried."""
    problem = prepare(RUNG)
    climb = Climb(problem)
    before = climb.draft
    assert not climb.turn(50, ended=lambda: True)
    assert not climb.turn(50, seconds=0.0)
    assert climb.draft is before


def test_one_item_has_one_order() -> None:
    """With a single item there is nothing to try."""
    problem = prepare(job(item("A", 40, 40)))
    climb = Climb(problem)
    assert not climb.turn(5)

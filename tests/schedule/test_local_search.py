"""The first plan by rule of thumb: orders of the items tried one after another."""

from __future__ import annotations

from datetime import time

import pytest

from planner.check import check
from planner.job import Pin, PinKind
from planner.schedule import first_plan, solve
from planner.schedule.draft.draft import Draft
from planner.schedule.draft.pins import pins_broken
from planner.schedule.draft.values import finish_value, work_value
from planner.schedule.greedy.local_search import LocalSearch
from planner.schedule.greedy.placement import build, pressing_first
from planner.schedule.problem.prepare import prepare
from planner.schedule.problem.problem import Problem
from tests.bench.ladder import Rung, ladder_job
from tests.schedule.day import item, job, outfit

RUNG = ladder_job(Rung(9, 1, 6))


def worth(problem: Problem, draft: Draft) -> tuple[int, int]:
    """Weighted work and finish: the less of this pair, the better."""
    return -work_value(problem, draft), finish_value(problem, draft)


def test_more_orders_never_make_it_worse() -> None:
    """Turn by turn the plan is at least as good as before, and better than by the items' own order."""
    problem = prepare(RUNG)
    search = LocalSearch(problem)
    values = [worth(problem, search.draft)]
    assert search.draft == build(problem, pressing_first(problem))
    for _ in range(30):
        better = search.turn(1)
        values.append(worth(problem, search.draft))
        assert better == (values[-1] < values[-2])
    assert values == sorted(values, reverse=True)
    assert values[-1] < values[0]


def test_a_seed_repeats() -> None:
    """The same seed tries the same orders."""
    problem = prepare(RUNG)
    assert LocalSearch(problem, seed=3).first() == LocalSearch(problem, seed=3).first()


def test_it_stops_when_asked() -> None:
    """Stopped, or without time: no order more is tried."""
    problem = prepare(RUNG)
    search = LocalSearch(problem)
    before = search.draft
    assert not search.turn(50, ended=lambda: True)
    assert not search.turn(50, seconds=0.0)
    assert search.draft is before


def test_one_item_has_one_order() -> None:
    """With a single item there is nothing to try."""
    problem = prepare(job(item("A", 40, 40)))
    search = LocalSearch(problem)
    assert not search.turn(5)


@pytest.mark.parametrize(
    "pin",
    [
        Pin(kind=PinKind.DIVES, item="B", start_min=600, bottom_time_min=31),
        Pin(kind=PinKind.DIVES, item="B", person="Efe", station="North"),
        Pin(kind=PinKind.STARTS, item="B", start_min=613, end_min=640),
        Pin(kind=PinKind.HOLDS, item="A", person="Efe", duty="diver"),
        Pin(kind=PinKind.HOLDS, item="A", person="Dana", duty="standby diver"),
        Pin(kind=PinKind.HOLDS, item="A", person="Bo", duty="standby's tender"),
    ],
    ids=lambda p: f"{p.kind.value} {p.duty or p.person or p.start_min}",
)
def test_the_first_plan_keeps_pins(pin: Pin) -> None:
    """Each kind of pin that asks for something: the plan by rule of thumb has it and all the work."""
    made = job(item("A", 40, 40), item("B", 30, 30), pins=(pin,))
    plan = first_plan(made)
    assert plan is not None
    assert not plan.leftovers
    assert check(made, plan) == ()


def test_pins_not_kept_are_counted() -> None:
    """Two pins that contradict: one of them at least is not kept, whatever the order."""
    pins = tuple(Pin(kind=PinKind.STARTS, item="A", start_min=at) for at in (540, 600))
    problem = prepare(job(item("A", 40, 40), item("B", 30, 30), pins=pins))
    assert pins_broken(problem, LocalSearch(problem).first()) == 1


def test_an_outfit_that_runs_out_at_midnight_is_not_worn_past_it() -> None:
    """By night, all inspections due that day: the first plan fits the model, nobody is in dress past it."""
    first = job().site.first_day
    made = job(
        item("A", 30, 200, least_useful_min=20),
        outfits=tuple(outfit(n, inspection_due=first) for n in (1, 2, 3)),
        site=job().site.replace(day_start=time(20, 30), day_end=time(3)),
    )
    plan = solve(made, seconds=2).plan
    assert plan is not None
    assert check(made, plan) == ()
    assert max(d.undressed_min for d in plan.dives) <= 1440

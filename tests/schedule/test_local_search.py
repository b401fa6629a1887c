"""The first plan by rule of thumb: orders of the items tried one after another."""

from __future__ import annotations

from datetime import time

import pytest

from planner.check import check
from planner.job import Pin, PinKind
from planner.schedule import first_plan, solve
from planner.schedule.draft.pins import pins_broken
from planner.schedule.draft.values import margin_value, work_value
from planner.schedule.greedy.local_search import LocalSearch, worth
from planner.schedule.greedy.placement import build, pressing_first
from planner.schedule.problem.least import work_there_is
from planner.schedule.problem.prepare import prepare
from tests.bench.ladder import Rung, ladder_job
from tests.samples import three_day_outfall
from tests.schedule.day import item, job, outfit
from tests.world.parts import PLAIN_RULES

RUNG = ladder_job(Rung(9, 1, 6))
MARGIN = PLAIN_RULES.replace(margin_wanted_min=5)


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
    plan = solve(made, seconds=2, workers=1, only_work=True).plan
    assert plan is not None
    assert check(made, plan) == ()
    assert max(d.undressed_min for d in plan.dives) <= 1440


def test_the_first_plan_leaves_minutes_in_hand_where_all_the_work_is_done_so() -> None:
    """Three days with room: no dive goes to the end of its row, though the dives as long as can be do."""
    problem = prepare(three_day_outfall.job())
    search = LocalSearch(problem)
    first = search.first()
    assert work_value(problem, first) == work_there_is(problem)
    assert margin_value(problem, first) == 0
    longest = build(problem, pressing_first(problem))
    assert margin_value(problem, longest) > 0


def test_the_work_comes_before_minutes_in_hand() -> None:
    """An item that takes all of its row, in one dive: it is planned, and is short of the whole margin."""
    # U.S. Navy Diving Manual, table 9-7: 60 fsw has no stops to 63 min, of which the way down takes one.
    problem = prepare(job(item("A", 60, 62, splittable=False), rules=MARGIN))
    draft = LocalSearch(problem).first()
    assert work_value(problem, draft) == work_there_is(problem)
    assert margin_value(problem, draft) == 5


def test_where_the_finish_counts_first_dives_are_as_long_as_can_be() -> None:
    """The job's own order of what counts: the same order of items is built as long dives only."""
    made = job(item("A", 60, 90), rules=MARGIN)
    order = ("finish", *(name for name in made.rules.stage_order if name != "finish"))
    late = made.replace(rules=made.rules.replace(stage_order=order))
    drafts = [LocalSearch(problem).first() for problem in map(prepare, (made, late))]
    assert max(d.bottom_time_min for d in drafts[0].dives) <= 58
    assert max(d.bottom_time_min for d in drafts[1].dives) > 58


#: Two days of 11 hours with an ordinary one of five, early enough by the evening of the second: three items
#: in heavy dress, which the first day alone has room for.
TWO_DAYS = job(
    *(item(name, 40, 75) for name in ("A", "B", "C")),
    rules=PLAIN_RULES.replace(overtime_after_min=300),
    site=job().site.replace(day_end=time(18), days=2, early_enough=time(18)),
)


def test_where_the_last_evening_is_early_enough_days_are_made_shorter() -> None:
    """As good a plan, each with a shorter longest day than the one before; the best so far stays as it is."""
    problem = prepare(TWO_DAYS)
    search = LocalSearch(problem)
    first = search.first()
    shorter = list(search.shorten_days(20))
    assert shorter
    assert all(worth(problem, draft) <= worth(problem, first) for draft in shorter)
    lasts = [max(d.undressed_min % 1440 for d in draft.dives) for draft in (first, *shorter)]
    assert lasts == sorted(set(lasts), reverse=True)
    days = [{problem.day_of(d.leave_surface_min) for d in draft.dives} for draft in (first, shorter[-1])]
    assert days == [{0}, {0, 1}]
    assert search.draft is first
    assert list(search.shorten_days(20, ended=lambda: True)) == []


def test_shorter_days_are_the_plan_where_they_cost_no_overtime() -> None:
    """Nobody works late on the first day and goes home early on the second: proven without a search, and told
    as such; where an earlier finish is worth something it stays the first day."""
    late = TWO_DAYS.replace(site=TWO_DAYS.site.replace(early_enough=None))
    values = []
    for made in (TWO_DAYS, late):
        plan = solve(made, seconds=1, workers=1).plan
        assert plan is not None
        assert check(made, plan) == ()
        values.append(next((s.value, s.proven) for s in plan.stages if s.name == "overtime"))
    assert values[0] == (0, True)
    assert values[1][0] > 0

"""Large days: the first plan and the crew by rule of thumb hold; a hint that is cut short is still one."""

from __future__ import annotations

import importlib
from dataclasses import replace
from unittest import mock

import pytest

from planner.check import check
from planner.errors import ModelTooLarge
from planner.job import Gear
from planner.plan import Status
from planner.schedule import first_plan, solve
from planner.schedule.crews.assignment import name_crew
from planner.schedule.crews.greedy_assignment import greedy_crew
from planner.schedule.crews.outfits import give_outfits
from planner.schedule.crews.posts import Post
from planner.schedule.greedy.local_search import LocalSearch
from planner.schedule.model.day_model import DayModel
from planner.schedule.problem.least import work_there_is
from planner.schedule.problem.prepare import prepare
from tests.bench.ladder import RUNGS, RUNGS_PAST_A_MODEL, Rung, ladder_job
from tests.bench.plain import plain_work
from tests.schedule.day import item, job
from tests.schedule.test_each_rule_decides import side, two_stations

#: The modules, whose names a function and a class of theirs bear.
problem_module = importlib.import_module("planner.schedule.problem.problem")
solve_module = importlib.import_module("planner.schedule.solve")


@pytest.mark.parametrize(
    "rung",
    [r if r.people < 24 else pytest.param(r, marks=pytest.mark.long) for r in RUNGS],
    ids=lambda r: r.name,
)
def test_the_first_plan_of_every_rung_holds(rung: Rung) -> None:
    """From 8 people to 64: the plan by rule of thumb passes the verdict."""
    made = ladder_job(rung)
    plan = first_plan(made)
    assert plan is not None
    assert check(made, plan) == ()


@pytest.mark.long
@pytest.mark.parametrize("rung", RUNGS_PAST_A_MODEL, ids=lambda r: r.name)
def test_a_job_past_a_model_is_planned(rung: Rung) -> None:
    """All of the work of 60 items, checked; the bounds are those told without a search."""
    made = ladder_job(rung)
    outcome = solve(made, seconds=20, workers=2)
    assert outcome.plan is not None and outcome.refused is None
    assert check(made, outcome.plan) == ()
    work, finish, *_ = outcome.plan.stages
    assert work.proven and work.value == work.bound == work_there_is(prepare(made))
    assert rung.days > 1 or finish.value <= 1.06 * finish.bound


@pytest.mark.parametrize("rung", [Rung(9, 1, 4), Rung(9, 1, 3, days=2)], ids=lambda r: r.name)
def test_without_a_model_orders_alone_make_the_plan(rung: Rung) -> None:
    """The same on a small job: no model is made, and each stage has a bound that a search bears out."""
    made = ladder_job(rung)
    whole = solve(made, seconds=1, workers=1).plan
    with (
        mock.patch.object(problem_module, "MOST_CONSTRAINTS", 0),
        mock.patch.object(solve_module, "DayModel", side_effect=AssertionError("a model is made")),
    ):
        outcome = solve(made, seconds=1, workers=1)
        again = solve(made, seconds=1, workers=1)
    assert outcome.plan is not None and whole is not None and again.plan is not None
    assert check(made, outcome.plan) == ()
    assert outcome.plan.replace(seconds=0) == again.plan.replace(seconds=0)
    assert outcome.plan.status in (Status.FEASIBLE, Status.LOOKED_FOR)
    assert [s.name for s in outcome.plan.stages] == [s.name for s in whole.stages]
    for told, best in zip(outcome.plan.stages[:2], whole.stages[:2], strict=True):
        assert told.bound >= best.value if told.maximise else told.bound <= best.value


def test_a_job_past_all_sizes_is_refused() -> None:
    """With both figures and what to do."""
    with (
        mock.patch("planner.schedule.problem.prepare.MAX_DIVE_SLOTS", 3),
        pytest.raises(ModelTooLarge) as told,
    ):
        prepare(ladder_job(Rung(9, 1, 4)))
    assert "takes on 3 dives and 300 people. Plan it in parts" in str(told.value)


def test_many_people_are_dressed_as_soon_as_few() -> None:
    """A hundred wearings of sixteen outfits alike, nearly all worn at any time: a choice is found at once."""
    made = ladder_job(Rung(64, 4, 40))
    problem = prepare(made)
    draft = LocalSearch(problem).first()
    worn = give_outfits(problem, draft)
    assert worn is not None
    assert len(worn) == sum(len(d.seats) + len(d.standby) for d in draft.dives)


def crew(posts: list[Post], free: list[list[str]], pairs: set[frozenset[str]] | None = None) -> object:
    breadth = {p: 1 for names in free for p in names}
    asked = [replace(post, able=tuple(names)) for post, names in zip(posts, free, strict=True)]
    return greedy_crew(asked, breadth, lambda a, b: frozenset((a, b)) in (pairs or set()))


def test_one_person_holds_two_posts_only_one_after_the_other() -> None:
    """Posts that meet take two people; posts that follow one another may take the same one."""
    meet = [Post("a", 1, 0, 10, dive=0), Post("a", 1, 5, 15, dive=1)]
    follow = [Post("a", 1, 0, 10, dive=0), Post("a", 1, 10, 15, dive=1)]
    assert crew(meet, [["P"], ["P"]]) is None
    assert crew(follow, [["P"], ["P"]]) == [{"P"}, {"P"}]


def test_two_duties_of_one_dive_go_together_where_allowed() -> None:
    """Console and log by one person where the pair table allows it; not otherwise, not on two dives."""
    posts = [Post("a", 1, 0, 10, dive=0), Post("b", 1, 0, 10, dive=0)]
    both = {frozenset(("a", "b"))}
    assert crew(posts, [["P"], ["P"]], both) == [{"P"}, {"P"}]
    assert crew(posts, [["P"], ["P"]]) is None
    apart = [posts[0], Post("b", 1, 0, 10, dive=1)]
    assert crew(apart, [["P"], ["P"]], both) is None


def test_both_ways_of_naming_agree_that_a_crew_exists() -> None:
    """On a day of 32 people: a crew by rule of thumb has one post at a time each, and no less overtime."""
    problem = prepare(ladder_job(Rung(32, 2, 14)))
    draft = LocalSearch(problem).first()
    exact = name_crew(problem, draft, readable=False)
    assert exact is not None
    with mock.patch("planner.schedule.crews.assignment.QUICK_ABOVE", 0):
        quick = name_crew(problem, draft, readable=False)
    assert quick is not None
    assert exact.overtime_min <= quick.overtime_min


def test_a_hint_without_time_keeps_the_main_decisions() -> None:
    """No time to complete a hint: the main decisions are hinted, and the start is not called misfit."""
    problem = prepare(job(item("A", 40, 40), item("B", 30, 30)))
    day = DayModel(problem)
    assert day.hint(LocalSearch(problem).first(), seconds=0.0)
    assert 0 < len(day.model.proto.solution_hint.vars) <= len(day.model.proto.variables)


@pytest.mark.long
def test_two_stations_bound_the_finish_together() -> None:
    """Four dives of 62 min of water on two stations: two each, with dressing and undressing."""
    made = two_stations(*(side(n) for n in "ABCD"), minutes=300)
    plan = solve(made, seconds=20).plan
    assert plan is not None
    finish = next(s for s in plan.stages if s.name == "finish")
    dressing = made.rules.dressing_min(Gear.LIGHT) + made.rules.undressing_min(Gear.LIGHT)
    assert finish.proven
    assert finish.value >= finish.bound >= 420 + 2 * 62 + dressing


def test_the_plain_formulation_finds_the_same_work() -> None:
    """What the benchmark measures against, on a job of two items: it gets as far."""
    made = job(item("A", 40, 40), item("B", 30, 30))
    plan = solve(made, seconds=6, workers=1, only_work=True).plan
    assert plan is not None
    assert plan.stages[0].proven
    assert plain_work(made, seconds=30, target=int(plan.stages[0].value)).value == plan.stages[0].value

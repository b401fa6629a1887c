"""An item in one go: the minutes between its dives, told before the search, found, and proven."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from random import Random

import pytest
from hypothesis import strategies as st

from planner.check import check
from planner.job import Gear, Job, Pin, PinKind, Span, Station
from planner.plan import Plan, Stage
from planner.schedule import first_plan, solve
from planner.schedule.draft.draft import Crew, Draft, draft_of, in_order
from planner.schedule.draft.values import one_go_value
from planner.schedule.greedy.local_search import LocalSearch
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.deadline import Deadline
from planner.schedule.model.one_go import least_between_min
from planner.schedule.problem.prepare import prepare
from planner.schedule.search.goals import FINISH, MARGIN, ONE_GO, WORK
from planner.schedule.search.neighbourhoods import better_nearby, items_free
from tests.attack.claims import values_of
from tests.samples import three_day_outfall
from tests.schedule.day import PEOPLE, item, job, outfit, person
from tests.world.changed import with_rules
from tests.world.random_cases import held_for

MANY = (
    *PEOPLE,
    *(person(n, "supervisor", "air console", "log keeper") for n in ("Nia", "Ugo")),
    *(person(n, "diver", "tender") for n in ("Ada", "Ben", "Cem", "Dov")),
)
NOBODY = Crew((), {}, 0)
HELMETS = tuple(outfit(n, Gear.LIGHT) for n in range(1, 7))


@cache
def planned(made: Job, seconds: float = 3.0) -> tuple[Plan, dict[str, Stage]]:
    """A checked plan and its stages by name."""
    plan = solve(made, seconds=seconds, workers=1).plan
    assert plan is not None
    assert check(made, plan) == ()
    return plan, {s.name: s for s in plan.stages}


def gaps_min(plan: Plan, name: str) -> int:
    """Minutes between an item's dives, added up again (one after another)."""
    own = sorted((d.leave_surface_min, d.reach_surface_min) for d in plan.dives if d.item == name)
    return sum(after[0] - before[1] for before, after in pairwise(own))


def test_one_bench_at_a_time_lies_between_two_dives() -> None:
    """100 min at 60 fsw take two dives (63 min on the bottom without stops, U.S. Navy Diving Manual, Rev. 7,
    table 9-7). Eight people have one heavy dive on the bench at a time: 20 min undressing and 30 min dressing
    lie between the two, told before the search and met by the plan."""
    made = job(item("A", 60, 100, in_one_go=True))
    assert least_between_min(prepare(made)) == 50
    plan, stages = planned(made)
    assert gaps_min(plan, "A") == stages["in one go"].value == stages["in one go"].bound == 50


def test_what_lies_between_two_dives_where_benches_may_meet() -> None:
    """With people for two benches it is the station's turnaround; where one diver alone may go, his surface
    interval of an hour; with a second station neither need be."""
    made = job(item("A", 60, 100, gear=Gear.LIGHT, in_one_go=True), people=MANY, outfits=HELMETS)
    made = with_rules(made, station_turnaround_min=10)
    assert least_between_min(prepare(made)) == 10
    stay = tuple(
        Pin(kind=PinKind.STAYS_UP, person=p.name) for p in MANY if "diver" in p.duties and p.name != "Ada"
    )
    assert least_between_min(prepare(made.replace(pins=stay))) == 60
    two = made.replace(stations=(Station(name="North"), Station(name="South")))
    assert least_between_min(prepare(two)) == 0
    # not asked for, or one dive is enough
    plain = made.dive_items[0].replace(in_one_go=False)
    short = made.dive_items[0].replace(bottom_work_min=40)
    for one in (plain, short):
        assert least_between_min(prepare(made.replace(dive_items=(one,)))) == 0


def test_windows_too_short_for_all_of_it_lie_apart() -> None:
    """60 min of work in 20 fsw, windows of 45 min at 08:00, 09:00 and 14:00: the first two have room for it,
    a quarter of an hour apart; without the second it is done in the other two, 315 min apart."""

    def within(*starts: int) -> Job:
        spans = tuple(Span(start_min=s, end_min=s + 45) for s in starts)
        work = item("Wall", 20, 60, windows=spans, least_useful_min=25, in_one_go=True, gear=Gear.LIGHT)
        return job(work, people=MANY, outfits=HELMETS)

    assert least_between_min(prepare(within(480, 540, 840))) == 15
    assert least_between_min(prepare(within(480, 840))) == 840 - 525
    plan, stages = planned(within(480, 840))
    assert gaps_min(plan, "Wall") == stages["in one go"].value >= 840 - 525


@pytest.mark.parametrize(
    "order", [("finish", "in one go"), pytest.param(("in one go", "finish"), marks=pytest.mark.long)]
)
def test_the_dives_of_an_item_come_together(order: tuple[str, ...]) -> None:
    """Three items, two of them of two dives: what the plan has between the dives of the one that asks for it
    is what its stage says, never more than without the wish and no work less; proven where it is the least
    there can be."""
    items = (item("A", 60, 100), item("B", 30, 40), item("C", 60, 70))
    asked = (items[0].replace(in_one_go=True), *items[1:])
    made = with_rules(job(*asked), stage_order=order)
    plan, stages = planned(made)
    loose, before = planned(with_rules(job(*items), stage_order=order))
    assert "in one go" not in before
    assert stages["in one go"].value == gaps_min(plan, "A") == 50
    assert stages["in one go"].proven
    assert gaps_min(plan, "A") <= gaps_min(loose, "A")
    assert stages["work finished"].value == before["work finished"].value
    if order[0] == "finish":
        assert stages["finish"].value == before["finish"].value


@held_for(
    st.lists(st.tuples(st.integers(15, 60), st.integers(30, 130), st.booleans()), min_size=1, max_size=3),
    st.sampled_from([PEOPLE, MANY]),
    st.integers(0, 60),
    st.sampled_from([(), ((480, 560), (600, 700), (710, 900)), ((420, 700),)]),
    st.booleans(),
    quick=6,
    long=60,
)
def test_no_plan_has_less_between_its_dives_than_is_told(
    own: list[tuple[int, int, bool]],
    people: tuple[object, ...],
    turnaround_min: int,
    windows: tuple[tuple[int, int], ...],
    two: bool,
) -> None:
    """Plans by rule of thumb, from four orders, and the one with the most work know nothing of the bound;
    where they do all the work they have no less. Draft and check count the same, and the model that is told
    to have a minute less than a plan has no longer holds it."""
    spans = tuple(Span(start_min=a, end_min=b) for a, b in windows)
    items = [
        item(f"I{k}", depth, work, in_one_go=asked or not k, windows=spans, gear=Gear.LIGHT)
        for k, (depth, work, asked) in enumerate(own)
    ]
    stations = (Station(name="North"), Station(name="South"))[: 1 + two]
    made = job(*items, people=people, outfits=HELMETS, stations=stations)
    made = with_rules(made, station_turnaround_min=turnaround_min)
    problem = prepare(made)
    bound = least_between_min(problem)
    plans = [first_plan(made, seed=seed) for seed in range(4)]
    for plan in (*plans, solve(made, seconds=1, workers=1, only_work=True).plan):
        if plan is None:
            continue
        value = values_of(made, plan)["in one go"]
        assert value == sum(gaps_min(plan, i.name) for i in items if i.in_one_go)
        assert value == one_go_value(problem, draft_of(problem, plan))
        if not plan.leftovers:
            assert value >= bound


def test_the_model_counts_as_the_check_does() -> None:
    """A plan by rule of thumb lies in the model with its own minutes between dives, and not with one less."""
    made = job(item("A", 60, 100, in_one_go=True), item("B", 30, 40), item("C", 50, 110, in_one_go=True))
    problem, plan = prepare(made), first_plan(made, seed=1)
    assert plan is not None
    value = values_of(made, plan)["in one go"]
    assert value > 0
    for most, holds in ((value, True), (value - 1, False)):
        day = DayModel(problem)
        day.model.add(ONE_GO.expression(day) <= most)
        assert day.hint(draft_of(problem, plan)) == holds


def test_whole_items_are_set_free() -> None:
    """First the dives of each item that asks for it, then another item's with them; where every support duty
    has a name nothing is."""
    made = job(item("A", 60, 100, in_one_go=True), item("B", 30, 40), item("C", 60, 70))
    problem, plan = prepare(made), first_plan(made)
    assert plan is not None
    draft, day = draft_of(problem, plan), DayModel(problem)
    frees = [keep.keywords["free"] for keep in items_free.kept(day, draft, Random(1))]  # type: ignore[attr-defined]
    names = [{problem.dives[work].item.name for work, _ in free.dives} for free in frees]
    assert names[0] == {"A"}
    assert sorted(map(sorted, names[1:])) == [["A", "B"], ["A", "C"]]
    assert list(items_free.kept(DayModel(problem, named_support=True), draft, Random(1))) == []


@pytest.mark.long
def test_a_whole_item_set_free_moves_from_two_days_to_one() -> None:
    """The sample of three days by rule of thumb, its days made even: the saddle is bedded on two of them.
    Near it, within its work, minutes in hand and finish, both dives are on one; all else is as it was."""
    problem = prepare(three_day_outfall.job())
    draft = in_order(problem, list(LocalSearch(problem).shorten_days(60))[-1])
    before, day = one_go_value(problem, draft), DayModel(problem)
    assert before > 720
    for goal in (WORK, MARGIN, FINISH):
        goal.hold(day, goal.value(problem, draft, NOBODY))
    found: list[Draft] = []
    better_nearby(
        day,
        ONE_GO.expression(day),
        draft,
        before,
        0,
        items_free,
        deadline=Deadline(8.0),
        seconds=8.0,
        seed=1,
        taken=lambda other: bool(found.append(other)) or True,
        ended=lambda: bool(found),
    )
    (other,) = found
    assert one_go_value(problem, other) < 720
    kept = [d for d in draft.dives if not problem.dives[d.work].item.in_one_go]
    assert len(kept) == len(draft.dives) - 2
    same = {(d.work, d.leave_surface_min, d.bottom_time_min, d.seats, d.standby) for d in other.dives}
    assert {(d.work, d.leave_surface_min, d.bottom_time_min, d.seats, d.standby) for d in kept} <= same

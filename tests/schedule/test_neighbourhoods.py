"""Plans near another: better step by step, most of the dives kept, gone on from those that are taken."""

from __future__ import annotations

from collections import Counter
from functools import cache
from itertools import islice
from random import Random
from types import ModuleType

import pytest

from planner.check import check
from planner.schedule import first_plan, solve
from planner.schedule.draft.draft import Crew, Draft, DraftDive, draft_of, in_order
from planner.schedule.draft.values import finish_value, work_value
from planner.schedule.greedy.local_search import LocalSearch
from planner.schedule.model.day_model import DayModel, Free
from planner.schedule.model.deadline import Deadline
from planner.schedule.problem.prepare import prepare
from planner.schedule.search.goals import FINISH, NITROGEN, SHARES, WORK, Goal
from planner.schedule.search.neighbourhoods import (
    AT_ONCE,
    FREE_DIVES,
    Neighbourhood,
    better_nearby,
    few_free,
    times_free,
)
from tests.attack.claims import as_key, values_of
from tests.bench.ladder import Rung, ladder_job
from tests.samples import small_heavy_dress, three_day_outfall, tidal_pier
from tests.schedule.day import item, job

PROBLEM = prepare(ladder_job(Rung(9, 1, 6)))
NOBODY = Crew((), {}, 0)


def kept_of(draft: Draft) -> Counter[object]:
    """What is kept of a dive: its item, station and divers."""
    return Counter((d.work, d.station, d.seats) for d in in_order(PROBLEM, draft).dives)


def searched(day: DayModel, draft: Draft, *, turned_down: int, ended: bool = False) -> list[Draft]:
    """The drafts found within two counted seconds; all are taken but one of them, by its place."""
    found: list[Draft] = []

    def taken(other: Draft) -> bool:
        found.append(other)
        return len(found) - 1 != turned_down

    better_nearby(
        day,
        day.finish(),
        draft,
        finish_value(day.problem, draft),
        day.problem.window.start_min,
        times_free,
        deadline=Deadline(2.0),
        seconds=2.0,
        seed=1,
        taken=taken,
        ended=lambda: ended,
    )
    return found


@pytest.mark.long
def test_each_is_better_than_the_one_before_that_was_taken() -> None:
    """Six items for nine people: from the plan by rule of thumb each draft finishes earlier than the last
    one taken (the second is turned down), with no less work, and all but two of its dives are the same."""
    draft = LocalSearch(PROBLEM).first()
    day, work = DayModel(PROBLEM), work_value(PROBLEM, draft)
    WORK.hold(day, work)
    assert day.hint(draft)
    found = searched(day, draft, turned_down=1)
    assert len(found) > 2
    last = draft
    for place, other in enumerate(found):
        assert finish_value(PROBLEM, other) < finish_value(PROBLEM, last)
        assert work_value(PROBLEM, other) >= work
        same = kept_of(last) & kept_of(other)
        assert same.total() >= len(last.dives) - FREE_DIVES
        last = last if place == 1 else other


def test_nothing_is_looked_for_once_the_search_is_ended_or_with_few_dives() -> None:
    """Stopped, or with so few dives that the whole day is searched as soon, no model is made."""
    draft = LocalSearch(PROBLEM).first()
    assert len(draft.dives) >= times_free.fewest_dives
    assert searched(DayModel(PROBLEM), draft, turned_down=-1, ended=True) == []
    small = prepare(job(item("A", 40, 40), item("B", 30, 30)))
    assert searched(DayModel(small), LocalSearch(small).first(), turned_down=-1) == []


@cache
def held_first() -> tuple[DayModel, Draft]:
    """The model with the work and the finish of the plan by rule of thumb held, and that plan."""
    draft = LocalSearch(PROBLEM).first()
    day = DayModel(PROBLEM)
    for goal in (WORK, FINISH):
        goal.hold(day, goal.value(PROBLEM, draft, NOBODY))
    return day, draft


@pytest.mark.parametrize("goal", [NITROGEN, SHARES], ids=["nitrogen", "shares"])
def test_where_times_are_kept_what_is_found_is_better_and_keeps_the_rest(goal: Goal) -> None:
    """Who dives and stands by alone, then a few dives that follow one another: what is found is better by the
    value worked out from times and names, and outside of what was free no decision has moved."""
    day, draft = held_first()
    before = goal.value(PROBLEM, draft, NOBODY)
    found: list[Draft] = []
    for place, keep in enumerate(islice(few_free.kept(day, draft, Random(1)), 4)):
        only = Neighbourhood(lambda *_, keep=keep: iter((keep,)), fewest_dives=1, step_s=1.0)
        other = one_near(day, goal, draft, before, only)
        if other is None:
            continue
        found.append(other)
        assert goal.value(PROBLEM, other, NOBODY) < before
        kept = in_order(PROBLEM, draft)
        if place == 0:
            assert [when(d) for d in kept.dives] == [when(d) for d in other.dives]
        else:
            same = {(when(d), d.seats, d.standby) for d in kept.dives} & {
                (when(d), d.seats, d.standby) for d in other.dives
            }
            assert len(same) >= len(kept.dives) - AT_ONCE[0]
    assert found


def when(dive: DraftDive) -> tuple[int, int, int]:
    return dive.work, dive.leave_surface_min, dive.bottom_time_min


def one_near(day: DayModel, goal: Goal, draft: Draft, value: int, near: Neighbourhood) -> Draft | None:
    """The first draft found near one."""
    found: list[Draft] = []
    better_nearby(
        day,
        goal.expression(day),
        draft,
        value,
        0,
        near,
        deadline=Deadline(4.0),
        seconds=4.0,
        seed=1,
        taken=lambda other: bool(found.append(other)),
        ended=lambda: bool(found),
    )
    return found[0] if found else None


def test_each_dive_and_each_item_is_free_somewhere() -> None:
    """First nobody's name is kept; then every dive is free with its neighbours; and where every support duty
    has a name too, too much would be free."""
    day, draft = held_first()
    frees = [keep.keywords["free"] for keep in few_free.kept(day, draft, Random(1))]  # type: ignore[attr-defined]
    assert frees[0] == Free(people=True)
    every = {(d.work, d.slot) for d in day.dives}
    assert frozenset().union(*(free.dives for free in frees)) == every
    assert all(not free.people and free.dives < every for free in frees[1:])
    assert list(few_free.kept(DayModel(PROBLEM, named_support=True), draft, Random(1))) == []


@pytest.mark.parametrize("sample", [small_heavy_dress, tidal_pier], ids=["small", "tidal"])
def test_overtime_held_in_a_counted_model_shuts_out_no_plan_that_has_no_more(sample: ModuleType) -> None:
    """A sample's plan with its overtime, as the check works it out, is in the model; with none allowed its
    last dives, which go on past the ordinary day, are not."""
    made = sample.job()
    plan = first_plan(made)
    assert plan is not None
    overtime = values_of(made, plan)["overtime"]
    problem = prepare(made)
    for most, holds in ((overtime, True), (0, False)):
        day = DayModel(problem)
        day.hold_overtime(most)
        assert day.hint(draft_of(problem, plan)) == holds


@pytest.mark.long
def test_what_is_near_is_fairer_over_three_days() -> None:
    """The sample of three days, one worker and few seconds: in order of the stages better than the plan by
    rule of thumb, and it passes the check."""
    made = three_day_outfall.job()
    thumb, plan = first_plan(made), solve(made, seconds=10, workers=1).plan
    assert thumb is not None
    assert plan is not None
    assert check(made, plan) == ()
    assert as_key(values_of(made, plan)) < as_key(values_of(made, thumb))

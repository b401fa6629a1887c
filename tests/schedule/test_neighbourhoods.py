"""Plans near another: better step by step, most of the dives kept, gone on from those that are taken."""

from __future__ import annotations

from collections import Counter

from planner.schedule.draft.draft import Draft, in_order
from planner.schedule.draft.values import finish_value, work_value
from planner.schedule.greedy.local_search import LocalSearch
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.deadline import Deadline
from planner.schedule.problem.prepare import prepare
from planner.schedule.search.goals import WORK
from planner.schedule.search.neighbourhoods import FEWEST_DIVES, FREE_DIVES, better_nearby
from tests.bench.ladder import Rung, ladder_job
from tests.schedule.day import item, job

PROBLEM = prepare(ladder_job(Rung(9, 1, 6)))


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
        deadline=Deadline(2.0),
        seconds=2.0,
        seed=1,
        taken=taken,
        ended=lambda: ended,
    )
    return found


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
    assert len(draft.dives) >= FEWEST_DIVES
    assert searched(DayModel(PROBLEM), draft, turned_down=-1, ended=True) == []
    small = prepare(job(item("A", 40, 40), item("B", 30, 30)))
    assert searched(DayModel(small), LocalSearch(small).first(), turned_down=-1) == []

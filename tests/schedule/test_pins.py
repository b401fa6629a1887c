"""Pins: what a person has settled is kept, or it is told which pins stand in the way."""

from __future__ import annotations

from unittest import mock

from planner.check import check
from planner.job import Pin, PinKind
from planner.plan import Plan
from planner.schedule import solve
from planner.schedule.draft.draft import Draft
from planner.schedule.model.day_model import DayModel
from tests.schedule.day import item, job

BASE = job(item("A", 40, 40), item("B", 30, 30))


def pinned(*pins: Pin) -> Plan:
    made = BASE.replace(pins=pins)
    outcome = solve(made, seconds=6)
    assert outcome.plan is not None, outcome.sentence
    assert check(made, outcome.plan) == ()
    return outcome.plan


def test_a_start_is_kept() -> None:
    """An item pinned to start at 10:00 does."""
    plan = pinned(Pin(kind=PinKind.STARTS, item="A", start_min=600, end_min=600))
    assert min(d.leave_surface_min for d in plan.dives if d.item == "A") == 600


def test_a_diver_is_kept_and_costs_nothing_elsewhere() -> None:
    """Pinning one of three alike divers leaves the finish as early as without the pin."""
    plan = pinned(Pin(kind=PinKind.DIVES, item="A", person="Efe"))
    assert any(d.item == "A" and d.divers[0].person == "Efe" for d in plan.dives)
    free = solve(BASE, seconds=6).plan
    assert free is not None
    assert plan.end_min == free.end_min


def test_a_support_duty_is_kept() -> None:
    """A tender pinned as the standby's tender holds that duty."""
    plan = pinned(Pin(kind=PinKind.HOLDS, item="B", person="Bo", duty="standby's tender"))
    held = [s.person for s in plan.duties if s.item == "B" and s.duty == "standby's tender"]
    assert held == ["Bo"]


def test_away_means_no_duty() -> None:
    """With the only supervisor away until 10:00 no dressing starts before."""
    plan = pinned(Pin(kind=PinKind.AWAY, person="Ines", start_min=420, end_min=600))
    assert min(d.dress_start_min for d in plan.dives) >= 600


def test_contradictory_pins_are_told() -> None:
    """A diver pinned to dive and to stay up: no plan, and both pins named."""
    pins = (
        Pin(kind=PinKind.STAYS_UP, person="Efe"),
        Pin(kind=PinKind.DIVES, item="A", person="Efe"),
    )
    outcome = solve(BASE.replace(pins=pins), seconds=3)
    assert outcome.plan is None
    assert "pin 1" in outcome.sentence
    assert "pin 2" in outcome.sentence


def test_a_plan_to_start_from_is_not_made_worse() -> None:
    """Starting from a good plan with no time to search gives one at least as good."""
    good = solve(BASE, seconds=6).plan
    assert good is not None
    again = solve(BASE, seconds=0.3, start=good).plan
    assert again is not None
    assert again.end_min <= good.end_min


def test_a_plan_that_leaves_work_over_is_started_from_too() -> None:
    """What a plan to start from leaves over does not keep it from being used."""
    more = BASE.replace(dive_items=(*BASE.dive_items, item("C", 60, 100, splittable=False)))
    good = solve(more, seconds=6).plan
    assert good is not None
    assert [left.item for left in good.leftovers] == ["C"]
    again = solve(more, seconds=0.3, start=good).plan
    assert again is not None
    assert again.end_min <= good.end_min
    assert again.worked_min("A") == good.worked_min("A")


def test_a_start_outside_the_model_is_let_go() -> None:
    """A plan to start from that the model cannot hold costs nothing: the search begins without it."""
    good = solve(BASE, seconds=6).plan
    assert good is not None
    hint = DayModel.hint
    asked: list[bool] = []

    def first_one_fails(day: DayModel, draft: Draft, *, seconds: float = 10.0) -> bool:
        asked.append(True)
        return len(asked) > 1 and hint(day, draft, seconds=seconds)

    with mock.patch.object(DayModel, "hint", first_one_fails):
        again = solve(BASE, seconds=4, start=good).plan
    assert again is not None
    assert again.worked_min("A") == good.worked_min("A")

"""Pins: what a person has settled is kept, or it is told which pins stand in the way."""

from __future__ import annotations

from datetime import time
from functools import cache
from unittest import mock

import pytest

from planner.check import check
from planner.job import Job, Pin, PinKind
from planner.job.duties import BRIEFING
from planner.plan import Plan
from planner.schedule import first_plan, solve
from planner.schedule.draft.draft import Draft
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.deadline import Deadline
from tests.schedule.day import item, job
from tests.world.changed import with_rules, with_site

BASE = job(item("A", 40, 40), item("B", 30, 30))


@cache
def planned(made: Job, *, only_work: bool = False) -> Plan:
    """A checked plan; searched for once."""
    outcome = solve(made, seconds=3, workers=1, only_work=only_work)
    assert outcome.plan is not None, outcome.sentence
    assert check(made, outcome.plan) == ()
    return outcome.plan


def pinned(*pins: Pin, only_work: bool = True) -> Plan:
    return planned(BASE.replace(pins=pins), only_work=only_work)


def test_a_start_is_kept() -> None:
    """An item pinned to start at 10:00 does."""
    plan = pinned(Pin(kind=PinKind.STARTS, item="A", start_min=600, end_min=600))
    assert min(d.leave_surface_min for d in plan.dives if d.item == "A") == 600


def test_a_diver_is_kept_and_costs_nothing_elsewhere() -> None:
    """Pinning one of three alike divers leaves the finish as early as without the pin."""
    plan = pinned(Pin(kind=PinKind.DIVES, item="A", person="Efe"), only_work=False)
    assert any(d.item == "A" and d.divers[0].person == "Efe" for d in plan.dives)
    assert plan.end_min == planned(BASE).end_min


def test_a_support_duty_is_kept() -> None:
    """A tender pinned as the standby's tender holds that duty while the diver is in the water; the second
    hand at the standby diver's dressing and undressing is somebody else's."""
    plan = pinned(Pin(kind=PinKind.HOLDS, item="B", person="Bo", duty="standby's tender"))
    (dive,) = [d for d in plan.dives if d.item == "B"]
    held = [s for s in plan.duties if s.item == "B" and s.duty == "standby's tender"]
    assert [s.person for s in held if dive.leave_surface_min in range(s.start_min, s.end_min)] == ["Bo"]
    assert any(s.person != "Bo" for s in held)


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
    outcome = solve(job(BASE.dive_items[0], pins=pins), seconds=2, workers=1)
    assert outcome.plan is None
    assert "pin 1" in outcome.sentence
    assert "pin 2" in outcome.sentence


def test_a_plan_to_start_from_is_not_made_worse() -> None:
    """Starting from a good plan with no time to search gives one at least as good."""
    good = planned(BASE)
    again = solve(BASE, seconds=0.3, start=good).plan
    assert again is not None
    assert again.end_min <= good.end_min


def test_a_plan_that_leaves_work_over_is_started_from_too() -> None:
    """What a plan to start from leaves over does not keep it from being used."""
    more = BASE.replace(dive_items=(*BASE.dive_items, item("C", 60, 100, splittable=False)))
    good = planned(more)
    assert [left.item for left in good.leftovers] == ["C"]
    again = solve(more, seconds=0.3, start=good).plan
    assert again is not None
    assert again.end_min <= good.end_min
    assert again.worked_min("A") == good.worked_min("A")


def test_a_start_outside_the_model_is_let_go() -> None:
    """A plan to start from that the model cannot hold costs nothing: the search begins without it."""
    good = planned(BASE)
    hint = DayModel.hint
    asked: list[bool] = []

    def first_one_fails(day: DayModel, draft: Draft, deadline: Deadline, *, seconds: float) -> bool:
        asked.append(True)
        return len(asked) > 1 and hint(day, draft, deadline, seconds=seconds)

    with mock.patch.object(DayModel, "hint", first_one_fails):
        again = solve(BASE, seconds=1, workers=1, only_work=True, start=good).plan
    assert again is not None
    assert again.worked_min("A") == good.worked_min("A")


DAY = with_rules(
    BASE,
    station_set_up_min=30,
    set_up_hands=2,
    cleaning_min=20,
    cleaning_hands=1,
    briefing_min=15,
    meal_break_min=30,
    meal_break_after_min=360,
)
SET_UP = next(i.name for i in DAY.standing_items if i.name.startswith("Setting up"))
CLEANING = next(i.name for i in DAY.standing_items if i.name.startswith("Cleaning"))


def test_standing_work_starts_when_it_is_pinned_to() -> None:
    """Setting up the station pinned to 08:00: it starts then, and no diver dresses before it is done."""
    plan = planned(DAY.replace(pins=(Pin(kind=PinKind.STARTS, item=SET_UP, start_min=480),)), only_work=True)
    (task,) = [t for t in plan.surface_tasks if t.item == SET_UP]
    assert task.start_min == 480
    assert min(d.dress_start_min for d in plan.dives) >= 510


def test_who_does_standing_work_is_kept() -> None:
    """Bo is pinned to the cleaning and does it; a plan in which somebody else does is convicted."""
    made = DAY.replace(pins=(Pin(kind=PinKind.HOLDS, item=CLEANING, person="Bo", duty="tender"),))
    plan = planned(made, only_work=True)
    (spell,) = [s for s in plan.duties if s.item == CLEANING]
    assert spell.person == "Bo"
    other = next(p.name for p in made.people if "tender" in p.duties and p.name != "Bo")
    changed = tuple(s.replace(person=other) if s is spell else s for s in plan.duties)
    assert "pins-kept" in {f.rule for f in check(made, plan.replace(duties=changed))}


def free_min(plan: Plan, item: str) -> list[int]:
    """Minutes behind each dive of an item until another leaves the surface at its station, striking begins
    there, or the day ends."""
    found = []
    for dive in (d for d in plan.dives if d.item == item):
        up = dive.reach_surface_min
        begins = [d.leave_surface_min for d in plan.dives if d.station == dive.station]
        begins += [t.start_min for t in plan.surface_tasks if t.item.startswith("Striking")]
        found.append(min([b for b in begins if b >= up] + [BASE.day_windows[0].end_min]) - up)
    return found


@pytest.mark.parametrize("first", [True, False])
def test_minutes_stay_free_behind_every_dive_of_an_item(first: bool) -> None:
    """80 min are asked for behind the dives of A and a turnaround of 15 before: the plan by rule of thumb
    holds them as the search does, whichever item is the more pressing, and nothing is left over. One more
    minute than the plan has behind a dive convicts it."""
    made = with_rules(BASE, station_turnaround_min=15, station_strike_min=20)
    a, b = made.dive_items
    a, b = a.replace(priority=1 if first else 3), b.replace(priority=2)
    pin = Pin(kind=PinKind.KEEPS_FREE, item="A", free_min=80)
    made = made.replace(dive_items=(a, b), pins=(pin,))
    loose = planned(made.replace(pins=()))
    assert min(free_min(loose, "A")) < 95
    thumb = first_plan(made)
    for plan in (thumb, planned(made)):
        assert plan is not None and check(made, plan) == () and not plan.leftovers
        assert min(free_min(plan, "A")) >= 95
        more = pin.replace(free_min=min(free_min(plan, "A")) - 15 + 1)
        assert {f.rule for f in check(made.replace(pins=(more,)), plan)} == {"pins-kept"}


@pytest.mark.long
def test_minutes_free_behind_one_dive_and_a_start_too_soon_contradict() -> None:
    """A leaves the surface at 08:00 with three hours free behind it, which the last dive before the day's
    end keeps too; with B pinned to ten minutes after A is up, no plan holds and both are named."""
    free = Pin(kind=PinKind.DIVES, item="A", start_min=480, free_min=180)
    plan = pinned(free)
    (dive,) = [d for d in plan.dives if d.item == "A"]
    assert dive.leave_surface_min == 480 and free_min(plan, "A")[0] >= 180
    up = dive.reach_surface_min
    soon = Pin(kind=PinKind.STARTS, item="B", start_min=up + 60, end_min=up + 120)
    outcome = solve(BASE.replace(pins=(free, soon)), seconds=2, workers=1)
    assert outcome.plan is None
    assert "pin 1 (dives A 08:00 180 min)" in outcome.sentence and "pin 2" in outcome.sentence


def test_minutes_free_behind_the_last_dive_of_a_day() -> None:
    """Both items with two hours free behind their dives: the last diver is up two hours before the day ends;
    with more than the day has for both, one is left over."""
    pins = tuple(Pin(kind=PinKind.KEEPS_FREE, item=name, free_min=120) for name in "AB")
    plan = pinned(*pins)
    end = BASE.day_windows[0].end_min
    assert max(d.reach_surface_min for d in plan.dives) + 120 <= end and not plan.leftovers
    longer = pinned(*(p.replace(free_min=240) for p in pins))
    assert len(longer.leftovers) == 1
    assert max(d.reach_surface_min for d in longer.dives) + 240 <= end


def test_a_pinned_briefing_is_held_then() -> None:
    """Everybody is briefed from 07:10 for a quarter of an hour: no duty begins before 07:25, and the plan
    without the pin is convicted by it. Proven as far as the finish."""
    made = DAY.replace(pins=(Pin(kind=PinKind.BRIEFED, start_min=430),))
    plan = planned(made)
    held = {s.person: (s.start_min, s.end_min) for s in plan.duties if s.duty == BRIEFING}
    assert set(held.values()) == {(430, 445)}
    assert set(held) == {s.person for s in plan.duties}
    assert min(s.start_min for s in plan.duties if s.duty != BRIEFING) >= 445
    assert [s.proven for s in plan.stages if s.name == "finish"] == [True]
    assert "pins-kept" in {f.rule for f in check(made, planned(DAY, only_work=True))}


def test_one_person_is_briefed_apart() -> None:
    """A pin with a name binds that person alone: Bo is briefed from 06:30 where the day begins at 06:00."""
    early = with_site(DAY, day_start=time(6))
    made = early.replace(pins=(Pin(kind=PinKind.BRIEFED, person="Bo", start_min=390),))
    plan = planned(made, only_work=True)
    held = {s.person: s.start_min for s in plan.duties if s.duty == BRIEFING}
    assert held.get("Bo", 390) == 390
    assert len(set(held.values())) > 1


def test_a_briefing_too_late_for_the_work_is_told() -> None:
    """Everybody briefed ten minutes before the day's end: nothing can be done, and it is told beside what."""
    end = DAY.day_windows[0].end_min
    made = DAY.replace(pins=(Pin(kind=PinKind.BRIEFED, start_min=end - 10),))
    outcome = solve(made, seconds=2, workers=1)
    assert outcome.plan is None
    assert "beside its pins" in outcome.sentence

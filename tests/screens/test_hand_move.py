"""A plan moved by hand tells one story again, and only the rule that the move breaks is told."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from planner.check import Finding, check
from planner.day.by_hand import Move, Takes, may_dive, may_hold, moved
from planner.job import Job, Pin, PinKind
from planner.job.duties import DIVER, SUPERVISOR
from planner.plan.model import Dive, Plan
from planner.schedule import first_plan
from planner.screens.moves_by_hand import read_time
from planner.screens.pins import contradictions, settled
from planner.workbook import read_job

ROOT = Path(__file__).resolve().parents[2]
JOB = read_job(ROOT / "sample_jobs" / "small_heavy_dress.xlsx")


@cache
def _plan() -> Plan:
    plan = first_plan(JOB)
    assert plan is not None
    assert not [f for f in check(JOB, plan) if f.rule != "leftovers-told"]
    return plan


def _first() -> Dive:
    return min(_plan().dives, key=lambda d: d.leave_surface_min)


def _last() -> Dive:
    return max(_plan().dives, key=lambda d: d.leave_surface_min)


def _moved(move: Move, job: Job = JOB) -> tuple[Plan, tuple[Finding, ...]]:
    plan = moved(_plan(), job, move, lambda p: len(check(job, p)))
    return plan, check(job, plan)


@pytest.mark.parametrize("by", [-3, 0, 3, 120])
def test_a_shift_leaves_no_loose_end(by: int) -> None:
    """However a dive is shifted, times, posts, groups and tables still agree; other rules may break."""
    dive = _last()
    _, found = _moved(Move(dive.id, start_min=dive.leave_surface_min + by))
    story = {"times-in-order", "duties-match-dives", "known-names", "leftovers-told", "objective-values"}
    assert not story & {f.rule for f in found}
    assert not [f for f in found if f.rule.startswith("crew-")]


def test_a_dive_put_inside_another_is_two_dives_at_once() -> None:
    """A dive moved wholly into one that is longer: told as two dives on a station, with no backward duty."""
    longest = max(_plan().dives, key=lambda d: d.bottom_time_min)
    other = next(d for d in _plan().dives if d.id != longest.id)
    move = Move(other.id, start_min=longest.leave_surface_min + 5, bottom_time_min=10)
    rules = {f.rule for f in _moved(move)[1]}
    assert "one-dive-a-station" in rules
    assert "times-in-order" not in rules


def test_a_shift_before_the_day_is_told_by_its_rule() -> None:
    """Leaving the surface an hour too early is outside the working day, and the sentence says so."""
    dive = _first()
    _, found = _moved(Move(dive.id, start_min=dive.leave_surface_min - 60))
    assert "day-window" in {f.rule for f in found}, found


def test_a_shorter_bottom_time_follows_the_tables() -> None:
    """Less bottom time: the work shrinks by as much, and the way up is that of the tables."""
    dive = _last()
    plan, found = _moved(Move(dive.id, bottom_time_min=dive.bottom_time_min - 5))
    now = next(d for d in plan.dives if d.id == dive.id)
    assert now.work_min == dive.work_min - 5
    assert now.leave_bottom_min == dive.leave_bottom_min - 5
    assert "times-in-order" not in {f.rule for f in found}
    left = next(x for x in plan.leftovers if x.item == dive.item)
    assert left.needed_min - left.planned_min >= 5


def test_another_diver_is_in_the_water_and_in_the_duties() -> None:
    """The new diver has seat, duty and an outfit; whom he replaces has neither."""
    dive = _last()
    was = dive.divers[0].person
    for now in may_dive(JOB, JOB.dive_item(dive.item)):
        if now == was:
            continue
        plan, found = _moved(Move(takes=(Takes(dive.item, DIVER, was, now, dive.id),)))
        mine = next(d for d in plan.dives if d.id == dive.id)
        assert [d.person for d in mine.divers if d.duty == DIVER] == [now]
        assert not {"duties-match-dives", "known-names", "table-schedule"} & {f.rule for f in found}
        assert not [s for s in plan.duties if s.dive == dive.id and s.duty == DIVER and s.person == was]


def test_a_post_changes_hands() -> None:
    """Whoever may hold the post is offered, and holds it over the same time."""
    dive = _first()
    spell = next(s for s in _plan().duties if s.dive == dive.id and s.duty == SUPERVISOR)
    now = next(p for p in may_hold(JOB, JOB.dive_item(dive.item), SUPERVISOR) if p != spell.person)
    plan, _ = _moved(Move(takes=(Takes(dive.item, SUPERVISOR, spell.person, now, dive.id),)))
    held = next(s for s in plan.duties if s.dive == dive.id and s.duty == SUPERVISOR)
    assert held == spell.replace(person=now)


def test_the_pins_say_what_was_moved_and_replace_what_they_contradict() -> None:
    """A second move of the same dive takes the place of the first one's pin."""
    dive = _last()
    first = settled(JOB, _plan(), _plan(), Move(dive.id, start_min=dive.leave_surface_min))
    pin = Pin(kind=PinKind.DIVES, item=dive.item, start_min=dive.leave_surface_min, station=dive.station)
    assert (first.new, first.replaced) == ((pin,), ())
    job = first.put_into(JOB)
    move = Move(dive.id, start_min=dive.leave_surface_min + 10)
    after, found = _moved(move, job)
    assert "pins-kept" in {f.rule for f in found}
    again = settled(job, _plan(), after, move)
    assert again.replaced == (pin,)
    assert again.put_into(job).pins == (pin.replace(start_min=dive.leave_surface_min + 10),)


def test_a_contradiction_is_told_before_it_is_kept() -> None:
    """Pinned to stay up and to dive: the workbook's reader would refuse it, so it is said at once."""
    dive = _last()
    person = dive.divers[0].person
    pins = (
        Pin(kind=PinKind.STAYS_UP, person=person),
        Pin(kind=PinKind.DIVES, item=dive.item, person=person),
    )
    (told,) = contradictions(JOB.replace(pins=pins))
    assert person in told
    assert "stay up" in told


@pytest.mark.parametrize("text", ["0915", "09:15", "9:15"])
def test_a_time_is_typed_either_way(text: str) -> None:
    """0915 and 09:15 are the same minute."""
    assert read_time(JOB, text, _first().leave_surface_min) == 9 * 60 + 15

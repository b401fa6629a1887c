"""A plan moved by hand tells one story again, and only the rule that the move breaks is told."""

from __future__ import annotations

from datetime import time
from functools import cache
from pathlib import Path

import pytest

from planner.check import Finding, check
from planner.day.by_hand import Following, Move, Takes, follow, may_dive, may_hold, moved
from planner.job import Job, Pin, PinKind
from planner.job.duties import BRIEFING, DIVER, SUPERVISOR
from planner.plan.model import Dive, Plan
from planner.schedule import first_plan
from planner.screens.board.choices import read_time
from planner.screens.pins import contradictions, settled
from planner.workbook.job_reader import read_job

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


def test_minutes_free_behind_a_dive_are_pinned_to_its_time() -> None:
    """The plan stays as it is and keeps a minute behind its last dive, not the whole of the day; moved
    later, the dive takes its minutes along."""
    dive = _last()
    for minutes, kept in ((1, True), (480, False)):
        move = Move(dive.id, free_min=minutes, along=True)
        assert not move.nothing
        after, found = _moved(move)
        assert after.dives == _plan().dives and not found
        pins = settled(JOB, _plan(), after, move)
        (pin,) = pins.new
        assert pins.not_pinned == ()
        assert (pin.kind, pin.start_min, pin.free_min) == (PinKind.DIVES, dive.leave_surface_min, minutes)
        assert ("pins-kept" not in {f.rule for f in check(pins.put_into(JOB), after)}) is kept
        later = Move(dive.id, start_min=dive.leave_surface_min + 5)
        again = settled(pins.put_into(JOB), _plan(), _moved(later)[0], later)
        assert again.replaced == (pin,)
        assert [p.free_min for p in again.new] == [minutes]


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


def _briefing(plan: Plan) -> int:
    return min(s.start_min for s in plan.duties if s.duty == BRIEFING)


def test_a_briefing_is_moved_and_the_check_judges_when_it_is_held() -> None:
    """Held later it overlaps the first duties, before the day it is not on site."""
    at = _briefing(_plan())
    people = {s.person for s in _plan().duties if s.duty == BRIEFING and s.start_min == at}
    move = Move(briefing_min=at, start_min=at + 10)
    later, found = _moved(move)
    assert {s.person for s in later.duties if s.duty == BRIEFING and s.start_min == at + 10} >= people
    assert "briefed" in {f.rule for f in found}
    assert "briefed" in {f.rule for f in _moved(Move(briefing_min=at, start_min=at - 600))[1]}


def test_a_moved_briefing_is_pinned() -> None:
    """One pin for all who have one that day, one each for some of them; moved on, it is replaced. The plan as
    moved keeps it, and the one before does not."""
    job = JOB.replace(site=JOB.site.replace(day_start=time(6)))
    at = _briefing(_plan())
    move = Move(briefing_min=at, start_min=at - 20)
    after = moved(_plan(), job, move, lambda p: 0)
    pins = settled(job, _plan(), after, move)
    assert [(p.person, p.start_min) for p in pins.new] == [(None, at - 20)]
    pinned = pins.put_into(job)
    assert contradictions(pinned) == ()
    assert not [f for f in check(pinned, after) if f.rule in ("briefed", "one-briefing", "pins-kept")]
    assert "pins-kept" in {f.rule for f in check(pinned, _plan())}
    again = Move(briefing_min=at - 20, start_min=at - 30)
    assert set(settled(pinned, after, moved(after, pinned, again, lambda p: 0), again).replaced) == set(
        pins.new
    )
    late = next(s for s in after.duties if s.duty == BRIEFING)
    later = late.replace(start_min=late.start_min + 1)
    apart = after.replace(duties=tuple(later if s is late else s for s in after.duties))
    some = {s.person for s in apart.duties if s.duty == BRIEFING} - {late.person}
    assert {p.person for p in settled(job, apart, apart, again).new} == some


def test_a_briefing_moved_by_hand_stays_when_a_dive_is_moved() -> None:
    """What does not follow from the duties is a person's own choice, and the next move keeps it."""
    job = JOB.replace(site=JOB.site.replace(day_start=time(6)))
    at, dive = _briefing(_plan()), _last()
    early = moved(_plan(), job, Move(briefing_min=at, start_min=at - 20), lambda p: 0)
    again = moved(early, job, Move(dive.id, start_min=dive.leave_surface_min + 3), lambda p: 0)
    for plan in (early, again):
        assert _briefing(plan) == at - 20
        assert "briefed" not in {f.rule for f in check(job, plan)}
    assert sum(s.duty == BRIEFING for s in again.duties) == sum(s.duty == BRIEFING for s in _plan().duties)


def test_a_break_is_a_pin_and_the_check_tells_who_is_on_duty_in_it() -> None:
    """Nobody is posted anew by it; a break in which he has no duty breaks no pin."""
    dive = _first()
    diver = dive.divers[0].person
    for start, broken in ((dive.leave_surface_min, True), (max(s.end_min for s in _plan().duties), False)):
        pin = Pin(kind=PinKind.AWAY, person=diver, start_min=start, end_min=start + 5)
        move = Move(away=pin)
        after = moved(_plan(), JOB, move, lambda p: 0)
        pins = settled(JOB, _plan(), after, move)
        assert pins.new == (pin,)
        assert after.dives == _plan().dives
        assert ("pins-kept" in {f.rule for f in check(pins.put_into(JOB), after)}) is broken


def test_standing_work_moved_by_hand_is_pinned() -> None:
    """Its start and who does it, like those of an item; the job with the pins opens again."""
    names = {item.name for item in JOB.standing_items}
    task = next(t for t in _plan().surface_tasks if t.item in names)
    spell = next(s for s in _plan().duties if s.item == task.item and s.dive is None)
    now = next(
        p
        for p in may_hold(JOB, JOB.item(task.item), spell.duty)
        if p not in {s.person for s in _plan().duties if s.item == task.item}
    )
    move = Move(
        task=task.item, start_min=task.start_min + 1, takes=(Takes(task.item, spell.duty, spell.person, now),)
    )
    after = _moved(move)[0]
    pins = settled(JOB, _plan(), after, move)
    assert pins.new == (
        Pin(kind=PinKind.STARTS, item=task.item, start_min=task.start_min + 1),
        Pin(kind=PinKind.HOLDS, item=task.item, duty=spell.duty, person=now),
    )
    assert pins.not_pinned == ()
    assert contradictions(pins.put_into(JOB)) == ()
    assert "pins-kept" not in {f.rule for f in check(pins.put_into(JOB), after)}
    assert "pins-kept" in {f.rule for f in check(pins.put_into(JOB), _plan())}


@pytest.mark.parametrize("by", [5, 40])
def test_what_follows_moves_along_and_keeps_every_distance(by: int) -> None:
    """The first dive later: alone it runs into the second one and is convicted; with what follows the check
    finds nothing, dives, crews and closing work all move by as much, and the way there stays."""
    dive = _first()
    alone = Move(dive.id, start_min=dive.leave_surface_min + by)
    along = Move(dive.id, start_min=dive.leave_surface_min + by, along=True)
    assert _moved(alone)[1]
    after, found = _moved(along)
    assert not found
    later = {d.id: d.leave_surface_min for d in after.dives}
    assert later == {d.id: d.leave_surface_min + by for d in _plan().dives}
    before = {t.item: t.start_min for t in _plan().surface_tasks}
    for task in after.surface_tasks:
        opens = before[task.item] < dive.dress_start_min
        assert task.start_min == before[task.item] + (0 if opens else by), task.item
    assert "What moves along is not pinned" in settled(JOB, _plan(), after, along).not_pinned[0]


def test_a_longer_dive_pushes_what_follows_by_its_way_up_too() -> None:
    """What follows moves as much as the dive ends later, its way up too; what nothing binds to it stays."""
    dive = _first()
    move = Move(dive.id, bottom_time_min=dive.bottom_time_min + 10, along=True)
    after, _ = _moved(move)
    up = {d.id: d.reach_surface_min for d in after.dives}[dive.id]
    by = up - dive.reach_surface_min
    assert by >= 10
    assert {d.leave_surface_min - by for d in after.dives if d.id != dive.id} == {
        d.leave_surface_min for d in _plan().dives if d.id != dive.id
    }
    last = _last()
    assert follow(_plan(), JOB, Move(last.id)).dives == frozenset()
    assert follow(_plan(), JOB, Move()) == Following()

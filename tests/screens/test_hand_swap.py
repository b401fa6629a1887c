"""Moved by hand where several people or things change at once: seats, swaps, stations, work on deck."""

from __future__ import annotations

from functools import cache
from itertools import combinations
from pathlib import Path

import pytest

from planner.check import Finding, check
from planner.day.by_hand import Move, Takes, may_dive, may_hold, moved, swap
from planner.job import Job, Pin, PinKind
from planner.job.duties import DIVER, ENTRY_DIVER, STANDBY
from planner.plan.model import Dive, Plan
from planner.schedule import first_plan
from planner.screens.pins import contradictions, pin_text, settled
from planner.workbook.job_reader import read_job

ROOT = Path(__file__).resolve().parents[2]

#: Rules that say that a plan contradicts itself; a move by hand may break others, never these.
STORY = {"times-in-order", "duties-match-dives", "known-names", "leftovers-told", "objective-values"}


@cache
def _job() -> Job:
    """The tidal pier, its survey made by two divers together."""
    job = read_job(ROOT / "sample_jobs" / "tidal_pier.xlsx")
    dives = tuple(i.replace(divers=2) if i.name.startswith("Scour") else i for i in job.dive_items)
    return job.replace(dive_items=dives)


@cache
def _plan() -> Plan:
    plan = first_plan(_job())
    assert plan is not None
    assert not check(_job(), plan)
    return plan


def _after(move: Move, job: Job | None = None) -> tuple[Plan, tuple[Finding, ...]]:
    job = job or _job()
    plan = moved(_plan(), job, move, lambda p: len(check(job, p)))
    return plan, check(job, plan)


def _with(duty: str, seats: int = 1) -> Dive:
    return next(d for d in _plan().dives if sum(x.duty == duty for x in d.divers) == seats)


def _holder(dive: Dive, duty: str) -> str:
    return next(s.person for s in _plan().duties if (s.dive, s.duty) == (dive.id, duty))


def test_both_divers_of_a_dive_change_at_once() -> None:
    """Two seats, two new people, each in an outfit of his own, and one pin for each of them."""
    dive = _with(DIVER, 2)
    was = [d.person for d in dive.divers]
    now = [p for p in may_dive(_job(), _job().dive_item(dive.item)) if p not in was][:2]
    takes = tuple(Takes(dive.item, DIVER, a, b, dive.id) for a, b in zip(was, now, strict=True))
    move = Move(dive.id, takes=takes)
    plan, found = _after(move)
    mine = next(d for d in plan.dives if d.id == dive.id)
    assert [d.person for d in mine.divers] == now
    assert len({d.outfit for d in mine.divers}) == 2
    assert not STORY & {f.rule for f in found}
    pins = settled(_job(), _plan(), plan, move)
    assert {p.person for p in pins.new} == set(now)
    assert not {f.rule for f in check(pins.put_into(_job()), plan)} & {"pins-kept"}


def test_the_diver_at_the_entry_is_pinned_to_the_post() -> None:
    """The seat at the entry changes hands; the pin reads back as a job and the moved plan keeps it."""
    dive = _with(ENTRY_DIVER)
    was = next(d.person for d in dive.divers if d.duty == ENTRY_DIVER)
    there = {d.person for d in dive.divers}
    now = next(p for p in may_hold(_job(), _job().item(dive.item), ENTRY_DIVER) if p not in there)
    move = Move(dive.id, takes=(Takes(dive.item, ENTRY_DIVER, was, now, dive.id),))
    plan, found = _after(move)
    assert not STORY & {f.rule for f in found}
    pins = settled(_job(), _plan(), plan, move)
    assert pins.new == (Pin(kind=PinKind.HOLDS, item=dive.item, duty=ENTRY_DIVER, person=now),)
    job = pins.put_into(_job())
    assert contradictions(job) == ()
    assert "pins-kept" not in {f.rule for f in check(job, plan)}
    assert "pins-kept" in {f.rule for f in check(job, _plan())}


def test_a_diver_who_is_not_rated_cannot_be_pinned_to_the_entry() -> None:
    """A pin to the entry of a dive deeper than the rating: the job's reader says so."""
    dive = _with(ENTRY_DIVER)
    low = next(d.person for d in dive.divers if d.duty == ENTRY_DIVER)
    depth = _job().dive_item(dive.item).depth_fsw
    people = tuple(p.replace(depth_rating_fsw=depth - 1) if p.name == low else p for p in _job().people)
    pin = Pin(kind=PinKind.HOLDS, item=dive.item, duty=ENTRY_DIVER, person=low)
    (told,) = contradictions(_job().replace(people=people, pins=(pin,)))
    assert f"{low} is rated to {depth - 1} fsw" in told


def test_diver_and_standby_of_one_dive_change_places() -> None:
    """Swapped on one dive: seat, duties and outfits agree, and nobody is in two places in it."""
    dive = _plan().dives[0]
    diver, standby = dive.divers[0].person, _holder(dive, STANDBY)
    plan, found = _after(swap(_plan(), diver, standby, (dive.id,), ()))
    mine = next(d for d in plan.dives if d.id == dive.id)
    assert mine.divers[0].person == standby
    assert [s.person for s in plan.duties if (s.dive, s.duty) == (dive.id, STANDBY)] == [diver]
    assert not STORY & {f.rule for f in found}


def test_two_divers_swap_between_two_dives_of_one_item() -> None:
    """Both pins say which dive is meant, since the plan before has both people on the item as well."""
    by_item: dict[str, list[Dive]] = {}
    for dive in _plan().dives:
        by_item.setdefault(dive.item, []).append(dive)
    pair = next(
        (a, b)
        for dives in by_item.values()
        for a, b in combinations(dives, 2)
        if {d.person for d in a.divers}.isdisjoint(d.person for d in b.divers)
    )
    one, other = (d.divers[0].person for d in pair)
    move = swap(_plan(), one, other, tuple(d.id for d in pair), ())
    plan, found = _after(move)
    now = {d.id: [x.person for x in d.divers] for d in plan.dives}
    assert other in now[pair[0].id]
    assert one in now[pair[1].id]
    assert not STORY & {f.rule for f in found}
    pins = [p for p in settled(_job(), _plan(), plan, move).new if p.kind is PinKind.DIVES]
    assert {p.person: p.start_min for p in pins} == {
        other: pair[0].leave_surface_min,
        one: pair[1].leave_surface_min,
    }


@pytest.mark.parametrize("seed", range(12))
def test_no_swap_leaves_a_loose_end(seed: int) -> None:
    """Whoever swaps with whom, over the whole day: the plan still tells one story, and swapping back too."""
    names = sorted({s.person for s in _plan().duties})
    one, other = list(combinations(names, 2))[seed * 7 % len(list(combinations(names, 2)))]
    dives = tuple(d.id for d in _plan().dives)
    tasks = tuple(t.item for t in _plan().surface_tasks)
    move = swap(_plan(), one, other, dives, tasks)
    plan, found = _after(move)
    assert not STORY & {f.rule for f in found}, (one, other, found)
    held = {(s.dive, s.item, s.duty, s.start_min, s.person) for s in plan.duties}
    back = swap(plan, one, other, dives, tasks)
    again = moved(plan, _job(), back, lambda p: len(check(_job(), p)))
    posts = {(s.dive, s.item, s.duty, s.person) for s in again.duties}
    assert posts == {(s.dive, s.item, s.duty, s.person) for s in _plan().duties}
    assert len(held) == len(_plan().duties)


def test_a_post_that_both_hold_is_not_swapped() -> None:
    """Two tenders of one diver: nothing to swap between them on that dive."""
    dive, tenders = next(
        (d, people)
        for d in _plan().dives
        if len(people := [s.person for s in _plan().duties if (s.dive, s.duty) == (d.id, "tender")]) == 2
    )
    assert swap(_plan(), tenders[0], tenders[1], (dive.id,), ()).nothing


def test_work_on_deck_is_moved_with_its_crew() -> None:
    """A task an hour later: its crew comes along, and the pin says when it starts."""
    asked_for = {item.name for item in _job().items}
    task = next(t for t in _plan().surface_tasks if t.item in asked_for)
    move = Move(task=task.item, start_min=task.start_min + 60)
    plan, found = _after(move)
    mine = next(t for t in plan.surface_tasks if t.item == task.item)
    assert (mine.start_min, mine.end_min) == (task.start_min + 60, task.end_min + 60)
    crew = [s for s in plan.duties if s.dive is None and s.item == task.item]
    assert crew
    assert {(s.start_min, s.end_min) for s in crew} == {(mine.start_min, mine.end_min)}
    assert not STORY & {f.rule for f in found}
    pins = settled(_job(), _plan(), plan, move)
    assert pins.new == (Pin(kind=PinKind.STARTS, item=task.item, start_min=mine.start_min),)
    assert "pins-kept" not in {f.rule for f in check(pins.put_into(_job()), plan)}


def test_work_on_deck_before_the_day_is_told_by_its_rule() -> None:
    """A task three hours before the day begins: outside the working day."""
    task = _plan().surface_tasks[0]
    _, found = _after(Move(task=task.item, start_min=task.start_min - 180))
    assert "day-window" in {f.rule for f in found}


def test_a_dive_from_another_station() -> None:
    """The dive's crew stands on the new station; two dives there at once are told by the rule."""
    items = {i.name for i in _job().dive_items if i.station is None}
    dive = next(d for d in _plan().dives if d.item in items)
    other = next(s.name for s in _job().stations if s.name != dive.station)
    move = Move(dive.id, station=other)
    plan, found = _after(move)
    assert {s.station for s in plan.duties if s.dive == dive.id} == {other}
    assert not STORY & {f.rule for f in found}
    there = [d for d in _plan().dives if d.station == other]
    at_once = any(
        d.leave_surface_min < dive.reach_surface_min and dive.leave_surface_min < d.reach_surface_min
        for d in there
    )
    assert ("one-dive-a-station" in {f.rule for f in found}) == at_once
    assert settled(_job(), _plan(), plan, move).new[0].station == other


def test_what_a_pin_cannot_settle_is_said_and_the_plan_can_be_kept() -> None:
    """Whoever swaps over the whole day: the plan as moved keeps every pin that comes of it (pins-kept).

    Posts that are held on some dives of an item only have no pin, and the page says so.
    """
    names = sorted({s.person for s in _plan().duties})
    dives = tuple(d.id for d in _plan().dives)
    tasks = tuple(t.item for t in _plan().surface_tasks)
    told = 0
    for one, other in list(combinations(names, 2))[::9]:
        move = swap(_plan(), one, other, dives, tasks)
        if len(move.takes) < 2:
            continue
        plan = moved(_plan(), _job(), move, lambda p: 0)
        pins = settled(_job(), _plan(), plan, move)
        assert "pins-kept" not in {f.rule for f in check(pins.put_into(_job()), plan)}, (one, other)
        told += len(pins.not_pinned)
    assert told


@pytest.mark.parametrize(
    ("pin", "text"),
    [
        (Pin(kind=PinKind.STAYS_UP, person="Ana"), "Ana does not dive on anything"),
        (Pin(kind=PinKind.STAYS_UP, person="Ana", item="Weld"), "Ana does not dive on Weld"),
        (Pin(kind=PinKind.AWAY, person="Ana", start_min=600, end_min=660), "Ana is away 10:00 to 11:00"),
        (Pin(kind=PinKind.STARTS, item="Weld", start_min=600), "Weld starts at 10:00"),
        (
            Pin(kind=PinKind.KEEPS_FREE, item="Weld", free_min=20),
            "behind every dive on Weld its station stays free for 20 min",
        ),
        (
            Pin(kind=PinKind.DIVES, item="Weld", free_min=20),
            "a dive on Weld has 20 min free at its station behind it",
        ),
    ],
)
def test_a_pin_in_words(pin: Pin, text: str) -> None:
    """Each kind of pin reads as a sentence."""
    assert pin_text(_job(), pin) == text

"""The rest of the day planned anew, with what has happened left as it is.

The scheduler sees a job that begins now: histories up to now, people from when they are free, the work that
is left. What it plans is put behind what has happened and the whole is held against every rule again; where
that convicts (an interval too short), the job is tightened and planned once more.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Protocol

from planner.check import Finding, check
from planner.check.told import OWN_WORDS
from planner.day import plan_later
from planner.errors import InputFaults
from planner.job.base import Span
from planner.job.duties import STANDBY
from planner.job.given import DueBlock
from planner.job.job import Job
from planner.job.people import PastDive, Person, WorkSpell
from planner.job.pins import Pin, PinKind
from planner.job.site import WaterWindow
from planner.log.day_log import ActualDay, DayLog
from planner.log.happened import (
    Happened,
    air_after,
    briefings_held,
    dives_by_person,
    happened,
    hours_worked,
    outfits_after,
    whole_day,
)
from planner.log.left_over import FAR_MIN, NEVER, cut, gates_left, not_before, shifted, work_left
from planner.plan.changed import ChangedDuties, changed_duties, still_ahead
from planner.plan.model import DutySpell, Plan

#: Tries at most; each takes its share of the time.
TRIES = 3
FIRST_SHARE = 0.5

#: No further try begins after this share of the time.
ENOUGH = 0.8


class OutcomeLike(Protocol):
    """What a scheduler gives back."""

    @property
    def plan(self) -> Plan | None: ...
    @property
    def sentence(self) -> str: ...


#: A scheduler: a job, seconds and what is still ahead of the plan in force in, an outcome out.
Solve = Callable[[Job, float, Plan], OutcomeLike]


@dataclass(frozen=True)
class Tightening:
    """What a first try showed to be too loose. Job minutes."""

    person_from: Mapping[str, int] = field(default_factory=dict)
    dives_from: int | None = None


@dataclass(frozen=True)
class ReplanInput:
    """What the scheduler needs: the job of the rest of the day, and what happened before it.

    ``offset_min`` is added to the minutes of its plan to get those of the day's job (0 unless the day has
    run past midnight).
    """

    happened: Happened
    job: Job
    offset_min: int
    today: int = 0
    """Which working day of the day's job is running or comes first."""


@dataclass(frozen=True)
class Replanned:
    """The rest of the day, and the whole of it."""

    rest_job: Job
    rest: Plan | None
    """What the scheduler was given and what it planned; ``rest`` None: nothing more can be done today."""
    whole: Plan
    """The day from its start: what happened, then the rest, with new numbers for new dives."""
    breaches: tuple[Finding, ...]
    """What the whole breaks beyond what has happened; a plan with any is not issued."""
    sentence: str
    """The scheduler's word."""
    seconds: float
    notes: tuple[str, ...]
    changed: ChangedDuties
    """Duties that the rest gives or takes beside what was still ahead of the plan in force."""


def replan_input(
    job: Job, plan: Plan, log: DayLog, now_min: int, tighter: Tightening | None = None
) -> ReplanInput:
    """The job of the rest of the day.

    Raises
    ------
    InputFaults
        The day is over.
    """
    window = next((w for w in job.day_windows if w.start_min <= now_min < w.end_min), None)
    if window is None and now_min >= job.day_windows[0].start_min:
        hours = ", ".join(
            f"{job.clock.hhmm(w.start_min)} to {job.clock.hhmm(w.end_min)}" for w in job.day_windows
        )
        raise InputFaults.one(
            "replan",
            job.clock.hhmm(now_min, with_day=True),
            f"a time within the day ({hours})",
            "The working day is over: there is no rest of it to plan. Make tomorrow's job instead.",
        )
    tighter = tighter or Tightening()
    day = ActualDay(job, plan, log)
    past = happened(day, now_min)
    dive_items, surface_items = work_left(past.day, past.settled)
    brought = briefings_held(day, now_min), hours_worked(day, now_min), dives_by_person(past.day, FAR_MIN)
    rest = job.replace(
        people=tuple(_person(p, past, tighter, *brought) for p in job.people),
        dive_items=tuple(
            i if tighter.dives_from is None else not_before(i, tighter.dives_from) for i in dive_items
        ),
        surface_items=surface_items,
        gates=gates_left(job, {i.name for i in (*dive_items, *surface_items)}),
        outfits=tuple(o.replace(worn_until_min=past.outfit_free.get(o.name)) for o in outfits_after(day)),
        air=air_after(day),
        pins=_pins(
            job,
            past,
            {i.name: i.name for i in (*dive_items, *surface_items)}
            | {
                # the rest is one day, whose blocks go without its date
                i.name: i.name if window is None else i.key
                for i in job.standing_items
                if window in (None, job.day_windows[i.day])
            },
        ),
    )
    rest = _stations_free(rest, past)
    offset = 0
    if window is not None:
        rest = rest.replace(**_blocks(past, job.day_windows.index(window)))
        today = job.clock.day_of(now_min)
        start = max(now_min, window.start_min)
        left_days = job.site.days - (today - job.site.first_day).days
        rest = shifted(rest, today, max(1, left_days))
        offset = job.clock.minute(rest.clock.origin)
        rest = rest.replace(
            site=rest.site.replace(
                day_start=job.clock.at(start).time().replace(second=0, microsecond=0), days=1
            )
        )
    running = 0 if window is None else job.day_windows.index(window)
    return ReplanInput(past, rest, offset, running)


def _blocks(past: Happened, today: int) -> dict[str, Any]:
    """Standing work of the running day: what is done, and what is to be done for the dives that were made.

    Closing work counts as done only where the log says so, since the rest may hold more dives.
    """
    job, made = past.day.job, {t.item for t in past.tasks}
    done, due = [], []
    for item in job.standing_items:
        if item.day != today:
            continue
        if item.name in made:
            done.append(item.key)
        elif not item.block.opens:
            ends = [
                max([s.end_min for s in past.spells if s.dive == d.id and s.outfit], default=past.now_min)
                for d in past.day.dives
                if item.concerns(d.item, d.station)
            ]
            if ends:
                due.append(DueBlock(key=item.key, from_min=max(past.now_min, *ends)))
    return {"blocks_done": tuple(done), "blocks_due": tuple(due)}


def _renamed(plan: Plan, old: Job, new: Job, old_day: int, new_day: int) -> Plan:
    """The plan with the standing work of one job's day called as in another's."""
    theirs = {i.key: i.name for i in new.standing_items if i.day == new_day}
    names = {i.name: theirs.get(i.key, i.name) for i in old.standing_items if i.day == old_day}
    return plan.replace(
        surface_tasks=tuple(t.replace(item=names.get(t.item, t.item)) for t in plan.surface_tasks),
        duties=tuple(s.replace(item=names.get(s.item, s.item)) for s in plan.duties),
    )


def _person(
    person: Person,
    past: Happened,
    tighter: Tightening,
    briefings: Sequence[DutySpell],
    hours: Mapping[str, Span],
    dives: Mapping[str, Sequence[PastDive]],
) -> Person:
    """One of the people from when he is free, with what the day has brought him so far."""
    now, job, worked = past.now_min, past.day.job, hours.get(person.name)
    held = [b for b in briefings if b.person == person.name]
    free = max(
        now,
        past.person_free.get(person.name, now),
        tighter.person_from.get(person.name, now),
        *(b.end_min for b in held),
    )
    spans: Iterable[Span] = person.available or job.day_windows
    left = cut(spans, free)
    changes: dict[str, Any] = {}
    if worked is not None:
        # the longest span of duty counts from the first duty of the day, not from now
        last = worked.start_min + job.rules.duty_span_max_min
        left = tuple(
            Span(start_min=s.start_min, end_min=min(s.end_min, last)) for s in left if s.start_min < last
        ) or (NEVER,)
        spell = WorkSpell(start_min=worked.start_min, end_min=worked.end_min)
        changes["past_work"] = (*person.past_work, spell)
    here = [
        s.end_min
        for s in job.on_site[person.name]
        if any(s.start_min <= b.start_min < s.end_min for b in held)
    ]
    if here:
        changes["briefed_until_min"] = max(here)
    if person.name in past.unavailable:
        left = (NEVER,)
    return person.replace(
        available=left, past_dives=(*person.past_dives, *dives.get(person.name, ())), **changes
    )


def _pins(job: Job, past: Happened, called: dict[str, str]) -> tuple[Pin, ...]:
    """Pins that can still be kept; those that what happened has kept or broken are past.

    ``called``: what is still to be done → what the rest of the day calls it.
    """
    blocks = {i.name for i in job.standing_items}
    begun = {d.item.name for d in past.day.dives} | {t.item for t in past.tasks}
    kept = []
    for pin in job.pins:
        if pin.item is not None and (pin.item not in called or (pin.item in blocks and pin.item in begun)):
            continue
        over = pin.window is not None and pin.window[1] < past.now_min
        first = pin.kind in (PinKind.STARTS, PinKind.DIVES) and pin.item in begun
        if not over and not first:
            kept.append(pin if pin.item is None else pin.replace(item=called[pin.item]))
    return tuple(kept)


def _stations_free(job: Job, past: Happened) -> Job:
    """Nobody leaves the surface on a station before the dive in its water is up."""
    free = past.station_free
    if not free:
        return job
    latest = max(free.values())
    several = len(job.stations) > 1 and job.site.stations_at_once >= len(job.stations)
    slack = tuple(_after(w, {s.name: free.get(s.name, 0) for s in job.stations}) for w in job.water_windows)
    windows = tuple(w for parts in slack for w in parts)
    items = []
    any_slack = any(i.needs_slack for i in job.dive_items)
    always = tuple(
        WaterWindow(start_min=free.get(s.name, past.now_min), end_min=FAR_MIN, stations=(s.name,))
        for s in job.stations
    )
    for item in job.dive_items:
        if item.station is not None:
            wait = free.get(item.station, 0)
            items.append(not_before(item, wait) if wait else item)
        elif item.needs_slack and several:
            items.append(item)
        elif several and not any_slack:
            # each station gets a window of its own from when it is free; the items ask for such a window
            items.append(item.replace(needs_slack=True))
        else:
            items.append(not_before(item, latest))
    return job.replace(dive_items=tuple(items), water_windows=windows if any_slack else always)


def _after(window: WaterWindow, free: Mapping[str, int]) -> tuple[WaterWindow, ...]:
    """One window as one for each station, from when the station is free."""
    names = window.stations or tuple(free)
    starts = {name: max(window.start_min, free.get(name, 0)) for name in names}
    return tuple(
        window.replace(start_min=start, stations=(name,))
        for name, start in starts.items()
        if start < window.end_min
    )


def replan(
    job: Job, plan: Plan, log: DayLog, now_min: int, solve: Solve, *, seconds: float = 7.0
) -> Replanned:
    """Plan the rest of the day.

    Parameters
    ----------
    solve
        The scheduler: a job, the seconds it may take, and the plan in force as far as it is still ahead,
        whose duties it is to change as little as it can.
    seconds
        For all tries together.

    Raises
    ------
    InputFaults
        The day is over.
    """
    began = time.monotonic()
    tighter = Tightening()
    best: Replanned | None = None
    for number in range(TRIES):
        given = replan_input(job, plan, log, now_min, tighter)
        left = seconds - (time.monotonic() - began)
        share = seconds * FIRST_SHARE if number == 0 else left / (TRIES - number)
        past = given.happened
        ahead = still_ahead(plan, {d.id for d in past.day.dives}, {t.item for t in past.tasks})
        ahead = _renamed(ahead, job, given.job, given.today, 0)
        outcome = solve(given.job, max(1.0, share), ahead)
        if outcome.plan is None and given.job.blocks_due:
            # Nobody may be left to strike or clean: the dives are planned all the same, and it is told.
            given = replace(given, job=given.job.replace(blocks_due=()))
            outcome = solve(given.job, max(1.0, share), ahead)
        rest = None if outcome.plan is None else plan_later(outcome.plan, given.offset_min)
        rest = None if rest is None else _renamed(rest, given.job, job, 0, given.today)
        whole = whole_day(past, rest, plan)
        breaches = _new_breaches(whole, past, plan)
        found = Replanned(
            given.job,
            outcome.plan,
            whole,
            breaches,
            outcome.sentence,
            time.monotonic() - began,
            past.notes,
            changed_duties(ahead, outcome.plan or ahead.replace(dives=(), surface_tasks=(), duties=())),
        )
        if best is None or len(breaches) < len(best.breaches):
            best = found
        following = _tighter(tighter, breaches, past)
        spent = time.monotonic() - began
        if not breaches or following == tighter or spent > seconds * ENOUGH:
            break
        tighter = following
    assert best is not None
    return best


#: Rules that a day in progress need not hold any more: whoever is called in later is briefed when he joins,
#: and a briefing that was held is held, however late its work begins.
_PAST = OWN_WORDS | {"one-briefing", "briefing-in-time"}


def _new_breaches(whole: Plan, past: Happened, plan: Plan) -> tuple[Finding, ...]:
    """What the whole day breaks that what has happened does not break by itself."""
    before = set(check(past.day.job, whole_day(past, None, plan)))
    return tuple(b for b in check(past.day.job, whole) if b not in before and b.rule not in _PAST)


def _tighter(tighter: Tightening, breaches: tuple[Finding, ...], past: Happened) -> Tightening:
    rules = {b.rule for b in breaches}
    job = past.day.job
    people, dives = dict(tighter.person_from), tighter.dives_from
    if "surface-interval" in rules:
        for dive in past.day.dives:
            for person in dive.people:
                wait = (dive.reach_surface_min or past.now_min) + job.rules.least_surface_interval_min
                people[person] = max(people.get(person, 0), wait)
    if "standby-dressing" in rules:
        # A minute later: two turns that touch are one stretch in dress, which began before the rest does.
        for spell in past.spells:
            if spell.duty == STANDBY and spell.end_min > past.now_min:
                people[spell.person] = max(people.get(spell.person, 0), spell.end_min + 1)
    if rules & {"stations-at-once", "one-dive-a-station", "air-flow", "air-primary"} and past.station_free:
        dives = max(past.station_free.values())
    return Tightening(people, dives)

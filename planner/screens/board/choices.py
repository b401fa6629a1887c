"""The choices of what is chosen on the board: the fields of a dive, a task, a briefing or a person.

Each gives the move that the fields ask for. What follows from it is worked out in `planner.day.by_hand`, and
the check alone judges it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from typing import Any

import streamlit as st

from planner.day.by_hand import Move, Takes, may_dive, may_hold, swap
from planner.job import Job, Pin, PinKind, UnitSystem
from planner.job.base import parse_wall
from planner.job.bounds import LONGEST_BOTTOM_MIN, LONGEST_FREE_MIN
from planner.job.duties import BRIEFING, DIVER, DRESSED_DUTIES, STANDBY
from planner.plan.model import Dive, DutySpell, Plan
from planner.screens import chrome
from planner.screens.board.draft import HandDraft
from planner.screens.wording import own_depth_text
from planner.words.measures import time_words

_AS_PLANNED = "leave as planned"


def _pick(name: str, of: str, options: Iterable[str], **given: Any) -> str | None:
    """One of several, remembered while the page is away."""
    found: str | None = chrome.ask(st.selectbox, name, of=of, options=list(options), **given)
    return found


def choices(draft: HandDraft, mark: str, units: UnitSystem, *, along: bool) -> Move | None:
    """What the fields of what is chosen ask for; None while a time cannot be read. ``mark`` is part of the
    fields' keys, so that they start afresh with another plan; ``along``: what follows is to move along."""
    plan, job, (kind, _, name) = draft.plan, draft.job, draft.chosen.partition(" ")
    if kind == "person" and plan.duties_of(name):
        return person_fields(plan, job, name, draft.other, mark)
    dive = next((d for d in plan.dives if kind == "dive" and d.id == name), None)
    if dive is not None:
        return dive_fields(plan, job, dive, mark, units, along=along)
    if kind == "task" and any(t.item == name for t in plan.surface_tasks):
        return task_fields(plan, job, name, mark, along=along)
    if kind == "briefing" and any((s.duty, str(s.start_min)) == (BRIEFING, name) for s in plan.duties):
        return briefing_fields(job, int(name), mark)
    return Move()


def chosen_words(draft: HandDraft) -> str:
    """What is chosen, in a line: ``Dive D1 · 10:13 · Weld · Ana``."""
    plan, job, (kind, _, name) = draft.plan, draft.job, draft.chosen.partition(" ")
    dive = next((d for d in plan.dives if kind == "dive" and d.id == name), None)
    if dive is not None:
        at = time_words(job, dive.leave_surface_min)
        return " · ".join([f"Dive {dive.id}", at, dive.item, ", ".join(d.person for d in dive.divers)])
    if kind == "briefing":
        return f"Briefing · {time_words(job, int(name))}"
    return name


def dive_fields(
    plan: Plan, job: Job, dive: Dive, mark: str, units: UnitSystem, *, along: bool
) -> Move | None:
    """What is to change on one dive; None while a time cannot be read."""
    key = f"{dive.id}_{mark}"
    with st.container(horizontal=True, vertical_alignment="top"):
        leave = _time(job, "leave", dive.leave_surface_min, key)
        now = {"value": dive.bottom_time_min, "max_value": LONGEST_BOTTOM_MIN}
        bottom = chrome.ask(st.number_input, "move_bottom", of=key, **now)
        free = chrome.ask(st.number_input, "move_free", of=key, value=0, max_value=LONGEST_FREE_MIN)
        takes = _in_dress(plan, job, dive, key, units)
        station = _station(job, dive, key)
        spells = [s for s in plan.duties if s.dive == dive.id and s.duty not in DRESSED_DUTIES]
        takes += _post(job, spells, key, "A support duty held over this dive.")
    if leave is None:
        return None
    start = None if leave == dive.leave_surface_min else leave
    minutes = None if bottom in (None, dive.bottom_time_min) else int(bottom)
    own = Move(dive=dive.id, start_min=start, bottom_time_min=minutes, station=station, along=along)
    return replace(own, free_min=int(free) if free else None, takes=tuple(takes))


def _in_dress(plan: Plan, job: Job, dive: Dive, key: str, units: UnitSystem) -> list[Takes]:
    """Whoever is to take a seat in the water, or to stand by, from another; each seat has its field."""
    seats = [(d.duty, d.person) for d in sorted(dive.divers, key=lambda d: d.duty != DIVER)]
    standing = dict.fromkeys(s.person for s in plan.duties if s.dive == dive.id and s.duty == STANDBY)
    seats += [(STANDBY, person) for person in standing]
    item = job.dive_item(dive.item)
    about = (
        f"People rated to {own_depth_text(job, item, units)} with the item's certificates. Two who change "
        "places with each other are changed in both fields."
    )
    found: list[Takes] = []
    for number, (duty, person) in enumerate(seats, start=1):
        same = [p for d, p in seats if d == duty]
        label = duty.capitalize() if len(same) == 1 else f"{duty.capitalize()} {same.index(person) + 1}"
        fit = [p for p in may_dive(job, item, duty) if p not in same]
        slug = {DIVER: "diver", STANDBY: "standby"}.get(duty, "entry")
        now = _pick(f"move_{slug}", f"{number}_{key}", [person, *fit], label=label, help=about)
        if now is not None and now != person:
            found.append(Takes(dive.item, duty, person, str(now), dive.id))
    return found


def _time(job: Job, what: str, at_min: int, key: str) -> int | None:
    text = chrome.ask(st.text_input, f"move_{what}", of=key, value=job.clock.hhmm(at_min))
    try:
        return read_time(job, text or "", at_min)
    except ValueError as wrong:
        chrome.verdict(f"{wrong}.", "bad")
        return None


def read_time(job: Job, text: str, near_min: int) -> int:
    """``0700`` or ``07:00`` as a job minute, in the working day in which ``near_min`` lies.

    Raises
    ------
    ValueError
        When the text is no time of day.
    """
    wall = parse_wall(text)
    day = job.clock.day_of(near_min)
    on = [job.clock.minute_on(day + timedelta(days=d), wall) for d in (0, -1, 1)]
    window = next((w for w in job.day_windows if w.start_min <= near_min <= w.end_min), None)
    inside = [m for m in on if window is not None and window.start_min <= m <= window.end_min]
    return (inside or on)[0]


def _station(job: Job, dive: Dive, key: str) -> str | None:
    """Another station; asked only where the item may be dived from another."""
    if len(job.stations) < 2 or job.dive_item(dive.item).station is not None:
        return None
    others = [s.name for s in job.stations if s.name != dive.station]
    now = _pick("move_station", key, [dive.station, *others])
    return None if now in (None, dive.station) else str(now)


def _post(job: Job, spells: list[DutySpell], key: str, about: str) -> list[Takes]:
    posts: dict[str, DutySpell] = {f"{s.duty}: {s.person}": s for s in spells}
    post = _pick("move_post", key, [_AS_PLANNED, *posts], help=about)
    spell = posts.get(str(post))
    if spell is None:
        return []
    fit = may_hold(job, job.item(spell.item), spell.duty)
    others = (p for p in fit if p != spell.person)
    now = _pick("move_holder", f"{spell.duty}_{spell.person}_{key}", [spell.person, *others])
    if now in (None, spell.person):
        return []
    return [Takes(spell.item, spell.duty, spell.person, str(now), spell.dive)]


def task_fields(plan: Plan, job: Job, item: str, mark: str, *, along: bool) -> Move | None:
    """What is to change of one task on deck; None while its time cannot be read."""
    task = next(t for t in plan.surface_tasks if t.item == item)
    key = f"task_{mark}"
    with st.container(horizontal=True, vertical_alignment="top"):
        start = _time(job, "start", task.start_min, key)
        own = [s for s in plan.duties if s.dive is None and s.item == item]
        takes = _post(job, own, key, "A duty of the task's crew.")
    if start is None:
        return None
    at = None if start == task.start_min else start
    return Move(task=item, start_min=at, takes=tuple(takes), along=along)


def briefing_fields(job: Job, at_min: int, mark: str) -> Move | None:
    """When a briefing is held, for all who are in it; None while that cannot be read."""
    start = _time(job, "start", at_min, f"briefing_{mark}")
    if start is None:
        return None
    return Move(briefing_min=at_min, start_min=None if start == at_min else start)


def person_fields(plan: Plan, job: Job, person: str, other: str, mark: str) -> Move | None:
    """Two people in each other's posts, on the dives and tasks that are picked; or a break of one of them;
    None while a time cannot be read."""
    others = [p.name for p in job.people if p.name != person]
    with st.container(horizontal=True, vertical_alignment="top"):
        at = others.index(other) if other in others else None
        other = _pick("move_other", mark, others, index=at) or ""
        if not other:
            first = plan.duties_of(person)[0].start_min
            start, end = _time(job, "from", first, mark), _time(job, "until", first, mark)
            if start is None or end is None:
                return None
            span = {"start_min": start, "end_min": end}
            return Move(away=Pin(kind=PinKind.AWAY, person=person, **span) if start != end else None)
        where = _where_posted(plan, job, person, other)
        every = {"options": list(where), "default": list(where), "format_func": lambda name: where[name]}
        picked = chrome.ask(st.multiselect, "move_where", of=f"{others.index(other)}_{mark}", **every)
    named = {
        kind: tuple(p.removeprefix(kind) for p in picked if p.startswith(kind)) for kind in ("dive ", "task ")
    }
    return swap(plan, person, other, named["dive "], named["task "])


def _where_posted(plan: Plan, job: Job, one: str, other: str) -> dict[str, str]:
    """Dives and tasks on which either has a post, each with who does what there."""
    found: dict[str, str] = {}
    leaves = {d.id: d.leave_surface_min for d in plan.dives}
    for spell in sorted(plan.duties, key=lambda s: (s.start_min, s.dive or "", s.item)):
        if spell.person in (one, other) and spell.duty != BRIEFING:
            name = f"dive {spell.dive}" if spell.dive is not None else f"task {spell.item}"
            if name not in found:
                at = time_words(job, leaves.get(spell.dive or "", spell.start_min))
                found[name] = f"{name} · {at}" + (f" · {spell.item}" if spell.dive is not None else "")
    return found

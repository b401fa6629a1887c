"""The fields by which something of a plan is moved by hand: of a dive, of two people, of a task on deck."""

from __future__ import annotations

import streamlit as st

from planner.job import Job, UnitSystem
from planner.job.duties import DIVER, STANDBY, WATER_DUTIES
from planner.plan.model import Dive, DutySpell, Plan
from planner.screens import chrome
from planner.screens.hand_move import Move, Takes, may_dive, may_hold, read_time, swap
from planner.screens.wording import depth_text

_AS_PLANNED = "leave as planned"


def asked_of_dive(plan: Plan, job: Job, mark: str, units: UnitSystem) -> Move | None:
    """What is to change on one dive; None while a time cannot be read."""
    dives = {d.id: d for d in sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.id))}
    chosen = st.selectbox(
        "Dive",
        list(dives),
        key=f"move_dive_{mark}",
        format_func=lambda name: _dive_label(job, dives[name]),
        persist_state="session",
        help="The dive that is changed.",
    )
    dive = dives[str(chosen)]
    key = f"{dive.id}_{mark}"
    with st.container(horizontal=True, vertical_alignment="top"):
        takes = _in_dress(plan, job, dive, key, units)
    with st.container(horizontal=True, vertical_alignment="top"):
        leave = _time(job, "Leaves the surface", dive.leave_surface_min, f"move_leave_{key}")
        bottom = st.number_input(
            "Bottom time, min",
            min_value=1,
            max_value=1102,
            value=dive.bottom_time_min,
            key=f"move_bottom_{key}",
            width=150,
            persist_state="session",
            help="From leaving the surface to leaving the bottom.",
        )
        station = _station(job, dive, key)
        takes += _other_post(plan, job, dive, key)
    if leave is None:
        return None
    return Move(
        dive=dive.id,
        start_min=None if leave == dive.leave_surface_min else leave,
        bottom_time_min=None if bottom in (None, dive.bottom_time_min) else int(bottom),
        station=station,
        takes=tuple(takes),
    )


def _dive_label(job: Job, dive: Dive) -> str:
    who = ", ".join(d.person for d in dive.divers)
    at = job.clock.hhmm(dive.leave_surface_min, with_day=len(job.day_windows) > 1)
    return f"{dive.id} · {at} · {dive.item} · {who}"


def _in_dress(plan: Plan, job: Job, dive: Dive, key: str, units: UnitSystem) -> list[Takes]:
    """Whoever is to take a seat in the water, or to stand by, from another; each seat has its field."""
    seats = [(d.duty, d.person) for d in sorted(dive.divers, key=lambda d: d.duty != DIVER)]
    standing = dict.fromkeys(s.person for s in plan.duties if s.dive == dive.id and s.duty == STANDBY)
    seats += [(STANDBY, person) for person in standing]
    item = job.dive_item(dive.item)
    found: list[Takes] = []
    for number, (duty, person) in enumerate(seats, start=1):
        same = [p for d, p in seats if d == duty]
        label = duty.capitalize() if len(same) == 1 else f"{duty.capitalize()} {same.index(person) + 1}"
        fit = [p for p in may_dive(job, item, duty) if p not in same]
        slug = {DIVER: "diver", STANDBY: "standby"}.get(duty, "entry")
        now = st.selectbox(
            label,
            [person, *fit],
            key=f"move_{slug}_{number}_{key}",
            width=230,
            persist_state="session",
            help=f"People rated to {depth_text(item.depth_fsw, units)} with the item's certificates. Two who "
            "change places with each other are changed in both fields.",
        )
        if now is not None and now != person:
            found.append(Takes(dive.item, duty, person, str(now), dive.id))
    return found


def _time(job: Job, label: str, at_min: int, key: str) -> int | None:
    text = st.text_input(
        label,
        value=job.clock.hhmm(at_min),
        key=key,
        width=150,
        persist_state="session",
        help="Time of day as 0700 or 07:00.",
    )
    try:
        return read_time(job, text or "", at_min)
    except ValueError as wrong:
        chrome.verdict(f"{wrong}.", "bad")
        return None


def _station(job: Job, dive: Dive, key: str) -> str | None:
    """Another station; asked only where the item may be dived from another."""
    if len(job.stations) < 2 or job.dive_item(dive.item).station is not None:
        return None
    others = [s.name for s in job.stations if s.name != dive.station]
    now = st.selectbox(
        "Station",
        [dive.station, *others],
        key=f"move_station_{key}",
        width=180,
        persist_state="session",
        help="From where the dive is made.",
    )
    return None if now in (None, dive.station) else str(now)


def _other_post(plan: Plan, job: Job, dive: Dive, key: str) -> list[Takes]:
    """Another holder for one support duty of the dive."""
    out = {*WATER_DUTIES, STANDBY}
    spells = [s for s in plan.duties if s.dive == dive.id and s.duty not in out]
    return _post(job, spells, key, "A support duty held over this dive.")


def _post(job: Job, spells: list[DutySpell], key: str, about: str) -> list[Takes]:
    posts: dict[str, DutySpell] = {f"{s.duty}: {s.person}": s for s in spells}
    post = st.selectbox(
        "A post",
        [_AS_PLANNED, *posts],
        key=f"move_post_{key}",
        width=270,
        persist_state="session",
        help=about,
    )
    spell = posts.get(str(post))
    if spell is None:
        return []
    fit = may_hold(job, job.item(spell.item), spell.duty)
    now = st.selectbox(
        "Held by",
        [spell.person, *(p for p in fit if p != spell.person)],
        key=f"move_holder_{spell.duty}_{spell.person}_{key}",
        width=230,
        persist_state="session",
        help="Everyone who may hold the duty; that he is free is for the rules to say.",
    )
    if now in (None, spell.person):
        return []
    return [Takes(spell.item, spell.duty, spell.person, str(now), spell.dive)]


def asked_of_task(plan: Plan, job: Job, mark: str) -> Move | None:
    """What is to change of one task on deck; None while its time cannot be read."""
    several = len(job.day_windows) > 1
    tasks = {t.item: t for t in sorted(plan.surface_tasks, key=lambda t: (t.start_min, t.item))}
    chosen = st.selectbox(
        "Task",
        list(tasks),
        key=f"move_task_{mark}",
        format_func=lambda name: f"{job.clock.hhmm(tasks[name].start_min, with_day=several)} · {name}",
        persist_state="session",
    )
    task = tasks[str(chosen)]
    key = f"{list(tasks).index(task.item)}_{mark}"
    with st.container(horizontal=True, vertical_alignment="top"):
        start = _time(job, "Starts", task.start_min, f"move_start_{key}")
        own = [s for s in plan.duties if s.dive is None and s.item == task.item]
        takes = _post(job, own, key, "A duty of the task's crew.")
    if start is None:
        return None
    return Move(task=task.item, start_min=None if start == task.start_min else start, takes=tuple(takes))


def asked_to_swap(plan: Plan, job: Job, mark: str) -> Move:
    """Two people in each other's posts, on the dives and tasks that are picked."""
    posted = [p.name for p in job.people if any(s.person == p.name for s in plan.duties)]
    names = [p.name for p in job.people]
    with st.container(horizontal=True, vertical_alignment="top"):
        one = st.selectbox(
            "Swap",
            posted,
            index=None,
            key=f"move_one_{mark}",
            width=230,
            placeholder="Choose a person",
            persist_state="session",
            help="Someone who has a post.",
        )
        other = st.selectbox(
            "with",
            [n for n in names if n != one],
            index=None,
            key=f"move_other_{mark}",
            width=230,
            placeholder="Choose a person",
            persist_state="session",
            help="Takes the first one's posts and gives up his or her own.",
        )
    if one is None or other is None:
        return Move()
    where = _where_posted(plan, job, one, other)
    picked = st.multiselect(
        "On",
        list(where),
        default=list(where),
        key=f"move_where_{one}_{other}_{mark}",
        format_func=lambda name: where[name],
        persist_state="session",
        help="The dives and tasks on which the two are swapped; everywhere else they stay.",
    )
    return swap(
        plan,
        one,
        other,
        tuple(p.removeprefix("dive ") for p in picked if p.startswith("dive ")),
        tuple(p.removeprefix("task ") for p in picked if p.startswith("task ")),
    )


def _where_posted(plan: Plan, job: Job, one: str, other: str) -> dict[str, str]:
    """Dives and tasks on which either has a post, each with who does what there."""
    found: dict[str, str] = {}
    for spell in sorted(plan.duties, key=lambda s: (s.start_min, s.dive or "", s.item)):
        if spell.person in (one, other):
            name = f"dive {spell.dive}" if spell.dive is not None else f"task {spell.item}"
            if name not in found:
                at = job.clock.hhmm(spell.start_min, with_day=len(job.day_windows) > 1)
                found[name] = f"{name} · {at}" + (f" · {spell.item}" if spell.dive is not None else "")
    return found

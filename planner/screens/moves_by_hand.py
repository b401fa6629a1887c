"""Something of the plan on show is moved by hand: asked for, told what it breaks, and kept.

What is moved is a dive, two people who swap, or a task on deck. What follows from it is worked out in
`planner.day.by_hand`, and the check alone judges it.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import streamlit as st

from planner.day.by_hand import Move, Takes, may_dive, may_hold, moved, swap
from planner.job import Job, UnitSystem
from planner.job.base import parse_clock
from planner.job.bounds import LONGEST_BOTTOM_MIN
from planner.job.duties import DIVER, DRESSED_DUTIES, STANDBY
from planner.plan.model import Dive, DutySpell, Plan
from planner.screens import chrome
from planner.screens.backend import backend
from planner.screens.desk import Desk, ShownPlan
from planner.screens.pins import Settled, contradictions, pin_text, settled
from planner.screens.planning import begin_run, why_not_now
from planner.screens.wording import depth_text, plain
from planner.words.measures import time_words

if TYPE_CHECKING:
    from planner.check import Finding


#: Sentences of broken rules that are written out.
MOST_SENTENCES = 12

#: Said of a plan that was kept as it was moved.
KEPT = "Moved by hand and kept as it stands."

_DIVE, _SWAP, _TASK = "a dive", "two people swap", "work on deck"

_AS_PLANNED = "leave as planned"


def _pick(name: str, of: str, options: Iterable[str], **given: Any) -> str | None:
    """One of several, remembered while the page is away."""
    found: str | None = chrome.ask(st.selectbox, name, of=of, options=list(options), **given)
    return found


def dive_fields(plan: Plan, job: Job, mark: str, units: UnitSystem) -> Move | None:
    """What is to change on one dive; None while a time cannot be read."""
    dives = {d.id: d for d in sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.id))}
    chosen = _pick("move_dive", mark, dives, format_func=lambda name: _dive_label(job, dives[name]))
    dive = dives[str(chosen)]
    key = f"{dive.id}_{mark}"
    with st.container(horizontal=True, vertical_alignment="top"):
        takes = _in_dress(plan, job, dive, key, units)
    with st.container(horizontal=True, vertical_alignment="top"):
        leave = _time(job, "leave", dive.leave_surface_min, key)
        now = {"value": dive.bottom_time_min, "max_value": LONGEST_BOTTOM_MIN}
        bottom = chrome.ask(st.number_input, "move_bottom", of=key, **now)
        station = _station(job, dive, key)
        spells = [s for s in plan.duties if s.dive == dive.id and s.duty not in DRESSED_DUTIES]
        takes += _post(job, spells, key, "A support duty held over this dive.")
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
    at = time_words(job, dive.leave_surface_min)
    return f"{dive.id} · {at} · {dive.item} · {who}"


def _in_dress(plan: Plan, job: Job, dive: Dive, key: str, units: UnitSystem) -> list[Takes]:
    """Whoever is to take a seat in the water, or to stand by, from another; each seat has its field."""
    seats = [(d.duty, d.person) for d in sorted(dive.divers, key=lambda d: d.duty != DIVER)]
    standing = dict.fromkeys(s.person for s in plan.duties if s.dive == dive.id and s.duty == STANDBY)
    seats += [(STANDBY, person) for person in standing]
    item = job.dive_item(dive.item)
    about = (
        f"People rated to {depth_text(item.depth_fsw, units)} with the item's certificates. Two who change "
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
    wall = parse_clock(text)
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


def task_fields(plan: Plan, job: Job, mark: str) -> Move | None:
    """What is to change of one task on deck; None while its time cannot be read."""
    tasks = {t.item: t for t in sorted(plan.surface_tasks, key=lambda t: (t.start_min, t.item))}
    said_as = {"format_func": lambda name: f"{time_words(job, tasks[name].start_min)} · {name}"}
    chosen = chrome.ask(st.selectbox, "move_task", of=mark, options=list(tasks), **said_as)
    task = tasks[str(chosen)]
    key = f"{list(tasks).index(task.item)}_{mark}"
    with st.container(horizontal=True, vertical_alignment="top"):
        start = _time(job, "start", task.start_min, key)
        own = [s for s in plan.duties if s.dive is None and s.item == task.item]
        takes = _post(job, own, key, "A duty of the task's crew.")
    if start is None:
        return None
    return Move(task=task.item, start_min=None if start == task.start_min else start, takes=tuple(takes))


def swap_fields(plan: Plan, job: Job, mark: str) -> Move:
    """Two people in each other's posts, on the dives and tasks that are picked."""
    posted = [p.name for p in job.people if any(s.person == p.name for s in plan.duties)]
    names = [p.name for p in job.people]
    with st.container(horizontal=True, vertical_alignment="top"):
        one = _pick("move_one", mark, posted, index=None)
        other = _pick("move_other", mark, [n for n in names if n != one], index=None)
    if one is None or other is None:
        return Move()
    where = _where_posted(plan, job, one, other)
    every = {"options": list(where), "default": list(where), "format_func": lambda name: where[name]}
    picked = chrome.ask(st.multiselect, "move_where", of=f"{one}_{other}_{mark}", **every)
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
                at = time_words(job, spell.start_min)
                found[name] = f"{name} · {at}" + (f" · {spell.item}" if spell.dive is not None else "")
    return found


def move_by_hand(here: Desk, shown: ShownPlan) -> None:
    """The part of the page where something of the plan is changed by hand; it redraws itself alone."""
    st.subheader("Move something by hand", anchor=False)
    why_not = why_not_now(here)
    if why_not is not None:
        st.caption(plain(why_not))
        return

    @st.fragment
    def moving() -> None:
        mark = _mark(shown.plan)
        move = _fields(shown.plan, shown.job, mark, here.units)
        if move is None:
            return
        if move.nothing:
            st.caption("Change a field; which rules that breaks is said here at once.")
            return
        _told(here, shown, move, mark)

    moving()


def _mark(plan: Plan) -> str:
    """Part of the fields' keys, so that they start afresh with another plan."""
    dives = [(d.id, d.item, d.station, d.leave_surface_min, d.bottom_time_min, d.divers) for d in plan.dives]
    posts = [(s.person, s.duty, s.dive, s.start_min) for s in plan.duties]
    return f"{zlib.crc32(repr((dives, posts)).encode()):08x}"


def _fields(plan: Plan, job: Job, mark: str, units: UnitSystem) -> Move | None:
    """The move as the fields have it; None while a time cannot be read."""
    kinds = [_DIVE, _SWAP] if plan.dives else [_SWAP]
    if plan.surface_tasks:
        kinds.append(_TASK)
    kind = chrome.choice("What to move", kinds, "move_kind")
    if kind == _SWAP:
        return swap_fields(plan, job, mark)
    if kind == _TASK:
        return task_fields(plan, job, mark)
    return dive_fields(plan, job, mark, units)


def _told(here: Desk, shown: ShownPlan, move: Move, mark: str) -> None:
    check, job = backend().check, shown.job
    after = moved(shown.plan, job, move, lambda plan: len(check(job, plan)))
    found = check(job, after)
    pins = settled(job, shown.plan, after, move)
    changed = pins.put_into(job)
    clashes = contradictions(changed, here.units)
    told = _what_becomes(job, after, move)
    if told:
        st.caption(plain(told))
    if not found:
        chrome.verdict("The plan moved so holds every rule.")
    else:
        rules = {f.rule for f in found}
        many = "a rule" if len(rules) == 1 else f"{len(rules)} rules"
        chrome.verdict(f"The plan moved so breaks {many}.", "bad")
        st.markdown("\n".join(_sentences(found)))
    lines = [f"Kept as a pin: {plain(pin_text(job, p))}." for p in pins.new]
    lines += [f"In place of: {plain(pin_text(job, p))}." for p in pins.replaced]
    lines += [plain(sentence) for sentence in (*pins.not_pinned, *clashes)]
    # Judged by the job as it then is: a pin may ask for more than the move did.
    holds = not found and not clashes and not check(changed, after)
    if not found and not clashes and not holds:
        lines.append("The pins ask for more than the plan as moved has: it must be planned round them.")
    st.caption("  \n".join(lines))
    _keep(here, after, changed, pins, mark, holds=holds, clash=bool(clashes))


def _keep(
    here: Desk, after: Plan, changed: Job, pins: Settled, mark: str, *, holds: bool, clash: bool
) -> None:
    """The two buttons: plan round the move, or keep the plan as moved."""
    job = here.job
    what = "; ".join(pin_text(changed, p) for p in pins.new) or "moved by hand"
    with st.container(horizontal=True, vertical_alignment="center"):
        if chrome.ask(st.button, "move_keep", of=mark, disabled=clash or changed == job):
            here.change(changed, f"pin: {what}")
            # The moved plan is a start only where it holds; the scheduler passes over one that does not.
            begin_run(here, changed, after if holds else None, in_force=after)
            st.rerun()
        if chrome.ask(st.button, "move_stands", of=mark, disabled=not holds):
            here.change(changed, f"pin: {what}")
            here.shown = ShownPlan(after, changed, KEPT, (), True)
            st.rerun()


def _what_becomes(job: Job, after: Plan, move: Move) -> str:
    """The times of what was moved, in a sentence; blank where only people change."""
    clock = job.clock.hhmm
    if move.task is not None:
        task = next(t for t in after.surface_tasks if t.item == move.task)
        return f"{task.item} is then done {clock(task.start_min)} to {clock(task.end_min)}."
    if move.dive is None:
        return ""
    dive = next(d for d in after.dives if d.id == move.dive)
    return (
        f"Dive {dive.id} then leaves the surface {clock(dive.leave_surface_min)}, the bottom "
        f"{clock(dive.leave_bottom_min)}, is up {clock(dive.reach_surface_min)}; {dive.work_min} min of work."
    )


def _sentences(found: tuple[Finding, ...]) -> list[str]:
    """What is broken, each sentence once with every place at which it is true."""
    places: dict[tuple[str, str], list[str]] = {}
    for one in found:
        places.setdefault((one.rule, one.sentence), []).append(one.where)
    lines = [
        f"- {plain(sentence)} `{rule}`  \n{plain('; '.join(dict.fromkeys(where)))}"
        for (rule, sentence), where in places.items()
    ]
    more = len(lines) - MOST_SENTENCES
    return lines if more <= 0 else [*lines[:MOST_SENTENCES], f"- and {more} more"]

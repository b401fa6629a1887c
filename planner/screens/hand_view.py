"""Moving something by hand on the plan on show: the fields, what the move breaks, and keeping it."""

from __future__ import annotations

import zlib
from typing import TYPE_CHECKING

import streamlit as st

from planner.job import Job
from planner.job.words import DIVER, WATER_DUTIES
from planner.plan.model import Dive, DutySpell, Plan
from planner.screens import chrome
from planner.screens.desk import Desk, ShownPlan
from planner.screens.engines import engines
from planner.screens.hand_move import (
    Move,
    contradictions,
    may_dive,
    may_hold,
    moved,
    pin_text,
    pinned,
    read_time,
    with_pins,
)
from planner.screens.planning import begin_run, why_not_now
from planner.screens.wording import plain

if TYPE_CHECKING:
    from planner.verdict import Finding

#: Sentences of broken rules that are written out.
MOST_SENTENCES = 12

_AS_PLANNED = "leave as planned"


def move_by_hand(here: Desk, shown: ShownPlan) -> None:
    """The part of the page where one dive of the plan is changed by hand; it redraws itself alone."""
    st.subheader("Move something by hand", anchor=False)
    why_not = why_not_now(here)
    if why_not is not None:
        st.caption(plain(why_not))
        return

    @st.fragment
    def moving() -> None:
        mark = _mark(shown.plan)
        move = _asked(shown.plan, shown.job, mark)
        if move is None:
            return
        if move.nothing:
            st.caption("Change a field; which rules that breaks is said here at once.")
            return
        _told(here, shown, move, mark)

    moving()


def _mark(plan: Plan) -> str:
    """Part of the fields' keys, so that they start afresh with another plan."""
    told = repr([(d.id, d.item, d.leave_surface_min, d.bottom_time_min, d.divers) for d in plan.dives])
    posts = repr([(s.person, s.duty, s.dive, s.start_min) for s in plan.duties])
    return f"{zlib.crc32((told + posts).encode()):08x}"


def _asked(plan: Plan, job: Job, mark: str) -> Move | None:
    """The move as the fields have it; None while a time cannot be read."""
    several = len(job.day_windows) > 1
    dives = {d.id: d for d in sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.id))}

    def label(name: str) -> str:
        dive = dives[name]
        who = ", ".join(d.person for d in dive.divers)
        return f"{name} · {job.clock.hhmm(dive.leave_surface_min, with_day=several)} · {dive.item} · {who}"

    chosen = st.selectbox(
        "Dive", list(dives), key=f"move_dive_{mark}", format_func=label, persist_state="session"
    )
    dive = dives[str(chosen)]
    key = f"{dive.id}_{mark}"
    with st.container(horizontal=True, vertical_alignment="top"):
        diver = _diver(job, dive, key)
        leave = _leave(job, dive, key)
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
        holder = _holder(plan, job, dive, key)
    if leave is None:
        return None
    return Move(
        dive.id,
        diver=diver,
        leave_surface_min=None if leave == dive.leave_surface_min else leave,
        bottom_time_min=None if bottom in (None, dive.bottom_time_min) else int(bottom),
        holder=holder,
    )


def _diver(job: Job, dive: Dive, key: str) -> tuple[str, str] | None:
    """The first of the working divers who is to be another; asked for each of them."""
    item = job.dive_item(dive.item)
    there = [d.person for d in dive.divers]
    found: tuple[str, str] | None = None
    own = [d.person for d in dive.divers if d.duty == DIVER]
    for number, person in enumerate(own, start=1):
        others = [p for p in may_dive(job, item) if p not in there]
        now = st.selectbox(
            "Diver" if len(own) == 1 else f"Diver {number}",
            [person, *others],
            key=f"move_diver_{number}_{key}",
            width=230,
            persist_state="session",
            help=f"Divers rated to {item.depth_fsw} fsw with the item's certificates.",
        )
        if found is None and now is not None and now != person:
            found = (person, str(now))
    return found


def _leave(job: Job, dive: Dive, key: str) -> int | None:
    text = st.text_input(
        "Leaves the surface",
        value=job.clock.hhmm(dive.leave_surface_min),
        key=f"move_leave_{key}",
        width=150,
        persist_state="session",
        help="Time of day as 0700 or 07:00.",
    )
    try:
        return read_time(job, text or "", dive.leave_surface_min)
    except ValueError as wrong:
        chrome.verdict(f"{wrong}.", "bad")
        return None


def _holder(plan: Plan, job: Job, dive: Dive, key: str) -> tuple[str, str, str] | None:
    spells = [s for s in plan.duties if s.dive == dive.id and s.duty not in WATER_DUTIES]
    posts: dict[str, DutySpell] = {f"{s.duty}: {s.person}": s for s in spells}
    post = st.selectbox(
        "A post",
        [_AS_PLANNED, *posts],
        key=f"move_post_{key}",
        width=270,
        persist_state="session",
        help="A support duty held over this dive.",
    )
    spell = posts.get(str(post))
    if spell is None:
        return None
    fit = may_hold(job, job.dive_item(dive.item), spell.duty)
    now = st.selectbox(
        "Held by",
        [spell.person, *(p for p in fit if p != spell.person)],
        key=f"move_holder_{spell.duty}_{spell.person}_{key}",
        width=230,
        persist_state="session",
    )
    return None if now in (None, spell.person) else (spell.duty, spell.person, str(now))


def _told(here: Desk, shown: ShownPlan, move: Move, mark: str) -> None:
    check, job = engines().check, shown.job
    after = moved(shown.plan, job, move, lambda plan: len(check(plan, job)))
    found = check(after, job)
    new, replaced = pinned(job, shown.plan, after, move)
    changed = with_pins(job, new, replaced)
    clashes = contradictions(changed)
    dive = next(d for d in after.dives if d.id == move.dive)
    clock = job.clock.hhmm
    st.caption(
        f"Dive {plain(dive.id)} then leaves the surface {clock(dive.leave_surface_min)}, the bottom "
        f"{clock(dive.leave_bottom_min)}, is up {clock(dive.reach_surface_min)}; {dive.work_min} min of work."
    )
    if not found:
        chrome.verdict("The plan moved so holds every rule.")
    else:
        rules = {f.rule for f in found}
        many = "a rule" if len(rules) == 1 else f"{len(rules)} rules"
        chrome.verdict(f"The plan moved so breaks {many}.", "bad")
        st.markdown("\n".join(_sentences(found)))
    told = [f"Kept as a pin: {plain(pin_text(job, p))}." for p in new]
    told += [f"In place of: {plain(pin_text(job, p))}." for p in replaced]
    told += [plain(sentence) for sentence in clashes]
    st.caption("  \n".join(told))
    if st.button(
        "Keep this and plan round it",
        key=f"move_keep_{mark}",
        icon=":material/push_pin:",
        type="primary",
        disabled=bool(clashes) or changed == job,
        help="The pins go into the job (Undo takes them out; they stand on the page Work) and the day is "
        "planned again round them.",
    ):
        here.change(changed, f"pin: {'; '.join(pin_text(job, p) for p in new)}")
        # The moved plan is a start only where it holds; the scheduler passes over one that does not.
        begin_run(here, changed, None if found else after)
        st.rerun()


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

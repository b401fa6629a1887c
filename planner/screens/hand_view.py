"""Moving something by hand on the plan on show: what the move breaks, and keeping it."""

from __future__ import annotations

import zlib
from typing import TYPE_CHECKING

import streamlit as st

from planner.job import Job, UnitSystem
from planner.plan.model import Plan
from planner.screens import chrome
from planner.screens.desk import Desk, ShownPlan
from planner.screens.engines import engines
from planner.screens.hand_fields import asked_of_dive, asked_of_task, asked_to_swap
from planner.screens.hand_move import Move, moved
from planner.screens.hand_pins import Settled, contradictions, pin_text, settled
from planner.screens.planning import begin_run, why_not_now
from planner.screens.wording import plain

if TYPE_CHECKING:
    from planner.verdict import Finding

#: Sentences of broken rules that are written out.
MOST_SENTENCES = 12

#: Said of a plan that was kept as it was moved.
KEPT = "Moved by hand and kept as it stands."

_DIVE, _SWAP, _TASK = "a dive", "two people swap", "work on deck"


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
        move = _asked(shown.plan, shown.job, mark, here.units)
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


def _asked(plan: Plan, job: Job, mark: str, units: UnitSystem) -> Move | None:
    """The move as the fields have it; None while a time cannot be read."""
    kinds = [_DIVE, _SWAP] if plan.dives else [_SWAP]
    if plan.surface_tasks:
        kinds.append(_TASK)
    kind = st.segmented_control(
        "What to move",
        kinds,
        key="move_kind",
        default=kinds[0],
        required=True,
        persist_state="session",
        label_visibility="collapsed",
    )
    if kind == _SWAP:
        return asked_to_swap(plan, job, mark)
    if kind == _TASK:
        return asked_of_task(plan, job, mark)
    return asked_of_dive(plan, job, mark, units)


def _told(here: Desk, shown: ShownPlan, move: Move, mark: str) -> None:
    check, job = engines().check, shown.job
    after = moved(shown.plan, job, move, lambda plan: len(check(plan, job)))
    found = check(after, job)
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
    holds = not found and not clashes and not check(after, changed)
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
        if st.button(
            "Keep this and plan round it",
            key=f"move_keep_{mark}",
            icon=":material/push_pin:",
            type="primary",
            disabled=clash or changed == job,
            help="The pins go into the job and the day is planned again round them. They are listed above "
            "and can be taken out there.",
        ):
            here.change(changed, f"pin: {what}")
            # The moved plan is a start only where it holds; the scheduler passes over one that does not.
            begin_run(here, changed, after if holds else None, near=after)
            st.rerun()
        if st.button(
            "Keep the plan as moved",
            key=f"move_stands_{mark}",
            icon=":material/done:",
            disabled=not holds,
            help="Nothing else is changed and nothing is searched. Only a plan that holds every rule, the "
            "pins among them, can be kept so.",
        ):
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

"""The board of the plan on show: the day drawn, moved by hand, told what that breaks, and kept."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import streamlit as st

from planner.charts.board import PERSON, STATION, Board, duties_unlike
from planner.charts.depth import alt_depth_through_day, depth_through_day
from planner.day.by_hand import Move
from planner.job import Job
from planner.job.daylight import daylight
from planner.plan.model import Plan
from planner.screens import chrome
from planner.screens.backend import backend
from planner.screens.board.choices import choices, chosen_words
from planner.screens.board.component import marks_of, mount
from planner.screens.board.draft import HandDraft, MovesVerdict, draft_of, follows_of, hear, judged
from planner.screens.desk import Desk, ShownPlan
from planner.screens.figures import chart, day_picker
from planner.screens.pins import contradictions, pin_text
from planner.screens.planning import begin_run, why_not_now
from planner.screens.wording import plain

if TYPE_CHECKING:
    from planner.check import Finding

#: Cases of one broken rule that are written out.
MOST_CASES = 3

#: Lines about pins that are told at once; more are folded.
FEW_PINS = 3

#: Said of a plan that was kept as it was moved.
KEPT = "Moved by hand and kept as it stands."

#: A third view beside the board's two.
DEPTH = "depth"

HOW_TO = (
    "A press on a block opens its choices; press two names, and the two swap. On a wide screen a block is "
    "also dragged, aside or to another row, or moved five minutes at a time by the arrow keys; Enter opens "
    "its choices."
)


def show_board(here: Desk, shown: ShownPlan) -> None:
    """The day by person, by station or by depth, with what is being moved of it; it redraws itself alone."""
    solving = here.solving

    @st.fragment
    def drawn() -> None:
        why_not = "A better plan is being looked for." if solving else why_not_now(here)
        with st.container(horizontal=True, vertical_alignment="bottom"):
            view = chrome.choice("The day", (PERSON, STATION, DEPTH), "day_view")
            day = day_picker(shown.job)
            movable = view != DEPTH and why_not is None
            along = movable and bool(chrome.ask(st.toggle, "move_along", value=True))
        board = Board(
            shown.plan, shown.job, chrome.look_of(here), view=view, day=day, light=daylight(shown.job)
        )
        if view == DEPTH:
            _depths(board)
        elif movable:
            _moving(here, shown, board, along=along)
        else:
            mount(board, "day")
            st.caption(f"Nothing can be moved now. {plain(str(why_not))}")

    drawn()


def _depths(board: Board) -> None:
    plan, job, look = board.plan, board.job, board.look
    figure = depth_through_day(plan, job, look, day=board.day, light=board.light)
    chart(figure, key="timeline", alt=alt_depth_through_day(plan, job, look))


def _moving(here: Desk, shown: ShownPlan, board: Board, *, along: bool) -> None:
    """The board with what is moved on it; below it the choices, the verdict, and how to keep it."""
    check = backend().check
    # The board stands above the fields, and shows what they ask for.
    above = st.container()
    draft = draft_of(here, shown)
    mark = f"{draft.turn}_{_mark(shown.plan)}"
    marks: dict[tuple[str, str], list[int]] = {}
    if draft.chosen or draft.steps:
        with st.container(key="board_moved", gap="xsmall"):
            typed = _choices(here, draft, mark, along=along) if draft.chosen else Move()
            here.by_hand = replace(draft, typed=typed or Move())
            draft = here.by_hand.taken_up(check)
            if draft.steps and typed is not None:
                verdict = judged(draft, check, partial(contradictions, units=here.units))
                broken = _by_rule(verdict.found, draft)
                marks = marks_of(draft.plan, broken)
                _keep(here, draft, verdict, mark, len(broken))
                _told(draft, verdict, broken)
            elif typed is not None:
                st.caption("Change a field; which rules that breaks is said here at once.")
    drawn = replace(
        board,
        plan=draft.plan,
        follows=follows_of(draft) if along else {},
        changed=duties_unlike(draft.plan, shown.plan) if draft.steps else (),
        marks=marks,
    )
    with above:
        mount(drawn, "day", partial(hear, here, shown, check=check), chosen=draft.chosen, along=along)
        st.caption(HOW_TO)


def _mark(plan: Plan) -> str:
    """Part of the fields' keys, so that they start afresh with another plan."""
    dives = [(d.id, d.item, d.station, d.leave_surface_min, d.bottom_time_min, d.divers) for d in plan.dives]
    posts = [(s.person, s.duty, s.dive, s.start_min) for s in plan.duties]
    return f"{zlib.crc32(repr((dives, posts)).encode()):08x}"


def _choices(here: Desk, draft: HandDraft, mark: str, *, along: bool) -> Move | None:
    with st.container(horizontal=True, vertical_alignment="center"):
        st.markdown(f"**{plain(chosen_words(draft))}**")
        chrome.button("move_close", _close, here)
    return choices(draft, mark, here.units, along=along)


def _close(here: Desk) -> None:
    """Close the choices; what they ask for stays, as a step."""
    if isinstance(here.by_hand, HandDraft):
        draft = here.by_hand.taken_up(backend().check)
        here.by_hand = replace(draft, chosen="", other="", turn=draft.turn + 1)


def _by_rule(found: Sequence[Finding], draft: HandDraft) -> dict[str, list[Finding]]:
    """What is broken, rule by rule: first those that convict what was moved itself."""
    last = draft.steps[-1].move
    cause = f"dive {last.dive}" if last.dive is not None else last.task or ""
    by_rule: dict[str, list[Finding]] = {}
    for one in sorted(found, key=lambda f: not cause or cause not in f"{f.where} {f.sentence}"):
        by_rule.setdefault(one.rule, []).append(one)
    return by_rule


def _told(draft: HandDraft, verdict: MovesVerdict, broken: dict[str, list[Finding]]) -> None:
    """What is broken, each rule once, by the number on the blocks; what becomes of what was moved; pins."""
    job = draft.of.job
    if broken:
        st.markdown("\n".join(_sentences(broken)))
    becomes = [_what_becomes(job, draft.plan, draft.steps[-1].move), *verdict.clashes]
    # Judged by the job as it then is: a pin may ask for more than the move did.
    if not broken and not verdict.clashes and not verdict.holds:
        becomes.append("The pins ask for more than the plan as moved has: it must be planned round them.")
    pins = [f"Kept as a pin: {pin_text(job, p)}." for p in verdict.new]
    pins += [f"In place of: {pin_text(job, p)}." for p in verdict.replaced]
    pins += verdict.not_pinned
    if len(pins) <= FEW_PINS:
        becomes += pins
    st.caption(" ".join(plain(line) for line in becomes if line))
    if len(pins) > FEW_PINS:
        with st.expander(f"What is pinned by it, and what is not ({len(pins)})"):
            st.caption("  \n".join(plain(line) for line in pins))


def _sentences(broken: dict[str, list[Finding]]) -> list[str]:
    """Each rule in a line with its number and its first cases."""
    lines = []
    for number, (rule, found) in enumerate(broken.items(), start=1):
        cases = list(dict.fromkeys(_case(one) for one in found))
        more = len(cases) - MOST_CASES
        also = " ".join(cases[1:MOST_CASES])
        also += f" And {more} more." if more > 0 else ""
        lines.append(f"{number}. {cases[0]} `{rule}`" + (f"  \n:gray[{also}]" if also else ""))
    return lines


def _case(finding: Finding) -> str:
    """The sentence, with the place where it does not name it."""
    place = finding.where.split(" (")[0]
    named = all(part in finding.sentence for part in finding.where.split("; ")[0].split(", "))
    return plain(finding.sentence) if named else plain(f"{place[:1].upper()}{place[1:]}: {finding.sentence}")


def _keep(here: Desk, draft: HandDraft, verdict: MovesVerdict, mark: str, broken: int) -> None:
    """The verdict; plan round what was moved, keep the plan as it stands, or take it back."""
    changed = draft.job
    breaks = f"breaks {broken} rules" if broken > 1 else "breaks a rule"
    what = f"pin: {'; '.join(pin_text(changed, p) for p in verdict.new) or 'moved by hand'}"
    with st.container(horizontal=True, vertical_alignment="center"):
        with st.container(width="content"):
            told = f"The plan moved so {breaks if broken else 'holds every rule'}."
            chrome.verdict(told, "bad" if broken else "")
        unready = bool(verdict.clashes) or changed == here.job
        if chrome.ask(st.button, "move_keep", of=mark, disabled=unready):
            here.change(changed, what)
            # The moved plan is a start only where it holds; the scheduler passes over one that does not.
            begin_run(here, changed, draft.plan if verdict.holds else None, in_force=draft.plan)
            st.rerun()
        if chrome.ask(st.button, "move_stands", of=mark, disabled=not verdict.holds):
            here.change(changed, what)
            here.shown = ShownPlan(draft.plan, changed, KEPT, (), True)
            st.rerun()
        chrome.button("move_back", _back, here, of=mark)


def _back(here: Desk) -> None:
    if isinstance(here.by_hand, HandDraft):
        here.by_hand = here.by_hand.back()


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

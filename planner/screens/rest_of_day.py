"""The rest of the day planned anew, and tomorrow's job: the buttons below the day log."""

from __future__ import annotations

import threading
from dataclasses import replace
from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from planner.errors import PlannerError
from planner.job import Job, Span
from planner.log.before_after import changes, work_changes
from planner.log.replan import Replanned, replan
from planner.log.tomorrow import next_day
from planner.plan.model import Plan
from planner.screens import chrome
from planner.screens.backend import backend
from planner.screens.desk import Desk
from planner.screens.log_entries import LoggedDay
from planner.screens.turns import LINE, Turn
from planner.screens.what_if_record import SPREAD_AT
from planner.screens.wording import plain
from planner.store.recording import issue_replanned

if TYPE_CHECKING:
    # The solver is loaded by the first replan.
    from planner.schedule import Outcome

#: Seconds for all tries of a replan together; the whole takes ten at most on two cores.
REPLAN_S = 7.0

_FOUND_KEY = "replanned"


def rest_of_day(here: Desk, day: LoggedDay) -> None:
    """Two buttons, and the replanned day under them until it is issued or dropped."""
    st.header("The rest of the day", anchor=False)
    with st.container(horizontal=True):
        again = st.button("Plan the rest anew", key="replan", icon=":material/update:", type="primary")
        chrome.button("make_tomorrow", _tomorrow, here, day, why_not=_still_down(day))
    if again:
        with st.spinner("Planning the rest of the day, with what happened fixed; ten seconds at most."):
            _replan(day)
    found = st.session_state.get(_FOUND_KEY)
    if isinstance(found, tuple) and found[0] == day.line.sha256:
        _show(here, day, found[1], found[2])
    for note in st.session_state.get("tomorrow_notes", ()):
        st.markdown(f"- {plain(note)}")
    if st.session_state.get("tomorrow_notes") is not None:
        chrome.link("job", "Open tomorrow's job")


def _solve(job: Job, seconds: float, ahead: Plan) -> Outcome:
    return backend().solve(job, seconds=seconds, workers=2, seed=0, in_force=ahead)


def _replan(day: LoggedDay) -> None:
    turn, place = Turn(2, REPLAN_S, urgent=True), st.empty()
    LINE.join(turn)
    try:
        with LINE.come(turn, threading.Event(), place.caption):
            found = replan(day.job, day.plan, day.log, day.now_min, _solve, seconds=REPLAN_S)
    except PlannerError as refused:
        st.session_state.pop(_FOUND_KEY, None)
        chrome.verdict(str(refused), "bad")
        return
    st.session_state[_FOUND_KEY] = (day.line.sha256, found, day.now_min)


def _show(here: Desk, day: LoggedDay, found: Replanned, from_min: int) -> None:
    told = f"Replanned from {day.job.clock.hhmm(from_min)} in {found.seconds:.0f} s: {found.sentence}"
    if found.rest is None:
        chrome.verdict(f"The rest of the day could not be planned. {found.sentence}", "bad")
    elif found.breaches:
        chrome.verdict("The rest breaks a rule together with what has happened; it cannot be issued.", "bad")
        for breach in found.breaches:
            st.markdown(f"- {plain(breach.sentence)}")
    else:
        chrome.verdict(f"{told}; {found.changed.sentence}")
    for note in found.notes:
        st.markdown(f"- {plain(note)}")
    if found.rest is not None:
        _before_and_after(here, day, found, from_min)
    ready = found.rest is not None and not found.breaches and bool(day.by)
    reason = st.text_input("Why", key="replan_reason", max_chars=200, value="the day ran otherwise")
    with st.container(horizontal=True):
        label = f"Issue as revision {day.line.revision + 1}"
        chrome.button("replan_issue", _issue, here, day, found, reason, label=label, disabled=not ready)
        chrome.button("replan_drop", st.session_state.pop, _FOUND_KEY, None)


def _before_and_after(here: Desk, day: LoggedDay, found: Replanned, from_min: int) -> None:
    """Whose day changes, as two strips of the board and in a line each; what is dropped, and why."""
    made = {d.id for d in day.actual().dives}
    people = changes(day.plan, found.whole, day.job, from_min, made)
    work = work_changes(day.plan, found.whole, day.job)
    if people:
        _strips(here, day, found.whole, from_min, [change.who for change in people])
    elif not work:
        st.caption("Nothing changes for anybody.")
    for change in people:
        st.html(f'<div class="change"><b>{escape(change.who)}</b>: {escape(change.told)}</div>')
    for one in work:
        how_much, less = f"{one.told}, of {one.needed_min} min", one.now_min < one.was_min
        how_much = f"dropped: {how_much}" if less else how_much
        chrome.show_reasons(one.item, one.reasons if less else (), how_much)


def _strips(here: Desk, day: LoggedDay, whole: Plan, from_min: int, people: list[str]) -> None:
    """The day in force and the new one, one above the other on the same hours; what differs is outlined."""
    # With what draws figures, which the log itself does without.
    from planner.charts.board import Board, duties_unlike
    from planner.charts.look import day_span
    from planner.screens.board.component import mount

    job, made = day.job, {d.id for d in day.actual().dives}
    number = next((n for n, w in enumerate(job.day_windows) if w.start_min <= from_min < w.end_min), 0)
    spans = [day_span(plan, job, number) for plan in (day.plan, whole)]
    span = Span(start_min=min(s.start_min for s in spans), end_min=max(s.end_min for s in spans))
    for key, plan, other in (("before", day.plan, whole), ("after", whole, day.plan)):
        changed = {s for s in duties_unlike(plan, other) if s.end_min > from_min and s.dive not in made}
        st.header(key.capitalize(), anchor=False)
        strip = Board(plan, job, chrome.look_of(here), day=number, span=span, now_min=from_min)
        mount(replace(strip, people=people, changed=changed), key)


def _issue(here: Desk, day: LoggedDay, found: Replanned, reason: str) -> None:
    with chrome.refusals_told():
        spread = here.beside.get(SPREAD_AT)
        line = issue_replanned(day.store, day.job, found, day.by, reason=reason.strip(), spread=spread)
        st.session_state.pop(_FOUND_KEY, None)
        kept = "the earlier ones are kept. Print it from the issue page."
        chrome.tell(f"Revision {line.revision} is issued; {kept}")


def _still_down(day: LoggedDay) -> str | None:
    """Who is under pressure by the log, in a sentence; None when nobody is."""
    down = [d for d in day.actual().dives if d.in_water or d.in_chamber]
    if not down:
        return None
    where = [f"{' and '.join(d.people)} (dive {d.id}) {d.whereabouts}" for d in down]
    return f"Not while anyone is down: {'; '.join(where)}. The running day stays open."


def _tomorrow(here: Desk, day: LoggedDay) -> None:
    # Asked again: somebody else may have logged a dive since the page was drawn.
    down = _still_down(day)
    if down is not None:
        chrome.tell(down, bad=True)
        return
    found = next_day(day.job, day.log, day.plan)
    here.open(found.job, f"the log of {day.line.day:%d %b %Y}")
    st.session_state["tomorrow_notes"] = found.notes
    first = f"{found.job.site.first_day:%A %d %B}"
    chrome.tell(f"The job of {first} is open. Nothing is stored until you keep it.")

"""The rest of the day planned anew, and tomorrow's job: the buttons below the day log."""

from __future__ import annotations

import threading
from html import escape
from typing import TYPE_CHECKING

import streamlit as st

from planner.errors import PlannerError
from planner.job import Job
from planner.log import Change, Replanned, changes, next_day, replan, work_changes
from planner.plan.model import Plan
from planner.screens import chrome
from planner.screens.backend import backend
from planner.screens.desk import Desk
from planner.screens.log_entries import LoggedDay
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
    st.subheader("The rest of the day", anchor=False)
    with st.container(horizontal=True):
        again = st.button("Plan the rest anew", key="replan", icon=":material/update:", type="primary")
        chrome.button("make_tomorrow", _tomorrow, here, day)
    if again:
        with st.spinner("Planning the rest of the day, with what happened fixed; ten seconds at most."):
            _replan(day)
    found = st.session_state.get(_FOUND_KEY)
    if isinstance(found, tuple) and found[0] == day.line.sha256:
        _show(day, found[1], found[2])
    for note in st.session_state.get("tomorrow_notes", ()):
        st.markdown(f"- {plain(note)}")
    if st.session_state.get("tomorrow_notes") is not None:
        chrome.link("job", "Open tomorrow's job")


def _solve(job: Job, seconds: float, ahead: Plan) -> Outcome:
    return backend().solve(
        job,
        seconds=seconds,
        workers=2,
        seed=0,
        on_progress=lambda said: None,
        stop=threading.Event(),
        start=None,
        in_force=ahead,
    )


def _replan(day: LoggedDay) -> None:
    try:
        found = replan(day.job, day.plan, day.log, day.now_min, _solve, seconds=REPLAN_S)
    except PlannerError as refused:
        st.session_state.pop(_FOUND_KEY, None)
        chrome.verdict(str(refused), "bad")
        return
    st.session_state[_FOUND_KEY] = (day.line.sha256, found, day.now_min)


def _show(day: LoggedDay, found: Replanned, from_min: int) -> None:
    made = {d.id for d in day.actual().dives}
    people = changes(day.plan, found.whole, day.job, from_min, made)
    work = work_changes(day.plan, found.whole, day.job)
    told = f"Replanned from {day.job.clock.hhmm(from_min)} in {found.seconds:.0f} s: {found.sentence}"
    if found.rest is None:
        chrome.verdict(f"Nothing more can be planned today. {found.sentence}", "bad")
    elif found.breaches:
        chrome.verdict("The rest breaks a rule together with what has happened; it cannot be issued.", "bad")
        for breach in found.breaches:
            st.markdown(f"- {plain(breach.sentence)}")
    else:
        chrome.verdict(f"{told}; {found.changed.sentence}")
    for note in found.notes:
        st.markdown(f"- {plain(note)}")
    if not people and not work:
        st.caption("Nothing changes for anybody.")
    if work or people:
        st.caption("Struck: no more. Plain: new.")
    for change in (*work, *people):
        _change(change)
    ready = found.rest is not None and not found.breaches and bool(day.by)
    reason = st.text_input("Why", key="replan_reason", max_chars=200, value="the day ran otherwise")
    with st.container(horizontal=True):
        label = f"Issue as revision {day.line.revision + 1}"
        chrome.button("replan_issue", _issue, day, found, reason, label=label, disabled=not ready)
        chrome.button("replan_drop", st.session_state.pop, _FOUND_KEY, None)


def _change(change: Change) -> None:
    lines = [f"<p><s>{escape(line)}</s></p>" for line in change.was]
    lines += [f"<p>{escape(line)}</p>" for line in change.now]
    if not change.now:
        lines.append("<p>nothing instead</p>")
    st.html(f'<div class="change"><b>{escape(change.who)}</b>{"".join(lines)}</div>')


def _issue(day: LoggedDay, found: Replanned, reason: str) -> None:
    with chrome.refusals_told():
        line = issue_replanned(day.store, day.job, found, day.by, reason=reason.strip())
        st.session_state.pop(_FOUND_KEY, None)
        chrome.tell(
            f"Revision {line.revision} is issued; the earlier ones are kept. Print it from the issue page."
        )


def _tomorrow(here: Desk, day: LoggedDay) -> None:
    found = next_day(day.job, day.log, day.plan)
    here.open(found.job, f"the log of {day.line.day:%d %b %Y}")
    st.session_state["tomorrow_notes"] = found.notes
    first = f"{found.job.site.first_day:%A %d %B}"
    chrome.tell(f"The job of {first} is open. Nothing is stored until you keep it.")

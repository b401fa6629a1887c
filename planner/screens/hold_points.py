"""Hold points signed on the page of the day log: which bench, which step, who did it, who signs."""

from __future__ import annotations

from html import escape

import streamlit as st

from planner.job.gear import BenchStep
from planner.log.day_log import ActualDay, Entry, Kind
from planner.log.hold_points import Bench, benches, signatures
from planner.screens import chrome
from planner.screens.log_entries import LoggedDay, press
from planner.screens.wording import plain


def hold_points(day: LoggedDay) -> None:
    """One list on the bench after the other: the step at which the work stands, then what is signed."""
    actual = day.actual()
    listed = {bench.title: bench for bench in benches(actual)}
    if not listed:
        return
    with st.expander("Hold points"):
        title = chrome.ask(st.selectbox, "hold_bench", options=list(listed))
        bench = listed[title]
        signed = signatures(actual, bench, day.now_min)
        to_sign = [step for step in bench.points if step.id not in signed]
        if to_sign:
            _sign(day, actual, bench, to_sign)
        st.html(_told(bench, signed, day))


def _sign(day: LoggedDay, actual: ActualDay, bench: Bench, to_sign: list[BenchStep]) -> None:
    """The step at which the work stands, or another; who did it; one press by who signs."""
    job, of = day.job, bench.title
    said_as = {"format_func": lambda step: step.do}
    step = chrome.ask(st.selectbox, "hold_step", of=of, options=to_sign, **said_as)
    st.markdown(f"**{plain(step.do)}** {plain(step.good)}")
    names = [p.name for p in job.people]
    by_bill = [name for name in bench.done_by(step) if name in names]
    own = f"{of}_{step.id}"
    done_by = tuple(chrome.ask(st.multiselect, "hold_done_by", of=own, options=names, default=by_bill))
    down = {name for dive in actual.in_water() for name in dive.people}
    may = [name for name in bench.signers(step, done_by, job) if name not in down]
    at = may.index(day.by) if day.by in may else None
    label = f"Signed by ({step.signed_by})"
    person = chrome.ask(st.selectbox, "hold_person", of=own, options=may, index=at, label=label)
    asked = {"your name above": day.by, "who did the step": done_by, "who signs": person}
    missing = [what for what, given in asked.items() if not given]
    fields = {"dive": bench.dive, "thing": bench.outfit, "step": step.id}
    fields |= {"people": (person,), "done_by": done_by}
    why_not = f"Choose {' and '.join(missing)} first." if missing else None
    with st.container(key="thumb_hold"):
        chrome.button("hold_press", press, day, Kind.HOLD_POINT, why_not=why_not, kwargs=fields)
    if not may:
        told = f"Nobody else of the job may hold the duty {step.signed_by}: the work stops here."
        chrome.verdict(told, "bad")


def _told(bench: Bench, signed: dict[str, Entry], day: LoggedDay) -> str:
    """Every hold point of the bench: signed by whom and when, or open."""
    lines = []
    for step in bench.points:
        entry, state = signed.get(step.id), "open"
        if entry is not None:
            state = f"{day.job.clock.hhmm(entry.at_min)} {' and '.join(entry.people)}"
        lines.append(f"<li><b>{escape(state)}</b>: {escape(step.do)}</li>")
    return f'<ul class="points">{"".join(lines)}</ul>'

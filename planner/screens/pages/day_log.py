"""The page of the day log: one thumb, big buttons; what applies to every diver now."""

from __future__ import annotations

from html import escape
from typing import Any

import streamlit as st

from planner.job import Job
from planner.log import (
    DIVE_TIMES,
    ActualDay,
    ActualDive,
    Kind,
    actual_exposures,
    after_dives,
)
from planner.log.wording import after_lines, entry_text, exposure_lines, written_text
from planner.plan import Dive
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.log_entries import AGO_KEY, AGO_MIN, LoggedDay, more_entries, press
from planner.screens.rest_of_day import rest_of_day
from planner.screens.saved import signer, store_or_stop
from planner.screens.wording import plain
from planner.store import Store

#: Seconds between two looks at the clock while somebody is in the water.
LOOK_EVERY_S = 20


def page(here: Desk) -> None:
    """Draw the page."""
    chrome.style("day_log")
    store = store_or_stop()
    day = _day(here, store)
    if day is None:
        chrome.first(
            "No watchbill has been issued yet. Issue one first; its day is logged here.",
            "issue",
            "Issue a watchbill",
        )
        return
    chrome.told()
    if not _on_the_day(day):
        return
    _stations(day)
    _undo(day)
    _divers(day)
    more_entries(day)
    _logged(day)
    rest_of_day(here, day)


def _day(here: Desk, store: Store) -> LoggedDay | None:
    """The issued day to log: the open job's where it has one, else the one issued last."""
    lines = store.latest_issued()
    if not lines:
        return None
    own = [n for n, line in enumerate(lines) if here.job is not None and line.name == here.job.site.name]
    chosen = lines[own[0] if own else 0]
    if len(lines) > 1:
        at = {"index": own[0] if own else 0, "format_func": lambda line: line.title}
        chosen = chrome.ask(st.selectbox, "log_day", options=lines, **at)
    found = store.open_issued(chosen.name, chosen.day)
    people = [p.name for p in found.job.people]
    left, right = st.columns([2, 3], vertical_alignment="bottom")
    with left:
        by = signer(people, "Who writes")
    with right:
        st.session_state.setdefault(AGO_KEY, 0)
        said_as = {"format_func": lambda m: "now" if m == 0 else f"{m}"}
        chrome.ask(st.pills, AGO_KEY, options=AGO_MIN, required=True, **said_as)
    if len(lines) == 1:
        st.caption(plain(found.line.title))
    return LoggedDay(store, found.line, found.job, found.plan, by)


def _on_the_day(day: LoggedDay) -> bool:
    """Whether the clock is on the watchbill's days; else the page says what is to be done."""
    first, last = day.job.day_windows[0], day.job.day_windows[-1]
    if day.now_min < first.start_min - 1440:
        when = f"{day.line.day:%A %d %B %Y}"
        chrome.verdict(
            f"This watchbill is for {when}; that day has not come. Its log opens the day before.", "wait"
        )
        return False
    if day.now_min > last.end_min:
        chrome.verdict(
            "The day of this watchbill is over. Give the time of what is missing, or make tomorrow's job.",
            "wait",
        )
    if not day.by:
        chrome.verdict("Choose your name first: every entry is signed.", "wait")
    return True


# ---------------------------------------------------------------------- the big buttons


def _stations(day: LoggedDay) -> None:
    actual = day.actual()
    stations = [s.name for s in day.job.stations]
    columns = st.columns(len(stations)) if len(stations) > 1 else [st.container()]
    for number, (station, column) in enumerate(zip(stations, columns, strict=True)):
        with column:
            if len(stations) > 1:
                st.subheader(station, anchor=False)
            down = actual.in_water(station)
            coming = [d for d in actual.to_come() if d.station == station]
            for dive in down:
                _in_water(day, dive, number)
            if not down and coming:
                _next(day, coming[0], number)
            if not down and not coming:
                st.caption("No dive is to come here.")


def _next(day: LoggedDay, dive: Dive, number: int) -> None:
    people = " and ".join(d.person for d in dive.divers)
    at = day.job.clock.hhmm(dive.leave_surface_min)
    st.markdown(f"**Dive {plain(dive.id)}**, {plain(dive.item)}  \n{plain(people)}, planned {at}")
    with st.container(key=f"thumb_{number}"):
        about: dict[str, Any] = {"disabled": not day.by, "kwargs": {"dive": dive.id}}
        chrome.button("press", press, day, Kind.LEAVE_SURFACE, of=number, **about)


def _in_water(day: LoggedDay, dive: ActualDive, number: int) -> None:
    st.markdown(f"**Dive {plain(dive.id)}**, {plain(dive.item.name)}  \n{plain(' and '.join(dive.people))}")
    kind = _next_time(dive)
    icon = ":material/arrow_downward:" if kind is Kind.REACH_BOTTOM else ":material/arrow_upward:"
    with st.container(key=f"thumb_{number}_{dive.id}"):
        about: dict[str, Any] = {"label": str(kind).capitalize(), "icon": icon, "kwargs": {"dive": dive.id}}
        chrome.button("press", press, day, kind, of=f"{number}_{dive.id}", disabled=not day.by, **about)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        chrome.ask(st.number_input, "depth", of=dive.id, value=dive.depth_fsw)
        chrome.button("press_depth", _depth, day, dive.id, of=dive.id, disabled=not day.by)


def _depth(day: LoggedDay, dive: str) -> None:
    press(day, Kind.DEPTH, dive=dive, depth_fsw=int(st.session_state[f"depth_{dive}"]))


def _next_time(dive: ActualDive) -> Kind:
    """The time that comes next; reach bottom is passed over once leave bottom is there."""
    times = (dive.leave_surface_min, dive.reach_bottom_min, dive.leave_bottom_min, dive.reach_surface_min)
    if dive.leave_bottom_min is not None:
        return Kind.REACH_SURFACE
    return next(kind for kind, minute in zip(DIVE_TIMES, times, strict=True) if minute is None)


def _undo(day: LoggedDay) -> None:
    """Take back the last entry that holds, by one press."""
    log = day.log
    holds = [
        w for w in log.written if log.corrected_by(w.number) is None and w.entry.kind is not Kind.TAKEN_BACK
    ]
    if not holds:
        return
    last = holds[-1]
    label = f"Undo: {plain(entry_text(last.entry, day.job))}"
    about: dict[str, Any] = {"label": label, "disabled": not day.by, "kwargs": {"at_min": last.entry.at_min}}
    chrome.button("log_undo", press, day, Kind.TAKEN_BACK, last.number, **about)


# ---------------------------------------------------------------------- what applies


def _divers(day: LoggedDay) -> None:
    anyone = bool(day.actual().in_water())

    @st.fragment(run_every=LOOK_EVERY_S if anyone else None)
    def live() -> None:
        actual, now_min = day.actual(), day.now_min
        st.caption(f"Now {day.job.clock.hhmm(now_min)}")
        for one in actual_exposures(actual, now_min):
            if one.dive.in_water or one.off_row:
                lines = list(exposure_lines(one, day.job, now_min))
                head = f"{one.person}, dive {one.dive.id}"
                _block(head, lines, off=one.off_row)
        _after(actual, now_min, day.job)

    live()


def _block(head: str, lines: list[str], *, off: bool) -> None:
    first, *rest = lines
    body = f'<p class="first">{escape(first)}</p>' + "".join(f"<p>{escape(line)}</p>" for line in rest)
    role = "alert" if off else "status"
    mark = "OFF THE ROW: " if off else ""
    st.html(
        f'<div class="diver{" off" if off else ""}" role="{role}"><b>{mark}{escape(head)}</b>{body}</div>'
    )


def _after(actual: ActualDay, now_min: int, job: Job) -> None:
    found = after_dives(actual, now_min)
    if not found:
        return
    st.subheader("After the dive", anchor=False)
    for one in found:
        _block(one.person, list(after_lines(one, job)), off=False)


# ---------------------------------------------------------------------- the log so far


def _logged(day: LoggedDay) -> None:
    log = day.log
    if not log.written:
        return
    st.subheader("Logged", anchor=False)
    lines = []
    for written in reversed(log.written):
        struck = log.corrected_by(written.number) is not None
        text = escape(written_text(written, log, day.job))
        lines.append(f'<li class="struck">{text}</li>' if struck else f"<li>{text}</li>")
    st.html(f'<ul style="list-style:none;padding-left:0">{"".join(lines)}</ul>')

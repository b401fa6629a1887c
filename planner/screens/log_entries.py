"""Entries of the day log: what its buttons store and say, and the fields of what is no time of a dive.

A button makes one entry, which is judged and stored. Beside the times of a dive there are took over,
readings, done, delay, defect, sick and notes, and corrections of any of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time
from typing import Any

import streamlit as st
from pydantic import ValidationError

from planner.errors import Fault, InputFaults
from planner.job import Job, UnitSystem
from planner.job.base import MINUTES_A_DAY
from planner.job.units import PRESSURE_KEPT
from planner.log.day_log import CHAMBER_TIMES, DIVE_TIMES, ActualDay, DayLog, Entry, Kind, Written
from planner.log.guard import DEAD_S, too_soon
from planner.log.judge import things
from planner.log.wording import entry_text
from planner.plan import Plan
from planner.screens import chrome
from planner.screens.saved import now
from planner.screens.wording import plain
from planner.store import IssuedLine, Store, StoreRefused
from planner.store.recording import minute_now, minute_of_press, read_log, record

#: Key of the choice "how many minutes ago".
AGO_KEY = "log_ago"

#: Choices of "minutes ago" that one press reaches.
AGO_MIN = (0, 1, 2, 5, 10)


@dataclass(frozen=True)
class LoggedDay:
    """The day at hand: the issued watchbill and its log."""

    store: Store
    line: IssuedLine
    job: Job
    plan: Plan
    by: str
    units: UnitSystem = UnitSystem.FEET
    """What is shown and typed."""

    @property
    def log(self) -> DayLog:
        return read_log(self.store, self.job)

    @property
    def now_min(self) -> int:
        return minute_now(self.job, now())

    def actual(self) -> ActualDay:
        return ActualDay(self.job, self.plan, self.log)


def pressed_min(day: LoggedDay, kind: Kind) -> int:
    """The minute that a press stands for: now, or as many minutes ago as was chosen."""
    first, last = day.job.day_windows[0].start_min, day.job.day_windows[-1].end_min
    if not first - MINUTES_A_DAY <= day.now_min <= last + MINUTES_A_DAY:
        told = "Today is none of the days of this watchbill: enter it below, with the time it had."
        raise InputFaults([Fault(str(kind), "now", "a time of the watchbill's days", told)])
    ago = int(st.session_state.get(AGO_KEY) or 0)
    if ago == 0:
        return minute_of_press(kind, day.job, now())
    return day.now_min - ago


@dataclass(frozen=True)
class PressInDoubt:
    """A press that is asked back: it came within a minute of the dive's time before."""

    last: int
    """Number of the entry before."""
    question: str
    at: datetime
    kind: Kind
    fields: dict[str, Any]


_ASKED_KEY = "log_asked"


def press_in_doubt(day: LoggedDay, dive: str) -> PressInDoubt | None:
    """What is asked back about a dive; None once the log has moved on."""
    found = st.session_state.get(_ASKED_KEY)
    if not isinstance(found, PressInDoubt) or found.fields.get("dive") != dive:
        return None
    own = [w.number for w in day.log.standing if w.entry.dive == dive]
    return found if max(own, default=0) == found.last else None


def answer(day: LoggedDay, found: PressInDoubt, sure: bool) -> None:
    """Log what was asked back about, at the minute of the press, or drop it.

    The answer is dead for as long as a press: the second press of two must not be taken for a yes.
    """
    if (now() - found.at).total_seconds() < DEAD_S:
        return
    st.session_state.pop(_ASKED_KEY, None)
    if sure:
        press(day, found.kind, **found.fields)


def _counts(day: LoggedDay, kind: Kind, fields: dict[str, Any]) -> bool:
    """Whether a press is to be logged: not held back, not asked back. A time that was given always is."""
    if "at_min" in fields and kind is not Kind.TAKEN_BACK:
        return True
    held = too_soon(day.log, kind, fields.get("dive"), now())
    if held is None:
        return True
    if held.dead:
        chrome.tell(held.refuses(kind), bad=True)
        return False
    if st.session_state.get(AGO_KEY):
        return True
    about = {**fields, "at_min": pressed_min(day, kind)}
    st.session_state[_ASKED_KEY] = PressInDoubt(held.last.number, held.asks(kind), now(), kind, about)
    return False


def press(day: LoggedDay, kind: Kind, corrects: int | None = None, **fields: Any) -> bool:
    """Log one thing; whether it is stored. What was stored, refused or flagged is said on the page.

    A time of a dive that is pressed too soon after the one before is held back or asked back (`too_soon`).
    """
    try:
        if not _counts(day, kind, fields):
            return False
        if "at_min" not in fields:
            fields["at_min"] = pressed_min(day, kind)
        entry = Entry(kind=kind, **fields)
        found = record(day.store, day.job, day.plan, entry, day.by, now=now(), corrects=corrects)
    except ValidationError as wrong:
        first = wrong.errors()[0]
        place = first["loc"][0] if first["loc"] else kind
        chrome.tell(f"{place}: {first['msg']}. Nothing was stored.", bad=True)
        return False
    except InputFaults as refused:
        for sentence in (*(fault.sentence for fault in refused.faults), "Nothing was stored."):
            chrome.tell(sentence, bad=True)
        return False
    except StoreRefused as refused:
        chrome.tell(str(refused), bad=True)
        return False
    st.session_state[AGO_KEY] = 0
    chrome.tell(f"Logged: {entry_text(found.written.entry, day.job, day.units)}.")
    for flag in found.flags:
        chrome.tell(flag, bad=True)
    return True


#: Kinds offered here, in the order of how often they are needed, with the parts of an entry that each asks.
KINDS: dict[Kind, tuple[str, ...]] = {
    Kind.TOOK_OVER: ("people", "duty", "dive"),
    Kind.REACH_STOP: ("dive", "depth_fsw"),
    Kind.LEAVE_STOP: ("dive", "depth_fsw"),
    Kind.AT_CHAMBER_DEPTH: ("dive",),
    Kind.OUT_OF_CHAMBER: ("dive",),
    Kind.AIR_READING: ("thing", "pressure_psi", "hours_run"),
    Kind.ITEM_DONE: ("item",),
    Kind.DELAY: ("minutes", "text"),
    Kind.DEFECT: ("thing", "text"),
    Kind.SICK: ("people", "text"),
    Kind.NOTE: ("text",),
}

#: What stands in a field of numbers at first.
_AT_FIRST = {"minutes": 10, "depth_fsw": 20}

#: Fields of the page that go by another name than the part of an entry that they ask for.
_NAMED = {"people": "person", "pressure_psi": "psi", "hours_run": "hours", "depth_fsw": "stop"}


def more_entries(day: LoggedDay) -> None:
    """Choose a kind, fill in what it needs, press once."""
    with st.expander("Something else happened"):
        said_as = {"format_func": lambda k: str(k).capitalize(), "label_visibility": "collapsed"}
        kind = chrome.ask(st.pills, "more_kind", options=list(KINDS), **said_as)
        if kind is not None:
            fields = _fields(day, kind)
            chrome.button("more_press", _press, day, kind, fields, label=f"Log: {kind}", disabled=not day.by)
    with st.expander("Correct an entry, or one that was forgotten"):
        _correct(day)


def _press(day: LoggedDay, kind: Kind, fields: dict[str, Any]) -> None:
    if press(day, kind, **fields):
        st.session_state["more_kind"] = None


def _fields(day: LoggedDay, kind: Kind) -> dict[str, Any]:
    """The widgets that a kind needs, and what stands in them."""
    job = day.job
    outfits = {o.name for o in job.outfits}
    among = {
        "people": [p.name for p in job.people],
        "duty": list(job.duties),
        "dive": [d.id for d in day.plan.dives],
        "item": [i.name for i in job.items],
        "thing": [t for t in things(job) if kind is Kind.DEFECT or t not in outfits],
    }
    fields: dict[str, Any] = {}
    for part in KINDS[kind]:
        name = f"more_{_NAMED.get(part, part)}"
        if part in among:
            fields[part] = chrome.ask(st.selectbox, name, options=among[part], index=None)
        elif part == "text":
            fields[part] = chrome.ask(st.text_input, name).strip()
        elif part == "pressure_psi" and day.units is UnitSystem.METRIC:
            about = {"label": "Pressure, bar", "max_value": 700.0, "step": 1.0}
            bar = chrome.ask(st.number_input, name, of="bar", value=None, **about)
            if bar is not None:
                fields |= {part: PRESSURE_KEPT.inside(bar, day.units), "typed": ((part, bar),)}
        else:
            fields[part] = chrome.ask(st.number_input, name, value=_AT_FIRST.get(part))
    if "people" in fields:
        fields["people"] = (fields["people"],) if fields["people"] else ()
    return fields


def _correct(day: LoggedDay) -> None:
    """Another time for an entry, or a time of a dive that nobody pressed."""
    holds = sorted(day.log.standing, key=lambda w: -w.number)
    said_as = {"format_func": lambda w: f"{w.number}. {entry_text(w.entry, day.job, day.units)}"}
    chosen = chrome.ask(st.selectbox, "fix_entry", options=holds, index=None, **said_as)
    dive, kind = None, None
    if chosen is None:
        ids = list(dict.fromkeys([*(d.id for d in day.actual().dives), *(d.id for d in day.plan.dives)]))
        dive = chrome.ask(st.selectbox, "fix_dive", options=ids, index=None)
        times = (*DIVE_TIMES, *CHAMBER_TIMES)
        kind = st.pills("Time of", times, key="fix_kind", format_func=lambda k: str(k).capitalize())
    at = st.time_input("It happened at", value=None, step=60, key="fix_at")
    ready = at is not None and (chosen is not None or (dive is not None and kind is not None))
    label = "Correct" if chosen is not None else "Log it"
    unready = not day.by or not ready
    chrome.button("fix_press", _fix, day, chosen, dive, kind, at, label=label, disabled=unready)
    if chosen is not None:
        label = f"Take back: {plain(entry_text(chosen.entry, day.job, day.units))}"
        about: dict[str, Any] = {"label": label, "kwargs": {"at_min": chosen.entry.at_min}}
        about["disabled"] = not day.by
        chrome.button("fix_back", press, day, Kind.TAKEN_BACK, chosen.number, **about)


def _fix(day: LoggedDay, chosen: Written | None, dive: str | None, kind: Kind | None, at: time) -> None:
    minute = _minute_on(day, at)
    if chosen is not None:
        changed: Entry = chosen.entry.replace(at_min=minute)
        press(day, corrects=chosen.number, **dict(changed))
    elif kind is not None:
        press(day, kind, dive=dive, at_min=minute)


def _minute_on(day: LoggedDay, at: time) -> int:
    """The wall time on the job's day that has come last: past midnight it is the new day's."""
    clock = day.job.clock
    minute = clock.minute_on(clock.day_of(day.now_min), at)
    if day.now_min > day.job.day_windows[-1].end_min:
        minute = clock.minute_on(day.line.day, at)
    return minute

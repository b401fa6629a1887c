"""What the buttons of the day log do: one entry each, judged and stored, and what there is to say of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import streamlit as st
from pydantic import ValidationError

from planner.errors import Fault, InputFaults
from planner.job import Job
from planner.job.base import MINUTES_A_DAY
from planner.log import ActualDay, DayLog, Entry, Kind
from planner.log.wording import entry_text
from planner.plan import Plan
from planner.screens.keep import now
from planner.store import IssuedLine, Store, StoreRefused
from planner.store.recording import minute_now, minute_of_press, read_log, record

#: Key of the choice "how many minutes ago".
AGO_KEY = "log_ago"

#: Choices of "minutes ago" that one press reaches.
AGO_MIN = (0, 1, 2, 5, 10)

_SAID_KEY = "log_said"


@dataclass(frozen=True)
class LoggedDay:
    """The day at hand: the issued watchbill and its log."""

    store: Store
    line: IssuedLine
    job: Job
    plan: Plan
    by: str

    @property
    def log(self) -> DayLog:
        return read_log(self.store, self.job)

    @property
    def now_min(self) -> int:
        return minute_now(self.job, now())

    def actual(self) -> ActualDay:
        return ActualDay(self.job, self.plan, self.log)


@dataclass(frozen=True)
class Said:
    """What is shown after a press."""

    text: str
    bad: bool


def said() -> tuple[Said, ...]:
    """What the last press had to say; told once."""
    found: tuple[Said, ...] = st.session_state.pop(_SAID_KEY, ())
    return found


def say(*lines: Said) -> None:
    """Have something shown on the next drawing of the page."""
    st.session_state[_SAID_KEY] = lines


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


def press(day: LoggedDay, kind: Kind, corrects: int | None = None, **fields: Any) -> None:
    """Log one thing. What was stored, refused or flagged is said on the page."""
    pressed(day, kind, corrects, **fields)


def pressed(day: LoggedDay, kind: Kind, corrects: int | None = None, **fields: Any) -> bool:
    """`press`, and whether the entry is stored."""
    try:
        if "at_min" not in fields:
            fields["at_min"] = pressed_min(day, kind)
        entry = Entry(kind=kind, **fields)
        found = record(day.store, day.job, day.plan, entry, day.by, now=now(), corrects=corrects)
    except ValidationError as wrong:
        first = wrong.errors()[0]
        say(Said(f"{first['loc'][0] if first['loc'] else kind}: {first['msg']}. Nothing was stored.", True))
        return False
    except InputFaults as refused:
        say(*(Said(f.sentence, True) for f in refused.faults), Said("Nothing was stored.", True))
        return False
    except StoreRefused as refused:
        say(Said(str(refused), True))
        return False
    st.session_state[AGO_KEY] = 0
    stored = f"Logged: {entry_text(found.written.entry, day.job)}."
    say(Said(stored, False), *(Said(flag, True) for flag in found.flags))
    return True

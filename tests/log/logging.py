"""Short ways to write a day log in a test."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from planner.job import Job
from planner.log.day_log import ActualDay, DayLog, Entry, Kind, Written
from planner.plan import Plan

NOON = datetime(2026, 5, 12, 12, 0, tzinfo=UTC)


def log_of_day(*entries: Entry) -> DayLog:
    """A log with these entries, written in this order."""
    return DayLog(tuple(Written(n, e, NOON, "Cal") for n, e in enumerate(entries, start=1)))


def entry(kind: Kind, minute: int, dive: str | None = None, **more: Any) -> Entry:
    return Entry(kind=kind, at_min=minute, dive=dive, **more)


def dived(dive: str, leave: int, bottom: int | None, up: int | None, **more: Any) -> tuple[Entry, ...]:
    """The times of one dive as entries; ``more`` goes with leave surface."""
    out = [entry(Kind.LEAVE_SURFACE, leave, dive, **more)]
    if bottom is not None:
        out += [
            entry(Kind.REACH_BOTTOM, leave + 1, dive),
            entry(Kind.LEAVE_BOTTOM, bottom, dive),
        ]
    if up is not None:
        out.append(entry(Kind.REACH_SURFACE, up, dive))
    return tuple(out)


def day_of(job: Job, plan: Plan, *entries: Entry) -> ActualDay:
    return ActualDay(job, plan, log_of_day(*entries))

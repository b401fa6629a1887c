"""Issued days as hours: from the day's log where anything was logged, else from the issued plan."""

from __future__ import annotations

from datetime import date

from planner.hours import WorkedRecord, from_log, from_plan
from planner.log import DIVE_TIMES, ActualDay
from planner.store.recording import read_log
from planner.store.refusal import StoreRefused
from planner.store.store import Store


def worked_day(store: Store, name: str, day: date) -> WorkedRecord:
    """The hours of one issued watchbill, by its latest revision.

    Raises
    ------
    StoreRefused
        There is none, or it cannot be read as it was issued.
    """
    found = store.open_issued(name, day)
    log = read_log(store, found.job)
    if any(log.of_kind(kind) for kind in DIVE_TIMES):
        return from_log(ActualDay(found.job, found.plan, log))
    return from_plan(found.plan, found.job)


def worked_days(store: Store, name: str | None = None, day: date | None = None) -> tuple[WorkedRecord, ...]:
    """The hours of every issued day, or of those of a job or a date, earliest first.

    Raises
    ------
    StoreRefused
        None was issued for that job and date, or one cannot be read.
    """
    lines = [line for line in store.latest_issued() if name in (None, line.name) and day in (None, line.day)]
    if not lines:
        raise StoreRefused("No watchbill was issued for that job and day: issue one first.")
    return tuple(worked_day(store, line.name, line.day) for line in sorted(lines, key=lambda line: line.day))

"""A day in the store: its watchbill issued, its log written, its hours read."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from io import BytesIO
from typing import Any

from pydantic import ValidationError

from planner.errors import InputFaults
from planner.hours.worked import WorkedRecord, from_log, from_plan
from planner.job.job import Job
from planner.log.day_log import DIVE_TIMES, IN_ORDER, STOP_TIMES, ActualDay, DayLog, Entry, Kind, Written
from planner.log.judge import judge
from planner.log.replan import Replanned
from planner.plan.model import Plan
from planner.sheets.watchbill import write_watchbill
from planner.store.database import StoreRefused
from planner.store.records import IssuedLine, LogRow, NewRow
from planner.store.store import Store, signed


def issue_watchbill(
    store: Store,
    job: Job,
    plan: Plan,
    by: str,
    *,
    ticked: tuple[str, ...] = (),
    reason: str = "",
    **printed: Any,
) -> IssuedLine:
    """Print and freeze a plan as the next revision; its job is saved as a version, too.

    ``printed``: what `write_watchbill` takes besides: paper, sheets, where the job came from, the spread.

    Raises
    ------
    StoreRefused
        The plan breaks a rule, nobody signs, or somebody else issued in the meantime.
    """
    store.save_job(job, signed(by))
    return _issue(store, job, plan, by, printed, ticked=ticked, reason=reason)


def issue_replanned(
    store: Store, job: Job, found: Replanned, by: str, *, reason: str, **printed: Any
) -> IssuedLine:
    """Print and freeze a replanned day as the next revision; the earlier ones stay.

    ``printed``: what `write_watchbill` takes besides.

    Raises
    ------
    StoreRefused
        There is no rest, the whole day breaks a rule beyond what has happened, nobody signs, or somebody
        else issued in the meantime.
    """
    if found.rest is None:
        raise StoreRefused("There is no plan of the rest of the day to issue.")
    if found.breaches:
        raise StoreRefused(
            f"The rest of the day breaks a rule together with what has happened: "
            f"{found.breaches[0].sentence} It was not issued."
        )
    printed["opened_from"] = f"Replanned from the log of {job.site.first_day:%d %b %Y}."
    replan_of = found.rest_job, found.rest
    return _issue(store, job, found.whole, by, printed, reason=reason, replan_of=replan_of)


def _issue(
    store: Store, job: Job, plan: Plan, by: str, printed: Mapping[str, Any], **given: Any
) -> IssuedLine:
    """Print a plan with its card as the next revision, and freeze it; ``given``: what `Store.issue` takes."""
    signed(by)
    name = job.site.name
    revision, book, card = store.next_revision(name, job.site.first_day), BytesIO(), store.card(name)
    write_watchbill(plan, job, book, revision=str(revision), card=card, **printed)
    bill = book.getvalue()
    return store.issue(job, plan, by, card=card, printed=bill, revision=revision, **given)


def row_of(entry: Entry, by: str, *, corrects: int | None = None, token: str | None = None) -> NewRow:
    """The entry as the store takes it."""
    content = entry.model_dump_json(exclude_defaults=True)
    return NewRow(entry.kind.value, content, by, corrects, token)


def log_of(rows: Iterable[LogRow]) -> DayLog:
    """The log that the store's rows hold.

    Raises
    ------
    StoreRefused
        A row was written by a newer version and cannot be read here.
    """
    written = []
    for row in rows:
        try:
            entry = Entry.model_validate_json(row.content)
        except ValidationError as wrong:
            raise StoreRefused(
                f"Entry {row.number} of the log cannot be read by this version of the program. It is kept; "
                "open the log with the version that wrote it."
            ) from wrong
        written.append(Written(row.number, entry, row.written_at, row.written_by, row.corrects))
    return DayLog(tuple(written))


@dataclass(frozen=True)
class Recorded:
    """A stored entry, and what a person must know about it."""

    written: Written
    flags: tuple[str, ...]


def read_log(store: Store, job: Job) -> DayLog:
    """The log of a job's day as it stands in the store now."""
    return log_of(store.log(job.site.name, job.site.first_day))


def minute_now(job: Job, now: datetime | None = None) -> int:
    """Job minute of a moment; of this moment when none is given. Parts of a minute are dropped."""
    return job.clock.minute(now or datetime.now(UTC))


def minute_of_press(kind: Kind, job: Job, now: datetime | None = None) -> int:
    """Job minute to log for something that happens right now, rounded to the safe side.

    Leave surface is rounded down and every later time of a dive up, so that a bottom time is never too
    short; reach surface and out of the chamber up, so that a surface interval is never too long. A stop is
    reached late and left early, so that it is never too short, and so the five minutes to the chamber are
    never too long.
    """
    moment = now or datetime.now(UTC)
    minute = job.clock.minute(moment)
    whole = moment.second == 0 and moment.microsecond == 0
    later = kind in IN_ORDER and kind not in (Kind.LEAVE_SURFACE, Kind.REACH_BOTTOM, Kind.LEAVE_STOP)
    return minute if whole or not later else minute + 1


def record(
    store: Store,
    job: Job,
    plan: Plan,
    entry: Entry,
    by: str,
    *,
    now: datetime | None = None,
    corrects: int | None = None,
) -> Recorded:
    """Judge an entry and store it. Once this returns, the entry is on the disk.

    Raises
    ------
    InputFaults
        The entry cannot be true beside the log so far; nothing is stored.
    StoreRefused
        The store cannot take it; nothing is stored.
    """
    log = read_log(store, job)
    judged = judge(entry, job, plan, log, minute_now(job, now), corrects=corrects)
    if judged.faults:
        raise InputFaults(judged.faults)
    name, day = job.site.name, job.site.first_day
    new = row_of(entry, by, corrects=corrects, token=_token(entry, log, job, corrects))
    row = store.append(name, day, new)
    stored = log_of((row,)).written[0]
    flags, of = judged.flags, entry.thing if entry.dive is None else f"dive {entry.dive}"
    if stored.entry != entry or stored.written_by != " ".join(by.split()):
        flags = (
            f"{stored.written_by} logged {entry.kind} of {of} in the same moment "
            f"({job.clock.hhmm(stored.entry.at_min)}, entry {stored.number}); that entry stands.",
        )
    return Recorded(stored, flags)


def _token(entry: Entry, log: DayLog, job: Job, corrects: int | None) -> str | None:
    """Two who log the same at once (a time of a dive, a signature) make one entry of it: the first one."""
    if entry.kind not in (*IN_ORDER, Kind.HOLD_POINT) or corrects is not None:
        return None
    which = _which(entry)
    before = sum(1 for w in log.written if (w.entry.dive, _which(w.entry)) == (entry.dive, which))
    what = (str(entry.dive), which, str(before))
    own = "\n".join((job.site.name, job.site.first_day.isoformat(), *what))
    return hashlib.sha256(own.encode("utf-8")).hexdigest()[:60]


def _which(entry: Entry) -> str:
    """What tells entries of one dive apart: the kind, of a stop its depth, of a signature outfit and step."""
    if entry.kind is Kind.HOLD_POINT:
        return f"{entry.kind}\n{entry.thing}\n{entry.step}"
    return entry.kind + (str(entry.depth_fsw) if entry.kind in STOP_TIMES else "")


def logged_days(store: Store, name: str | None = None) -> tuple[ActualDay, ...]:
    """Every issued day, or those of a job, by its latest revision with what was logged, earliest first.

    Raises
    ------
    StoreRefused
        One cannot be read as it was issued.
    """
    lines = sorted(store.latest_issued(), key=lambda line: line.day)
    return tuple(logged_day(store, line.name, line.day) for line in lines if name in (None, line.name))


def logged_day(store: Store, name: str, day: date) -> ActualDay:
    """One issued day with what was logged of it; StoreRefused where there is none, and as `logged_days`."""
    found = store.open_issued(name, day)
    return ActualDay(found.job, found.plan, read_log(store, found.job))


def worked(day: ActualDay) -> WorkedRecord:
    """The hours of an issued day: by its log, or as planned where no dive was logged."""
    if any(day.log.of_kind(kind) for kind in DIVE_TIMES):
        return from_log(day)
    return from_plan(day.plan, day.job)


def worked_days(store: Store, name: str | None = None) -> tuple[WorkedRecord, ...]:
    """The hours of every issued day, or of those of a job, earliest first.

    Raises
    ------
    StoreRefused
        None was issued for that job, or one cannot be read.
    """
    found = logged_days(store, name)
    if not found:
        raise StoreRefused("No watchbill was issued for that job and day: issue one first.")
    return tuple(map(worked, found))

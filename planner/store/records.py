"""What the store gives back: plain, frozen values."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime

from planner.job.job import Job
from planner.plan.model import Plan


@dataclass(frozen=True)
class SavedJob:
    """One version of a job. ``fresh`` is False when the latest version held the same already."""

    name: str
    version: int
    sha256: str
    saved_at: datetime
    saved_by: str
    note: str = ""
    fresh: bool = True


@dataclass(frozen=True)
class JobLine:
    """A job in the list of jobs: its name, its latest version, and how many watchbills of it were issued."""

    name: str
    versions: int
    saved_at: datetime
    saved_by: str
    issued: int = 0


@dataclass(frozen=True)
class IssuedLine:
    """An issued watchbill in the list of them. ``day`` is the first day of its job."""

    name: str
    day: date
    revision: int
    issued_at: datetime
    issued_by: str
    reason: str
    sha256: str


@dataclass(frozen=True)
class Issued:
    """An issued watchbill, whole: what it was made from, what the check said, what was ticked and printed."""

    line: IssuedLine
    job: Job
    plan: Plan
    job_json: str
    plan_json: str
    check_report: str
    ticked: tuple[str, ...]
    card: dict[str, str]
    printed: bytes
    """The workbook as it was printed; empty when none was given."""


@dataclass(frozen=True)
class NewRow:
    """A log entry to be stored.

    Parameters
    ----------
    kind
        What it is about.
    content
        JSON text of the entry itself.
    written_by
        Who writes it.
    corrects
        Number of the entry that it stands in for.
    token
        Anything that is the same when the same press of a button arrives twice; stored once.
    """

    kind: str
    content: str
    written_by: str
    corrects: int | None = None
    token: str | None = None


@dataclass(frozen=True)
class LogRow:
    """A stored log entry. ``number`` goes up in the order of writing and is never used again."""

    number: int
    kind: str
    content: str
    written_at: datetime
    written_by: str
    corrects: int | None = None
    token: str | None = field(default=None, compare=False)

"""What the store gives out, and a job as text that is the same on every machine."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import to_jsonable_python

from planner.errors import PlannerError
from planner.job.job import Job
from planner.plan.model import Plan
from planner.store.database import StoreRefused


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
    time_zone: str = "UTC"
    """The zone of its site, in the latest version."""


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

    @property
    def title(self) -> str:
        """``North Pier, Tue 03 Mar 2026, revision 2``."""
        return f"{self.name}, {self.day:%a %d %b %Y}, revision {self.revision}"


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
    """A log entry to be stored."""

    kind: str
    content: str
    """JSON text of the entry itself."""
    written_by: str
    corrects: int | None = None
    """Number of the entry that it stands in for."""
    token: str | None = None
    """Anything that is the same when the same press of a button arrives twice; stored once."""


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


def canonical_json(part: BaseModel) -> str:
    """A model as JSON: keys in order, sets sorted, no needless blanks, so that equal jobs give equal text."""
    return _text(part.model_dump())


def job_from_json(text: str) -> Job:
    """The job that `canonical_json` wrote.

    Raises
    ------
    StoreRefused
        The text is no job that this version can read, or its set of tables is not at hand.
    """
    try:
        job = Job.model_validate_json(text)
    except ValidationError as wrong:
        first = wrong.errors()[0]
        place = ".".join(str(step) for step in first["loc"]) or "job"
        raise StoreRefused(
            f"The stored job cannot be read by this version of the program: {place}: {first['msg']}. It is "
            "kept as it is; open it with the version that wrote it."
        ) from wrong
    try:
        job.site.tables  # noqa: B018 - asked for what it raises
    except PlannerError as missing:
        raise StoreRefused(
            f"The stored job is planned by the table set {job.site.table_set}, which cannot be used here: "
            f"{missing} Put the set in its place, then open the job."
        ) from missing
    return job


def sha256_of(**frozen: object) -> str:
    """SHA-256, in hex, of named values: of their JSON with the names in order."""
    return hashlib.sha256(_text(frozen).encode("utf-8")).hexdigest()


def _text(content: object) -> str:
    return json.dumps(
        content,
        default=_plain,
        ensure_ascii=False,
        sort_keys=True,
        separators=(",", ":"),
        allow_nan=False,
    )


def _plain(value: object) -> Any:
    """What JSON does not know as it does. A set has no order of its own, so it is sorted."""
    return sorted(value) if isinstance(value, frozenset) else to_jsonable_python(value)

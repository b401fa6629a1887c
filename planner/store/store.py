"""The store: jobs by version, issued watchbills that never change, day logs that only grow."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from dataclasses import asdict, fields
from datetime import UTC, date, datetime
from typing import Any, TypeVar

from sqlalchemy import Connection, Select, func, insert, select

from planner.check import RULES, check
from planner.check.record import read_back
from planner.job.job import Job
from planner.plan.model import Plan
from planner.plan.plan_json import from_json
from planner.plan.unchecked import unchecked
from planner.store import schema
from planner.store.database import Database, StoreRefused, default_url, url_of
from planner.store.records import (
    Issued,
    IssuedLine,
    JobLine,
    LogRow,
    NewRow,
    SavedJob,
    canonical_json,
    job_from_json,
    sha256_of,
)

Line = TypeVar("Line")

#: What stands in the list of versions, of issued watchbills and of log entries, without what is large.
_VERSIONS = select(
    schema.jobs.c.name,
    *(schema.job_versions.c[n] for n in ("version", "sha256", "saved_at", "saved_by", "note")),
).join_from(schema.job_versions, schema.jobs)
_ISSUED = select(
    schema.jobs.c.name,
    *(schema.issued.c[n] for n in ("day", "revision", "issued_at", "issued_by", "reason", "sha256")),
).join_from(schema.issued, schema.jobs)
_LOG = select(
    schema.log_entries.c.id.label("number"),
    *(schema.log_entries.c[n] for n in ("kind", "content", "written_at", "written_by", "corrects", "token")),
).join_from(schema.log_entries, schema.jobs)


def now_utc() -> datetime:
    """The time now, in UTC."""
    return datetime.now(UTC)


def signed(by: str) -> str:
    """A name to sign with. StoreRefused when it is blank or too long."""
    name = " ".join(by.split())
    if not name or len(name) > 60:
        raise StoreRefused("Say who you are: a name of 1 to 60 characters. Nothing was stored.")
    return name


class Store(AbstractContextManager["Store"]):
    """Jobs, issued watchbills and day logs in one database.

    Parameters
    ----------
    place
        A path or a database URL; None: this user's store.
    clock
        Says what time it is, in UTC; tests pass their own.

    Raises
    ------
    StoreRefused
        The database cannot be opened, is no store, or was written by a newer version.
    """

    def __init__(self, place: str | None = None, *, clock: Callable[[], datetime] = now_utc) -> None:
        self.url = default_url() if place is None else url_of(place)
        self._database = Database(self.url)
        self._clock = clock

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        self._database.close()

    def _now(self) -> datetime:
        return self._clock().astimezone(UTC)

    def _job_id(self, connection: Connection, name: str, *, make: bool = False) -> int:
        """The key of a job. StoreRefused when there is none and none is to be made."""
        query = select(schema.jobs.c.id).where(schema.jobs.c.name == name)
        found = connection.execute(query).scalar()
        if found is None and make and not self._database.sqlite:
            # PostgreSQL lets two writers in: the first one makes the row, the second waits and finds it
            connection.exec_driver_sql("LOCK TABLE jobs IN SHARE ROW EXCLUSIVE MODE")
            found = connection.execute(query).scalar()
        if found is not None:
            if not self._database.sqlite:
                # one writer at a time numbers the versions and revisions of a job (SQLite has one anyway)
                connection.execute(query.with_for_update())
            return int(found)
        if not make:
            raise StoreRefused(f"The store holds no job called {name}.")
        made = insert(schema.jobs).values(name=name, made_at=self._now()).returning(schema.jobs.c.id)
        return int(connection.execute(made).scalar_one())

    def _all(self, query: Select[Any], line: Callable[..., Line]) -> tuple[Line, ...]:
        """The rows of a query as lines of a list, whose fields its columns are."""
        with self._database.reading() as connection:
            return tuple(line(**row._mapping) for row in connection.execute(query))

    # ------------------------------------------------------------------ jobs

    def save_job(self, job: Job, by: str, *, note: str = "") -> SavedJob:
        """Keep a job as the next version under its site's name.

        The same job again makes no new version. Two who save at once get two versions; neither is lost.
        """
        content = canonical_json(job)
        digest, name, versions = sha256_of(job=content), job.site.name, schema.job_versions
        with self._database.writing() as connection:
            job_id = self._job_id(connection, name, make=True)
            own = _VERSIONS.where(versions.c.job_id == job_id).order_by(versions.c.version.desc())
            last = connection.execute(own.limit(1)).first()
            if last is not None and last.sha256 == digest:
                return SavedJob(**last._mapping, fresh=False)
            version = 1 if last is None else last.version + 1
            saved = SavedJob(name, version, digest, self._now(), signed(by), note)
            row = {
                field: getattr(saved, field)
                for field in ("version", "sha256", "saved_at", "saved_by", "note")
            }
            connection.execute(insert(versions).values(job_id=job_id, content=content, **row))
        return saved

    def jobs(self) -> tuple[JobLine, ...]:
        """All jobs that have a version, the latest saved first."""
        jobs, versions = schema.jobs, schema.job_versions
        newest = (
            select(versions.c.job_id, func.max(versions.c.version).label("versions"))
            .group_by(versions.c.job_id)
            .subquery()
        )
        issued = select(func.count()).where(schema.issued.c.job_id == jobs.c.id).correlate(jobs)
        query = (
            select(
                jobs.c.name,
                newest.c.versions,
                versions.c.saved_at,
                versions.c.saved_by,
                issued.scalar_subquery().label("issued"),
                versions.c.content,
            )
            .join(newest, newest.c.job_id == jobs.c.id)
            .join(
                versions,
                (versions.c.job_id == newest.c.job_id) & (versions.c.version == newest.c.versions),
            )
            .order_by(versions.c.saved_at.desc(), jobs.c.name)
        )

        def line(content: str, **known: Any) -> JobLine:
            return JobLine(**known, time_zone=json.loads(content)["site"]["time_zone"])

        return self._all(query, line)

    def versions(self, name: str) -> tuple[SavedJob, ...]:
        """All versions of a job, the first one first; none for a name that is not there.

        The jobs themselves are not read: a list of many versions stays quick.
        """
        own = _VERSIONS.where(schema.jobs.c.name == name)
        return self._all(own.order_by(schema.job_versions.c.version), SavedJob)

    def open_job(self, name: str, version: int | None = None) -> Job:
        """A version of a job, the latest unless one is named.

        Raises
        ------
        StoreRefused
            There is no such version, or it has been changed since it was saved.
        """
        query = (
            select(schema.job_versions)
            .join(schema.jobs)
            .where(schema.jobs.c.name == name)
            .order_by(schema.job_versions.c.version.desc())
            .limit(1)
        )
        if version is not None:
            query = query.where(schema.job_versions.c.version == version)
        with self._database.reading() as connection:
            row = connection.execute(query).first()
        if row is None:
            what = "no job" if version is None else f"no version {version} of a job"
            raise StoreRefused(f"The store holds {what} called {name}.")
        if sha256_of(job=row.content) != row.sha256:
            raise StoreRefused(f"Version {row.version} of {name} was changed after it was saved; not opened.")
        return job_from_json(row.content)

    # ------------------------------------------------------------------ issued watchbills

    def issue(
        self,
        job: Job,
        plan: Plan,
        by: str,
        *,
        ticked: tuple[str, ...] = (),
        card: Mapping[str, str] | None = None,
        printed: bytes = b"",
        reason: str = "",
        replan_of: tuple[Job, Plan] | None = None,
        revision: int | None = None,
    ) -> IssuedLine:
        """Freeze a watchbill as the next revision; the earlier ones stay.

        Parameters
        ----------
        by, ticked
            The person in charge who issues it, and the sentences that this person has ticked.
        card, printed
            The emergency card as it stands, and the workbook as it goes out, kept byte for byte.
        reason
            Why there is a new revision.
        replan_of
            For a plan of the rest of the day: the reduced job and its plan, which are what the check judges;
            ``job`` and ``plan`` then hold the whole day with what has happened.
        revision
            The revision that the sheets carry; refused when somebody else has issued that one meanwhile.

        Raises
        ------
        StoreRefused
            The check finds a breach, nobody signs, the revision is taken, or the database refused.
        """
        signer = signed(by)
        judged_job, judged_plan = replan_of or (job, plan)
        breaches = check(judged_job, judged_plan)
        if breaches:
            raise StoreRefused(
                f"The plan breaks a rule, so it is not issued: {breaches[0].sentence} "
                f"({len(breaches)} breach(es) in all.)"
            )
        report = check_report(judged_job, judged_plan)
        if replan_of is not None:
            report = f"Judged: the rest of the day, from what had happened.\n{report}"
        day, at = job.site.first_day, self._now()
        table = schema.issued
        with self._database.writing() as connection:
            job_id = self._job_id(connection, job.site.name, make=True)
            mine = (table.c.job_id == job_id) & (table.c.day == day)
            last = connection.execute(select(func.max(table.c.revision)).where(mine)).scalar()
            following = (last or 0) + 1
            if revision is not None and revision != following:
                raise StoreRefused(
                    f"Somebody else issued revision {last} in the meantime; nothing was issued. Look at it "
                    "first."
                )
            values: dict[str, Any] = {
                "day": day,
                "revision": following,
                "job_json": canonical_json(job),
                "plan_json": read_back(plan, job),
                "check_report": report,
                "ticked_json": json.dumps(list(ticked), ensure_ascii=False),
                "card_json": _card_json(card or {}),
                "reason": reason,
                "issued_at": at,
                "issued_by": signer,
            }
            digest = _digest(values, printed)
            connection.execute(insert(table).values(**values, job_id=job_id, printed=printed, sha256=digest))
        return IssuedLine(job.site.name, day, following, at, signer, reason, digest)

    def issued(self, name: str, day: date | None = None) -> tuple[IssuedLine, ...]:
        """Issued watchbills of a job, of one first day or of all, the first revision first."""
        table = schema.issued
        query = _ISSUED.where(schema.jobs.c.name == name).order_by(table.c.day, table.c.revision)
        return self._all(query if day is None else query.where(table.c.day == day), IssuedLine)

    def next_revision(self, name: str, day: date) -> int:
        """The revision that the next issue of a job's day will be."""
        return max((line.revision for line in self.issued(name, day)), default=0) + 1

    def latest_issued(self) -> tuple[IssuedLine, ...]:
        """The latest revision of every job's day, the one issued last first."""
        newest: dict[tuple[str, date], IssuedLine] = {}
        for line in self._all(_ISSUED.order_by(schema.issued.c.id.desc()), IssuedLine):
            newest.setdefault((line.name, line.day), line)
        return tuple(newest.values())

    def open_issued(self, name: str, day: date, revision: int | None = None) -> Issued:
        """An issued watchbill, whole; the latest revision unless one is named.

        Raises
        ------
        StoreRefused
            There is none, or it is not as it was issued.
        """
        table = schema.issued
        query = (
            select(table, schema.jobs.c.name)
            .join(schema.jobs)
            .where((schema.jobs.c.name == name) & (table.c.day == day))
            .order_by(table.c.revision.desc())
            .limit(1)
        )
        if revision is not None:
            query = query.where(table.c.revision == revision)
        with self._database.reading() as connection:
            row = connection.execute(query).first()
        if row is None:
            what = "No watchbill" if revision is None else f"No revision {revision} of a watchbill"
            raise StoreRefused(f"{what} was issued for {name} on {day.isoformat()}.")
        if digest_of_row(row) != row.sha256:
            raise StoreRefused(
                f"Revision {row.revision} of {name}, {day.isoformat()}, was changed after it was issued: its "
                "hash does not agree. It is not opened; use the printed sheets."
            )
        job = job_from_json(row.job_json)
        return Issued(
            line=IssuedLine(**{field.name: getattr(row, field.name) for field in fields(IssuedLine)}),
            job=job,
            plan=from_json(row.plan_json, job),
            job_json=row.job_json,
            plan_json=row.plan_json,
            check_report=row.check_report,
            ticked=tuple(json.loads(row.ticked_json)),
            card=dict(json.loads(row.card_json)),
            printed=bytes(row.printed),
        )

    # ------------------------------------------------------------------ the emergency card

    def save_card(self, name: str, content: Mapping[str, str], by: str) -> None:
        """Keep a job's emergency card; the ones before it stay in the store."""
        signer = signed(by)
        with self._database.writing() as connection:
            job_id = self._job_id(connection, name, make=True)
            values = {"content": _card_json(content), "saved_at": self._now(), "saved_by": signer}
            connection.execute(insert(schema.cards).values(job_id=job_id, **values))

    def card(self, name: str) -> dict[str, str]:
        """A job's emergency card as last saved; empty when none was."""
        query = (
            select(schema.cards.c.content)
            .join(schema.jobs)
            .where(schema.jobs.c.name == name)
            .order_by(schema.cards.c.id.desc())
            .limit(1)
        )
        with self._database.reading() as connection:
            found = connection.execute(query).scalar()
        return {} if found is None else dict(json.loads(found))

    # ------------------------------------------------------------------ day logs

    def append(self, name: str, day: date, new: NewRow) -> LogRow:
        """Store one entry. Once this returns, the entry is on the disk.

        An entry whose token is stored already is not stored again: the stored one is given back.

        Raises
        ------
        StoreRefused
            There is no such job; it corrects an entry that is none of this log or is corrected already; or
            the database refused.
        """
        by, at = signed(new.written_by), self._now()
        table = schema.log_entries
        with self._database.writing() as connection:
            job_id = self._job_id(connection, name)
            if new.token is not None:
                again = connection.execute(_LOG.where(table.c.token == new.token)).first()
                if again is not None:
                    return LogRow(**again._mapping)
            if new.corrects is not None:
                mine = (table.c.job_id == job_id) & (table.c.day == day)
                if connection.execute(_LOG.where(mine & (table.c.id == new.corrects))).first() is None:
                    raise StoreRefused(f"There is no entry {new.corrects} in this log to correct.")
                by_whom = connection.execute(_LOG.where(table.c.corrects == new.corrects)).first()
                if by_whom is not None:
                    raise StoreRefused(
                        f"Entry {new.corrects} was corrected already by {by_whom.written_by} "
                        f"(entry {by_whom.number}). Look at that one, and correct it if it is wrong."
                    )
            row = {**asdict(new), "written_at": at, "written_by": by}
            added = insert(table).values(job_id=job_id, day=day, **row).returning(table.c.id)
            number = connection.execute(added).scalar_one()
        return LogRow(number=int(number), **row)

    def log(self, name: str, day: date) -> tuple[LogRow, ...]:
        """All entries of a job's day in the order of writing; none for a job that is not there."""
        own = _LOG.where((schema.jobs.c.name == name) & (schema.log_entries.c.day == day))
        return self._all(own.order_by(schema.log_entries.c.id), LogRow)

    # ------------------------------------------------------------------ the whole

    def faults(self) -> tuple[str, ...]:
        """What is wrong with the store itself, in sentences; empty when it is whole."""
        found: list[str] = []
        with self._database.reading() as connection:
            if self._database.sqlite:
                told = [row[0] for row in connection.exec_driver_sql("PRAGMA integrity_check")]
                found += [f"SQLite: {line}" for line in told if line != "ok"]
                broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
                found += [f"A row of {row[0]} points at nothing." for row in broken]
            for row in connection.execute(select(schema.job_versions)):
                if sha256_of(job=row.content) != row.sha256:
                    found.append(f"Version {row.version} of a job was changed after it was saved.")
            for row in connection.execute(select(schema.issued)):
                if digest_of_row(row) != row.sha256:
                    found.append(f"Revision {row.revision} of {row.day} was changed after it was issued.")
        return tuple(found)


def check_report(job: Job, plan: Plan) -> str:
    """What the independent check says, for the record: breaches, or that all rules hold, and what is left."""
    breaches = check(job, plan)
    lines = [f"{len(breaches)} breach(es) of {len(RULES)} rules."]
    lines += [str(breach) for breach in breaches]
    lines += ["Not checked, for a person to tick:", *(f"- {line}" for line in unchecked(job, plan))]
    return "\n".join(lines) + "\n"


#: Columns of an issued watchbill of which its hash is not made as they stand.
_NOT_HASHED = frozenset({"id", "job_id", "printed", "sha256"})


def _digest(values: Mapping[str, Any], printed: bytes) -> str:
    times = {name: part.isoformat() for name, part in values.items() if isinstance(part, date)}
    return sha256_of(**{**values, **times}, printed=hashlib.sha256(printed).hexdigest())


def digest_of_row(row: Any) -> str:
    """The hash that a stored watchbill must have."""
    hashed = (column.name for column in schema.issued.c if column.name not in _NOT_HASHED)
    return _digest({name: getattr(row, name) for name in hashed}, bytes(row.printed))


def _card_json(card: Mapping[str, str]) -> str:
    return json.dumps(dict(card), ensure_ascii=False, sort_keys=True)

"""The store as the rest of the program uses it."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import func, insert, select

from planner.job.job import Job
from planner.store import schema
from planner.store.base import signed
from planner.store.canonical import canonical_json, job_from_json, sha256_of
from planner.store.day_log import DayLogRows
from planner.store.issues import IssuedWatchbills, digest_of_row
from planner.store.records import JobLine, SavedJob
from planner.store.refusal import StoreRefused


class Store(DayLogRows, IssuedWatchbills):
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

    # ------------------------------------------------------------------ jobs

    def save_job(self, job: Job, by: str, *, note: str = "") -> SavedJob:
        """Keep a job as the next version under its site's name.

        The same job again makes no new version. Two who save at once get two versions; neither is lost.
        """
        content = canonical_json(job)
        digest, name, at = sha256_of(job=content), job.site.name, self._now()
        with self._database.writing() as connection:
            job_id = self._job_id(connection, name, make=True)
            self._lock_job(connection, job_id)
            last = connection.execute(
                select(schema.job_versions)
                .where(schema.job_versions.c.job_id == job_id)
                .order_by(schema.job_versions.c.version.desc())
                .limit(1)
            ).first()
            if last is not None and last.sha256 == digest:
                when = datetime.fromisoformat(last.saved_at)
                return SavedJob(name, last.version, digest, when, last.saved_by, last.note, fresh=False)
            version = 1 if last is None else last.version + 1
            connection.execute(
                insert(schema.job_versions).values(
                    job_id=job_id,
                    version=version,
                    content=content,
                    sha256=digest,
                    saved_at=at.isoformat(),
                    saved_by=signed(by),
                    note=note,
                )
            )
        return SavedJob(name, version, digest, at, by, note)

    def jobs(self) -> tuple[JobLine, ...]:
        """All jobs that have a version, the latest saved first."""
        newest = (
            select(schema.job_versions.c.job_id, func.max(schema.job_versions.c.version).label("version"))
            .group_by(schema.job_versions.c.job_id)
            .subquery()
        )
        issued = (
            select(func.count())
            .where(schema.issued.c.job_id == schema.jobs.c.id)
            .correlate(schema.jobs)
            .scalar_subquery()
        )
        query = (
            select(
                schema.jobs.c.name,
                newest.c.version,
                schema.job_versions.c.saved_at,
                schema.job_versions.c.saved_by,
                issued.label("issued"),
            )
            .join(newest, newest.c.job_id == schema.jobs.c.id)
            .join(
                schema.job_versions,
                (schema.job_versions.c.job_id == newest.c.job_id)
                & (schema.job_versions.c.version == newest.c.version),
            )
            .order_by(schema.job_versions.c.saved_at.desc(), schema.jobs.c.name)
        )
        with self._database.reading() as connection:
            return tuple(
                JobLine(row.name, row.version, datetime.fromisoformat(row.saved_at), row.saved_by, row.issued)
                for row in connection.execute(query)
            )

    def versions(self, name: str) -> tuple[SavedJob, ...]:
        """All versions of a job, the first one first; none for a name that is not there.

        The jobs themselves are not read: a list of many versions stays quick.
        """
        row_of = schema.job_versions.c
        query = (
            select(row_of.version, row_of.sha256, row_of.saved_at, row_of.saved_by, row_of.note)
            .join(schema.jobs)
            .where(schema.jobs.c.name == name)
            .order_by(schema.job_versions.c.version)
        )
        with self._database.reading() as connection:
            return tuple(
                SavedJob(
                    name,
                    row.version,
                    row.sha256,
                    datetime.fromisoformat(row.saved_at),
                    row.saved_by,
                    row.note,
                )
                for row in connection.execute(query)
            )

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

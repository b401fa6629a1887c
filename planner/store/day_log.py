"""The rows of the day log: written once, read for ever, corrected only by further rows."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import insert, select

from planner.store import schema
from planner.store.base import OpenStore, signed
from planner.store.records import LogRow, NewRow
from planner.store.refusal import StoreRefused


class DayLogRows(OpenStore):
    """Day logs, one for each job and first day."""

    def append(self, name: str, day: date, new: NewRow) -> LogRow:
        """Store one entry. Once this returns, the entry is on the disk.

        An entry whose token is stored already is not stored again: the stored one is given back.

        Parameters
        ----------
        name, day
            The job and its first day.
        new
            The entry.

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
            self._lock_job(connection, job_id)
            if new.token is not None:
                again = connection.execute(select(table).where(table.c.token == new.token)).first()
                if again is not None:
                    return _row(again)
            if new.corrects is not None:
                mine = (table.c.job_id == job_id) & (table.c.day == day.isoformat())
                old = connection.execute(
                    select(table.c.id).where(mine & (table.c.id == new.corrects))
                ).first()
                if old is None:
                    raise StoreRefused(f"There is no entry {new.corrects} in this log to correct.")
                by_whom = connection.execute(select(table).where(table.c.corrects == new.corrects)).first()
                if by_whom is not None:
                    raise StoreRefused(
                        f"Entry {new.corrects} was corrected already by {by_whom.written_by} "
                        f"(entry {by_whom.id}). Look at that one, and correct it if it is wrong."
                    )
            number = connection.execute(
                insert(table)
                .values(
                    job_id=job_id,
                    day=day.isoformat(),
                    kind=new.kind,
                    content=new.content,
                    written_at=at.isoformat(),
                    written_by=by,
                    corrects=new.corrects,
                    token=new.token,
                )
                .returning(table.c.id)
            ).scalar_one()
        return LogRow(int(number), new.kind, new.content, at, by, new.corrects, new.token)

    def log(self, name: str, day: date) -> tuple[LogRow, ...]:
        """All entries of a job's day in the order of writing; none for a job that is not there."""
        query = (
            select(schema.log_entries)
            .join(schema.jobs, schema.jobs.c.id == schema.log_entries.c.job_id)
            .where((schema.jobs.c.name == name) & (schema.log_entries.c.day == day.isoformat()))
            .order_by(schema.log_entries.c.id)
        )
        with self._database.reading() as connection:
            return tuple(_row(row) for row in connection.execute(query))


def _row(row: Any) -> LogRow:
    return LogRow(
        row.id,
        row.kind,
        row.content,
        datetime.fromisoformat(row.written_at),
        row.written_by,
        row.corrects,
        row.token,
    )

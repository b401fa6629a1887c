"""What the parts of the store share: the open database, the clock, the row of a job."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from types import TracebackType
from typing import Self

from sqlalchemy import Connection, insert, select

from planner.store import schema
from planner.store.database import Database
from planner.store.place import default_url, url_of
from planner.store.refusal import StoreRefused


def now_utc() -> datetime:
    """The time now, in UTC."""
    return datetime.now(UTC)


def signed(by: str) -> str:
    """A name to sign with. StoreRefused when it is blank or too long."""
    name = " ".join(by.split())
    if not name or len(name) > 60:
        raise StoreRefused("Say who you are: a name of 1 to 60 characters. Nothing was stored.")
    return name


class OpenStore:
    """An open database with a clock.

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

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
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
            return int(found)
        if not make:
            raise StoreRefused(f"The store holds no job called {name}.")
        made = connection.execute(
            insert(schema.jobs).values(name=name, made_at=self._now().isoformat()).returning(schema.jobs.c.id)
        )
        return int(made.scalar_one())

    def _lock_job(self, connection: Connection, job_id: int) -> None:
        """Let one writer at a time number the versions and revisions of a job (SQLite has one anyway)."""
        if not self._database.sqlite:
            connection.execute(select(schema.jobs.c.id).where(schema.jobs.c.id == job_id).with_for_update())

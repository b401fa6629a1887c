"""The database: where it is, how it is opened and brought up to date, transactions, and what it refuses."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, Engine, create_engine, event, inspect
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, SQLAlchemyError

from planner.errors import PlannerError
from planner.files import data_folder


class StoreRefused(PlannerError):
    """The store cannot do it; the text says why and what to do. What was stored before is untouched."""


#: What a database says (in lower case, any of these), and what that means for a user.
_MEANINGS: tuple[tuple[tuple[str, ...], str], ...] = (
    (
        ("full", "no space left"),
        "There is no room left on the disk of the store. This entry is not stored; everything stored before "
        "is. Make room, then enter it again.",
    ),
    (
        ("readonly", "read-only"),
        "The store may only be read: its file, its folder or its disk is write-protected. Nothing was "
        "stored. Allow writing, or name another place with "
        "--db or the variable PLANNER_DB.",
    ),
    (
        ("only grows",),
        "What has been logged, issued or saved is never changed or removed: enter a correction instead.",
    ),
    (
        ("not a database",),
        "That file is not a store of this program. It is left as it is; name another place with "
        "--db or the variable PLANNER_DB.",
    ),
    (
        ("malformed",),
        "The store's file is damaged. Leave it as it is, take a copy of it, and go on with the last backup.",
    ),
    (
        ("locked",),
        "The store was busy for too long: another program holds it. Nothing was stored; try again.",
    ),
    (
        ("unable to open",),
        "The store cannot be opened: its folder is missing or may not be read. Name another "
        "place with --db or the variable PLANNER_DB.",
    ),
    (
        ("connection",),
        "The database does not answer. Nothing was stored; is it running, and is the address right?",
    ),
)


@contextmanager
def told() -> Iterator[None]:
    """Turn what a database says into `StoreRefused`."""
    try:
        yield
    except DBAPIError as wrong:
        said = str(wrong.orig).casefold()
        for marks, meaning in _MEANINGS:
            if any(mark in said for mark in marks):
                raise StoreRefused(meaning) from wrong
        first = str(wrong.orig).strip().splitlines()[0]
        raise StoreRefused(f"The database refused, nothing was stored: {first}.") from wrong
    except SQLAlchemyError as wrong:
        first = str(wrong).strip().splitlines()[0]
        raise StoreRefused(f"The store cannot be used: {first}.") from wrong


#: Environment variable that names the store where no ``--db`` can be given (the web app).
DB_VARIABLE = "PLANNER_DB"

FILE = "store.sqlite"


def default_url() -> str:
    """The store of this user: as the variable ``PLANNER_DB`` says, else the file in the data folder."""
    return url_of(os.environ.get(DB_VARIABLE) or str(data_folder() / FILE))


def url_of(place: str) -> str:
    """A place as typed, a path or a URL, as a database URL.

    Raises
    ------
    StoreRefused
        It is a URL that names no database this program can use.
    """
    if "://" not in place:
        return f"sqlite:///{Path(place).expanduser().absolute()}"
    try:
        url = make_url(place)
    except ArgumentError as wrong:
        raise StoreRefused(
            f"{place} is not a database URL such as sqlite:////folder/store.sqlite."
        ) from wrong
    kind = url.get_backend_name()
    if kind not in ("sqlite", "postgresql"):
        raise StoreRefused(f"The store can lie in SQLite or PostgreSQL; {kind} is neither.")
    if kind == "sqlite" and not url.database:
        raise StoreRefused("A store in memory would be gone with the program: name a file.")
    if url.drivername == "postgresql":
        url = url.set(drivername="postgresql+psycopg")
    return url.render_as_string(hide_password=False)


#: How long a writer waits for another one before it gives up.
WAIT_MS = 15_000

#: Key of the lock that keeps two programs from making the same tables at once (any number does).
_MAKING_TABLES = 741_903

_WRITES = "planner_writes"


class Database:
    """One database, open, by a URL of `url_of`. Safe to use from several threads.

    Raises
    ------
    StoreRefused
        It cannot be opened, is no store, or was written by a newer version.
    """

    def __init__(self, url: str) -> None:
        with told():
            self.engine: Engine = open_engine(url)
        try:
            self._bring_up_to_date()
        except StoreRefused:
            self.engine.dispose()
            raise

    def close(self) -> None:
        """Let go of every connection."""
        self.engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection that sees one state of the store."""
        with told(), self.engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection whose changes all stand once the block has ended, or none of them."""
        with told(), writing(self.engine) as connection:
            yield connection

    @property
    def sqlite(self) -> bool:
        return self.engine.dialect.name == "sqlite"

    def _bring_up_to_date(self) -> None:
        config = _alembic()
        known = ScriptDirectory.from_config(config)
        head = known.get_current_head()
        with self.reading() as connection:
            if self._version(connection, known) == head:
                return
        with self.writing() as connection:
            if not self.sqlite:
                connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_MAKING_TABLES})")
            # another program may have done it while this one waited
            if self._version(connection, known) != head:
                config.attributes["connection"] = connection
                command.upgrade(config, "head")

    def _version(self, connection: Connection, known: ScriptDirectory) -> str | None:
        """The store's version; None for an empty database."""
        found = MigrationContext.configure(connection).get_current_revision()
        if found is None:
            others = inspect(connection).get_table_names()
            if {"jobs", "job_versions", "issued"} <= set(others):
                raise StoreRefused(
                    "That store has lost its version, so nobody can tell how to read it. It is left as it "
                    "is: go on with the last backup, or name another place with --db or the variable "
                    "PLANNER_DB."
                )
            if others:
                raise StoreRefused(
                    "That database holds tables of another program "
                    f"({', '.join(sorted(others)[:3])}). It is left as it is; name another place "
                    "with --db or the variable PLANNER_DB."
                )
            return None
        if found not in {step.revision for step in known.walk_revisions()}:
            raise StoreRefused(
                f"The store was written by a newer version of this program (its version is {found}). It is "
                "left as it is: update the program, or name another place with --db or the "
                "variable PLANNER_DB."
            )
        return found


def _alembic() -> Config:
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    return config


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """A connection of an engine of `open_engine` whose changes all stand in the end, or none of them."""
    with engine.connect() as connection:
        connection = connection.execution_options(**{_WRITES: True})
        with connection.begin():
            yield connection


def open_engine(url: str, *, wait_ms: int = WAIT_MS) -> Engine:
    """An engine as this program uses it: SQLite with its write-ahead log, and writers that wait in line.

    A writer of SQLite waits ``wait_ms`` milliseconds for another one. StoreRefused when the folder for the
    file cannot be made.
    """
    parts = make_url(url)
    if parts.get_backend_name() != "sqlite":
        return create_engine(parts, pool_pre_ping=True)
    if parts.database and not parts.database.startswith("file:"):
        folder = Path(parts.database).parent
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as wrong:
            raise StoreRefused(
                f"The folder {folder} cannot be made: {wrong.strerror}. Name another place with --db or "
                "the variable PLANNER_DB."
            ) from wrong
    engine = create_engine(parts, connect_args={"timeout": wait_ms / 1000})
    event.listen(engine, "connect", _set_up_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _set_up_sqlite(connection: Any, _record: object) -> None:
    # the driver's own idea of when a transaction begins would leave changes of tables outside of it
    connection.isolation_level = None
    cursor = connection.cursor()
    cursor.execute("PRAGMA foreign_keys = ON")
    # what is acknowledged is on the disk, also when the power fails
    cursor.execute("PRAGMA synchronous = FULL")
    if cursor.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        cursor.execute("PRAGMA journal_mode = WAL")
    cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    # a writer takes its lock at the start: two that read first and write later would stop each other
    writes = connection.get_execution_options().get(_WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

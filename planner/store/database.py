"""Opens a database: engine, transactions, and the steps to the present version."""

from __future__ import annotations

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

from planner.store.refusal import StoreRefused, told

#: How long a writer waits for another one before it gives up.
WAIT_MS = 15_000

#: Key of the lock that keeps two programs from making the same tables at once (any number does).
_MAKING_TABLES = 741_903

_WRITES = "planner_writes"


class Database:
    """One database, open. Safe to use from several threads.

    Parameters
    ----------
    url
        A database URL as `planner.store.place.url_of` gives it.

    Raises
    ------
    StoreRefused
        It cannot be opened, is no store, or was written by a newer version.
    """

    def __init__(self, url: str) -> None:
        with told():
            self.engine: Engine = open_engine(url)
        try:
            with told():
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

    Parameters
    ----------
    url
        A database URL.
    wait_ms
        How long a writer waits for another one, milliseconds (SQLite).

    Raises
    ------
    StoreRefused
        The folder for the file cannot be made.
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

"""Desks at work, kept beside the store so that a server that is restarted finds them again.

They lie in a file of their own: a desk is written over with every edit and goes after a while, and what is in
the store only grows. The file is on the machine that runs the app, also where the store is a database that
others share, since whoever has a desk's token has the work. A token itself is never written, only its hash.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import Column, Connection, Engine, MetaData, Select, String, Table, Text, delete, func, select
from sqlalchemy.dialects.sqlite import insert
from sqlalchemy.engine import make_url

from planner.files import data_folder
from planner.store.database import StoreRefused, open_engine, told, writing
from planner.store.store import now_utc

#: How many desks are kept, and how long one that is left alone.
MOST_DESKS, MOST_DAYS = 100, 30

#: Longest record of one desk, characters; a job of a hundred people with twenty undo steps is a tenth of it.
MOST_CHARACTERS = 20_000_000

#: How long an edit waits for another program that holds the file, milliseconds.
WAIT_MS = 2_000

#: Form of the table; noted in the file as SQLite's `user_version`.
FORM = 2

_metadata = MetaData()

_desks = Table(
    "desks",
    _metadata,
    Column("key", String(64), primary_key=True),
    Column("content", Text, nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("kept_at", String(40), nullable=False, index=True),
)

#: What is large and seldom changes stands beside a desk's record, so that an edit does not write it again.
_parts = Table(
    "parts",
    _metadata,
    Column("key", String(64), primary_key=True),
    Column("name", String(40), primary_key=True),
    Column("content", Text, nullable=False),
    Column("sha256", String(64), nullable=False),
)


def desks_file(url: str) -> Path:
    """Where the desks of a store lie: beside its file, or in the user's data folder for a server."""
    parts = make_url(url)
    if parts.get_backend_name() == "sqlite" and parts.database and not parts.database.startswith("file:"):
        file = Path(parts.database)
        return file.with_name(f"{file.stem}.desks.sqlite")
    return data_folder() / "desks.sqlite"


class KeptDesks:
    """The records of desks, by token, in a SQLite file that is made when it is not there. Safe to use from
    several threads.

    Raises
    ------
    StoreRefused
        The file cannot be opened, is another program's, or was written by a newer version.
    """

    def __init__(self, file: Path, *, clock: Callable[[], datetime] = now_utc) -> None:
        self._clock = clock
        with told():
            self._engine: Engine = open_engine(f"sqlite:///{file}", wait_ms=WAIT_MS)
        try:
            with told():
                self._make_table()
        except StoreRefused:
            self._engine.dispose()
            raise

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()

    def put(self, token: str, content: str, parts: Mapping[str, str | None] | None = None) -> tuple[str, ...]:
        """Keep a desk's record in place of the one before. Once this returns, it is on the disk.

        Parameters
        ----------
        parts
            What stands beside the record, by name; None for one that stays as it was kept. Those that are not
            named are forgotten.

        Returns
        -------
        Names of parts that should have stayed and are not there: the desk had been cleared away meanwhile, or
        there never was one.

        Raises
        ------
        StoreRefused
            It could not be written (a full disk, a file that may only be read) or is too long.
        """
        parts = parts or {}
        _fits(content, *parts.values())
        key, now = _hash(token), self._clock().astimezone(UTC)
        values = {"content": content, "sha256": _hash(content), "kept_at": now.isoformat()}
        with told(), writing(self._engine) as connection:
            known = connection.execute(select(func.count()).where(_desks.c.key == key)).scalar_one()
            if not known:
                _make_room(connection, now, key)
            fresh = insert(_desks).values(key=key, **values)
            connection.execute(fresh.on_conflict_do_update(index_elements=[_desks.c.key], set_=values))
            gone = delete(_parts).where(_parts.c.key == key, _parts.c.name.not_in(list(parts)))
            connection.execute(gone)
            for name, text in parts.items():
                if text is not None:
                    _put_part(connection, key, name, text)
            there = set(connection.execute(select(_parts.c.name).where(_parts.c.key == key)).scalars())
        return tuple(name for name in parts if name not in there)

    def put_part(self, token: str, name: str, text: str) -> None:
        """Keep one part beside a desk's record and leave the record as it is; StoreRefused as for `put`."""
        _fits(text)
        with told(), writing(self._engine) as connection:
            _put_part(connection, _hash(token), name, text)

    def part(self, token: str, name: str) -> str | None:
        """What stands beside the record of that token under that name; None when nothing does.

        Raises
        ------
        StoreRefused
            It is damaged, or the file cannot be read.
        """
        asked = select(_parts).where(_parts.c.key == _hash(token), _parts.c.name == name)
        return self._whole(asked, "It is damaged.")

    def get(self, token: str) -> str | None:
        """The record of that token; None when none is kept.

        Raises
        ------
        StoreRefused
            The record is damaged, or the file cannot be read.
        """
        asked = select(_desks).where(_desks.c.key == _hash(token))
        return self._whole(asked, "What was kept of this work is damaged and cannot be used.")

    def _whole(self, asked: Select[Any], damaged: str) -> str | None:
        """The text of a row that is as it was written; None where there is no row."""
        with told(), self._engine.connect() as connection, connection.begin():
            row = connection.execute(asked).first()
        if row is None:
            return None
        if not isinstance(row.content, str) or _hash(row.content) != row.sha256:
            raise StoreRefused(damaged)
        return row.content

    def __len__(self) -> int:
        with told(), self._engine.connect() as connection, connection.begin():
            return int(connection.execute(select(func.count()).select_from(_desks)).scalar_one())

    def _make_table(self) -> None:
        with self._engine.connect() as connection, connection.begin():
            form = connection.exec_driver_sql("PRAGMA user_version").scalar_one()
            tables = connection.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'table'").all()
        if form == FORM:
            return
        if form > FORM:
            raise StoreRefused("The desks kept beside the store are of a newer version of this program.")
        if tables and not form:
            raise StoreRefused(
                "The file for desks beside the store is another program's; it is left as it is."
            )
        with writing(self._engine) as connection:
            # A file of the first form has desks and no parts.
            _metadata.create_all(connection, checkfirst=True)
            connection.exec_driver_sql(f"PRAGMA user_version = {FORM}")


def _fits(*texts: str | None) -> None:
    if any(len(text or "") > MOST_CHARACTERS for text in texts):
        raise StoreRefused("This work is too large to be kept over a restart of the server.")


def _put_part(connection: Connection, key: str, name: str, text: str) -> None:
    part = {"content": text, "sha256": _hash(text)}
    fresh = insert(_parts).values(key=key, name=name, **part)
    keys = [_parts.c.key, _parts.c.name]
    connection.execute(fresh.on_conflict_do_update(index_elements=keys, set_=part))


def _make_room(connection: Connection, now: datetime, key: str) -> None:
    """Clear away what was left alone too long, and what was left alone longest when there is too much.

    What was handed over for the desk that comes (``key``) stays.
    """
    old = (now - timedelta(days=MOST_DAYS)).isoformat()
    connection.execute(delete(_desks).where(_desks.c.kept_at < old))
    newest = select(_desks.c.key).order_by(_desks.c.kept_at.desc()).limit(MOST_DESKS - 1)
    connection.execute(delete(_desks).where(_desks.c.key.not_in(newest)))
    connection.execute(delete(_parts).where(_parts.c.key.not_in(select(_desks.c.key)), _parts.c.key != key))


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()

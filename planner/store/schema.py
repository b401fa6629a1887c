"""The tables of the store as the program uses them. The migrations make them; a test holds both together.

Times are ISO 8601 texts in UTC, so that both databases give back what was put in. Rows are never changed
or removed: triggers of the database refuse it, whoever asks.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import (
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)
from sqlalchemy.types import TypeDecorator

from planner.store.database import StoreRefused


class Iso(TypeDecorator[Any]):
    """A day or a moment, in the database its ISO 8601 text.

    Parameters
    ----------
    kind
        ``date`` or ``datetime``.
    """

    impl = String
    cache_ok = True

    def __init__(self, kind: type[date], length: int) -> None:
        super().__init__(length)
        self.kind = kind

    def process_bind_param(self, value: Any, dialect: object) -> str | None:
        return None if value is None else value.isoformat()

    def process_result_value(self, value: str | None, dialect: object) -> date | None:
        try:
            return None if value is None else self.kind.fromisoformat(value)
        except ValueError as wrong:
            raise StoreRefused(f"A time in the store was changed after it was written: {value}.") from wrong


NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}

metadata = MetaData(naming_convention=NAMING)


def _table(name: str, *columns: Column[Any] | UniqueConstraint | Index) -> Table:
    key: Column[Any] = Column("id", Integer, primary_key=True)
    return Table(name, metadata, key, *columns, sqlite_autoincrement=True)


def _text(name: str, length: int | None = None, *, unique: bool = False) -> Column[Any]:
    return Column(name, String(length) if length else Text(), nullable=False, unique=unique or None)


def _job() -> Column[Any]:
    return Column("job_id", ForeignKey("jobs.id"), nullable=False)


def _moment(name: str) -> Column[Any]:
    return Column(name, Iso(datetime, 40), nullable=False)


def _day() -> Column[Any]:
    return Column("day", Iso(date, 10), nullable=False)


def _number(name: str) -> Column[Any]:
    return Column(name, Integer, nullable=False)


jobs = _table("jobs", _text("name", 60, unique=True), _moment("made_at"))

job_versions = _table(
    "job_versions",
    _job(),
    _number("version"),
    _text("content"),
    _text("sha256", 64),
    _moment("saved_at"),
    _text("saved_by", 60),
    _text("note"),
    UniqueConstraint("job_id", "version"),
)

issued = _table(
    "issued",
    _job(),
    _day(),
    _number("revision"),
    _text("job_json"),
    _text("plan_json"),
    _text("check_report"),
    _text("ticked_json"),
    _text("card_json"),
    _text("reason"),
    Column("printed", LargeBinary, nullable=False),
    _text("sha256", 64),
    _moment("issued_at"),
    _text("issued_by", 60),
    UniqueConstraint("job_id", "day", "revision"),
)

log_entries = _table(
    "log_entries",
    _job(),
    _day(),
    _text("kind", 40),
    _text("content"),
    _moment("written_at"),
    _text("written_by", 60),
    Column("corrects", ForeignKey("log_entries.id"), nullable=True, unique=True),
    Column("token", String(60), nullable=True, unique=True),
    Index("ix_log_entries_job_day", "job_id", "day"),
)

cards = _table("cards", _job(), _text("content"), _moment("saved_at"), _text("saved_by", 60))

#: Tables whose rows stay as they were written.
ONLY_GROW = ("jobs", "job_versions", "issued", "log_entries", "cards")

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
from sqlalchemy.types import TypeDecorator, TypeEngine

from planner.store.database import StoreRefused


class Iso(TypeDecorator[Any]):
    """A day or a moment (``kind``: ``date`` or ``datetime``), in the database its ISO 8601 text."""

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


def _filled(name: str, kind: TypeEngine[Any] | type[TypeEngine[Any]]) -> Column[Any]:
    return Column(name, kind, nullable=False)


def _job() -> Column[Any]:
    return Column("job_id", ForeignKey("jobs.id"), nullable=False)


DAY, MOMENT, NAME, SHA256 = Iso(date, 10), Iso(datetime, 40), String(60), String(64)

jobs = _table("jobs", _filled("name", NAME), _filled("made_at", MOMENT), UniqueConstraint("name"))

job_versions = _table(
    "job_versions",
    _job(),
    _filled("version", Integer),
    _filled("content", Text),
    _filled("sha256", SHA256),
    _filled("saved_at", MOMENT),
    _filled("saved_by", NAME),
    _filled("note", Text),
    UniqueConstraint("job_id", "version"),
)

issued = _table(
    "issued",
    _job(),
    _filled("day", DAY),
    _filled("revision", Integer),
    _filled("job_json", Text),
    _filled("plan_json", Text),
    _filled("check_report", Text),
    _filled("ticked_json", Text),
    _filled("card_json", Text),
    _filled("reason", Text),
    _filled("printed", LargeBinary),
    _filled("sha256", SHA256),
    _filled("issued_at", MOMENT),
    _filled("issued_by", NAME),
    UniqueConstraint("job_id", "day", "revision"),
)

log_entries = _table(
    "log_entries",
    _job(),
    _filled("day", DAY),
    _filled("kind", String(40)),
    _filled("content", Text),
    _filled("written_at", MOMENT),
    _filled("written_by", NAME),
    Column("corrects", ForeignKey("log_entries.id"), nullable=True, unique=True),
    Column("token", String(60), nullable=True, unique=True),
    Index("ix_log_entries_job_day", "job_id", "day"),
)

cards = _table(
    "cards", _job(), _filled("content", Text), _filled("saved_at", MOMENT), _filled("saved_by", NAME)
)

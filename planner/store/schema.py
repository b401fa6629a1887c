"""The tables of the store as the program uses them. The migrations make them; a test holds both together.

Times are ISO 8601 texts in UTC, so that both databases give back what was put in. Rows are never changed
or removed: triggers of the database refuse it, whoever asks.
"""

from __future__ import annotations

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

NAMING = {
    "ix": "ix_%(table_name)s_%(column_0_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}

metadata = MetaData(naming_convention=NAMING)

jobs = Table(
    "jobs",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", String(60), nullable=False, unique=True),
    Column("made_at", String(40), nullable=False),
    sqlite_autoincrement=True,
)

job_versions = Table(
    "job_versions",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("job_id", ForeignKey("jobs.id"), nullable=False),
    Column("version", Integer, nullable=False),
    Column("content", Text, nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("saved_at", String(40), nullable=False),
    Column("saved_by", String(60), nullable=False),
    Column("note", Text, nullable=False),
    UniqueConstraint("job_id", "version"),
    sqlite_autoincrement=True,
)

issued = Table(
    "issued",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("job_id", ForeignKey("jobs.id"), nullable=False),
    Column("day", String(10), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("job_json", Text, nullable=False),
    Column("plan_json", Text, nullable=False),
    Column("check_report", Text, nullable=False),
    Column("ticked_json", Text, nullable=False),
    Column("card_json", Text, nullable=False),
    Column("reason", Text, nullable=False),
    Column("printed", LargeBinary, nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("issued_at", String(40), nullable=False),
    Column("issued_by", String(60), nullable=False),
    UniqueConstraint("job_id", "day", "revision"),
    sqlite_autoincrement=True,
)

log_entries = Table(
    "log_entries",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("job_id", ForeignKey("jobs.id"), nullable=False),
    Column("day", String(10), nullable=False),
    Column("kind", String(40), nullable=False),
    Column("content", Text, nullable=False),
    Column("written_at", String(40), nullable=False),
    Column("written_by", String(60), nullable=False),
    Column("corrects", ForeignKey("log_entries.id"), nullable=True, unique=True),
    Column("token", String(60), nullable=True, unique=True),
    Index("ix_log_entries_job_day", "job_id", "day"),
    sqlite_autoincrement=True,
)

cards = Table(
    "cards",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("job_id", ForeignKey("jobs.id"), nullable=False),
    Column("content", Text, nullable=False),
    Column("saved_at", String(40), nullable=False),
    Column("saved_by", String(60), nullable=False),
    sqlite_autoincrement=True,
)

#: Tables whose rows stay as they were written.
ONLY_GROW = ("jobs", "job_versions", "issued", "log_entries", "cards")

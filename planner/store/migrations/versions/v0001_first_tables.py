"""The first tables, and the triggers that let them only grow."""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op

revision: str = "0001"
down_revision: str | None = None
branch_labels: str | None = None
depends_on: str | None = None

TABLES = ("jobs", "job_versions", "issued", "log_entries", "cards")

REFUSAL = "this table only grows"


def _table(name: str, *columns: sa.Column[Any] | sa.UniqueConstraint) -> None:
    op.create_table(name, sa.Column("id", sa.Integer, primary_key=True), *columns, sqlite_autoincrement=True)


def _text(name: str, length: int | None = None) -> sa.Column[Any]:
    return sa.Column(name, sa.String(length) if length else sa.Text(), nullable=False)


def _job() -> sa.Column[Any]:
    return sa.Column("job_id", sa.Integer, sa.ForeignKey("jobs.id"), nullable=False)


def upgrade() -> None:
    """Make the tables and the triggers."""
    _table("jobs", _text("name", 60), _text("made_at", 40), sa.UniqueConstraint("name", name="uq_jobs_name"))
    _table(
        "job_versions",
        _job(),
        sa.Column("version", sa.Integer, nullable=False),
        _text("content"),
        _text("sha256", 64),
        _text("saved_at", 40),
        _text("saved_by", 60),
        _text("note"),
        sa.UniqueConstraint("job_id", "version", name="uq_job_versions_job_id_version"),
    )
    _table(
        "issued",
        _job(),
        _text("day", 10),
        sa.Column("revision", sa.Integer, nullable=False),
        *(
            _text(name)
            for name in ("job_json", "plan_json", "check_report", "ticked_json", "card_json", "reason")
        ),
        sa.Column("printed", sa.LargeBinary, nullable=False),
        _text("sha256", 64),
        _text("issued_at", 40),
        _text("issued_by", 60),
        sa.UniqueConstraint("job_id", "day", "revision", name="uq_issued_job_id_day_revision"),
    )
    _table(
        "log_entries",
        _job(),
        _text("day", 10),
        _text("kind", 40),
        _text("content"),
        _text("written_at", 40),
        _text("written_by", 60),
        sa.Column("corrects", sa.Integer, sa.ForeignKey("log_entries.id"), nullable=True),
        sa.Column("token", sa.String(60), nullable=True),
        sa.UniqueConstraint("corrects", name="uq_log_entries_corrects"),
        sa.UniqueConstraint("token", name="uq_log_entries_token"),
    )
    op.create_index("ix_log_entries_job_day", "log_entries", ["job_id", "day"])
    _table("cards", _job(), _text("content"), _text("saved_at", 40), _text("saved_by", 60))
    _let_them_only_grow()


def _let_them_only_grow() -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.execute(
            "CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '{REFUSAL}'; END $$"
        )
        for table in TABLES:
            op.execute(
                f"CREATE TRIGGER {table}_only_grows BEFORE UPDATE OR DELETE ON {table} "
                "FOR EACH ROW EXECUTE FUNCTION refuse_change()"
            )
            op.execute(
                f"CREATE TRIGGER {table}_stays BEFORE TRUNCATE ON {table} "
                "FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()"
            )
        return
    for table in TABLES:
        for change in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_no_{change.lower()} BEFORE {change} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
            )


def downgrade() -> None:
    """There is nothing before the first version; a store is never taken back to nothing."""
    raise RuntimeError("A store is not taken back to before its first version.")

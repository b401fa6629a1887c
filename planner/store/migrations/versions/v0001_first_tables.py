"""The first tables, and the triggers that let them only grow."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision: str = "0001"
down_revision: str | None = None
branch_labels: str | None = None
depends_on: str | None = None

TABLES = ("jobs", "job_versions", "issued", "log_entries", "cards")

REFUSAL = "this table only grows"


def upgrade() -> None:
    """Make the tables and the triggers."""
    op.create_table(
        "jobs",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.String(60), nullable=False),
        sa.Column("made_at", sa.String(40), nullable=False),
        sa.UniqueConstraint("name", name="uq_jobs_name"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "job_versions",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("job_id", sa.Integer, sa.ForeignKey("jobs.id"), nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("saved_at", sa.String(40), nullable=False),
        sa.Column("saved_by", sa.String(60), nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.UniqueConstraint("job_id", "version", name="uq_job_versions_job_id_version"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "issued",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("job_id", sa.Integer, sa.ForeignKey("jobs.id"), nullable=False),
        sa.Column("day", sa.String(10), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("job_json", sa.Text, nullable=False),
        sa.Column("plan_json", sa.Text, nullable=False),
        sa.Column("check_report", sa.Text, nullable=False),
        sa.Column("ticked_json", sa.Text, nullable=False),
        sa.Column("card_json", sa.Text, nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("printed", sa.LargeBinary, nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("issued_at", sa.String(40), nullable=False),
        sa.Column("issued_by", sa.String(60), nullable=False),
        sa.UniqueConstraint("job_id", "day", "revision", name="uq_issued_job_id_day_revision"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "log_entries",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("job_id", sa.Integer, sa.ForeignKey("jobs.id"), nullable=False),
        sa.Column("day", sa.String(10), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("written_at", sa.String(40), nullable=False),
        sa.Column("written_by", sa.String(60), nullable=False),
        sa.Column("corrects", sa.Integer, sa.ForeignKey("log_entries.id"), nullable=True),
        sa.Column("token", sa.String(60), nullable=True),
        sa.UniqueConstraint("corrects", name="uq_log_entries_corrects"),
        sa.UniqueConstraint("token", name="uq_log_entries_token"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_log_entries_job_day", "log_entries", ["job_id", "day"])
    op.create_table(
        "cards",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("job_id", sa.Integer, sa.ForeignKey("jobs.id"), nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("saved_at", sa.String(40), nullable=False),
        sa.Column("saved_by", sa.String(60), nullable=False),
        sqlite_autoincrement=True,
    )
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

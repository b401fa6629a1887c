"""Runs the steps on the connection that the store hands over, inside its transaction."""

from __future__ import annotations

from alembic import context

from planner.store.schema import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    # SQLite can take back changes of tables too; without this a step that fails would stay half done
    transactional_ddl=True,
)
context.run_migrations()

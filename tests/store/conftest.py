"""Every test of the store runs on SQLite, and on PostgreSQL when PLANNER_TEST_POSTGRES names a database."""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, make_url

POSTGRES = os.environ.get("PLANNER_TEST_POSTGRES", "")

KINDS = ("sqlite", "postgresql") if POSTGRES else ("sqlite",)


@pytest.fixture(params=KINDS)
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """An empty database: a new file, or a new schema of the PostgreSQL server."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'store.sqlite'}"
        return
    name = f"t_{uuid.uuid4().hex}"
    engine = create_engine(make_url(POSTGRES).set(drivername="postgresql+psycopg"))
    with engine.begin() as connection:
        connection.exec_driver_sql(f"CREATE SCHEMA {name}")
    url = make_url(POSTGRES).set(drivername="postgresql+psycopg")
    yield url.update_query_dict({"options": f"-csearch_path={name}"}).render_as_string(hide_password=False)
    with engine.begin() as connection:
        connection.exec_driver_sql(f"DROP SCHEMA {name} CASCADE")
    engine.dispose()

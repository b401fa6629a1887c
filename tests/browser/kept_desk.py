"""A desk with a planned job written down as the app keeps it, so that a page can be opened on it at once."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from unittest import mock

from app_server import running_app

from planner.job import Job
from planner.plan import Plan
from planner.screens.desk import Desk, ShownPlan
from planner.screens.desk_record import record_of
from planner.store.database import DB_VARIABLE, url_of
from planner.store.kept_desks import KeptDesks, desks_file

TOKEN = "a-desk-of-the-tests"


@contextmanager
def app_with_plan(folder: Path, job: Job, plan: Plan, *, script: str = "app.py") -> Iterator[tuple[str, str]]:
    """The app with a store of its own and that desk kept in it: its address, and what follows the page's in
    the address of the desk."""
    place = str(folder / "store.sqlite")
    desk = Desk(TOKEN, job, "made for the test")
    desk.shown = ShownPlan(plan, job, "", (), True, datetime.now(UTC))
    kept = KeptDesks(desks_file(url_of(place)))
    kept.put(TOKEN, record_of(desk), {})
    kept.close()
    with (
        mock.patch.dict(os.environ, {DB_VARIABLE: place}),
        running_app(folder / "app.log", script=script) as found,
    ):
        yield found, f"?desk={TOKEN}"

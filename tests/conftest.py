"""What all tests share: a store of their own."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest


@pytest.fixture(scope="session", autouse=True)
def store_of_the_tests(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """The variable that names the store points into a folder of this test run."""
    before = os.environ.get("PLANNER_DB")
    os.environ["PLANNER_DB"] = str(tmp_path_factory.mktemp("store") / "store.sqlite")
    yield
    if before is None:
        del os.environ["PLANNER_DB"]
    else:
        os.environ["PLANNER_DB"] = before

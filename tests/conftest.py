"""What all tests share: a store of their own, and one browser for all journeys."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from tests.browser.app_server import chromium_path, running_browser


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


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium. Without it the journeys are left out here and fail in CI."""
    if chromium_path() is None:
        reason = "Debian's chromium is not on this machine (apt install chromium)"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    with running_browser() as found:
        yield found

"""One app and one browser for all journeys; a fresh tab for each.

These are the only tests that import Playwright. Where it is not installed their files are left out of the
collection, and the first lines of the run say so; with ``CI=true`` that is an error.
"""

from __future__ import annotations

import importlib.util
import os
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PLAYWRIGHT = importlib.util.find_spec("playwright") is not None
if not PLAYWRIGHT and os.environ.get("CI"):
    raise pytest.UsageError("Playwright is not installed (pip install -e '.[test]')")

collect_ignore_glob = [] if PLAYWRIGHT else ["test_*.py"]


def pytest_report_header() -> str | None:
    """Say what is left out, and why."""
    return None if PLAYWRIGHT else "browser tests left out: Playwright is not installed"


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Debian's Chromium. Without it the journeys are left out here and fail in CI."""
    from app_server import chromium_path, running_browser

    if chromium_path() is None:
        reason = "Debian's chromium is not on this machine (apt install chromium)"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    with running_browser() as found:
        yield found


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where the app runs."""
    from app_server import running_app

    with running_app(tmp_path_factory.mktemp("app") / "app.log") as found:
        yield found


@pytest.fixture
def tab(browser: Browser) -> Iterator[Page]:
    """A fresh tab, 1280 pixels wide."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, accept_downloads=True)
    yield context.new_page()
    context.close()

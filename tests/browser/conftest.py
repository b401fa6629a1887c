"""One app and one browser for all journeys; a fresh tab for each."""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest
from app_server import chromium_path, running_app, running_browser
from playwright.sync_api import Browser, Page


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where the app runs."""
    with running_app(tmp_path_factory.mktemp("app") / "app.log") as found:
        yield found


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


@pytest.fixture
def tab(browser: Browser) -> Iterator[Page]:
    """A fresh tab, 1280 pixels wide."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, accept_downloads=True)
    yield context.new_page()
    context.close()

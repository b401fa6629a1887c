"""One app and one browser for all journeys; a fresh tab for each."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from app_server import running_app
from playwright.sync_api import Browser, Page


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Where the app runs."""
    with running_app(tmp_path_factory.mktemp("app") / "app.log") as found:
        yield found


@pytest.fixture
def tab(browser: Browser) -> Iterator[Page]:
    """A fresh tab, 1280 pixels wide."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, accept_downloads=True)
    yield context.new_page()
    context.close()

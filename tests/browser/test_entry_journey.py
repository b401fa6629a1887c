"""The app with a password, in a real browser."""

from __future__ import annotations

from pathlib import Path

import pytest
from app_server import WAIT_MS, running_app, wait_idle
from playwright.sync_api import Page, expect

from planner.password import hashed
from planner.screens.entry import FILE_VARIABLE

pytestmark = pytest.mark.browser

PASSWORD = "slack at half past nine"


def test_the_password_opens_the_page_that_was_asked_for(
    tab: Page, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A wrong one does not; the right one opens page and socket, and a reload asks no more."""
    file = tmp_path / "password"
    file.write_text(hashed(PASSWORD), "ascii")
    monkeypatch.setenv(FILE_VARIABLE, str(file))
    with running_app(tmp_path / "app.log", asked=401) as address:
        tab.goto(f"{address}/tables")
        for typed in ("slack at half past ten", PASSWORD):
            expect(tab.get_by_text("Planning aid only")).to_be_visible(timeout=WAIT_MS)
            tab.get_by_label("Password").fill(typed)
            tab.get_by_role("button", name="Open").click()
            if typed != PASSWORD:
                expect(tab.get_by_role("alert")).to_have_text("That is not the password.", timeout=WAIT_MS)
        expect(tab.locator("h1")).to_have_text("Tables", timeout=WAIT_MS)
        wait_idle(tab)
        tab.reload()
        expect(tab.locator("h1")).to_have_text("Tables", timeout=WAIT_MS)

"""Nothing typed is lost, in a real browser: quick presses after an upload, a bare address, Back."""

from __future__ import annotations

from pathlib import Path

import pytest
from app_server import WAIT_MS, go, open_sample, press, wait_idle
from playwright.sync_api import Browser, Page, expect

from tests.browser.take_pictures import _faulty_book

pytestmark = pytest.mark.browser


def test_a_bare_address_offers_what_this_browser_had_open(browser: Browser, address: str) -> None:
    """The second tab of a browser goes on with the desk of the first; another browser is offered nothing."""
    one = browser.new_context()
    first = one.new_page()
    open_sample(first, address, "small_heavy_dress")
    title = first.locator("h1").inner_text()
    expect(first.get_by_text("All that is typed is kept").first).to_be_attached(timeout=WAIT_MS)
    first.wait_for_function("localStorage.getItem('diving-planner-desk')", timeout=WAIT_MS)
    second = one.new_page()
    second.goto(address)
    expect(second.get_by_text(f"Go on with {title}")).to_be_visible(timeout=WAIT_MS)
    press(second.locator(".st-key-go_on button:visible"), second.locator(".st-key-job_book button:visible"))
    assert second.url == first.url
    one.close()
    other = browser.new_context()
    stranger = other.new_page()
    stranger.goto(address)
    wait_idle(stranger)
    expect(stranger.locator(".st-key-go_on")).to_have_count(0)
    other.close()


@pytest.mark.parametrize("after_ms", [0, 60, 200])
def test_mending_outlives_a_quick_press(tab: Page, address: str, tmp_path: Path, after_ms: int) -> None:
    """*Mend it here* pressed as soon as it is there: mending goes on, whatever the upload field reports."""
    tab.goto(address)
    tab.locator(".st-key-upload input[type=file]").set_input_files(_faulty_book(tmp_path))
    mend = tab.locator(".st-key-mend button:visible")
    expect(mend).to_be_visible(timeout=WAIT_MS)
    tab.wait_for_timeout(after_ms)
    mend.click()
    wait_idle(tab)
    expect(tab.locator(".st-key-mend_read button:visible")).to_be_visible(timeout=WAIT_MS)


@pytest.mark.parametrize("apart_ms", [0, 200])
def test_back_and_the_address_agree(tab: Page, address: str, apart_ms: int) -> None:
    """Through pages by links, Back and Forward in quick presses, loaded anew, by a typed address: the page on
    show is that of the address, the desk stays, and the way forward is not cut off."""
    open_sample(tab, address, "small_heavy_dress")
    desk = tab.url.partition("?")[2]

    def agree(page: str, title: str) -> None:
        expect(tab.locator("h1")).to_have_text(title, timeout=WAIT_MS)
        tab.wait_for_url(f"{address}/{page}?{desk}", timeout=WAIT_MS)
        current = tab.locator("[data-testid='stSidebarNavLink'][aria-current='page']")
        expect(current).to_contain_text(title, timeout=WAIT_MS)

    def quickly(*presses: str) -> None:
        for way in presses:
            tab.evaluate(f"history.{way}()")
            tab.wait_for_timeout(apart_ms)

    for title in ("People", "Work", "Site and water", "Tomorrow"):
        go(tab, title)
    quickly("back", "back", "back")
    agree("people", "People")
    quickly("forward", "forward")
    agree("site-and-water", "Site and water")
    quickly("back", "forward", "forward")
    agree("tomorrow", "Tomorrow")
    tab.reload()
    agree("tomorrow", "Tomorrow")
    tab.go_back()
    agree("site-and-water", "Site and water")
    if not apart_ms:
        tab.goto(f"{address}/work?{desk}")
        agree("work", "Work")
        tab.goto(address)
        expect(tab.locator(".st-key-go_on button:visible")).to_be_visible(timeout=WAIT_MS)
        tab.goto(f"{address}/tables")
        expect(tab.locator("h1")).to_have_text("Tables", timeout=WAIT_MS)


def test_back_from_a_fresh_bare_address_leads_away(tab: Page, address: str) -> None:
    """The first Back leads to where the browser was before; after another page the second one does."""
    before = f"{address}/_stcore/health"
    tab.goto(before)
    tab.goto(address)
    wait_idle(tab)
    tab.wait_for_url(f"{address}/?desk=*", timeout=WAIT_MS)
    # What listens for Back is there a moment after the page is drawn.
    tab.wait_for_function("window.heldPresses", timeout=WAIT_MS)
    tab.evaluate("history.back()")
    tab.wait_for_url(before, timeout=WAIT_MS)
    tab.goto(address)
    wait_idle(tab)
    tab.wait_for_url(f"{address}/?desk=*", timeout=WAIT_MS)
    tab.wait_for_function("window.heldPresses", timeout=WAIT_MS)
    first = tab.url
    go(tab, "Tables")
    tab.evaluate("history.back()")
    expect(tab.locator("h1")).to_have_text("One evening, one workbook, one watchbill", timeout=WAIT_MS)
    tab.wait_for_url(first, timeout=WAIT_MS)
    wait_idle(tab)
    tab.evaluate("history.back()")
    tab.wait_for_url(before, timeout=WAIT_MS)

"""An evening without a mouse: a job typed in, planned, looked at and issued by keys alone."""

from __future__ import annotations

import re

import pytest
from app_server import WAIT_MS, wait_idle
from new_job_texts import CREW, DIVES
from playwright.sync_api import Locator, Page, expect

pytestmark = pytest.mark.browser

#: Presses of Tab within which anything on a page is reached.
MANY = 150

_HAS_FOCUS = "all => all.some(e => e === document.activeElement || e.contains(document.activeElement))"


def _tab_to(page: Page, what: Locator) -> None:
    """Press Tab until the focus is on it; where the page ends, the focus comes round from its top."""
    expect(what.first).to_be_visible(timeout=WAIT_MS)
    for _ in range(MANY):
        if what.evaluate_all(_HAS_FOCUS):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"not reached by Tab: {what}; the focus is on {_focus(page)}")


def _focus(page: Page) -> str:
    return str(page.evaluate("document.activeElement?.outerHTML.slice(0, 300)"))


def _type(page: Page, what: Locator, text: str) -> None:
    _tab_to(page, what)
    page.keyboard.type(text)


def _press(page: Page, what: Locator, key: str = "Enter") -> None:
    wait_idle(page)
    _tab_to(page, what)
    page.keyboard.press(key)
    wait_idle(page)


def test_an_evening_by_keys_alone(tab: Page, address: str) -> None:
    """Tab, letters, arrows, Space and Enter: from a bare first page to an issued watchbill. Tab goes through
    each table, cell by cell, and out of it again."""
    tab.goto(address)
    wait_idle(tab)
    _press(tab, tab.get_by_role("link", name="New job, in three steps"))
    expect(tab.locator("h1")).to_have_text("New job", timeout=WAIT_MS)
    wait_idle(tab)
    _type(tab, tab.get_by_role("textbox", name="Job name"), "Quay by keys")
    _type(tab, tab.locator("[class*='st-key-new_place'] input"), "lisbon")
    tab.keyboard.press("Enter")
    wait_idle(tab)
    for field, text in (("new_crew", CREW), ("new_dives", DIVES)):
        _type(tab, tab.locator(f".st-key-{field} textarea"), text)
        _press(tab, tab.locator(f".st-key-new_add_{field} button:visible"))
    expect(tab.get_by_text(re.compile("Ready to plan: 7 people, 2 dive items"))).to_be_visible(
        timeout=WAIT_MS
    )
    _press(tab, tab.locator(".st-key-new_open button:visible"))
    expect(tab.locator("h1")).to_have_text("Tomorrow", timeout=WAIT_MS)
    _press(tab, tab.locator(".st-key-plan button:visible"))
    expect(tab.locator(".st-key-watchbill button:visible")).to_be_visible(timeout=200_000)
    expect(tab.locator(".wide .block").first).to_be_visible(timeout=WAIT_MS)
    _press(tab, tab.locator("[data-testid='stMain'] a", has_text="Issue"))
    expect(tab.locator("h1")).to_have_text("Issue", timeout=WAIT_MS)
    wait_idle(tab)
    _type(tab, tab.locator(".st-key-signs_issue input"), "Ana")
    tab.keyboard.press("Enter")
    wait_idle(tab)
    fields = tab.locator("[class*='st-key-card_'] input")
    for number in range(fields.count()):
        _type(tab, fields.nth(number), f"made up {number}, 000 {number}")
    _press(tab, tab.locator(".st-key-card_keep button:visible"))
    expect(tab.get_by_text("Missing: ")).to_have_count(0, timeout=WAIT_MS)
    wait_idle(tab)
    open_ticks = tab.locator("[class*='st-key-tick_'] input:not(:checked)")
    while (left := open_ticks.count()) > 0:
        _press(tab, open_ticks.first, "Space")
        expect(open_ticks).to_have_count(left - 1, timeout=WAIT_MS)
    _press(tab, tab.locator(".st-key-issue_now button:visible"))
    expect(tab.get_by_text(re.compile("Issued: revision 1, signed by Ana Reyes"))).to_be_visible(
        timeout=WAIT_MS
    )

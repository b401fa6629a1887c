"""A job of seven people and two dives, from a bare first page to a plan, in a real browser."""

from __future__ import annotations

import time

import pytest
from app_server import WAIT_MS, processor_s, wait_idle
from new_job_texts import CREW, DIVES
from playwright.sync_api import Locator, Page, expect

pytestmark = pytest.mark.browser

#: Presses that the way may take, each field entered counted as one.
FEW = 10


def test_from_a_bare_page_to_a_plan(tab: Page, address: str) -> None:
    """Name, place, seven people and two dives are typed in at 1280 pixels; the live line says what is missing
    until it is ready to plan, and a plan stands there after a handful of presses; both are printed."""
    tab.goto(address)
    wait_idle(tab)
    began, used, presses = time.monotonic(), processor_s(), 0

    def pressed(what: Locator) -> Locator:
        nonlocal presses
        presses += 1
        what.click(timeout=WAIT_MS)
        return what

    pressed(tab.get_by_role("link", name="New job, in three steps"))
    live = tab.locator(".verdict[role=status]")
    expect(live.filter(has_text="Not ready yet. Job name must be filled in.")).to_be_visible(timeout=WAIT_MS)
    wait_idle(tab)
    pressed(tab.get_by_role("textbox", name="Job name")).fill("Pier 4")
    pressed(tab.locator("[class*='st-key-new_place'] input"))
    tab.keyboard.type("lisbon")
    tab.keyboard.press("Enter")
    pressed(tab.locator(".st-key-new_crew textarea")).fill(CREW)
    pressed(tab.locator(".st-key-new_add_new_crew button:visible"))
    expect(live.filter(has_text="Not ready yet. The job has no work to plan.")).to_be_visible(timeout=WAIT_MS)
    pressed(tab.locator(".st-key-new_dives textarea")).fill(DIVES)
    pressed(tab.locator(".st-key-new_add_new_dives button:visible"))
    ready = live.filter(has_text="Ready to plan: 7 people, 2 dive items.")
    expect(ready).to_be_visible(timeout=WAIT_MS)
    pressed(tab.locator(".st-key-new_open button:visible"))
    expect(tab.locator("h1")).to_have_text("Tomorrow", timeout=WAIT_MS)
    pressed(tab.locator(".st-key-plan button:visible"))
    expect(tab.locator(".st-key-watchbill button:visible")).to_be_visible(timeout=90_000)
    used = processor_s() - used
    taken = time.monotonic() - began
    print(f"{presses} presses, {taken:.1f} s, {used:.1f} s of the server's processor")
    assert presses <= FEW


def test_a_town_that_is_not_on_the_list_chooses_no_other(tab: Page, address: str) -> None:
    """Hamburg has no zone of its own in the IANA database: its letters, scattered over "Harare, Zimbabwe",
    chose that one, and the day was planned by the sun of another hemisphere."""
    tab.goto(address)
    wait_idle(tab)
    tab.get_by_role("link", name="New job, in three steps").click(timeout=WAIT_MS)
    place = tab.locator("[class*='st-key-new_place'] input")
    place.click(timeout=WAIT_MS)
    tab.keyboard.type("hamb")
    expect(tab.get_by_text("No results")).to_be_visible(timeout=WAIT_MS)
    tab.keyboard.press("Enter")
    wait_idle(tab)
    expect(tab.get_by_text("Time zone Africa/Harare")).to_have_count(0)

"""A table of 1,000 cases in a real browser: sorted by a head, filtered, one case ticked and kept.

The cases are built (`app_with_a_thousand_cases.py`). The times are printed with the server's processor time
(`pytest -rP`).
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from unittest import mock

import pytest
from app_server import WAIT_MS, processor_s, running_app, wait_idle
from app_with_a_thousand_cases import DRAWS, TOKEN, cost_of, days_of
from playwright.sync_api import Browser, Page, expect

from planner.store.database import DB_VARIABLE

pytestmark = pytest.mark.browser

SCRIPT = "tests/browser/app_with_a_thousand_cases.py"

#: From the table's corner to the head of the column of costs, and to the tick of the first row, px.
COST_HEAD, FIRST_TICK = (390, 17), (18, 52)

#: Longest that any of it may take, seconds; a page is asked to change in 0.7 s on two idle cores.
LONGEST_S = 2.1


def _column(page: Page, heading: str) -> list[str]:
    """The first cells of a column, as the table tells them to a screen reader."""
    grid = page.locator(".st-key-cases canvas[data-testid='data-grid-canvas']").first
    at = grid.locator("[role=columnheader]", has_text=heading).first.get_attribute("aria-colindex")
    return grid.locator(f"[role=gridcell][aria-colindex='{at}']").all_inner_texts()


def test_a_thousand_cases_are_sorted_filtered_and_one_is_kept(browser: Browser, tmp_path: Path) -> None:
    """The head of the costs brings the cheapest case to the top, the tick there keeps that one and no other;
    words, chance and cost leave the cases that they name."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    store = {DB_VARIABLE: str(tmp_path / "store.sqlite")}
    with mock.patch.dict(os.environ, store), running_app(tmp_path / "app.log", script=SCRIPT) as address:

        def timed(what: str, act: Callable[[], object], shows: Callable[[], object]) -> None:
            used, began = processor_s(), time.perf_counter()
            act()
            shows()
            taken = time.perf_counter() - began
            wait_idle(page)
            used = processor_s() - used
            print(f"{what}: {taken:.2f} s, {used:.2f} s of the server's processor")
            assert taken <= LONGEST_S, what

        def press(at: tuple[int, int]) -> None:
            page.locator(".st-key-cases canvas").first.click(
                position={"x": at[0], "y": at[1]},
                force=True,  # what scrolls lies over it
            )

        def fill(field: str, value: str) -> None:
            page.locator(f".st-key-{field} input").fill(value)
            page.keyboard.press("Enter")

        def told(words: str) -> None:
            expect(page.get_by_text(words, exact=True)).to_be_visible(timeout=WAIT_MS)

        page.goto(f"{address}/what-if?desk={TOKEN}")
        expect(page.locator(".st-key-cases canvas").first).to_be_visible(timeout=WAIT_MS)
        wait_idle(page)
        assert _column(page, "case")[:3] == ["1", "2", "3"]
        top = page.locator("[data-testid='glide-cell-2-0']")
        timed("sort by cost", lambda: press(COST_HEAD), lambda: expect(top).to_have_text("1000"))
        costs = [float(cost) for cost in _column(page, "cost, USD")]
        assert costs[0] == 2000 and costs == sorted(costs)

        keep = page.locator(".st-key-keep_cases button:visible")
        timed("tick a case", lambda: press(FIRST_TICK), lambda: expect(keep).to_be_enabled())
        timed("keep it", keep.click, lambda: told("1 of 1000 cases."))
        assert _column(page, "case") == ["1000"]
        again = page.locator(".st-key-all_cases button:visible")
        timed("all again", again.click, lambda: expect(again).to_have_count(0))

        says = {number for number in range(1, 1001) if "99" in str(number)}
        cheap = {number for number in range(1, 1001) if cost_of(number) <= 2100}
        likely = {number for number in range(1, 1001) if days_of(number) >= 0.9 * DRAWS}
        for what, field, value, left in (
            ("filter by words", "says", "99", says),
            ("filter by cost", "most_cost", "2100", says & cheap),
            ("no words", "says", "", cheap),
            ("filter by chance", "least_chance", "90", cheap & likely),
        ):
            timed(what, partial(fill, field, value), partial(told, f"{len(left)} of 1000 cases."))
    page.close()

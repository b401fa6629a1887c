"""Every page judged by axe-core, the field's usual judge of what assistive technology can read."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator

import pytest
from app_server import ROOT, WAIT_MS, wait_idle
from axe_playwright_python.sync_playwright import Axe
from kept_desk import app_with_plan
from playwright.sync_api import Browser, Page, expect

from tests.browser.take_pictures import _faulty_book
from tests.world.sample_plans import planned

pytestmark = pytest.mark.browser

PAGES = [
    page["address"]
    for page in tomllib.loads((ROOT / "planner/screens/pages/pages.toml").read_text("utf-8"))["page"]
]

#: What axe-core calls serious and is left, by its rule: where it stands, and why it is left.
LEFT = {
    # Streamlit's own menu in groups: each group is a div between the list and its lines.
    "list": "[data-testid='stSidebarNav']",
    "listitem": "[data-testid='stSidebarNav']",
    # A figure that scrolls sideways on a phone. Chromium (since 130) and Firefox give the focus to what
    # scrolls and holds no field; a container of Streamlit takes no attribute that would say so to others.
    "scrollable-region-focusable": "[class*='st-key-wide_']",
}

#: The screens on which the pages are judged.
SCREENS = {"1280": (1280, 800), "390": (390, 844)}


@pytest.fixture(scope="module")
def planned_app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    """The app with the small sample open and planned."""
    with app_with_plan(tmp_path_factory.mktemp("access"), *planned("small heavy dress")) as found:
        yield found


@pytest.fixture(scope="module", params=SCREENS.values(), ids=SCREENS)
def screen(request: pytest.FixtureRequest, browser: Browser) -> Iterator[Page]:
    """A tab of each size."""
    width, height = request.param
    page = browser.new_page(viewport={"width": width, "height": height}, has_touch=width < 700)
    yield page
    page.close()


def _drawn(page: Page) -> None:
    wait_idle(page)
    expect(page.locator("[data-testid='stSkeleton']")).to_have_count(0, timeout=WAIT_MS)
    wait_idle(page)


_WITHIN = "([at, part]) => Boolean(document.querySelector(at)?.closest(part))"


def _judge(page: Page) -> None:
    found = []
    for broken in Axe().run(page).response["violations"]:
        if broken["impact"] in ("serious", "critical"):
            part = LEFT.get(broken["id"])
            for node in broken["nodes"]:
                # A place inside one of our own components is a list of several: never left.
                own = part is None or len(node["target"]) != 1
                if own or not page.evaluate(_WITHIN, [node["target"][0], part]):
                    found.append((broken["id"], node["html"][:200], node["failureSummary"]))
    assert found == []


@pytest.mark.parametrize("address", PAGES)
def test_no_page_has_a_serious_violation(screen: Page, planned_app: tuple[str, str], address: str) -> None:
    """With a planned job open, at 1280 and at 390 pixels: nothing serious or critical but `LEFT`."""
    app, desk = planned_app
    screen.goto(f"{app}/{address}{desk}")
    expect(screen.locator("h1")).to_be_visible(timeout=WAIT_MS)
    _drawn(screen)
    _judge(screen)


def test_nor_the_first_page_nor_a_workbook_that_is_mended(
    tab: Page, address: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Nothing is open; a faulty workbook is refused; its cells are mended: judged at each step."""
    tab.goto(address)
    expect(tab.locator("[class*='st-key-sample_'] button").first).to_be_visible(timeout=WAIT_MS)
    _drawn(tab)
    _judge(tab)
    book = _faulty_book(tmp_path_factory.mktemp("faulty"))
    tab.locator(".st-key-upload input[type=file]").set_input_files(book)
    mend = tab.locator(".st-key-mend button:visible")
    expect(mend).to_be_visible(timeout=WAIT_MS)
    _drawn(tab)
    _judge(tab)
    mend.click()
    expect(tab.locator(".st-key-mend_read button:visible")).to_be_visible(timeout=WAIT_MS)
    _drawn(tab)
    _judge(tab)


def test_names_are_read_out_without_markup(screen: Page, planned_app: tuple[str, str]) -> None:
    """No name that only a screen reader says holds the signs of Markdown: neither on the first page, whose
    field for a workbook has one, nor on the board."""
    app, desk = planned_app
    for address in ("", "table-sets", "site-and-water", "hours", "tomorrow"):
        screen.goto(f"{app}/{address}{desk}")
        _drawn(screen)
        names = screen.locator("[aria-label]").evaluate_all("all => all.map(e => e.ariaLabel)")
        assert names
        assert [name for name in names if "**" in name or ":material/" in name or "`" in name] == []

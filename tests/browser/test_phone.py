"""What a telephone 390 px wide shows: in order, nothing over something else, nothing wider than it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pytest
from app_server import WAIT_MS, wait_idle
from kept_desk import app_with_plan
from playwright.sync_api import Browser, Page, expect

from tests.world.sample_plans import planned

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def planned_app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    """The app with the small sample open and planned."""
    with app_with_plan(tmp_path_factory.mktemp("phone"), *planned("small heavy dress")) as found:
        yield found


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A tab on a telephone: touched, never hovered over."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    yield context.new_page()
    context.close()


def _open(phone: Page, planned_app: tuple[str, str], address: str) -> None:
    app, desk = planned_app
    phone.goto(f"{app}/{address}{desk}")
    expect(phone.locator("h1")).to_be_visible(timeout=WAIT_MS)
    wait_idle(phone)


def test_the_site_is_asked_in_its_order_one_field_under_the_other(
    phone: Page, planned_app: tuple[str, str]
) -> None:
    """Fields that stand side by side on a wide screen do not become two lists, and no hole is between."""
    _open(phone, planned_app, "site-and-water")
    fields = ["Job name", "First day", "Days", "Day starts", "Day ends", "Done by is early enough"]
    tops = []
    for name in fields:
        label = phone.locator("[data-testid='stMain'] label").get_by_text(name, exact=True)
        box = label.bounding_box()
        assert box is not None, name
        tops.append(box["y"])
    assert tops == sorted(tops)
    assert max(after - before for before, after in pairwise(tops)) < 100


#: Of each table's tools: the words and tables of others that they lie over, by more than 2 px.
_OVER = """all => all.flatMap(tools => {
  const own = tools.closest("[data-testid='stElementContainer']"), box = tools.getBoundingClientRect();
  return [...document.querySelectorAll("[data-testid='stMain'] :is(p, label, canvas)")]
    .filter(one => !own.contains(one) && one.checkVisibility())
    .map(one => [one.getBoundingClientRect(), one.innerText || one.className || one.tagName])
    .filter(([it]) => it.height && it.bottom > box.top + 2 && it.top < box.bottom - 2 && it.right > box.left)
    .map(([it, words]) => [words, it.top, it.bottom, box.top, box.bottom]);
})"""


@pytest.mark.parametrize("address", ["people", "hours", "table-sets", "crew-rules"])
def test_the_tools_of_a_table_lie_over_nothing(
    phone: Page, planned_app: tuple[str, str], address: str
) -> None:
    """They are always there where nothing hovers: they cover no words and no other table."""
    _open(phone, planned_app, address)
    tools = phone.locator("[data-testid='stMain'] [data-testid='stElementToolbar']:visible")
    expect(tools.first).to_be_visible(timeout=WAIT_MS)
    expect(phone.locator("[data-testid='stSkeleton']")).to_have_count(0, timeout=WAIT_MS)
    assert tools.evaluate_all(_OVER) == []


def test_what_is_chosen_in_the_list_of_the_day_is_changed_in_sight(
    phone: Page, planned_app: tuple[str, str]
) -> None:
    """A tap on the first line of the list opens its choices at the foot of the screen, not below the list."""
    _open(phone, planned_app, "tomorrow")
    line = phone.locator(".list button.line:visible").first
    line.tap(timeout=WAIT_MS)
    choices = phone.locator(".st-key-board_moved")
    expect(choices.locator("input").first).to_be_visible(timeout=WAIT_MS)
    wait_idle(phone)
    expect(choices.locator("input").first).to_be_in_viewport()
    wide = phone.evaluate("document.querySelector('[data-testid=stMain]').scrollWidth")
    assert wide <= 390

"""A day logged in a real browser, on a tablet and on a phone, with a store of its own."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from datetime import UTC, datetime, time
from pathlib import Path

import pytest
from app_server import WAIT_MS, running_app, wait_idle
from playwright.sync_api import Browser, Locator, Page, expect

from planner.job import Job
from planner.log.day_log import Kind
from planner.schedule import solve
from planner.store import Store
from planner.store.recording import issue_watchbill, read_log
from tests.samples.small_heavy_dress import plain_job as small_job

pytestmark = pytest.mark.browser


def _today() -> Job:
    """The small sample told for today, at any hour of the day."""
    job = small_job()
    site = job.site.replace(
        first_day=datetime.now(UTC).date(),
        time_zone="UTC",
        day_start=time(0, 0),
        day_end=time(23, 59),
        daylight_only=False,
    )
    people = tuple(p.replace(past_dives=(), past_work=(), last_duty_end_min=None) for p in job.people)
    return job.replace(site=site, people=people)


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store in which today's watchbill is issued."""
    path = tmp_path_factory.mktemp("journey") / "store.sqlite"
    job = _today()
    plan = solve(job, seconds=3.0, workers=2).plan
    assert plan is not None
    with Store(str(path)) as store:
        issue_watchbill(store, job, plan, "Inês Valadão")
    return path


@pytest.fixture(scope="module")
def address(kept: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The app on that store."""
    before = os.environ["PLANNER_DB"]
    os.environ["PLANNER_DB"] = str(kept)
    with running_app(tmp_path_factory.mktemp("journey-app") / "app.log") as found:
        yield found
    os.environ["PLANNER_DB"] = before


@pytest.fixture(scope="module")
def chromium(browser: Browser) -> Browser:
    """The one browser of the tests (Playwright runs once in a process)."""
    return browser


@pytest.fixture(autouse=True)
def closed(chromium: Browser) -> Iterator[None]:
    """Tabs are closed after each test: one left open goes on drawing, and slows those that follow."""
    yield
    for context in chromium.contexts:
        context.close()


def _thumb(page: Page) -> Locator:
    """The big button as it is seen now; while a page is drawn anew the old one hangs about, hidden."""
    return page.locator("[class*='st-key-thumb_'] button:visible").first


def _open(chromium: Browser, address: str, width: int, height: int) -> Page:
    page = chromium.new_context(viewport={"width": width, "height": height}, has_touch=True).new_page()
    page.goto(f"{address}/day-log")
    expect(page.locator("h1")).to_have_text("Day log", timeout=WAIT_MS)
    wait_idle(page)
    name = page.locator(".st-key-signs input")
    name.fill("Paloma Irureta")
    name.press("Enter")
    # Nothing can be pressed before the name is taken.
    expect(_thumb(page)).to_be_enabled(timeout=WAIT_MS)
    wait_idle(page)
    return page


def _big(page: Page, label: str) -> None:
    """Press the big button, which must read `label`, and wait until it is told as logged."""
    expect(_thumb(page)).to_contain_text(label, timeout=WAIT_MS)
    logged = page.get_by_text(re.compile(f"Logged: .*{label.lower()}"))
    yes = page.locator("[class*='st-key-press_yes'] button:visible")
    _thumb(page).tap()
    expect(logged.or_(yes).first).to_be_visible(timeout=WAIT_MS)
    if yes.count():
        # Within a minute of the event before: asked back, and the answer is dead for two seconds.
        page.wait_for_timeout(2500)
        yes.tap()
    expect(logged).to_be_visible(timeout=WAIT_MS)
    wait_idle(page)


def test_a_dive_from_surface_to_surface_with_one_thumb(chromium: Browser, address: str, kept: Path) -> None:
    """Four presses of one button on a phone, an undo, and what was pressed is in the store; no target of the
    thumb is under 44 px (common practice for touch), and nothing is wider than the phone."""
    page = _open(chromium, address, 390, 844)
    box = _thumb(page).bounding_box()
    assert box is not None
    assert box["height"] >= 60
    assert box["width"] >= 300
    _big(page, "Leave surface")
    # The clock runs on by itself: the server looks again after twenty seconds only.
    clock = page.locator(".figures .runs").first
    told = clock.inner_text()
    assert re.fullmatch(r"\d+:\d\d", told)
    expect(clock).not_to_have_text(told, timeout=6_000)
    for label in ("Reach bottom", "Leave bottom", "Reach surface"):
        _big(page, label)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.locator(".st-key-log_undo button:visible").tap()
    expect(page.get_by_text(re.compile("Logged: .*taken back"))).to_be_visible(timeout=WAIT_MS)
    with Store(str(kept)) as store:
        log = read_log(store, _today())
    assert [e.kind for e in log.entries] == [Kind.LEAVE_SURFACE, Kind.REACH_BOTTOM, Kind.LEAVE_BOTTOM]
    assert len(log.written) == 5
    assert {w.written_by for w in log.written} == {"Paloma Irureta"}


@pytest.mark.parametrize("apart_ms", [0, 60, 250])
def test_two_presses_of_a_glove_are_one_event(
    chromium: Browser, address: str, kept: Path, apart_ms: int
) -> None:
    """Two raw touches on the same spot log one event; the cards stand on the first screen of a phone with
    the button, and the bar that takes the event back lies at the foot for five seconds."""
    page = _open(chromium, address, 390, 844)
    with Store(str(kept)) as store:
        before = len(read_log(store, _today()).standing)
    spot = _thumb(page).bounding_box()
    assert spot is not None
    assert spot["y"] + spot["height"] <= 844
    page.wait_for_timeout(2500)
    x, y = spot["x"] + spot["width"] / 2, spot["y"] + spot["height"] / 2
    page.touchscreen.tap(x, y)
    page.wait_for_timeout(apart_ms)
    page.touchscreen.tap(x, y)
    expect(page.get_by_text(re.compile("Logged: |really")).first).to_be_visible(timeout=WAIT_MS)
    wait_idle(page)
    yes = page.locator("[class*='st-key-press_yes'] button:visible")
    if yes.count():
        # Both touches made one question.
        with Store(str(kept)) as store:
            assert len(read_log(store, _today()).standing) == before
        page.wait_for_timeout(2500)
        yes.tap()
    bar = page.locator("[class*='st-key-undo_bar_'] button:visible").last
    expect(bar).to_be_visible(timeout=WAIT_MS)
    with Store(str(kept)) as store:
        assert len(read_log(store, _today()).standing) == before + 1
    assert bar.evaluate("b => getComputedStyle(b).position") == "fixed"
    page.wait_for_timeout(5500)
    assert bar.evaluate("b => getComputedStyle(b).position") != "fixed"
    page.locator(".st-key-log_undo button:visible").tap()
    expect(page.get_by_text(re.compile("Logged: .*taken back"))).to_be_visible(timeout=WAIT_MS)


@pytest.mark.parametrize(("width", "height"), [(1280, 800), (390, 844)])
def test_the_card_stands_on_the_first_screen(
    chromium: Browser, address: str, width: int, height: int
) -> None:
    """Card, word and button are seen without scrolling, and nothing is wider than the screen."""
    page = _open(chromium, address, width, height)
    for what in (page.locator(".station .word").first, page.locator(".station .figures").first, _thumb(page)):
        box = what.bounding_box()
        assert box is not None
        assert box["y"] + box["height"] <= height
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_two_tablets_see_the_same_log(chromium: Browser, address: str) -> None:
    """What one logs the other sees; the rest of the day is replanned within its time and told."""
    one = _open(chromium, address, 1024, 768)
    other = _open(chromium, address, 1024, 768)
    label = _thumb(one).inner_text().splitlines()[-1]
    _big(one, label)
    line = f"{label.lower()}, dive"
    expect(one.locator("li", has_text=line)).not_to_have_count(0, timeout=WAIT_MS)
    lines = one.locator("li", has_text=line).count()
    other.reload()
    expect(other.locator("li", has_text=line)).to_have_count(lines, timeout=WAIT_MS)
    wait_idle(other)
    other.locator(".st-key-replan button:visible").tap()
    told = other.get_by_text(re.compile("Replanned from|could not be planned|breaks a rule"))
    expect(told.first).to_be_visible(timeout=WAIT_MS)

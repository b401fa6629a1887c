"""The board on the page Tomorrow in a real browser: by mouse, by keys, and on a phone as a list."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from app_server import (
    ROOT,
    WAIT_MS,
    go,
    open_page,
    open_sample,
    plan,
    press,
    running_app,
    set_limit,
    wait_drawn,
    wait_idle,
)
from kept_desk import app_with_plan
from playwright.sync_api import Browser, Error, FloatRect, Locator, Page, TimeoutError, expect

from planner.check import check
from planner.job import Job, Pin, PinKind
from planner.plan import Plan, from_json
from planner.workbook.job_reader import read_job
from tests.world import sample_plans

pytestmark = pytest.mark.browser

SAMPLE = "small_heavy_dress"
JOB = read_job(ROOT / "sample_jobs" / f"{SAMPLE}.xlsx")

#: Asked of two idle cores, and three times that on a machine at hand.
PAGE_CHANGE_S, EDIT_S, SLACK = 0.7, 0.4, 3.0


@pytest.fixture(scope="module")
def planned(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Page, Plan, str]]:
    """The small sample planned once; the page Tomorrow, its plan, its address."""
    folder = tmp_path_factory.mktemp("board")
    with running_app(folder / "app.log") as address:
        page = browser.new_page(viewport={"width": 1280, "height": 900}, accept_downloads=True)
        open_sample(page, address, SAMPLE)
        go(page, "Tomorrow")
        plan(page, 4)
        _finished(page)
        yield page, _plan(page, folder, JOB), page.url
        page.close()


def _finished(page: Page) -> None:
    expect(page.locator(".st-key-stop button:visible")).to_have_count(0, timeout=120_000)
    wait_idle(page)
    expect(page.locator(".st-key-watchbill button:visible")).to_be_visible(timeout=90_000)


def _plan(page: Page, folder: Path, job: Job) -> Plan:
    with page.expect_download(timeout=WAIT_MS) as waiting:
        page.locator(".st-key-plan_json button:visible").click()
    waiting.value.save_as(folder / "plan.json")
    return from_json((folder / "plan.json").read_text(encoding="utf-8"), job)


def _block(page: Page, moves: str, person: str) -> Locator:
    return page.locator(f".wide button.block[data-moves='{moves}'][aria-label^='{person}']").first


def _at_rest(page: Page, block: Locator) -> FloatRect:
    """Where a block is once it stands still: the board may be drawn anew after the page is."""
    was = None
    for _ in range(60):
        page.wait_for_timeout(250)
        with suppress(Error):
            block.scroll_into_view_if_needed(timeout=3000)
            box = block.bounding_box()
            if box is not None and box == was:
                return box
            was = box
    raise AssertionError("the block never stands still")


def _drag(page: Page, block: Locator, dx: float, dy: float = 0) -> float:
    """Drag a block so far; when it was let go."""
    box = _at_rest(page, block)
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + dx / 2, y + dy / 2, steps=3)
    page.mouse.move(x + dx, y + dy, steps=3)
    page.mouse.up()
    return time.perf_counter()


def _back(page: Page) -> None:
    """Take back whatever is moved, and close what is open."""
    for key in ("move_close", "move_back"):
        button = page.locator(f"[class*='st-key-{key}'] button:visible")
        wait_idle(page)
        while button.count():
            # It may be drawn anew just under the pointer, or be gone by then: looked for again.
            with suppress(TimeoutError):
                button.first.click(timeout=3000)
            wait_idle(page)


def test_the_chart_comes_first_and_says_dive_and_depth(planned: tuple[Page, Plan, str]) -> None:
    """It stands on the first screen with Print and Issue above it; a diver's block says dive and depth, the
    legend the letters of every duty; no word of the solver stands outside its one link."""
    page, day, _ = planned
    go(page, "People")
    start = time.perf_counter()
    open_page(page, "Tomorrow")
    expect(page.locator(".board .row").first).to_be_visible(timeout=WAIT_MS)
    wait_drawn(page)
    taken = time.perf_counter() - start
    print(f"page change to Tomorrow with its board: {taken:.2f} s (asked: {PAGE_CHANGE_S} s)")
    assert taken <= SLACK * PAGE_CHANGE_S
    wait_idle(page)
    top = page.locator(".board .row").first.bounding_box()
    assert top is not None and top["y"] < 450
    for shown in (page.get_by_role("button", name="Print"), page.get_by_role("link", name="Issue").last):
        box = shown.bounding_box()
        assert box is not None and box["y"] < top["y"]
    dive = max(day.dives, key=lambda d: d.bottom_time_min)
    block = _block(page, f"dive {dive.id}", dive.divers[0].person)
    expect(block).to_contain_text(f"D {dive.id} {dive.depth_fsw} fsw")
    legend = page.locator(".legend li").all_inner_texts()
    for duty in {s.duty for s in day.duties}:
        assert any(duty in sign and sign.strip() != duty for sign in legend), duty
    words = page.locator("[data-testid='stMain']").inner_text()
    assert not re.search(r"\b(gap|bound|incumbent|proven|workers)\b", words, re.IGNORECASE)


def test_a_block_is_dragged_and_what_follows_moves_along(planned: tuple[Page, Plan, str]) -> None:
    """The first dive later: every later dive moves by as much, and nothing is broken;
    without what follows it runs into the next and the rule is told once, with its number on the blocks."""
    page, day, _ = planned
    _back(page)
    first, *later = sorted(day.dives, key=lambda d: d.leave_surface_min)
    diver = first.divers[0].person
    start = _drag(page, _block(page, f"dive {first.id}", diver), 30)
    expect(page.get_by_text(re.compile("^The plan moved so"))).to_be_visible(timeout=WAIT_MS)
    taken = time.perf_counter() - start
    print(f"a block dragged and judged: {taken:.2f} s (asked: {EDIT_S} s)")
    assert taken <= SLACK * EDIT_S
    wait_idle(page)
    then = page.get_by_text(re.compile(rf"Dive {first.id} then leaves the surface \d\d:\d\d")).inner_text()
    hour, minute = map(int, re.findall(r"surface (\d\d):(\d\d)", then)[0])
    by = hour * 60 + minute - first.leave_surface_min
    assert by >= 5 and by % 5 == 0
    for dive in later:
        leaves = JOB.clock.hhmm(dive.leave_surface_min + by)
        label = _block(page, f"dive {dive.id}", dive.divers[0].person).get_attribute("aria-label")
        assert label is not None and f"leave surface {leaves}" in label
    _back(page)
    page.locator("[class*='st-key-move_along'] label").click()
    wait_idle(page)
    _drag(page, _block(page, f"dive {first.id}", diver), 200)
    expect(page.get_by_text(re.compile("^The plan moved so breaks"))).to_be_visible(timeout=WAIT_MS)
    wait_idle(page)
    rule = page.locator(".st-key-board_moved code").all_inner_texts()
    assert len(rule) == len(set(rule)) > 0
    assert page.locator(".wide .mark").count() > 0
    expect(page.locator("[class*='st-key-move_stands'] button:visible").first).to_be_disabled()
    page.locator("[class*='st-key-move_along'] label").click()
    wait_idle(page)
    _back(page)


def test_two_names_are_pressed_and_swap(planned: tuple[Page, Plan, str]) -> None:
    """First one name, then another: the two are in each other's posts, outlined, and it can be taken back."""
    page, day, _ = planned
    _back(page)
    one, other = sorted({d.person for dive in day.dives for d in dive.divers})[:2]
    page.locator(".wide button.name", has_text=one).click()
    expect(page.locator(".wide button.name[aria-pressed='true']")).to_have_text(one, timeout=WAIT_MS)
    wait_idle(page)
    page.locator(".wide button.name", has_text=other).click()
    expect(page.get_by_text(re.compile("^The plan moved so"))).to_be_visible(timeout=WAIT_MS)
    wait_idle(page)
    was = {s.person: {d.id for d in day.dives for x in d.divers if x.person == s.person} for s in day.duties}
    for dive in was[one]:
        expect(_block(page, f"dive {dive}", other)).to_have_class(re.compile("changed"))
    _back(page)
    expect(page.locator(".wide .changed")).to_have_count(0, timeout=WAIT_MS)


def test_a_dive_is_moved_by_the_keys_and_planned_round(
    planned: tuple[Page, Plan, str], tmp_path: Path
) -> None:
    """Two presses of an arrow key move the last dive by ten minutes with the focus kept, Enter opens its
    choices, and the new plan keeps the pin."""
    page, day, _ = planned
    _back(page)
    last = max(day.dives, key=lambda d: d.leave_surface_min)
    block = _block(page, f"dive {last.id}", last.divers[0].person)
    block.focus()
    for key in ("ArrowLeft", "ArrowRight", "ArrowRight", "ArrowRight"):
        page.keyboard.press(key)
    expect(page.get_by_text(re.compile(f"Dive {last.id} then leaves"))).to_be_visible(timeout=WAIT_MS)
    wait_idle(page)
    assert block.evaluate("b => b.getRootNode().activeElement === b")
    page.keyboard.press("Enter")
    field = page.locator("[class*='st-key-move_leave_'] input")
    expect(field).to_have_value(JOB.clock.hhmm(last.leave_surface_min + 10), timeout=WAIT_MS)
    wait_idle(page)
    set_limit(page, 15)
    press(
        page.locator("[class*='st-key-move_keep_'] button:visible"),
        page.locator(".st-key-stop button:visible"),
    )
    _finished(page)
    expect(page.get_by_text(re.compile("Rule check: clear"))).to_be_visible()
    pin = Pin(kind=PinKind.DIVES, item=last.item, start_min=last.leave_surface_min + 10)
    pinned = JOB.replace(pins=(*JOB.pins, pin))
    after = _plan(page, tmp_path, pinned)
    assert check(pinned, after) == ()
    assert pin.start_min in [d.leave_surface_min for d in after.dives if d.item == last.item]


def test_on_a_phone_each_persons_day_is_a_list(browser: Browser, planned: tuple[Page, Plan, str]) -> None:
    """At 390 pixels no board is drawn but each person's posts with times, duty, dive and depth; a line opens
    its choices, and nothing is wider than the screen."""
    page, day, address = planned
    _back(page)
    phone = browser.new_page(viewport={"width": 390, "height": 844}, has_touch=True)
    phone.goto(address)
    expect(phone.locator(".list .who").first).to_be_visible(timeout=WAIT_MS)
    expect(phone.locator(".wide").first).to_be_hidden()
    people = phone.locator(".list .who").all_inner_texts()
    assert people == [p.name for p in JOB.people]
    text = phone.locator(".list").inner_text()
    # planned round by the test before, its dives may stand in another order
    assert all(re.search(rf"dive D\d+, {re.escape(d.item)}, {d.depth_fsw} fsw", text) for d in day.dives)
    wait_idle(phone)
    line = phone.locator(".list .line", has_text="diver, dive").first
    line.tap()
    expect(phone.locator("[class*='st-key-move_bottom_'] input")).to_be_visible(timeout=WAIT_MS)
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    phone.close()


def test_no_name_is_cut(browser: Browser, tmp_path: Path) -> None:
    """The names of the tidal pier's sixteen, long ones and three scripts, are read whole at 1280 pixels."""
    with app_with_plan(tmp_path, *sample_plans.planned("tidal pier")) as (app, desk):
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto(f"{app}/tomorrow{desk}")
        names = page.locator(".wide .name")
        expect(names.first).to_be_visible(timeout=WAIT_MS)
        wait_idle(page)
        cut = names.evaluate_all(
            "all => all.filter(n => n.scrollWidth > n.clientWidth).map(n => n.innerText)"
        )
        assert (names.count(), cut) == (16, [])
        page.close()

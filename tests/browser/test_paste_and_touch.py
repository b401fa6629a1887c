"""Rows pasted from a spreadsheet, a zone picked or meant, a block dragged by a finger, in a real browser."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from app_server import ROOT, WAIT_MS, choose_cell, press, wait_idle
from kept_desk import app_with_plan
from playwright.sync_api import Browser, Locator, Page, expect

from planner import read_job
from planner.job import Job
from tests.world.sample_plans import planned

pytestmark = pytest.mark.browser

JOB, PLAN = planned("small heavy dress")

SAMPLE = ROOT / "sample_jobs" / "small_heavy_dress.xlsx"


@pytest.fixture
def opened(
    browser: Browser, tmp_path: Path, request: pytest.FixtureRequest
) -> Iterator[tuple[Page, str, str]]:
    """A tab on a desk with the small sample planned; the app's address, and the desk in it."""
    touch = getattr(request, "param", False)
    with app_with_plan(tmp_path, JOB, PLAN) as (address, desk):
        context = browser.new_context(
            viewport={"width": 1280, "height": 900}, accept_downloads=True, has_touch=touch
        )
        context.grant_permissions(["clipboard-read", "clipboard-write"], origin=address)
        yield context.new_page(), address, desk
        context.close()


def _grid(page: Page) -> Locator:
    return page.locator("[data-testid='stDataFrame'] canvas[data-testid='data-grid-canvas']").first


def _paste(page: Page, text: str, *, right: int = 0, row: int = 0, below: bool = False) -> None:
    """Paste at a cell of the table: of that row, so many right of its first one; or in the row below it."""
    chosen = choose_cell(page, row)
    at = int(chosen.get_attribute("aria-colindex") or 0)
    for step in range(right):
        page.keyboard.press("ArrowRight")
        expect(chosen).to_have_attribute("aria-colindex", str(at + step + 1), timeout=WAIT_MS)
    if below:
        page.keyboard.press("ArrowDown")
    page.evaluate("text => navigator.clipboard.writeText(text)", text)
    # A table that is drawn anew just then would lose what is pasted, as it would a person's: let it stand.
    wait_idle(page)
    page.keyboard.press("Control+V")


def _apply(page: Page, says: str) -> None:
    expect(page.get_by_text("Edited, not applied: People")).to_be_visible(timeout=WAIT_MS)
    wait_idle(page)
    # The browser hands over what is pasted when it likes, the first press may be before it.
    press(page.locator("[class*='st-key-apply_'] button:visible"), page.get_by_text(says))
    wait_idle(page)


def _job(page: Page, into: Path) -> Job:
    """The open job, by the workbook that the app gives away."""
    page.locator("[data-testid='stSidebarNavLink']", has_text="Job").first.click()
    button = page.locator(".st-key-job_book button:visible")
    expect(button).to_be_visible(timeout=WAIT_MS)
    wait_idle(page)
    with page.expect_download(timeout=WAIT_MS) as waiting:
        button.click()
    waiting.value.save_as(into / "out.xlsx")
    return read_job(into / "out.xlsx")


def test_rows_pasted_from_a_spreadsheet_become_people(opened: tuple[Page, str, str], tmp_path: Path) -> None:
    """Two rows of three cells go into the empty last line and a new one below it. A depth that cannot be is
    told beside its row; with that column shown, what is pasted at the name still begins at the name."""
    page, address, desk = opened
    page.goto(f"{address}/people{desk}")
    rows = "Ana Reyes\tdiver; tender\t60\nBo Lund\ttender\t9000"
    _paste(page, rows, row=len(JOB.people) - 1, below=True)
    _apply(page, "what was typed has things to put right")
    expect(_grid(page).locator("[role=columnheader]").first).to_have_text("To put right", timeout=WAIT_MS)
    # Right of the column that says what to put right, which takes nothing that is pasted.
    _paste(page, "Bo Lund\ttender; log keeper\t\n", right=1, row=len(JOB.people) + 1)
    _apply(page, "Nothing is edited.")
    new = _job(page, tmp_path).people[len(JOB.people) :]
    assert [(p.name, p.duties, p.depth_rating_fsw) for p in new] == [
        ("Ana Reyes", {"diver", "tender"}, 60),
        ("Bo Lund", {"tender", "log keeper"}, 0),
    ]


def test_a_zone_meant_and_cells_pasted_while_mending(opened: tuple[Page, str, str], tmp_path: Path) -> None:
    """*Europe/Lisbn* has a button that puts the zone in; rows pasted at the first column of the file begin
    there, though the faults stand left of it; read again, the job has all of it."""
    page, address, _ = opened
    book = openpyxl.load_workbook(SAMPLE)
    zone = next(c for row in book["Site"].iter_rows() for c in row if c.value == JOB.site.time_zone)
    zone.value = "Europe/Lisbn"
    book["Dive work"]["C6"] = 900
    book.save(tmp_path / "bad.xlsx")
    page.goto(address)
    wait_idle(page)
    page.locator(".st-key-upload input[type=file]").set_input_files(tmp_path / "bad.xlsx")
    press(page.locator(".st-key-mend button:visible"), page.locator(".st-key-mend_read button:visible"))
    wait_idle(page)
    page.get_by_role("radio", name=re.compile("^Site")).click()
    meant = page.locator("button:visible", has_text="Europe/Lisbon, not Europe/Lisbn")
    expect(meant).to_be_visible(timeout=WAIT_MS)
    wait_idle(page)
    meant.click()
    wait_idle(page)
    page.get_by_role("radio", name=re.compile("^Dive work")).click()
    heads = _grid(page).locator("[role=columnheader]")
    expect(heads.nth(2)).to_have_text("Item · A", timeout=WAIT_MS)
    expect(heads.nth(1)).to_have_text("To put right")
    names = [item.name for item in JOB.dive_items[:2]]
    _paste(page, f"{names[0]}\t1\t47\n{names[1]}\t2\t41", right=2)
    expect(page.get_by_text("Edited, not read again yet: Dive work, Site")).to_be_visible(timeout=WAIT_MS)
    wait_idle(page)
    press(
        page.locator(".st-key-mend_read button:visible"), page.get_by_text("bad.xlsx is put right and open.")
    )
    job = _job(page, tmp_path)
    assert job.site.time_zone == "Europe/Lisbon"
    assert [(item.name, item.depth_fsw) for item in job.dive_items[:2]] == [(names[0], 47), (names[1], 41)]


@pytest.mark.parametrize("opened", [True], indirect=True)
def test_a_block_is_dragged_by_a_finger(opened: tuple[Page, str, str]) -> None:
    """Put down on the first dive, drawn to the right, lifted: the dive leaves the surface later by whole
    steps of five minutes, and the page stays where it is."""
    page, address, desk = opened
    page.goto(f"{address}/tomorrow{desk}")
    first = min(PLAN.dives, key=lambda dive: dive.leave_surface_min)
    block = page.locator(
        f".wide button.block[data-moves='dive {first.id}'][aria-label^='{first.divers[0].person}']"
    ).first
    expect(block).to_be_visible(timeout=WAIT_MS)
    wait_idle(page)
    page.wait_for_timeout(500)
    box = block.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    finger = page.context.new_cdp_session(page)

    def touch(what: str, *at: dict[str, float]) -> None:
        finger.send("Input.dispatchTouchEvent", {"type": what, "touchPoints": list(at)})

    touch("touchStart", {"x": x, "y": y})
    for step in range(1, 7):
        touch("touchMove", {"x": x + 10 * step, "y": y})
    touch("touchEnd")
    then = page.get_by_text(re.compile(rf"Dive {first.id} then leaves the surface \d\d:\d\d"))
    expect(then).to_be_visible(timeout=WAIT_MS)
    [(hour, minute)] = re.findall(r"surface (\d\d):(\d\d)", then.inner_text())
    by = int(hour) * 60 + int(minute) - first.leave_surface_min
    assert by >= 5 and by % 5 == 0

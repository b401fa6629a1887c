"""Remakes the pictures of the app in `docs/pictures/`: ``python -m tests.browser.take_pictures``."""

from __future__ import annotations

import io
import os
import re
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, expect

from planner.log.guard import DEAD_S
from planner.store.database import DB_VARIABLE
from tests.browser.app_server import (
    ROOT,
    WAIT_MS,
    go,
    open_sample,
    plan,
    running_app,
    running_browser,
    wait_idle,
)
from tests.browser.new_job_texts import CREW, DIVES

PICTURES = ROOT / "docs" / "pictures"

#: Largest picture kept in the repository, bytes.
LARGEST_BYTES = 300_000

#: Pages taken after the plan, with their file names.
PAGES = {
    "Tomorrow": "tomorrow",
    "Dive sheets": "dive_sheets",
    "Gear and air": "gear_and_air",
    "Crew rules": "crew_rules",
    "People": "people",
    "Work": "work",
    "Site and water": "site_and_water",
    "Tables": "tables",
    "Hours": "hours",
}


def take(page: Page, name: str, *, tallest_px: int = 2000) -> None:
    """One picture of the whole page, in few colours so that it stays small."""
    size = page.viewport_size or {"width": 1280, "height": 900}
    height = page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
    page.set_viewport_size({"width": size["width"], "height": min(int(height) + 10, tallest_px)})
    page.mouse.move(2, 2)
    page.evaluate("document.querySelector('[data-testid=stMain]').scrollTo(0, 0)")
    wait_idle(page)
    expect(page.locator("[data-testid='stSkeleton']")).to_have_count(0, timeout=WAIT_MS)
    page.wait_for_function("document.fonts.status === 'loaded'")
    page.wait_for_timeout(600)
    raw = page.screenshot()
    page.set_viewport_size(size)
    _keep(raw, name)


def _keep(raw: bytes, name: str) -> None:
    """Write a picture down, in few colours."""
    picture = Image.open(io.BytesIO(raw)).convert("RGB").quantize(128)
    target = PICTURES / f"{name}.png"
    picture.save(target, optimize=True)
    if target.stat().st_size > LARGEST_BYTES:
        raise SystemExit(f"{target.name} is {target.stat().st_size} bytes, more than {LARGEST_BYTES}")
    print(f"{target.relative_to(ROOT)}: {target.stat().st_size // 1000} kB")


def _faulty_book(folder: Path) -> Path:
    """The small sample with two things wrong in it."""
    import openpyxl

    book = openpyxl.load_workbook(ROOT / "sample_jobs" / "small_heavy_dress.xlsx")
    sheet = book["Dive work"]
    for row in sheet.iter_rows(min_row=1, max_row=30):
        for cell in row:
            if cell.value == "Depth (fsw)":
                sheet.cell(cell.row + 1, cell.column).value = 900
            if str(cell.value).startswith("Priority ("):
                sheet.cell(cell.row + 2, cell.column).value = "high"
    target = folder / "evening.xlsx"
    book.save(target)
    return target


def _by_hand(page: Page) -> None:
    """Two divers swapped on the board, with what that breaks: what is on the screen."""
    page.get_by_role("radio", name="by person", exact=True).click()
    wait_idle(page)
    for place in (9, 11):
        page.locator(".wide button.name").nth(place).click()
        wait_idle(page)
    expect(page.get_by_text(re.compile("The plan moved so"))).to_be_visible(timeout=WAIT_MS)
    _keep(page.screenshot(), "by_hand")
    for key in ("move_close", "move_back"):
        page.locator(f"[class*='st-key-{key}'] button:visible").first.click()
        wait_idle(page)


def _what_if(page: Page) -> None:
    """A comparison of cases, and how sure a plan is."""
    go(page, "What if")
    page.locator(".st-key-compare button:visible").click()
    expect(page.locator(".st-key-compare_book")).to_be_visible(timeout=400_000)
    take(page, "what_if", tallest_px=2200)
    page.get_by_role("tab", name="How sure is it?").click()
    page.locator(".st-key-odds_go button:visible").click()
    expect(page.locator(".st-key-wide_chances")).to_be_visible(timeout=300_000)
    take(page, "how_sure", tallest_px=2200)


def _issue_and_log(page: Page) -> None:
    """The emergency card filled in, every line ticked, the watchbill issued, the first dives logged."""
    go(page, "Issue")
    _sign(page, "signs_issue")
    for number, field in enumerate(page.locator("[class*='st-key-card_'] input").all()):
        field.fill(f"made up for the picture, 000 {number}")
        field.press("Tab")
        wait_idle(page)
    page.locator(".st-key-card_keep button:visible").click()
    expect(page.get_by_text("Missing: ")).to_have_count(0, timeout=WAIT_MS)
    wait_idle(page)
    boxes = page.locator("[class*='st-key-tick_'] label")
    for number in range(boxes.count()):
        boxes.nth(number).click()
        wait_idle(page)
    expect(page.locator(".st-key-issue_now button:visible")).to_be_enabled(timeout=WAIT_MS)
    take(page, "issue", tallest_px=2800)
    page.locator(".st-key-issue_now button:visible").click()
    expect(page.get_by_text(re.compile("Issued: revision 1"))).to_be_visible(timeout=WAIT_MS)
    go(page, "Day log")
    if page.locator(".st-key-signs").get_by_text("Choose your name").count():
        _sign(page)
    for label in ("Leave surface", "Reach bottom"):
        # A press straight after another does not count.
        page.wait_for_timeout(int(DEAD_S * 1000) + 500)
        page.get_by_role("radio", name="5" if label == "Leave surface" else "1", exact=True).click()
        wait_idle(page)
        page.get_by_role("button", name=label).first.click()
        wait_idle(page)
    take(page, "day_log", tallest_px=2200)


def _new_job(page: Page) -> None:
    """A new job typed in until it is ready to plan, then put away again."""
    go(page, "New job")
    page.get_by_role("textbox", name="Job name").fill("Pier 4, made up")
    page.locator("[class*='st-key-new_place'] input").click()
    page.keyboard.type("lisbon")
    page.keyboard.press("Enter")
    wait_idle(page)
    for field, text in (("new_crew", CREW), ("new_dives", DIVES)):
        page.locator(f".st-key-{field} textarea").fill(text)
        page.locator(f".st-key-new_add_{field} button:visible").click()
        wait_idle(page)
    expect(page.get_by_text(re.compile("Ready to plan"))).to_be_visible(timeout=WAIT_MS)
    take(page, "new_job")
    page.locator(".st-key-new_over button:visible").click()
    page.locator("[data-testid='stSidebarNavLink']", has_text="Job").first.click()
    expect(page.locator(".st-key-upload input[type=file]")).to_be_attached(timeout=WAIT_MS)
    wait_idle(page)


def _sign(page: Page, field: str = "signs") -> None:
    page.locator(f".st-key-{field} input").click()
    page.get_by_role("option").first.click()
    wait_idle(page)


def main() -> None:
    """Take every picture."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "app.log"
        os.environ[DB_VARIABLE] = str(Path(folder) / "store.sqlite")
        with (
            running_app(log, script="tests/browser/app_on_the_day.py") as address,
            running_browser() as browser,
        ):
            page = browser.new_page(viewport={"width": 1280, "height": 860})
            page.goto(address)
            expect(page.locator("[class*='st-key-sample_'] button").first).to_be_visible(timeout=WAIT_MS)
            expect(page.get_by_text("No job is saved yet")).to_be_visible(timeout=WAIT_MS)
            take(page, "start")
            _new_job(page)
            page.locator(".st-key-upload input[type=file]").set_input_files(_faulty_book(Path(folder)))
            expect(page.locator(".st-key-wide_faults table")).to_be_visible(timeout=WAIT_MS)
            take(page, "faults")
            page.locator(".st-key-mend button:visible").click()
            expect(page.locator(".st-key-mend_read button:visible")).to_be_visible(timeout=WAIT_MS)
            take(page, "mending", tallest_px=1600)
            open_sample(page, address, "tidal_pier")
            take(page, "job")
            go(page, "Tomorrow")
            plan(page, 60)
            expect(page.locator(".st-key-board_day")).to_be_visible(timeout=400_000)
            page.wait_for_timeout(6000)
            take(page, "solving", tallest_px=1000)
            expect(page.locator(".st-key-watchbill button:visible")).to_be_visible(timeout=400_000)
            for title, name in PAGES.items():
                go(page, title)
                take(page, name)
            go(page, "Gear and air")
            page.get_by_role("radio", name="Air", exact=True).click()
            expect(page.locator(".st-key-wide_air_flow")).to_be_visible(timeout=WAIT_MS)
            take(page, "air")
            go(page, "Tomorrow")
            page.get_by_role("radio", name="by station", exact=True).click()
            expect(page.locator(".wide .name", has_text="supervisor").first).to_be_visible(timeout=WAIT_MS)
            take(page, "by_station", tallest_px=1300)
            _by_hand(page)
            page.locator(".st-key-contrast label").click()
            wait_idle(page)
            take(page, "tomorrow_high_contrast")
            desk = page.url
            phone = browser.new_page(viewport={"width": 390, "height": 844})
            phone.goto(desk)
            expect(phone.locator(".list .who").first).to_be_visible(timeout=WAIT_MS)
            take(phone, "tomorrow_phone", tallest_px=1900)
            phone.close()
            page.locator(".st-key-contrast label").click()
            wait_idle(page)
            _what_if(page)
            _issue_and_log(page)


if __name__ == "__main__":
    sys.exit(main())

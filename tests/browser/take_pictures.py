"""Remakes the pictures of the app in `docs/pictures/`: ``python -m tests.browser.take_pictures``."""

from __future__ import annotations

import io
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Page, expect

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
}


def take(page: Page, name: str, *, tallest_px: int = 2000) -> None:
    """One picture of the whole page, in few colours so that it stays small."""
    size = page.viewport_size or {"width": 1280, "height": 900}
    height = page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
    page.set_viewport_size({"width": size["width"], "height": min(int(height) + 10, tallest_px)})
    page.mouse.move(2, 2)
    wait_idle(page)
    expect(page.locator("[data-testid='stSkeleton']")).to_have_count(0, timeout=WAIT_MS)
    page.wait_for_function("document.fonts.status === 'loaded'")
    page.wait_for_timeout(600)
    raw = page.screenshot()
    page.set_viewport_size(size)
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


def main() -> None:
    """Take every picture."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / "app.log"
        with running_app(log) as address, running_browser() as browser:
            page = browser.new_page(viewport={"width": 1280, "height": 860})
            page.goto(address)
            expect(page.locator("[class*='st-key-sample_'] button").first).to_be_visible(timeout=WAIT_MS)
            take(page, "start")
            page.locator(".st-key-upload input[type=file]").set_input_files(_faulty_book(Path(folder)))
            expect(page.locator(".st-key-wide_faults table")).to_be_visible(timeout=WAIT_MS)
            take(page, "faults")
            open_sample(page, address, "tidal_pier")
            take(page, "job")
            go(page, "Tomorrow")
            plan(page, 60)
            expect(page.locator(".st-key-wide_timeline")).to_be_visible(timeout=WAIT_MS)
            page.wait_for_timeout(6000)
            take(page, "solving", tallest_px=1000)
            expect(page.locator(".st-key-watchbill button:visible")).to_be_visible(timeout=150_000)
            for title, name in PAGES.items():
                go(page, title)
                take(page, name)
            go(page, "Gear and air")
            page.get_by_role("radio", name="Air", exact=True).click()
            expect(page.locator(".st-key-wide_air_flow")).to_be_visible(timeout=WAIT_MS)
            take(page, "air")
            page.locator(".st-key-contrast label").click()
            go(page, "Tomorrow")
            take(page, "tomorrow_high_contrast")
            desk = page.url
            phone = browser.new_page(viewport={"width": 390, "height": 844})
            phone.goto(desk)
            expect(phone.locator(".st-key-wide_timeline .main-svg").first).to_be_visible(timeout=WAIT_MS)
            take(phone, "tomorrow_phone", tallest_px=1900)


if __name__ == "__main__":
    sys.exit(main())

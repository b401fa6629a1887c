"""Journeys of a dive officer through the app in a real browser."""

from __future__ import annotations

import re
import shutil
import time
import zipfile
from pathlib import Path

import openpyxl
import pytest
from app_server import (
    ROOT,
    WAIT_MS,
    choose_cell,
    free_port,
    go,
    open_sample,
    plan,
    press,
    running_app,
    wait_idle,
)
from playwright.sync_api import Browser, Locator, Page, expect

from planner import CAUTION
from planner.check import check
from planner.plan import from_json
from planner.workbook.job_reader import read_job

pytestmark = pytest.mark.browser

#: How a phone's browser names itself; the app folds its menu away after use on a phone only.
PHONE = (
    "Mozilla/5.0 (Linux; Android 14; Mobile) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/130.0 Mobile "
    "Safari/537.36"
)

SAMPLE = "small_heavy_dress"


def _finished(page: Page) -> None:
    # A plan of a run before may still be on the page: the button to stop says that this run goes on.
    expect(page.locator(".st-key-stop button:visible")).to_have_count(0, timeout=90_000)
    wait_idle(page)
    expect(page.locator(".st-key-watchbill button:visible")).to_be_visible(timeout=90_000)


def _download(page: Page, key: str, into: Path) -> Path:
    with page.expect_download(timeout=WAIT_MS) as waiting:
        page.locator(f".st-key-{key} button:visible").click()
    target = into / waiting.value.suggested_filename
    waiting.value.save_as(target)
    return target


def test_from_sample_to_printed_watchbill(tab: Page, address: str, tmp_path: Path) -> None:
    """Open a sample, plan it, download: the workbook opens with the caution, the plan passes the check."""
    open_sample(tab, address, SAMPLE)
    go(tab, "Tomorrow")
    plan(tab, 5)
    _finished(tab)
    expect(tab.get_by_text(re.compile("Rule check: clear"))).to_be_visible()
    job = read_job(ROOT / "sample_jobs" / f"{SAMPLE}.xlsx")
    book = _download(tab, "watchbill", tmp_path)
    assert re.fullmatch(r"[a-z0-9-]+_\d{4}-\d\d-\d\d_watchbill\.xlsx", book.name)
    sheets = openpyxl.load_workbook(book)
    text = {str(c.value) for sheet in sheets for row in sheet.iter_rows() for c in row if c.value}
    assert any(CAUTION in cell for cell in text)
    assert all(person.name in text for person in job.people)
    written = _download(tab, "plan_json", tmp_path)
    assert check(job, from_json(written.read_text(encoding="utf-8"), job)) == ()


def _type_into(page: Page, column: int, row: int, text: str, *, leave: str = "Enter") -> None:
    """Type into a cell of the table on the page; columns and rows as shown, from 1; blank: stay in it."""
    choose_cell(page)
    # A key pressed while the table is being drawn goes nowhere: each once the cell before has been taken.
    for right in range(1, column):
        page.keyboard.press("ArrowRight")
        expect(_cell(page, right + 1, 1)).to_have_attribute("aria-selected", "true", timeout=WAIT_MS)
    for down in range(1, row):
        page.keyboard.press("ArrowDown")
        expect(_cell(page, column, down + 1)).to_have_attribute("aria-selected", "true", timeout=WAIT_MS)
    page.keyboard.press("Enter")
    page.locator("textarea.gdg-input").fill(text, timeout=WAIT_MS)
    if leave:
        page.keyboard.press(leave)


def _cell(page: Page, column: int, row: int) -> Locator:
    """A cell of the table on the page, columns and rows as shown, from 1."""
    return _cells(page).and_(page.locator(f"#glide-cell-{column}-{row - 1}"))


def _cells(page: Page) -> Locator:
    return page.locator("[data-testid='stDataFrame'] canvas[data-testid='data-grid-canvas']").first.locator(
        "[role=gridcell]"
    )


def test_a_faulty_upload_is_mended_in_the_app_and_plans(tab: Page, address: str, tmp_path: Path) -> None:
    """A depth of 900 is told with sheet and cell, then put right in the file's own table; what is typed is
    there after another page and after a reload; read again, it is the job, goes out mended, gives a plan."""
    good = ROOT / "sample_jobs" / f"{SAMPLE}.xlsx"
    book = openpyxl.load_workbook(good)
    book["Dive work"]["C6"] = 900
    bad = tmp_path / "bad.xlsx"
    book.save(bad)
    tab.goto(address)
    tab.locator(".st-key-upload input[type=file]").set_input_files(bad)
    told = tab.locator(".st-key-wide_faults table")
    for text in ("Dive work", "C6", "900"):
        expect(told).to_contain_text(text, timeout=WAIT_MS)
    press(tab.locator(".st-key-mend button:visible"), tab.locator(".st-key-mend_read button:visible"))
    expect(_cells(tab).nth(4)).to_have_text("900", timeout=WAIT_MS)
    expect(_cells(tab).nth(1)).to_contain_text("C6: A depth of 900 fsw is deeper")
    wait_idle(tab)
    _type_into(tab, 5, 1, "46")
    expect(tab.get_by_text("Edited, not read again yet: Dive work")).to_be_visible(timeout=WAIT_MS)
    go(tab, "People")
    tab.locator("[data-testid='stSidebarNavLink']", has_text="Job").first.click()
    expect(_cells(tab).nth(4)).to_have_text("46", timeout=WAIT_MS)
    tab.reload()
    expect(_cells(tab).nth(4)).to_have_text("46", timeout=WAIT_MS)
    wait_idle(tab)
    press(tab.locator(".st-key-mend_read button:visible"), tab.get_by_text("bad.xlsx is put right and open."))
    wait_idle(tab)
    job = read_job(_download(tab, "job_book", tmp_path))
    assert job.dive_items[0].depth_fsw == 46
    go(tab, "Tomorrow")
    plan(tab, 3)
    _finished(tab)
    written = _download(tab, "plan_json", tmp_path)
    assert check(job, from_json(written.read_text(encoding="utf-8"), job)) == ()


def test_a_file_too_large_and_one_with_macros(tab: Page, address: str, tmp_path: Path) -> None:
    """50 MB are told by the browser within seconds and never sent; a workbook with macros is read as data."""
    large = tmp_path / "large.xlsx"
    with large.open("wb") as file:
        file.truncate(50 * 2**20)
    macros = tmp_path / "evening.xlsm"
    shutil.copy(ROOT / "sample_jobs" / f"{SAMPLE}.xlsx", macros)
    with zipfile.ZipFile(macros, "a") as box:
        box.writestr("xl/vbaProject.bin", b"stands in for macros")
    tab.goto(address)
    upload = tab.locator(".st-key-upload")
    start = time.perf_counter()
    upload.locator("input[type=file]").set_input_files(large)
    expect(upload.get_by_text("must be 10.0MB or smaller")).to_be_visible(timeout=WAIT_MS)
    print(f"50 MB told after {time.perf_counter() - start:.2f} s")
    upload.locator("input[type=file]").set_input_files(macros)
    expect(tab.get_by_text("evening.xlsm holds macros.")).to_be_visible(timeout=WAIT_MS)
    expect(tab.locator(".st-key-job_book button:visible")).to_be_visible(timeout=WAIT_MS)


def test_a_server_that_is_killed_in_mid_solve(browser: Browser, tmp_path: Path) -> None:
    """Killed while it searches and started anew: the page loaded anew has the job and the best plan so far,
    says that the search was cut off, and plans again."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    port = free_port()
    with running_app(tmp_path / "first.log", port, killed=True) as address:
        open_sample(page, address, "too_much_work")
        name = page.locator("h1").inner_text()
        go(page, "Tomorrow")
        plan(page, 300)
        expect(page.locator(".st-key-board_day")).to_be_visible(timeout=WAIT_MS)
        wait_idle(page)
    with running_app(tmp_path / "second.log", port):
        page.reload()
        expect(page.get_by_text("The search was cut off")).to_be_visible(timeout=WAIT_MS)
        expect(page.locator(".st-key-board_day")).to_be_visible(timeout=WAIT_MS)
        expect(page.get_by_text(re.compile("Rule check: clear"))).to_be_visible()
        assert page.get_by_text("Traceback").count() == 0
        plan(page, 2)
        _finished(page)
        expect(page.get_by_text("The search was cut off")).to_have_count(0)
        page.locator("[data-testid='stSidebarNavLink']", has_text="Job").first.click()
        expect(page.locator("h1")).to_have_text(name, timeout=WAIT_MS)
    page.close()


def test_a_file_that_is_no_workbook(tab: Page, address: str, tmp_path: Path) -> None:
    """Text under the name of a workbook: one sentence, no traceback."""
    fake = tmp_path / "job.xlsx"
    fake.write_text("not a workbook at all", encoding="utf-8")
    tab.goto(address)
    tab.locator(".st-key-upload input[type=file]").set_input_files(fake)
    expect(tab.locator(".st-key-wide_faults table")).to_contain_text("not a workbook", timeout=WAIT_MS)
    assert tab.get_by_text("Traceback").count() == 0


def test_stop_early_keeps_the_best(tab: Page, address: str) -> None:
    """A long limit; the back button in mid-solve and forward again: the search goes on. Stopped, the plan
    stays and can be taken away."""
    open_sample(tab, address, "too_much_work")
    go(tab, "Tomorrow")
    plan(tab, 120)
    expect(tab.get_by_text(re.compile("First plan, by rule of thumb|best"))).not_to_have_count(
        0, timeout=WAIT_MS
    )
    expect(tab.locator(".st-key-board_day")).to_be_visible(timeout=WAIT_MS)
    tab.go_back()
    expect(tab.locator(".st-key-job_book button:visible")).to_be_visible(timeout=WAIT_MS)
    tab.go_forward()
    expect(tab.locator(".st-key-board_day")).to_be_visible(timeout=WAIT_MS)
    press(tab.locator(".st-key-stop button:visible"), tab.locator(".st-key-plan button:visible"))
    _finished(tab)
    expect(tab.get_by_text(re.compile("Rule check: clear"))).to_be_visible()
    assert tab.get_by_text("Traceback").count() == 0


def test_two_tabs_do_not_mix(browser: Browser, address: str) -> None:
    """Two tabs of one browser on two jobs: each keeps its own, also after both are loaded anew."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    one, two = context.new_page(), context.new_page()
    open_sample(one, address, SAMPLE)
    open_sample(two, address, "tidal_pier")
    names = [page.locator("h1").inner_text() for page in (one, two)]
    assert names[0] != names[1]
    for page, name in ((one, names[0]), (two, names[1])):
        page.reload()
        expect(page.locator("h1")).to_have_text(name, timeout=WAIT_MS)
    context.close()


def test_reload_and_other_pages_keep_the_plan(tab: Page, address: str) -> None:
    """The plan is still there after going to another page, back, and loading the page anew."""
    open_sample(tab, address, SAMPLE)
    go(tab, "Tomorrow")
    plan(tab, 2)
    go(tab, "People")
    go(tab, "Tomorrow")
    _finished(tab)
    tab.reload()
    _finished(tab)
    expect(tab.locator(".st-key-board_day")).to_be_visible(timeout=WAIT_MS)
    tab.go_back()
    expect(tab.locator("h1")).to_be_visible(timeout=WAIT_MS)
    assert tab.get_by_text("Traceback").count() == 0


def test_what_was_typed_last_is_taken_up_before_a_tap(browser: Browser, address: str) -> None:
    """A cell left by a tap on the menu, one left by a tap on Apply, a field left by a tap on the menu, a cell
    and a field left by Back: the page goes on, the app settles, and what was typed is there."""
    context = browser.new_context(viewport={"width": 1280, "height": 900}, has_touch=True)
    page = context.new_page()
    open_sample(page, address, SAMPLE)

    def leave_for(title: str) -> None:
        page.locator("[data-testid='stSidebarNavLink']", has_text=title).first.tap()
        expect(page.locator("h1")).to_have_text(title, timeout=WAIT_MS)
        wait_idle(page)

    go(page, "Work")
    _type_into(page, 1, 1, "Left by the menu", leave="")
    leave_for("People")
    go(page, "Work")
    expect(page.get_by_text("Edited, not applied: Dive work")).to_be_visible(timeout=WAIT_MS)
    _type_into(page, 1, 2, "Left by Apply", leave="")
    page.locator("[class*='st-key-apply_'] button:visible").tap()
    expect(page.get_by_text("Nothing is edited.")).to_be_visible(timeout=WAIT_MS)
    wait_idle(page)
    expect(_cells(page).filter(has_text="Left by the menu")).not_to_have_count(0, timeout=WAIT_MS)
    expect(_cells(page).filter(has_text="Left by Apply")).not_to_have_count(0, timeout=WAIT_MS)
    go(page, "Site and water")
    page.get_by_label(re.compile("^Day ends")).fill("1630")
    leave_for("People")
    go(page, "Site and water")
    expect(page.get_by_text("Edited, not applied: Site")).to_be_visible(timeout=WAIT_MS)
    page.get_by_label(re.compile("^Day starts")).fill("0615")
    page.evaluate("history.back()")
    expect(page.locator("h1")).to_have_text("People", timeout=WAIT_MS)
    wait_idle(page)
    _type_into(page, 1, 1, "Left by Back", leave="")
    page.evaluate("history.back()")
    expect(page.locator("h1")).to_have_text("Site and water", timeout=WAIT_MS)
    page.evaluate("history.forward()")
    expect(_cells(page).filter(has_text="Left by Back")).not_to_have_count(0, timeout=WAIT_MS)
    go(page, "Site and water")
    expect(page.get_by_label(re.compile("^Day starts"))).to_have_value("0615", timeout=WAIT_MS)
    context.close()


def test_the_order_of_what_counts_is_picked(tab: Page, address: str) -> None:
    """On the page of crew rules: emptied, one stage picked, applied: it is first, the others follow."""
    open_sample(tab, address, SAMPLE)
    go(tab, "Crew rules")
    tab.get_by_role("radio", name="Rules", exact=True).click()
    field = tab.locator("[class*='st-key-set_Rules_stage_order_']")
    expect(field).to_be_visible(timeout=WAIT_MS)
    wait_idle(tab)
    field.get_by_role("button", name="Clear all").click()
    wait_idle(tab)
    field.locator("input").click()
    tab.get_by_role("option", name="overtime", exact=True).click()
    expect(tab.get_by_text("Edited, not applied: Rules")).to_be_visible(timeout=WAIT_MS)
    wait_idle(tab)
    tab.keyboard.press("Escape")
    press(tab.locator(".st-key-apply_rules button:visible"), tab.get_by_text("Nothing is edited."))
    wait_idle(tab)
    first = tab.locator("[class*='st-key-set_Rules_stage_order_'] button[aria-label^='Remove']").first
    expect(first).to_have_accessible_name("Remove overtime", timeout=WAIT_MS)


def test_an_edit_is_applied_and_undone(tab: Page, address: str) -> None:
    """Change the end of the day, apply, undo; the edit outlives a walk to another page."""
    open_sample(tab, address, SAMPLE)
    go(tab, "Site and water")
    field = tab.get_by_label(re.compile("^Day ends"))
    before = f"{read_job(ROOT / 'sample_jobs' / f'{SAMPLE}.xlsx').site.day_end:%H:%M}"
    expect(field).to_have_value(before, timeout=WAIT_MS)
    field.fill("1630")
    field.press("Enter")
    expect(tab.get_by_text("Edited, not applied: Site")).to_be_visible(timeout=WAIT_MS)
    go(tab, "People")
    go(tab, "Site and water")
    expect(tab.get_by_label(re.compile("^Day ends"))).to_have_value("1630", timeout=WAIT_MS)
    press(tab.locator(".st-key-apply_site button:visible"), tab.get_by_text("Nothing is edited."))
    wait_idle(tab)
    expect(tab.get_by_label(re.compile("^Day ends"))).to_have_value("16:30", timeout=WAIT_MS)
    tab.locator(".st-key-undo button:visible").click()
    expect(tab.locator(".st-key-undo button:visible")).to_be_disabled(timeout=WAIT_MS)
    wait_idle(tab)
    expect(tab.get_by_label(re.compile("^Day ends"))).to_have_value(before, timeout=WAIT_MS)


def test_a_phone_can_read_it(browser: Browser, address: str) -> None:
    """390 pixels: nothing makes the page wider than the screen; caution, verdict and dives are readable."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True, user_agent=PHONE
    )
    page = context.new_page()
    open_sample(page, address, SAMPLE)
    go(page, "Tomorrow")
    plan(page, 2)
    _finished(page)
    width = page.evaluate("document.documentElement.scrollWidth")
    assert width <= 390
    main = page.evaluate("document.querySelector('[data-testid=stMain]').scrollWidth")
    assert main <= 390
    for text in (CAUTION, "Rule check: clear", "LS leave surface"):
        place = page.get_by_text(text).first
        place.scroll_into_view_if_needed()
        box = place.bounding_box()
        assert box is not None
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= 391
    context.close()


def test_nothing_is_fetched_from_elsewhere(tab: Page, address: str) -> None:
    """On every page the browser asks only the app itself: no font, picture, script or statistics outside."""
    asked: list[str] = []
    tab.on("request", lambda request: asked.append(request.url))
    open_sample(tab, address, SAMPLE)
    titles = ["Site and water", "People", "Work", "Crew rules", "Tomorrow", "Gear and air", "Tables"]
    for title in titles:
        go(tab, title)
    own = (address, address.replace("http", "ws"), "data:", "blob:")
    assert [url for url in asked if not url.startswith(own)] == []
    assert len(asked) > 10


def test_a_time_zone_is_picked_from_the_list(tab: Page, address: str, tmp_path: Path) -> None:
    """A part of a name finds the zone in the list; picked, applied and downloaded, the job is told in it."""
    open_sample(tab, address, SAMPLE)
    go(tab, "Site and water")
    field = tab.get_by_role("combobox", name=re.compile("^Time zone"))
    expect(field).to_be_visible(timeout=WAIT_MS)
    field.click()
    field.fill("Zagreb")
    zone = tab.get_by_role("option", name="Europe/Zagreb")
    expect(zone).to_have_count(1, timeout=WAIT_MS)
    zone.click()
    expect(tab.get_by_text("Edited, not applied: Site")).to_be_visible(timeout=WAIT_MS)
    wait_idle(tab)
    apply = tab.locator("[class*='st-key-apply_'] button:visible")
    press(apply, tab.get_by_text("Nothing is edited."))
    wait_idle(tab)
    tab.locator("[data-testid='stSidebarNavLink']", has_text=re.compile("Job$")).click(timeout=WAIT_MS)
    expect(tab.locator(".st-key-job_book button:visible")).to_be_visible(timeout=WAIT_MS)
    wait_idle(tab)
    assert read_job(_download(tab, "job_book", tmp_path)).site.time_zone == "Europe/Zagreb"

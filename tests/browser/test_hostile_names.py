"""Names that are markup, pictures and links elsewhere, on every page of a real browser."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from app_server import WAIT_MS, go, open_sample, plan, wait_idle
from playwright.sync_api import Locator, Page, expect

from planner import read_job, write_job
from planner.job import Job

pytestmark = pytest.mark.browser

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = "small_heavy_dress"

#: An address of this machine at which nothing listens: whoever asks for it has been led there by a name.
ELSEWHERE = "http://127.0.0.2:9/"
_FORMS = ("![n{n}](%s{n}.png)", "<img src=%s{n}>", "[n{n}](%s)", "<script src=%s{n}>")

#: Whatever shows a help when the pointer rests on it; a table's own buttons come up only over the table.
HELP = "[data-testid='stTooltipHoverTarget']:visible:not([data-testid='stElementToolbar'] *)"

PAGES = (
    "Site and water",
    "People",
    "Work",
    "Crew rules",
    "Tomorrow",
    "Dive sheets",
    "Gear and air",
    "What if",
    "Issue",
    "Day log",
    "Hours",
    "Tables",
)


def _hostile(job: Job) -> Job:
    """The job with every name of a person, item, station and outfit, and its own, made into markup."""
    text = job.model_dump_json()
    parts = (job.site, *job.people, *job.items, *job.stations, *job.outfits)
    for n, part in enumerate(parts):
        name = (_FORMS[n % len(_FORMS)] % ELSEWHERE).replace("{n}", str(n))
        text = text.replace(json.dumps(part.name, ensure_ascii=False), json.dumps(name))
    return Job.model_validate_json(text)


def _rest_on(tab: Page, one: Locator) -> Locator:
    """Rest the pointer on what has a help; the help that is then shown."""
    told = tab.locator("[data-testid='stTooltipContent']:visible").last
    for _ in range(3):
        tab.mouse.move(640, 2)
        expect(told).to_be_hidden(timeout=WAIT_MS)
        one.scroll_into_view_if_needed(timeout=WAIT_MS)
        one.hover(force=True, timeout=WAIT_MS)
        try:
            expect(told).to_be_visible(timeout=5_000)
        except AssertionError:
            # the page was drawn anew just under the pointer
            wait_idle(tab)
            continue
        return told
    raise AssertionError(f"no help is shown: {one.evaluate('e => e.outerHTML')}")


def _every_help(tab: Page) -> int:
    """Rest on every help of the page; how many there were. Neither they nor the page hold a link or a picture
    that leads elsewhere."""
    helps = tab.locator(HELP)
    for n in range(helps.count()):
        told = _rest_on(tab, helps.nth(n))
        assert told.locator("img, a, script").count() == 0, told.inner_html()
    assert tab.locator("[src*='127.0.0.2'], [href*='127.0.0.2']").count() == 0, tab.url
    return helps.count()


def test_names_are_text_on_every_page_and_in_every_help(tab: Page, address: str, tmp_path: Path) -> None:
    """Every page is opened and the pointer rests on every help of it: letters alone are shown, and nothing is
    asked of anybody but the app itself."""
    write_job(_hostile(read_job(ROOT / "sample_jobs" / f"{SAMPLE}.xlsx")), tmp_path / "job.xlsx")
    asked: list[str] = []
    tab.on("request", lambda request: asked.append(request.url))
    open_sample(tab, address, SAMPLE)
    tab.locator(".st-key-upload input[type=file]").set_input_files(tmp_path / "job.xlsx")
    undo = tab.locator(".st-key-undo button")
    expect(undo.and_(tab.locator(":enabled")).first).to_be_visible(timeout=WAIT_MS)
    wait_idle(tab)
    undo.first.hover()
    expect(tab.get_by_text("Takes back: opening ![n0](http:")).to_be_visible(timeout=WAIT_MS)
    seen = _every_help(tab)
    go(tab, "Tomorrow")
    plan(tab, 6)
    expect(tab.locator(".st-key-watchbill button:visible").first).to_be_visible(timeout=2 * WAIT_MS)
    for title in PAGES:
        go(tab, title)
        seen += _every_help(tab)
    own = (address, address.replace("http", "ws"), "data:", "blob:")
    assert [url for url in asked if not url.startswith(own)] == []
    assert seen > 50

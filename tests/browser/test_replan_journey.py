"""The rest of a day planned anew in a real browser, on the morning of the small sample's day."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from app_server import ROOT, WAIT_MS, running_app, wait_idle
from playwright.sync_api import Browser, Page, expect

from planner.job.duties import DIVER
from planner.log.day_log import Entry, Kind
from planner.schedule import first_plan
from planner.store import Store
from planner.store.recording import issue_watchbill, record
from planner.workbook.job_reader import read_job

pytestmark = pytest.mark.browser

JOB = read_job(ROOT / "sample_jobs" / "small_heavy_dress.xlsx")

#: Before the first dive: 07:04 on the Azores.
NOW = datetime(2027, 3, 16, 8, 4, tzinfo=UTC)

#: The app with its clock at that time; it runs, as a press within two seconds of another does not count.
_APP = f"""
from datetime import UTC, datetime

import streamlit as st

from planner.screens.navigation import main
from planner.screens.saved import CLOCK_KEY

began = st.session_state.setdefault("clock_began", datetime.now(UTC))
st.session_state[CLOCK_KEY] = datetime.fromisoformat({NOW.isoformat()!r}) + (datetime.now(UTC) - began)
main()
"""


@pytest.fixture(scope="module")
def sick() -> str:
    """The diver who falls sick: the one of the last dive, so that somebody has to take it."""
    plan = first_plan(JOB)
    assert plan is not None
    return max(plan.dives, key=lambda d: d.leave_surface_min).divers[0].person


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory, sick: str) -> Iterator[str]:
    """The app on a store in which the day is issued and the diver is logged as sick."""
    folder: Path = tmp_path_factory.mktemp("replan")
    plan = first_plan(JOB)
    assert plan is not None
    with Store(str(folder / "store.sqlite")) as store:
        issue_watchbill(store, JOB, plan, "Inês Valadão")
        entry = Entry(kind=Kind.SICK, at_min=7 * 60, people=(sick,), text="ear")
        record(store, JOB, plan, entry, "Inês Valadão", now=NOW)
    app = folder / "app.py"
    app.write_text(_APP, encoding="utf-8")
    before = os.environ["PLANNER_DB"]
    os.environ["PLANNER_DB"] = str(folder / "store.sqlite")
    with running_app(folder / "app.log", script=str(app)) as found:
        yield found
    os.environ["PLANNER_DB"] = before


def _open(browser: Browser, address: str) -> Page:
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto(f"{address}/day-log")
    expect(page.locator("h1")).to_have_text("Day log", timeout=WAIT_MS)
    wait_idle(page)
    name = page.locator(".st-key-signs input")
    name.fill("Inês Valadão")
    name.press("Enter")
    expect(page.locator("[class*='st-key-thumb_'] button:visible").first).to_be_enabled(timeout=WAIT_MS)
    wait_idle(page)
    return page


def test_a_sick_divers_day_before_and_after(browser: Browser, address: str, sick: str) -> None:
    """Two strips on the same hours with what differs outlined, one line a person: the sick one has nothing
    more, somebody takes over as diver; the revision can be issued."""
    page = _open(browser, address)
    page.locator(".st-key-replan button:visible").click()
    expect(page.get_by_text(re.compile("Replanned from"))).to_be_visible(timeout=120_000)
    wait_idle(page)
    before, after = (page.locator(f".st-key-board_{key}") for key in ("before", "after"))
    for strip in (before, after):
        expect(strip.locator(".wide .block.changed").first).to_be_visible(timeout=WAIT_MS)
    hours = [strip.locator(".axis span").all_inner_texts() for strip in (before, after)]
    assert hours[0] == hours[1] and len(hours[0]) > 5
    rows = after.locator(".wide .name").all_inner_texts()
    lines = page.locator(".change").all_inner_texts()
    assert len(lines) == len(rows) and sick in rows
    (own,) = [line for line in lines if line.startswith(sick)]
    assert all(part.startswith("no more ") for part in own.removeprefix(f"{sick}: ").split("; "))
    assert any(re.search(rf"now {DIVER} on D\d+ \(", line) for line in lines)
    expect(page.locator(".st-key-replan_issue button:visible")).to_be_enabled()
    page.close()


def test_the_running_day_stays_while_a_diver_is_down(browser: Browser, address: str) -> None:
    """Once a dive has left the surface the button for tomorrow's job is off and says who is down."""
    page = _open(browser, address)
    button = page.locator(".st-key-make_tomorrow button:visible")
    expect(button).to_be_enabled()
    page.get_by_role("button", name="Leave surface").first.click()
    expect(page.get_by_text(re.compile("Logged: .*leave surface")).first).to_be_visible(timeout=WAIT_MS)
    expect(button).to_be_disabled(timeout=WAIT_MS)
    wait_idle(page)
    page.locator(".st-key-make_tomorrow").hover()
    expect(page.get_by_text(re.compile("Not while anyone is down"))).to_be_visible(timeout=WAIT_MS)
    page.close()

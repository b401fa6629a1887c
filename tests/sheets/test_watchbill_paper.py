"""The watchbill on paper: LibreOffice turns it into a clean PDF with no setting touched."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader
from watchbill_reading import MADE

from planner import CAUTION
from planner.gear import dressing_cards
from planner.job import Job
from planner.plan.model import Plan
from planner.sheets.watchbill import write_watchbill
from tests.world.pier import pier_job, pier_plan
from tests.world.reservoir import deep_job, deep_plan

pytestmark = pytest.mark.paper

#: Points, short side first: ISO 216 A4 and Letter (8.5 by 11 in).
PAPER_PT = {"A4": (595, 842), "Letter": (612, 792)}
Printer = Callable[[Plan, Job, str], PdfReader]


@pytest.fixture(scope="module")
def printer(tmp_path_factory: pytest.TempPathFactory) -> Printer:
    """Prints a plan on a paper; skips where LibreOffice is missing, except in CI, where it must be there."""
    soffice = shutil.which("soffice") or shutil.which("libreoffice")
    if soffice is None:
        if os.environ.get("CI"):
            pytest.fail("LibreOffice (soffice) is missing, and CI must print the watchbill")
        pytest.skip("LibreOffice (soffice) is not installed here")
    folder = tmp_path_factory.mktemp("paper")
    done: dict[tuple[str, str], PdfReader] = {}

    def print_it(plan: Plan, job: Job, paper: str) -> PdfReader:
        key = (plan.job_name, paper)
        if key not in done:
            book = folder / f"{len(done)}.xlsx"
            write_watchbill(plan, job, book, paper=paper, made_at=MADE)
            subprocess.run(
                [
                    soffice,
                    f"-env:UserInstallation={(folder / 'profile').as_uri()}",
                    "--headless",
                    "--convert-to",
                    "pdf",
                    "--outdir",
                    str(folder),
                    str(book),
                ],
                check=True,
                capture_output=True,
                timeout=180,
            )
            done[key] = PdfReader(Path(folder / f"{book.stem}.pdf"))
        return done[key]

    return print_it


def _pages(pdf: PdfReader) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in pdf.pages]


def _of_sheet(pages: list[str], sheet: str) -> list[str]:
    return [page for page in pages if f"{sheet} · page" in page]


@pytest.mark.parametrize("paper", PAPER_PT)
def test_every_page_has_the_paper_the_caution_and_its_number(printer: Printer, paper: str) -> None:
    """Each page is of the paper asked for, carries the caution in head and foot, and counts itself."""
    job = pier_job()
    pdf = printer(pier_plan(job), job, paper)
    total = len(pdf.pages)
    for number, (page, text) in enumerate(zip(pdf.pages, _pages(pdf), strict=True), start=1):
        sides = sorted((float(page.mediabox.width), float(page.mediabox.height)))
        assert sides == pytest.approx(PAPER_PT[paper], abs=1)
        assert text.count(CAUTION) >= 2, number
        assert f"page {number} of {total}" in text


@pytest.mark.parametrize("paper", PAPER_PT)
def test_pages_are_as_many_as_there_is_to_say(printer: Printer, paper: str) -> None:
    """A day's grid and its six dives fill one page each, each dive sheet is a page, then the calls.

    The list of every rule, air and gear among them, takes most of *Cautions and sources*.
    """
    job = pier_job()
    plan = pier_plan(job)
    pages = _pages(printer(plan, job, paper))
    assert len(_of_sheet(pages, "Watchbill")) == 1
    assert len(_of_sheet(pages, "Dives")) == 1
    assert len(_of_sheet(pages, "Dive sheets")) == len(plan.dives) + 1
    assert len(_of_sheet(pages, "Each person's day")) <= 3
    assert len(_of_sheet(pages, "Left over")) == 1
    assert len(_of_sheet(pages, "Gear")) == 1
    assert len(_of_sheet(pages, "Air")) <= 2
    cards = len(dressing_cards(plan, job))
    assert len(_of_sheet(pages, "Dressing cards")) == cards
    assert len(_of_sheet(pages, "Cautions and sources")) <= 6
    assert len(pages) <= 21 + cards + 3


@pytest.mark.parametrize("paper", PAPER_PT)
def test_nobody_and_nothing_is_cut_off(printer: Printer, paper: str) -> None:
    """The grid's page names every person in Latin letters, each dive, each total and the place to sign."""
    job = pier_job()
    plan = pier_plan(job)
    (grid,) = _of_sheet(_pages(printer(plan, job, paper)), "Watchbill")
    for person in job.people:
        if person.name.isascii():
            assert person.name in grid
    for dive in plan.dives:
        assert dive.id in grid
    for words in ("On duty", "Person in charge", "sun up 07:0", "slack 10:10–11:40", "standby's tender"):
        assert words in grid
    sheets = _of_sheet(_pages(printer(plan, job, paper)), "Dive sheets")
    for dive, sheet in zip(sorted(plan.dives, key=lambda d: d.leave_surface_min), sheets, strict=False):
        assert f"Dive {dive.id}" in sheet
        assert "Work done, left undone" in sheet and "Log keeper, time" in sheet
    assert "People to call" in sheets[-1]


@pytest.mark.parametrize("paper", PAPER_PT)
def test_two_evenings_are_two_pages_of_grid(printer: Printer, paper: str) -> None:
    """Each day of a longer job has its own page; a dive with stops still has a sheet of one page."""
    job = deep_job()
    pages = _pages(printer(deep_plan(job), job, paper))
    grids = _of_sheet(pages, "Watchbill")
    assert ["Monday 8 June 2026 Call" in g for g in grids] == [True, False]
    assert ["Tuesday 9 June 2026 Call" in g for g in grids] == [False, True]
    assert len(_of_sheet(pages, "Dive sheets")) == 3


def test_a_text_like_a_formula_prints_as_it_was_typed(printer: Printer) -> None:
    """LibreOffice shows =1+1 as that text, not as 2."""
    job = pier_job()
    name = "=1+1"
    job = job.replace(site=job.site.replace(name=name))
    plan = pier_plan(job)
    pages = _pages(printer(plan, job, "A4"))
    assert all("=1+1" in page for page in pages)

"""The watchbill on paper: LibreOffice turns it into a clean PDF with no setting touched."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from itertools import pairwise

import pytest
from openpyxl import load_workbook
from pypdf import PageObject, PdfReader
from watchbill_reading import MADE

from planner import CAUTION
from planner.gear.cards import dressing_cards
from planner.job import Job, UnitSystem
from planner.plan.model import Plan
from planner.sheets.dressing import SIDES
from planner.sheets.watchbill import DAY_SHEETS, SHEETS, write_watchbill
from planner.words.measures import date_words
from tests.world.office import printed
from tests.world.pier import pier_job, pier_plan
from tests.world.reservoir import deep_job, deep_plan
from tests.world.sample_plans import SAMPLES, planned

pytestmark = pytest.mark.paper

#: Points, short side first: ISO 216 A4 and Letter (8.5 by 11 in).
PAPER_PT = {"A4": (595, 842), "Letter": (612, 792)}
Printer = Callable[..., PdfReader]


@pytest.fixture(scope="module")
def printer(tmp_path_factory: pytest.TempPathFactory) -> Printer:
    """Prints a plan on a paper, each once."""
    folder = tmp_path_factory.mktemp("paper")
    done: dict[tuple[str, ...], PdfReader] = {}

    def print_it(plan: Plan, job: Job, paper: str, *sheets: str) -> PdfReader:
        key = (plan.job_name, paper, *sheets)
        if key not in done:
            book = folder / f"{len(done)}.xlsx"
            write_watchbill(plan, job, book, paper=paper, made_at=MADE, sheets=sheets)
            done[key] = printed(book)
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

    Without cards it is 23 pages at most, 20 without the inspection lists too; what a crew needs on the day
    is the first of them. The pages that were told are no fewer than those that come out.
    """
    job = pier_job()
    plan = pier_plan(job)
    pages = _pages(printer(plan, job, paper))
    assert len(_of_sheet(pages, "Brief")) == 1
    assert len(_of_sheet(pages, "Watchbill")) == 1
    assert len(_of_sheet(pages, "Dives")) == 1
    assert len(_of_sheet(pages, "Dive sheets")) == len(plan.dives) + 1
    assert len(_of_sheet(pages, "Each person's day")) <= 2
    assert len(_of_sheet(pages, "Left over")) == 1
    assert len(_of_sheet(pages, "Gear")) == 1
    assert len(_of_sheet(pages, "Air")) <= 2
    cards = dressing_cards(plan, job)
    kinds = {card.gear for card in cards}
    bench = len(_of_sheet(pages, "Dressing cards"))
    assert len(cards) + len(kinds) <= bench <= SIDES * len(cards) + len(kinds)
    assert len(_of_sheet(pages, "Inspection")) <= SIDES * len(kinds)
    assert len(_of_sheet(pages, "Cautions and sources")) == 1
    assert len(_of_sheet(pages, "Rules")) <= 3
    on_the_day = sum(len(_of_sheet(pages, name)) for name in DAY_SHEETS)
    assert on_the_day == 4 + len(plan.dives)
    assert len(pages) - bench <= 23
    assert len(pages) - bench - len(_of_sheet(pages, "Inspection")) <= 20
    told = write_watchbill(plan, job, io.BytesIO(), paper=paper, made_at=MADE)
    assert 0 <= told - len(pages) <= 2


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
    briefs = _of_sheet(pages, "Brief")
    assert ["Monday 8 June 2026 " in b and "First call" in b for b in briefs] == [True, True]
    assert ["Monday 8 June 2026 All work" in b for b in briefs] == [True, False]
    grids = _of_sheet(pages, "Watchbill")
    assert ["Monday 8 June 2026 Call" in g for g in grids] == [True, False]
    assert ["Tuesday 9 June 2026 Call" in g for g in grids] == [False, True]
    assert len(_of_sheet(pages, "Dive sheets")) == 3


@pytest.mark.parametrize("paper", PAPER_PT)
@pytest.mark.parametrize("sample", SAMPLES)
def test_the_brief_of_every_sample_is_one_page_a_day(printer: Printer, sample: str, paper: str) -> None:
    """From the day's date to where the supervisor signs, nine dives and all of a working day's blocks too."""
    job, plan = planned(sample)
    pages = _pages(printer(plan, job, paper, "Brief"))
    days = sorted({job.working_day_of(spell.start_min) for spell in plan.duties})
    assert len(pages) == len(days)
    for page, day in zip(pages, days, strict=True):
        assert date_words(job, day) in page
        assert "Supervisor, time" in page and page.count(CAUTION) >= 3


#: Points of the smallest type as printed: on what is read at arm's length that of the caution in the head, on
#: a full grid its letters; and what is read at a desk.
SMALLEST = {"Brief": 7.9, "Dressing cards": 7.9, "Inspection": 7.9, "Watchbill": 5.0}
SMALLEST_ELSEWHERE = 6.5
SMALLEST_BELOW_HEAD = {"Brief": 9.0, "Dressing cards": 10.0, "Inspection": 10.0}


@pytest.mark.parametrize("paper", PAPER_PT)
def test_type_as_printed_is_never_smaller_than_can_be_read(printer: Printer, paper: str) -> None:
    """Sixteen people, nine dives and three duties in a quarter of an hour: measured in the PDF, where a cell
    that is shrunk and a page that is squeezed show; the caution in the
    foot is told in the head, larger."""
    job, plan = planned("tidal pier")
    book = io.BytesIO()
    write_watchbill(plan, job, book, paper=paper, made_at=MADE, sheets=["Brief"])
    facts = str(load_workbook(book)["Brief"]["A2"].value)
    for page in printer(plan, job, paper).pages:
        sizes, words = _printed(page)
        (sheet,) = [name for name in SHEETS if f"{name} · page" in " ".join(words.split())]
        # the foot stands first in the page: the caution, then "2 of 55" in pieces
        foot = next(n for n, (_, text) in enumerate(sizes) if n and not re.fullmatch(r"[\d of]+", text))
        head = [size for size, text in sizes[foot:] if len(text) > 15 and text in facts]
        assert min(head) >= 6.5
        small = min(pair for pair in sizes[foot:] if len(pair[1]) <= 15 or pair[1] not in facts)
        assert small[0] >= SMALLEST.get(sheet, SMALLEST_ELSEWHERE) - 0.05, (sheet, small)
        # whatever stands below the head; a page may be set to its width a hundredth smaller
        on_card = [pair for pair in sizes[foot:] if pair[1] not in facts and pair[1] != CAUTION]
        assert min(on_card)[0] >= 0.98 * SMALLEST_BELOW_HEAD.get(sheet, 0), (sheet, min(on_card))
        # the letters of a duty are one to three; words are never as small as they may be
        words_size = min((pair for pair in sizes[foot:] if len(pair[1]) > 3), default=(99.0, ""))
        assert words_size[0] >= SMALLEST_ELSEWHERE - 0.05, (sheet, words_size)


def _printed(page: PageObject) -> tuple[list[tuple[float, str]], str]:
    """Each piece of a page's text with its size in points, and the whole text."""
    sizes: list[tuple[float, str]] = []

    def seen(text: str, at: list[float], within: list[float], _: object, size: float) -> None:
        if text.strip():
            sizes.append((abs(size * (within[3] or within[0]) * (at[3] or at[0])), text.strip()))

    words = page.extract_text(visitor_text=seen)
    return sizes, words


def test_a_text_like_a_formula_prints_as_it_was_typed(printer: Printer) -> None:
    """LibreOffice shows =1+1 as that text, not as 2."""
    job = pier_job()
    name = "=1+1"
    job = job.replace(site=job.site.replace(name=name))
    plan = pier_plan(job)
    pages = _pages(printer(plan, job, "A4"))
    assert all("=1+1" in page for page in pages)


@pytest.mark.parametrize("paper", PAPER_PT)
@pytest.mark.parametrize("sample", SAMPLES)
def test_nobody_stands_alone_on_a_last_page(sample: str, paper: str) -> None:
    """*Each person's day*: the blocks are spread over as few pages as take them, the last at least half as
    full as the others, where it held less than a third before."""
    job, plan = planned(sample)
    book = io.BytesIO()
    told = write_watchbill(plan, job, book, paper=paper, made_at=MADE, sheets=["Each person's day"])
    ws = load_workbook(book)["Each person's day"]
    breaks = [found.id for found in ws.row_breaks.brk]
    heads = int(ws.print_title_rows.split("$")[-1])
    tops = [heads, *breaks, int(ws.print_area.split("$")[-1])]
    tall = [
        sum(ws.row_dimensions[row].height or 15 for row in range(top + 1, end + 1))
        for top, end in pairwise(tops)
    ]
    assert len(tall) == told
    assert tall[-1] > max(tall) / 2


@pytest.mark.parametrize("paper", PAPER_PT)
def test_air_in_metres_has_its_heads_on_each_page(printer: Printer, paper: str) -> None:
    """Bottles that go on to another page stand under their heads again, one line each in both units; a date
    is not broken; the formulas of a job that fills one page stand on it too."""
    job, plan = planned("three day outfall")
    job = job.replace(site=job.site.replace(units=UnitSystem.METRIC, name="Outfall in metres"))
    plan = plan.replace(job_name=job.site.name)
    pages = _pages(printer(plan, job, paper, "Air"))
    assert [page.count("Carried by") for page in pages] == [0, 1, 1]
    assert all("(60.6 bar)" in page for page in pages[1:2]) and "2027-08-02" in pages[1]
    reservoir = deep_job()
    (page,) = _pages(printer(deep_plan(reservoir), reservoir, paper, "Air"))
    assert "Formulas and sources" in page and "Tests" in page

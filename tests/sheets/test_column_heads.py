"""Heads of columns on every sheet of every book: a number under a head has its unit there, and metres stand
beside fsw where a job is kept in metres."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from importlib import import_module

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.cell import Cell, MergedCell
from openpyxl.styles.numbers import is_date_format
from openpyxl.worksheet.worksheet import Worksheet

from planner.hours.logbook import logbooks
from planner.hours.pay_rules import EXAMPLE_RULES
from planner.hours.pay_rules import SHEET as PAY_RULES
from planner.hours.timesheets import timesheets
from planner.hours.worked import from_plan
from planner.job import Job
from planner.plan import Plan
from planner.sheets.compare_book import compare_book
from planner.sheets.dive_record_book import dive_record_book
from planner.sheets.hours_book import hours_book
from planner.sheets.logbook_book import logbook_book
from planner.sheets.watchbill import write_watchbill
from planner.whatif.cases import cases_of, parse_variations
from planner.whatif.sweep import Solved, sweep
from tests.world.reservoir import deep_job, deep_plan
from tests.world.sample_plans import SAMPLES, planned

#: What the sheets measure in; an hour as ``h`` or ``h:min``, money by its ISO 4217 letters.
UNIT = re.compile(r"\b(min|min:s|h|h:min|fsw|ft|m|scfm|scf|psi|bar|l)\b|%|, [A-Z]{3}$")
#: Heads over numbers without a unit: counts, places in an order, and two that have it in the cell beside.
COUNTED = {
    "Dives",
    "Dives a diver",
    "Shifts",
    "Days",
    "People",
    "Priority",
    "Case",
    "Rest rules broken",
    "1 on the seventh day",
    "Dive",
    "Table",
    "Times",
    "Quantity",
}
#: A time of the clock, told as a text.
CLOCK = {"Finish"}
#: Words, and names that may be all digits: they measure nothing.
NAMES = {
    "In base",
    "Helmet",
    "Breastplate",
    "Straps",
    "Size",
    "Class",
    "Outfit",
    "Group",
    "Group before",
    "Group after",
}
_ALL_DIGITS = re.compile(r"[\d.,:/ –+-]*\d[\d.,:/ –+-]*")
_DATE = re.compile(r"\d{4}-\d\d-\d\d")


def _is_head(cell: Cell | MergedCell) -> bool:
    ink = cell.font.color.rgb if cell.font.color is not None else None
    return bool(cell.font.b) and cell.border.bottom.style == "medium" and ink == "FF555555"


def _measures(cell: Cell | MergedCell) -> bool:
    """Whether a cell holds a figure: a number, a length of time, a formula, or a text of digits alone."""
    value = cell.value
    if isinstance(value, str):
        if value.startswith("="):
            return not is_date_format(cell.number_format)
        return bool(_ALL_DIGITS.fullmatch(value)) and not _DATE.fullmatch(value)
    return isinstance(value, int | float | timedelta) and not isinstance(value, datetime)


def _under_heads(ws: Worksheet) -> Iterator[tuple[str, Cell | MergedCell]]:
    """Each filled cell under a head, with the head; a row of heads ends the table above it."""
    wide = {(r.min_row, r.min_col): r.max_col for r in ws.merged_cells.ranges}
    heads: dict[int, str] = {}
    for row in ws.iter_rows():
        found = [cell for cell in row if cell.value not in (None, "") and _is_head(cell)]
        if found:
            heads = {}
            for cell in found:
                for column in range(cell.column, wide.get((cell.row, cell.column), cell.column) + 1):
                    heads[column] = str(cell.value)
            continue
        for cell in row:
            if cell.value not in (None, "") and cell.column in heads:
                yield heads[cell.column], cell


def _without_unit(book: Workbook) -> list[tuple[str, str, object]]:
    """Sheet, head and value of every figure whose head has no unit."""
    return [
        (ws.title, head, cell.value)
        for ws in book
        # the rows of the pay rules are typed, each with a unit of its own, which the note below them tells
        if ws.title != PAY_RULES
        for head, cell in _under_heads(ws)
        if head not in COUNTED | CLOCK | NAMES and _measures(cell) and not UNIT.search(head)
    ]


def _heads(book: Workbook) -> set[str]:
    return {str(c.value) for ws in book for row in ws.iter_rows() for c in row if c.value and _is_head(c)}


def _watchbill(job: Job, plan: Plan) -> Workbook:
    file = io.BytesIO()
    write_watchbill(plan, job, file, estimates=False)
    return load_workbook(file)


@pytest.mark.parametrize("sample", SAMPLES)
def test_every_head_over_a_figure_has_its_unit(sample: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Watchbill, hours, dive records, logbooks and comparison of every sample, sheet by sheet."""
    job, plan = planned(sample)
    record = from_plan(plan, job)
    books = {
        "watchbill": _watchbill(job, plan),
        "hours": hours_book(timesheets([record], EXAMPLE_RULES)),
        "dive records": dive_record_book(timesheets([record], EXAMPLE_RULES)),
        "logbooks": logbook_book(logbooks([record.replace(from_log=True)])),
    }

    def solved(number: int, *given: object) -> Solved:
        return Solved(number, plan, "made up", 0.0)

    monkeypatch.setattr(import_module("planner.whatif.sweep"), "solve_case", solved)
    cases = cases_of(job, parse_variations(job, ["margin=5"]))
    books["comparison"] = compare_book(sweep(cases, backend="threading", processes=1), job)
    for name, book in books.items():
        assert _without_unit(book) == [], name
    assert {"On duty, h:min", "Bottom time, h:min", "RNT, min"} <= _heads(books["watchbill"])


def test_a_figure_without_a_unit_is_found() -> None:
    """The walk itself: a head Length over 1:10 is convicted, Length, h:min is not."""
    book = _watchbill(*planned("small heavy dress"))
    ws = book["Each person's day"]
    assert _without_unit(book) == []
    for row in ws.iter_rows(max_row=6):
        for cell in row:
            if cell.value == "Length, h:min":
                cell.value = "Length"
    assert {(sheet, head) for sheet, head, _ in _without_unit(book)} == {("Each person's day", "Length")}


def test_metres_stand_beside_fsw_in_hours_and_logbooks_of_a_job_in_metres() -> None:
    """The reservoir is kept in metres: its 95 fsw are 28.9 m (1 ft = 0.3048 m); in feet fsw stand alone."""
    job = deep_job()
    record = from_plan(deep_plan(job), job)
    books = [
        hours_book(timesheets([record], EXAMPLE_RULES)),
        logbook_book(logbooks([record.replace(from_log=True)])),
    ]
    for book, head in zip(books, ("Depth", "Greatest depth"), strict=True):
        said = {(h, c.value) for ws in book for h, c in _under_heads(ws) if h.endswith(", m")}
        assert {h for h, _ in said} == {f"{head}, m"}
        fsw = {c.value for ws in book for h, c in _under_heads(ws) if h == f"{head}, fsw"}
        assert 95 in fsw
    assert (f"{head}, m", 28.9) in said
    assert any(c.value == "28.9 m (95 fsw)" for ws in books[1] for row in ws.iter_rows() for c in row)
    file = dive_record_book(timesheets([record], EXAMPLE_RULES))
    assert any(c.value == "28.9 m, 95 fsw" for ws in file for row in ws.iter_rows() for c in row)
    small, plan = planned("small heavy dress")
    in_feet = timesheets([from_plan(plan, small)], EXAMPLE_RULES)
    assert not any(h.endswith(", m") for h in _heads(hours_book(in_feet)))

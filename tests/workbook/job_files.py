"""Job workbooks for tests: a sample with some cells changed, and the faults that reading finds."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from functools import cache

import openpyxl
from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook

from planner.errors import Fault, InputFaults
from planner.job import Job
from planner.workbook import read_job, write_job
from planner.workbook.columns import JobSheet
from planner.workbook.job_sheets import RULES
from planner.workbook.layout import FIRST_ROW, FIRST_SETTING_ROW, HEADING_ROW
from tests.samples import tidal_pier

Change = Callable[[Workbook], object]


def cell(sheet: JobSheet, field: str, row: int = 0) -> str:
    """Address of a field: of the row with that index, or of the setting."""
    index = [c.field for c in sheet.columns].index(field)
    if sheet.settings:
        return f"B{FIRST_SETTING_ROW + index}"
    return f"{get_column_letter(index + 1)}{FIRST_ROW + row}"


def heading(sheet: JobSheet, field: str) -> str:
    """Address of a column's heading."""
    index = [c.field for c in sheet.columns].index(field)
    return f"{get_column_letter(index + 1)}{HEADING_ROW}"


@cache
def workbook_of(job: Job) -> bytes:
    """The workbook of a job; written once for all tests that ask for it."""
    out = io.BytesIO()
    write_job(job, out)
    return out.getvalue()


def changed(content: bytes, change: Change) -> bytes:
    """A workbook after something was done to it."""
    book = openpyxl.load_workbook(io.BytesIO(content))
    change(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def with_cells(cells: Mapping[tuple[JobSheet, str, int], object], job: Job | None = None) -> bytes:
    """The tidal pier's workbook (or another job's) with some cells set: (sheet, field, row) to a value."""

    def set_all(book: Workbook) -> None:
        for (sheet, field, row), value in cells.items():
            book[sheet.name][cell(sheet, field, row)] = value

    return changed(workbook_of(job or tidal_pier.job()), set_all)


def of_before_the_standbys_way_up(job: Job) -> bytes:
    """The workbook of an earlier version, without that setting, that asks for no minute of a standby."""

    def without_setting(book: Workbook) -> None:
        book[RULES.name].delete_rows(int(cell(RULES, "standby_way_up")[1:]))

    return changed(with_cells({(RULES, "standby_no_stop_min", 0): 0}, job), without_setting)


def faults_in(content: bytes) -> tuple[Fault, ...]:
    """The faults that reading finds; none for a workbook that reads."""
    try:
        read_job(content)
    except InputFaults as found:
        return found.faults
    return ()


def only_fault(content: bytes) -> Fault:
    """The one fault of a workbook."""
    faults = faults_in(content)
    assert len(faults) == 1, [str(f) for f in faults]
    return faults[0]

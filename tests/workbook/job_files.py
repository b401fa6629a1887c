"""Job workbooks for tests: a sample with some cells changed, and the faults that reading finds."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from datetime import date, datetime, time
from functools import cache

import openpyxl
from openpyxl.utils import get_column_letter
from openpyxl.utils.cell import coordinate_to_tuple
from openpyxl.workbook import Workbook

from planner.errors import Fault, InputFaults
from planner.job import Job
from planner.workbook.columns import JobSheet
from planner.workbook.job_reader import job_of_sheets, read_job
from planner.workbook.job_sheets import RULES
from planner.workbook.job_writer import write_job
from planner.workbook.layout import FIRST_ROW, FIRST_SETTING_ROW, HEADING_ROW
from planner.workbook.opening import RawCell, RawSheet, open_book
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


@cache
def _opened(job: Job) -> tuple[RawSheet, ...]:
    return tuple(open_book(workbook_of(job)).sheets)


def as_opened(value: object) -> RawCell | None:
    """What a cell opens as that was typed like that and saved (test_job_faults.py holds it to a file)."""
    if value is None:
        return None
    if isinstance(value, str) and value[:1] in ("=", "#"):
        return RawCell(value, "formula" if value[0] == "=" else "error")
    if isinstance(value, date) and not isinstance(value, datetime):
        value = datetime.combine(value, time())
    assert isinstance(value, str | int | float | datetime | time)
    return RawCell(value)


def with_cells(cells: Mapping[tuple[JobSheet, str, int], object], job: Job | None = None) -> list[RawSheet]:
    """The tidal pier's workbook (or another job's), opened, with some cells set: (sheet, field, row) to a
    value."""
    sheets = {s.name: RawSheet(s.name, dict(s.rows)) for s in _opened(job or tidal_pier.job())}
    for (sheet, field, row), value in cells.items():
        column, number = coordinate_to_tuple(cell(sheet, field, row))[::-1]
        rows, typed = sheets[sheet.name].rows, as_opened(value)
        kept = {at: held for at, held in rows.get(number, {}).items() if at != column}
        rows[number] = kept if typed is None else {**kept, column: typed}
        if not rows[number]:
            del rows[number]
    return list(sheets.values())


def read(content: bytes | list[RawSheet]) -> Job:
    """The job of a workbook, or of one that is opened."""
    return read_job(content) if isinstance(content, bytes) else job_of_sheets(content)


def of_before_the_standbys_way_up(job: Job) -> bytes:
    """The workbook of an earlier version, without that setting, that asks for no minute of a standby."""

    def without_setting(book: Workbook) -> None:
        book[RULES.name][cell(RULES, "standby_no_stop_min")] = 0
        book[RULES.name].delete_rows(int(cell(RULES, "standby_way_up")[1:]))

    return changed(workbook_of(job), without_setting)


def faults_in(content: bytes | list[RawSheet]) -> tuple[Fault, ...]:
    """The faults that reading finds; none for a workbook that reads."""
    try:
        read(content)
    except InputFaults as found:
        return found.faults
    return ()


def only_fault(content: bytes | list[RawSheet]) -> Fault:
    """The one fault of a workbook."""
    faults = faults_in(content)
    assert len(faults) == 1, [str(f) for f in faults]
    return faults[0]

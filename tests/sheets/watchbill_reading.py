"""Reads a written watchbill back: cells under joined blocks, the grid by person, all text of a sheet."""

from __future__ import annotations

import io
from datetime import datetime
from functools import cache

from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from planner.job import Job
from planner.plan.model import Plan
from planner.sheets import watchbill

MADE = datetime(2026, 3, 2, 21, 4)

#: The sheets in the order of the book; that of the gates is there only for a job that has some.
NAMES = tuple(name for name in watchbill.SHEETS if name != "Gates")


@cache
def file_of(plan: Plan, job: Job, paper: str = "A4") -> bytes:
    """The watchbill of a plan as a file; written once for all tests, as what follows from it."""
    store = io.BytesIO()
    watchbill.write_watchbill(plan, job, store, paper=paper, revision="B", made_at=MADE)
    return store.getvalue()


@cache
def written(plan: Plan, job: Job) -> Workbook:
    """The watchbill of a plan, opened again."""
    return load_workbook(io.BytesIO(file_of(plan, job)))


@cache
def sheet(plan: Plan, job: Job, name: str, paper: str = "A4") -> Worksheet:
    """One sheet of the watchbill, written alone and opened again: a tenth of the time of the whole book."""
    store = io.BytesIO()
    watchbill.write_watchbill(plan, job, store, paper=paper, revision="B", made_at=MADE, sheets=(name,))
    return load_workbook(store)[name]


def texts(ws: Worksheet) -> list[str]:
    """All texts of a sheet, row by row."""
    return [cell.value for row in ws.iter_rows() for cell in row if isinstance(cell.value, str)]


def rows_of(ws: Worksheet) -> list[list[object]]:
    """The filled cells of each row."""
    return [[cell.value for cell in row if cell.value is not None] for row in ws.iter_rows()]


def row_with(ws: Worksheet, *values: object) -> list[object]:
    """The first row that holds all these values."""
    return next(row for row in rows_of(ws) if all(value in row for value in values))


class Grid:
    """The first block of the sheet *Watchbill*."""

    def __init__(self, ws: Worksheet, block: int = 0) -> None:
        self.ws = ws
        heads = [cell.row for cell in ws["B"] if cell.value == "Call"]
        self.head = heads[block]
        self.last = heads[block + 1] if block + 1 < len(heads) else ws.max_row
        self.end = next(cell.column for cell in ws[self.head] if cell.value == "End")
        self.hours = [cell.value for cell in ws[self.head][2 : self.end - 1] if cell.value is not None]

    def row(self, person: str) -> int:
        return next(
            cell.row for cell in self.ws["A"] if cell.value == person and self.head < cell.row <= self.last
        )

    def quarters(self, person: str) -> list[tuple[list[str], str | None]]:
        """Letters and fill of each quarter hour of a person."""
        found = []
        for column in range(3, 3 + 4 * len(self.hours)):
            cell = self.ws.cell(self.row(person), column)
            fill = "#" + cell.fill.start_color.rgb[2:] if cell.fill.fill_type else None
            found.append((str(cell.value).split("\n") if cell.value else [], fill))
        return found

    def after(self, person: str) -> tuple[object, object, object, object]:
        """Call, end, on duty, bottom time."""
        row = self.row(person)
        call = self.ws.cell(row, 2).value
        return (call, *(self.ws.cell(row, self.end + n).value for n in range(3)))  # type: ignore[return-value]

"""Rows out of a text that was pasted or typed: one a line, its cells parted as a spreadsheet parts them.

Nothing of Streamlit is used in here.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence

from planner.errors import Fault, InputFaults
from planner.job import UnitSystem
from planner.job.names import fold
from planner.screens.editing.sheets import Cell, TypedRow, with_units
from planner.workbook.cells import Unreadable, read_cell, read_date
from planner.workbook.columns import CellKind, JobColumn, JobSheet
from planner.workbook.opening import RawCell


def pasted_rows(sheet: JobSheet, fields: Sequence[str], text: str, units: UnitSystem) -> tuple[TypedRow, ...]:
    """The rows of a text, cells parted by tabs, in a line without one by commas, in one without those by
    semicolons; no blank lines.

    Parameters
    ----------
    fields
        Columns of the sheet in the order of the cells; a first line that says their headings is left out.
    units
        Of the measured figures.

    Raises
    ------
    InputFaults
        Every cell that its column cannot hold, and every line with more cells than columns.
    """
    columns = [sheet.column(field) for field in fields]
    blank: dict[str, Cell] = dict.fromkeys((c.field for c in sheet.columns), None)
    faults: list[Fault] = []
    rows = []
    for number, cells in enumerate(_lines(text), start=1):
        if not any(cells) or (number == 1 and fold(cells[0]).startswith(fold(columns[0].title))):
            continue
        if len(cells) > len(columns):
            what = f"The line has {len(cells)} cells, more than columns to fill."
            allowed = "; ".join(c.heading(units) for c in columns)
            faults.append(Fault(f"line {number}", " | ".join(cells), allowed, what))
        row = dict(blank)
        several = ""
        for column, cell in zip(columns, cells, strict=False):
            try:
                row[column.field] = _cell(sheet, column, cell, units) if cell else None
            except Unreadable as wrong:
                where = f"line {number}, {column.title}"
                faults.append(Fault(where, wrong.found, wrong.allowed, wrong.sentence + several))
            if column.kind is CellKind.NAMES:
                several = f" Several {column.title.lower()} in one cell are parted by semicolons."
        rows.append(TypedRow(None, with_units(sheet, row, units)))
    if faults:
        raise InputFaults(faults)
    return tuple(rows)


def _lines(text: str) -> Iterator[list[str]]:
    for line in text.splitlines():
        parted_by = next((mark for mark in "\t,;" if mark in line), ",")
        [cells] = csv.reader([line], delimiter=parted_by, skipinitialspace=True) or [[]]
        yield [cell.strip() for cell in cells]


def _cell(sheet: JobSheet, column: JobColumn, text: str, units: UnitSystem) -> Cell:
    """One cell as a table of the sheet holds it."""
    if column.kind is CellKind.DATE:
        return read_date(column, text)
    if column.kind is CellKind.YES_NO:
        return "yes" if read_cell(sheet, column, RawCell(text), units) else "no"
    if column.kind in (CellKind.WHOLE, CellKind.NUMBER):
        read_cell(sheet, column, RawCell(text), units)
        typed = float(text)
        return int(typed) if typed.is_integer() and column.whole_in(units) else typed
    return text

"""What stands on the screen as sheets for the workbook's reader, and where on the screen its faults stand."""

from __future__ import annotations

from collections.abc import Sequence

from planner.errors import Fault
from planner.job import UnitSystem
from planner.screens.figures import Cell, Cells, Figure
from planner.workbook.columns import Sheet
from planner.workbook.job_sheets import JOB_SHEETS, SETTING, UNIT, VALUE
from planner.workbook.opening import RawCell, RawSheet

SHEETS: dict[str, Sheet] = {sheet.name: sheet for sheet in JOB_SHEETS}

#: Row of the headings in the sheets that are handed to the reader; the first thing stands in the next.
HEADING_ROW = 1


def raw_table(sheet: Sheet, rows: Sequence[Cells], units: UnitSystem) -> RawSheet:
    """A sheet that lists things, for the reader: headings in these units, each figure with its own."""
    raw = RawSheet(sheet.name)
    raw.rows[HEADING_ROW] = {i: RawCell(c.heading(units)) for i, c in enumerate(sheet.columns, start=1)}
    for number, row in enumerate(rows, start=HEADING_ROW + 1):
        cells = {i: _raw(row.get(c.field), units) for i, c in enumerate(sheet.columns, start=1)}
        filled = {i: cell for i, cell in cells.items() if cell is not None}
        if filled:
            raw.rows[number] = filled
    return raw


def raw_settings(sheet: Sheet, values: Cells, units: UnitSystem) -> RawSheet:
    """A sheet of settings, for the reader, in these units; each figure with its own."""
    raw = RawSheet(sheet.name)
    raw.rows[HEADING_ROW] = {i: RawCell(h) for i, h in enumerate((SETTING, VALUE, UNIT), start=1)}
    for number, column in enumerate(sheet.columns, start=HEADING_ROW + 1):
        cells = {1: RawCell(column.title)}
        value, unit = _raw(values.get(column.field), units), column.unit_in(units)
        if value is not None:
            cells[2] = value
        if unit:
            cells[3] = RawCell(unit)
        raw.rows[number] = cells
    return raw


def _raw(cell: Cell, units: UnitSystem) -> RawCell | None:
    if isinstance(cell, Figure):
        return RawCell(cell.value, units=None if cell.units is units else cell.units)
    return None if cell is None or cell == "" else RawCell(cell)


def place_of(fault: Fault) -> tuple[str, int | None, str]:
    """Sheet, row of the table (0 the first; None for none) and title of the column that a fault stands at."""
    name, mark, cell = fault.where.partition("!")
    sheet = SHEETS.get(name)
    if sheet is None or not mark:
        return name, None, ""
    letters = "".join(c for c in cell if c.isalpha())
    digits = "".join(c for c in cell if c.isdigit())
    column = 0
    for letter in letters:
        column = column * 26 + ord(letter) - ord("A") + 1
    row = int(digits) - HEADING_ROW - 1 if digits else -1
    if sheet.settings:
        return name, None, sheet.columns[row].title if 0 <= row < len(sheet.columns) else ""
    title = sheet.columns[column - 1].title if 1 <= column <= len(sheet.columns) else ""
    return name, row if row >= 0 else None, title

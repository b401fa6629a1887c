"""Sheets of a job on the screen: figures with the units they were typed in, rows as tables, back to a job.

A figure is never rewritten by being shown in other units. What stands in the job is kept as the inside
figure, what was typed as it was typed; both are converted by the workbook's own `Measure`, to the safe side,
when they are shown or read. The workbook's own description of its sheets makes the tables, and its own reader
judges what was typed, so a screen and a workbook accept the same things and say the same of the rest.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

import pandas as pd
from openpyxl.utils import column_index_from_string, get_column_letter

from planner.errors import Fault
from planner.job import Job, UnitSystem
from planner.job.units import Measure
from planner.workbook.cells import split_names
from planner.workbook.columns import CellKind, JobColumn, JobSheet
from planner.workbook.job_reader import job_of_sheets
from planner.workbook.job_sheets import CREW_MINIMA, JOB_SHEETS, SETTING, UNIT, VALUE
from planner.workbook.job_writer import job_rows, join_names
from planner.workbook.layout import CellValue
from planner.workbook.opening import RawCell, RawSheet

SHEETS: dict[str, JobSheet] = {sheet.name: sheet for sheet in JOB_SHEETS}

#: Row of the headings in the sheets that are handed to the reader; the first thing stands in the next.
HEADING_ROW = 1

#: Column of a table that says which row it was before it was edited; blank for a row added here. Not shown.
ROW = "_row"

#: Which names a sheet gives to the things that other sheets refer to.
_NAMED_BY = {"People": "people", "Dive work": "items", "Surface work": "items", "Stations": "stations"}

_PLACE = re.compile(r"(?P<sheet>.+)!(?P<column>[A-Z]{1,3})(?P<row>\d+)")


@dataclass(frozen=True)
class FaultPlace:
    """Where a fault stands: a sheet, and a cell of it where it has one (both counted from 1)."""

    sheet: str
    row: int | None = None
    column: int | None = None

    @property
    def letter(self) -> str:
        """The column's letter; blank for a fault of a whole sheet."""
        return "" if self.column is None else get_column_letter(self.column)

    @property
    def cell(self) -> str:
        """``C7``; blank for a fault of a whole sheet."""
        return "" if self.row is None else f"{self.letter}{self.row}"


def place_of(fault: Fault) -> FaultPlace:
    """Where a fault of a workbook stands."""
    found = _PLACE.fullmatch(fault.where)
    if found is None:
        return FaultPlace(fault.where)
    return FaultPlace(found["sheet"], int(found["row"]), column_index_from_string(found["column"]))


def place_in_table(fault: Fault) -> tuple[str, int | None, str]:
    """Sheet, row of the table (0 the first; None for none) and title of the column that a fault stands at."""
    place = place_of(fault)
    sheet = SHEETS.get(place.sheet)
    if sheet is None or place.row is None or place.column is None:
        return place.sheet, None, ""
    row, column = place.row - HEADING_ROW - 1, place.column - 1
    if sheet.settings:
        return sheet.name, None, sheet.columns[row].title if 0 <= row < len(sheet.columns) else ""
    title = sheet.columns[column].title if column < len(sheet.columns) else ""
    return sheet.name, row if row >= 0 else None, title


# ---------------------------------------------------------------------- figures and cells


@dataclass(frozen=True)
class TypedFigure:
    """A figure and the units it was typed in; one of the job's own is in the inside units, feet."""

    value: float
    units: UnitSystem

    def shown(self, measure: Measure, units: UnitSystem) -> float:
        """The figure to show: as typed in its own units, else the shortest that reads back the same."""
        if units is self.units:
            return self.value
        return measure.typed(measure.inside(self.value, self.units), units)

    def settled(self, column: JobColumn, units: UnitSystem) -> TypedFigure:
        """The figure as a job in these units keeps it: on the grid that its own workbook can write."""
        if units is not UnitSystem.METRIC or self.units is units or column.kind is not CellKind.NUMBER:
            return self
        assert column.measure is not None
        return TypedFigure(column.measure.inside(column.measure.typed(self.value, units), units), self.units)


#: What a cell of an edit holds: figures of a measured column with their units, all else as the cell has it.
Cell = CellValue | TypedFigure
Cells = Mapping[str, Cell]


@dataclass(frozen=True)
class TypedRow:
    """One row of a sheet: number of the job's thing that it was (None for a new one), and its cells."""

    number: int | None
    cells: Cells


#: What was typed into one sheet: its rows, or the values of a sheet of settings by field.
Edit = tuple[TypedRow, ...] | Mapping[str, Cell]


#: The job whose rows were asked for last, with them: each drawing of a page asks several times.
_last: tuple[Job, Mapping[str, tuple[TypedRow, ...]]] | None = None


def own_sheets(job: Job) -> Mapping[str, tuple[TypedRow, ...]]:
    """The rows of every sheet as they are in the job, to the last digit."""
    global _last
    known = _last
    if known is None or known[0] is not job:
        sheets = job_rows(job, _own_figure).items()
        rows_of = {name: tuple(TypedRow(n, row) for n, row in enumerate(rows)) for name, rows in sheets}
        known = _last = job, rows_of
    return known[1]


def _own_figure(measure: Measure, value: float, typed: float | None) -> TypedFigure:
    """A figure of the job: the metric one that was typed where it is kept and still holds."""
    kept = typed is not None and measure.inside(typed, UnitSystem.METRIC) == value
    return (
        TypedFigure(typed, UnitSystem.METRIC)
        if typed is not None and kept
        else TypedFigure(value, UnitSystem.FEET)
    )


def own_rows(sheet: JobSheet, job: Job) -> tuple[TypedRow, ...]:
    """The rows of one sheet as they are in the job; one row for a sheet of settings."""
    return own_sheets(job)[sheet.name]


def with_units(sheet: JobSheet, row: Cells, units: UnitSystem) -> dict[str, Cell]:
    """The row with its measured figures marked as typed in these units; those marked already stay."""
    measured = {c.field for c in sheet.columns if c.measure is not None}
    return {
        field: TypedFigure(value, units)
        if field in measured and isinstance(value, int | float) and not isinstance(value, bool)
        else value
        for field, value in row.items()
    }


def shown_cell(column: JobColumn, cell: Cell, units: UnitSystem) -> CellValue:
    """One cell as it is shown in these units; blank is None."""
    if isinstance(cell, TypedFigure):
        assert column.measure is not None
        return cell.shown(column.measure, units)
    return cell.strip() or None if isinstance(cell, str) else cell


def typed_cells(sheet: JobSheet, shown: Cells, units: UnitSystem, before: Sequence[Cells]) -> dict[str, Cell]:
    """Cells as they stand on the screen, each figure with the units it was typed in.

    Parameters
    ----------
    shown
        The cells as shown, by field.
    units
        Units of the screen.
    before
        What they were shown from, the latest first. A cell that still shows what one of these does was not
        touched, and stays what it was.
    """

    def cell(field: str, value: Cell) -> Cell:
        column = sheet.column(field)
        known = (old[field] for old in before if field in old)
        return next((old for old in known if shown_cell(column, old, units) == value), value)

    return with_units(sheet, {field: cell(field, value) for field, value in shown.items()}, units)


def cell_of(column: JobColumn, value: object) -> CellValue:
    """What a table or a field on the screen holds, as the workbook's cell would hold it; blank is None."""
    if isinstance(value, list | tuple):
        # What was pasted from a spreadsheet is one text with semicolons; it falls apart into its names.
        return join_names(name for v in value for name in split_names(str(v))) or None
    if value is None or value is pd.NA or value is pd.NaT or (isinstance(value, float) and value != value):
        return None
    if column.kind is CellKind.YES_NO:
        return "yes" if bool(value) else "no"
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date | int | float):
        return value
    if hasattr(value, "tolist"):
        return cell_of(column, value.tolist())
    return str(value).strip() or None


# ---------------------------------------------------------------------- rows as a table


def chips(column: JobColumn) -> bool:
    """Whether a cell holds names that are picked one by one."""
    return column.kind is CellKind.NAMES and column.refers in ("duties", "certificates")


def table_of(sheet: JobSheet, rows: Sequence[TypedRow], units: UnitSystem) -> pd.DataFrame:
    """Rows of a sheet that lists things as a table with one column a field, in these units.

    A further column, `ROW`, says which of the rows each was; rows added later have none.
    """
    columns = {
        c.field: _series(c, [shown_cell(c, row.cells.get(c.field), units) for row in rows], units)
        for c in sheet.columns
    }
    return pd.DataFrame({**columns, ROW: pd.Series(range(len(rows)), dtype="Int64")})


def _series(column: JobColumn, values: Sequence[CellValue], units: UnitSystem) -> pd.Series[Any]:
    if column.kind in (CellKind.WHOLE, CellKind.NUMBER):
        numbers = [v if isinstance(v, int | float) else None for v in values]
        return pd.Series(numbers, dtype="Int64" if column.whole_in(units) else "Float64")
    if column.kind is CellKind.YES_NO:
        return pd.Series([None if v is None else v == "yes" for v in values], dtype="boolean")
    if column.kind is CellKind.DATE:
        return pd.Series(pd.to_datetime(pd.Series(list(values), dtype="object")))
    if chips(column):
        return pd.Series([split_names(str(v or "")) for v in values], dtype="object")
    return pd.Series(["" if v is None else str(v) for v in values], dtype="object")


def typed_rows(
    sheet: JobSheet,
    table: pd.DataFrame,
    before: Sequence[TypedRow],
    own: Sequence[TypedRow],
    units: UnitSystem,
) -> tuple[TypedRow, ...]:
    """An edited table's rows; what was not touched stays as it was, to the last digit.

    Parameters
    ----------
    before
        The rows that the table was made of by `table_of`.
    """
    fields = [c.field for c in sheet.columns]
    found = []
    for at, *values in table[[ROW, *fields]].itertuples(index=False, name=None):
        old = TypedRow(None, {}) if pd.isna(at) else before[int(at)]
        known = [old.cells] if old.number is None else [old.cells, own[old.number].cells]
        shown = {c.field: cell_of(c, value) for c, value in zip(sheet.columns, values, strict=True)}
        found.append(TypedRow(old.number, typed_cells(sheet, shown, units, known)))
    return tuple(found)


# ---------------------------------------------------------------------- settings


def typed_settings(
    sheet: JobSheet, values: Cells, own: Cells, units: UnitSystem, before: Cells | None = None
) -> dict[str, Cell]:
    """Edited settings that differ from the job, each figure with the units it was typed in.

    Parameters
    ----------
    before
        What was typed already: a figure that still shows the same stays as it was typed.
    """
    typed = typed_cells(sheet, values, units, [before or {}, own])
    return {field: cell for field, cell in typed.items() if cell != own.get(field)}


# ---------------------------------------------------------------------- back to a job


def edited_job(
    job: Job,
    edits: Mapping[str, Edit],
    *,
    units: UnitSystem | None = None,
    now: datetime | None = None,
    by: str = "",
) -> Job:
    """The job with some of its sheets as they were edited.

    A name that was changed in its own sheet is changed wherever other sheets refer to it.

    Parameters
    ----------
    units
        Units that the sheets are shown in, in which faults are told; None: the job's own.
    now, by
        Time and name that are noted in crew rows that were changed; None notes nothing.

    Raises
    ------
    InputFaults
        Every fault; its place is the sheet and a cell of it (see `place_in_table`).
    """
    shown_in, kept_in = units or job.site.units, job.site.units
    sheets = own_sheets(job)
    renamed = _renamed(sheets, edits)
    raws = []
    for name, own in sheets.items():
        sheet, edit = SHEETS[name], edits.get(name)
        if sheet.settings:
            cells = own[0].cells
            typed = typed_settings(sheet, edit if isinstance(edit, Mapping) else {}, cells, shown_in)
            raws.append(_raw_settings(sheet, {**cells, **_settled(sheet, typed, kept_in, {})}, shown_in))
            continue
        rows = own
        if isinstance(edit, tuple):
            kept = (_settled(sheet, row.cells, kept_in, _before(row, own)) for row in edit)
            rows = tuple(replace(row, cells=cells) for row, cells in zip(edit, kept, strict=True))
            if sheet is CREW_MINIMA and now is not None:
                rows = tuple(_stamped(row, _before(row, own), now, by) for row in rows)
        raws.append(_raw_table(sheet, [_carried(sheet, row.cells, renamed) for row in rows], shown_in))
    return job_of_sheets(raws, shown_in)


def _before(row: TypedRow, own: Sequence[TypedRow]) -> Cells:
    """The job's own cells of a row; none for a new one."""
    return {} if row.number is None else own[row.number].cells


def _settled(sheet: JobSheet, row: Cells, units: UnitSystem, own: Cells) -> Cells:
    """The row as a job in these units keeps what was typed; its own figures stay."""
    return {
        field: cell.settled(sheet.column(field), units)
        if isinstance(cell, TypedFigure) and cell != own.get(field)
        else cell
        for field, cell in row.items()
    }


def _stamped(row: TypedRow, old: Cells, now: datetime, by: str) -> TypedRow:
    """A crew row with who changed it and the time, where something else of it was changed."""
    cells = row.cells
    changed = any((cell or None) != (old.get(field) or None) for field, cell in cells.items())
    if not changed or cells.get("changed_at") != old.get("changed_at") or not any(cells.values()):
        return row
    stamp: dict[str, Cell] = {"changed_at": now.replace(microsecond=0).isoformat()}
    if by and cells.get("changed_by") == old.get("changed_by"):
        stamp["changed_by"] = by
    return replace(row, cells={**cells, **stamp})


def _renamed(
    sheets: Mapping[str, Sequence[TypedRow]], edits: Mapping[str, Edit]
) -> dict[str, dict[str, str]]:
    """Names that were changed in place, by kind: what was, what is."""
    found: dict[str, dict[str, str]] = {}
    for name, kind in _NAMED_BY.items():
        rows = edits.get(name)
        if not isinstance(rows, tuple):
            continue
        now = {_text(row.cells["name"]) for row in rows}
        for row in rows:
            old, new = _text(_before(row, sheets[name]).get("name")), _text(row.cells["name"])
            if old and new and new != old and old not in now:
                found.setdefault(kind, {})[old] = new
    return found


def _text(value: object) -> str:
    return " ".join(value.split()) if isinstance(value, str) else ""


def _carried(sheet: JobSheet, row: Cells, renamed: Mapping[str, Mapping[str, str]]) -> Cells:
    changed = {
        c.field: renamed[c.refers][str(row[c.field])]
        for c in sheet.columns
        if c.kind is CellKind.NAME and str(row.get(c.field)) in renamed.get(c.refers, {})
    }
    return {**row, **changed} if changed else row


def heading_cells(sheet: JobSheet, units: UnitSystem) -> dict[int, RawCell]:
    """The row of headings of a sheet, by column from 1."""
    titles = [SETTING, VALUE, UNIT] if sheet.settings else [c.heading(units) for c in sheet.columns]
    return {i: RawCell(title) for i, title in enumerate(titles, start=1)}


def setting_cells(column: JobColumn, value: RawCell | None, units: UnitSystem) -> dict[int, RawCell]:
    """The row of one setting: its name, its value where there is one, its unit."""
    unit = column.unit_in(units)
    cells = {1: RawCell(column.title), 2: value, 3: RawCell(unit) if unit else None}
    return {i: cell for i, cell in cells.items() if cell is not None}


def _raw_table(sheet: JobSheet, rows: Sequence[Cells], units: UnitSystem) -> RawSheet:
    """A sheet that lists things, for the reader: headings in these units, each figure with its own."""
    raw = RawSheet(sheet.name, {HEADING_ROW: heading_cells(sheet, units)})
    for number, row in enumerate(rows, start=HEADING_ROW + 1):
        cells = {i: _raw(row.get(c.field), units) for i, c in enumerate(sheet.columns, start=1)}
        filled = {i: cell for i, cell in cells.items() if cell is not None}
        if filled:
            raw.rows[number] = filled
    return raw


def _raw_settings(sheet: JobSheet, values: Cells, units: UnitSystem) -> RawSheet:
    """A sheet of settings, for the reader, in these units; each figure with its own."""
    raw = RawSheet(sheet.name, {HEADING_ROW: heading_cells(sheet, units)})
    for number, column in enumerate(sheet.columns, start=HEADING_ROW + 1):
        raw.rows[number] = setting_cells(column, _raw(values.get(column.field), units), units)
    return raw


def _raw(cell: Cell, units: UnitSystem) -> RawCell | None:
    if isinstance(cell, TypedFigure):
        return RawCell(cell.value, units=None if cell.units is units else cell.units)
    return None if cell is None or cell == "" else RawCell(cell)

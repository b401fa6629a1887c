"""Figures with the units they were typed in: what lets a table on the screen be shown in either units.

A figure is never rewritten by being shown in other units. What stands in the job is kept as the inside
figure, what was typed as it was typed; both are converted by the workbook's own `Measure`, to the safe side,
when they are shown or read.

What stands on the screen as sheets for the workbook's reader, and where on the screen its faults stand.

Editing a job on the screen: a sheet of the job workbook as a table, and edited tables back to a job.

The workbook's own description of its sheets makes the tables, and its own reader judges what was typed, so
a screen and a workbook accept the same things and say the same of the rest."""

from __future__ import annotations

import csv
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import pandas as pd

from planner.errors import Fault, InputFaults
from planner.job import Job, UnitSystem
from planner.workbook.columns import CellKind, Column, JobSheet, Measure
from planner.workbook.job_reader import job_of_sheets
from planner.workbook.job_sheets import CREW_MINIMA, JOB_SHEETS, SETTING, UNIT, VALUE
from planner.workbook.job_writer import job_rows, join_names
from planner.workbook.layout import CellValue, RowValues
from planner.workbook.opening import RawCell, RawSheet


@dataclass(frozen=True)
class Figure:
    """A figure and the units it was typed in; one of the job's own is in the inside units, feet."""

    value: float
    units: UnitSystem

    def inside(self, measure: Measure) -> float:
        """The inside value, rounded to the safe side where the figure is metric."""
        return measure.inside(self.value, self.units)

    def shown(self, measure: Measure, units: UnitSystem) -> float:
        """The figure to show: as typed in its own units, else the shortest that reads back the same."""
        return self.value if units is self.units else measure.typed(self.inside(measure), units)

    def settled(self, column: Column, units: UnitSystem) -> Figure:
        """The figure as a job in these units keeps it: on the grid that its own workbook can write."""
        if units is not UnitSystem.METRIC or self.units is units or column.kind is not CellKind.NUMBER:
            return self
        assert column.measure is not None
        value = column.measure.inside(column.measure.typed(self.value, units), units)
        return Figure(value, self.units)


#: What a cell of an edit holds: figures of a measured column with their units, all else as the cell has it.
Cell = CellValue | Figure
Cells = Mapping[str, Cell]


def own_cells(sheet: JobSheet, job: Job) -> list[dict[str, Cell]]:
    """The rows of a sheet as they are in the job, to the last digit."""
    return [with_units(sheet, row, UnitSystem.FEET) for row in job_rows(job, UnitSystem.FEET)[sheet.name]]


def with_units(sheet: JobSheet, row: Cells, units: UnitSystem) -> dict[str, Cell]:
    """The row with its measured figures marked as typed in these units; those marked already stay."""
    measured = {c.field for c in sheet.columns if c.measure is not None}
    return {
        field: Figure(value, units)
        if field in measured and isinstance(value, int | float) and not isinstance(value, bool)
        else value
        for field, value in row.items()
    }


def shown_row(sheet: JobSheet, row: Cells, units: UnitSystem) -> dict[str, CellValue]:
    """The row's cells as they are shown in these units."""
    return {c.field: shown_cell(c, row.get(c.field), units) for c in sheet.columns}


def shown_cell(column: Column, cell: Cell, units: UnitSystem) -> CellValue:
    """One cell as it is shown in these units."""
    if not isinstance(cell, Figure):
        return cell
    assert column.measure is not None
    return cell.shown(column.measure, units)


def typed_row(
    sheet: JobSheet, shown: RowValues, units: UnitSystem, before: Sequence[Cells]
) -> dict[str, Cell]:
    """A row as it stands on the screen, each figure with the units it was typed in.

    Parameters
    ----------
    shown
        The cells as shown, by field.
    units
        Units of the screen.
    before
        What the row was shown from, the latest first. A cell that still shows what one of them does was not
        touched, and keeps its figure.
    """
    row: dict[str, Cell] = dict(shown)
    for column in sheet.columns:
        value = shown.get(column.field)
        if column.measure is None or not isinstance(value, int | float):
            continue
        known = (old.get(column.field) for old in before)
        row[column.field] = next(
            (f for f in known if isinstance(f, Figure) and f.shown(column.measure, units) == value),
            Figure(value, units),
        )
    return row


def held_text(sheet: JobSheet, row: Cells, units: UnitSystem, own: Cells | None) -> str:
    """The row's figures that were typed in the other units, as the text of a table's hidden column."""
    held = {
        c.field: [cell.value, cell.units.value]
        for c in sheet.columns
        if isinstance(cell := row.get(c.field), Figure)
        and cell.units is not units
        and (own is None or cell != own.get(c.field))
    }
    return json.dumps(held) if held else ""


def held_cells(text: object) -> dict[str, Cell]:
    """The figures that `held_text` wrote down."""
    if not isinstance(text, str) or not text:
        return {}
    return {field: Figure(value, UnitSystem(units)) for field, (value, units) in json.loads(text).items()}


SHEETS: dict[str, JobSheet] = {sheet.name: sheet for sheet in JOB_SHEETS}

#: Row of the headings in the sheets that are handed to the reader; the first thing stands in the next.
HEADING_ROW = 1


def raw_table(sheet: JobSheet, rows: Sequence[Cells], units: UnitSystem) -> RawSheet:
    """A sheet that lists things, for the reader: headings in these units, each figure with its own."""
    raw = RawSheet(sheet.name)
    raw.rows[HEADING_ROW] = {i: RawCell(c.heading(units)) for i, c in enumerate(sheet.columns, start=1)}
    for number, row in enumerate(rows, start=HEADING_ROW + 1):
        cells = {i: _raw(row.get(c.field), units) for i, c in enumerate(sheet.columns, start=1)}
        filled = {i: cell for i, cell in cells.items() if cell is not None}
        if filled:
            raw.rows[number] = filled
    return raw


def raw_settings(sheet: JobSheet, values: Cells, units: UnitSystem) -> RawSheet:
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


#: Column of a table that holds the number of the job's thing that a row was; not shown.
ROW = "_row"

#: Column of a table that holds the figures that were typed in the other units; there only when there are any.
HELD = "_held"

#: Which names a sheet gives to the things that other sheets refer to.
_NAMED_BY = {"People": "people", "Dive work": "items", "Surface work": "items", "Stations": "stations"}

#: What was typed into one sheet: a table, or the values of a sheet of settings by field.
Edit = pd.DataFrame | Mapping[str, Cell]


def whole_steps(column: Column, units: UnitSystem) -> bool:
    """Whether the column takes whole numbers in these units (a depth of 18.3 m is not one)."""
    return column.kind is CellKind.WHOLE and (column.measure is None or units is UnitSystem.FEET)


def table_of(sheet: JobSheet, job: Job, units: UnitSystem | None = None) -> pd.DataFrame:
    """A sheet that lists things as a table with one column a field.

    A further column, `ROW`, says which of the job's things a row was; rows added later have none.

    Parameters
    ----------
    units
        Units of the figures; None: the job's own.
    """
    units = units or job.site.units
    rows = job_rows(job, units)[sheet.name]
    columns = {c.field: _series(c, [row.get(c.field) for row in rows], units) for c in sheet.columns}
    return pd.DataFrame({**columns, ROW: pd.Series(range(len(rows)), dtype="Int64")})


def _series(column: Column, values: Sequence[CellValue], units: UnitSystem) -> pd.Series[Any]:
    if column.kind in (CellKind.WHOLE, CellKind.NUMBER):
        numbers = [v if isinstance(v, int | float) else None for v in values]
        return pd.Series(numbers, dtype="Int64" if whole_steps(column, units) else "Float64")
    if column.kind is CellKind.YES_NO:
        return pd.Series([None if v is None else v == "yes" for v in values], dtype="boolean")
    if column.kind is CellKind.DATE:
        return pd.Series(pd.to_datetime(pd.Series(list(values), dtype="object")))
    if chips(column):
        return pd.Series([split_names(str(v or "")) for v in values], dtype="object")
    return pd.Series(["" if v is None else str(v) for v in values], dtype="object")


def chips(column: Column) -> bool:
    """Whether a cell holds names that are picked one by one."""
    return column.kind is CellKind.NAMES and column.refers in ("duties", "certificates")


def split_names(text: str) -> list[str]:
    """Names of one cell, split by semicolons; one in quotes may hold a semicolon itself."""
    rows = list(csv.reader([text], delimiter=";", skipinitialspace=True))
    return [name.strip() for name in rows[0] if name.strip()] if rows else []


def settings_of(sheet: JobSheet, job: Job, units: UnitSystem | None = None) -> dict[str, CellValue]:
    """The values of a sheet of settings by field, in these units; None: the job's own."""
    return dict(job_rows(job, units)[sheet.name][0])


def typed_cells(
    name: str, frame: pd.DataFrame, job: Job, units: UnitSystem
) -> list[tuple[int | None, dict[str, Cell]]]:
    """An edited table's rows: number of the job's thing (None for a new row), and its cells.

    Each figure has the units it was typed in; what was not touched is as in the job, to the last digit.
    """
    sheet = SHEETS[name]
    own = own_cells(sheet, job)
    held = [held_cells(text) for text in frame[HELD]] if HELD in frame.columns else [{}] * len(frame)
    typed = []
    for number, kept, row in zip(_numbers(frame), held, _rows(sheet, frame), strict=True):
        before: list[Cells] = [kept] if number is None else [kept, own[number]]
        typed.append((number, typed_row(sheet, row, units, before)))
    return typed


def table_of_cells(
    name: str, rows: Sequence[tuple[int | None, Cells]], job: Job, units: UnitSystem
) -> pd.DataFrame:
    """The edited table that `typed_cells` gave, as it is shown in these units."""
    sheet = SHEETS[name]
    own = own_cells(sheet, job)
    held = [held_text(sheet, row, units, None if n is None else own[n]) for n, row in rows]
    shown = [shown_row(sheet, row, units) for _, row in rows]
    columns = {c.field: _series(c, [row[c.field] for row in shown], units) for c in sheet.columns}
    table = pd.DataFrame({**columns, ROW: pd.Series([number for number, _ in rows], dtype="Int64")})
    return table.assign(**{HELD: pd.Series(held, dtype="object")}) if any(held) else table


def typed_settings(
    sheet: JobSheet, edit: Mapping[str, Cell], job: Job, units: UnitSystem, before: Cells | None = None
) -> dict[str, Cell]:
    """Edited settings that differ from the job, each figure with the units it was typed in.

    Parameters
    ----------
    before
        What was typed already: a figure that still shows the same stays as it was typed.
    """
    own = own_cells(sheet, job)[0]
    shown = shown_row(sheet, edit, units)
    typed = typed_row(sheet, shown, units, [*([before] if before else []), own])
    marked = {field: edit[field] if isinstance(edit[field], Figure) else typed[field] for field in edit}
    return {field: cell for field, cell in marked.items() if cell != own.get(field)}


def in_units(edits: Mapping[str, Edit], job: Job, typed_in: UnitSystem, units: UnitSystem) -> dict[str, Edit]:
    """Edited sheets as they are shown in other units; nothing that was typed is rewritten."""
    return {
        name: with_units(SHEETS[name], edit, typed_in)
        if isinstance(edit, Mapping)
        else table_of_cells(name, typed_cells(name, edit, job, typed_in), job, units)
        for name, edit in edits.items()
    }


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
    job
        The job before.
    edits
        Edited sheets by name.
    units
        Units that the sheets are shown in, in which faults are told; None: the job's own.
    now
        Time that is noted in crew rows that were changed; None notes nothing.

    Raises
    ------
    InputFaults
        Every fault; its place is the sheet and a cell of it (see `place_of`).
    """
    shown_in, kept_in = units or job.site.units, job.site.units
    renamed = _renamed(job, edits)
    raws = []
    for name, rows in job_rows(job, UnitSystem.FEET).items():
        sheet = SHEETS[name]
        edit = edits.get(name)
        own: list[Cells] = [with_units(sheet, row, UnitSystem.FEET) for row in rows]
        if sheet.settings:
            typed = typed_settings(sheet, edit, job, shown_in) if isinstance(edit, Mapping) else {}
            raws.append(raw_settings(sheet, {**own[0], **_settled(sheet, typed, kept_in)}, shown_in))
        else:
            listed = own
            if isinstance(edit, pd.DataFrame):
                cells = typed_cells(name, edit, job, shown_in)
                listed = [
                    _settled(sheet, row, kept_in, {} if number is None else own[number])
                    for number, row in cells
                ]
                if sheet is CREW_MINIMA and now is not None:
                    listed = _stamped(edit, listed, own, now, by)
            raws.append(raw_table(sheet, [_carried(sheet, r, renamed) for r in listed], shown_in))
    return job_of_sheets(raws, shown_in)


def _settled(sheet: JobSheet, row: Cells, units: UnitSystem, own: Cells | None = None) -> Cells:
    """The row as a job in these units keeps what was typed; its own figures stay."""
    old = own or {}
    return {
        field: cell.settled(sheet.column(field), units)
        if isinstance(cell, Figure) and cell != old.get(field)
        else cell
        for field, cell in row.items()
    }


def _stamped(
    frame: pd.DataFrame, rows: Sequence[Cells], before: Sequence[Cells], now: datetime, by: str
) -> list[Cells]:
    """Crew rows with who changed them and the time, where something else of them was changed."""
    stamped: list[Cells] = []
    for number, row in zip(_numbers(frame), rows, strict=True):
        old: Cells = {} if number is None else before[number]
        changed = any((row[field] or None) != (old.get(field) or None) for field in row)
        own_time = row.get("changed_at") != old.get("changed_at")
        if changed and not own_time and any(row.values()):
            row = {**row, "changed_at": now.replace(microsecond=0).isoformat()}
            if by and row.get("changed_by") == old.get("changed_by"):
                row = {**row, "changed_by": by}
        stamped.append(row)
    return stamped


def _renamed(job: Job, edits: Mapping[str, Edit]) -> dict[str, dict[str, str]]:
    """Names that were changed in place, by kind: what was, what is."""
    found: dict[str, dict[str, str]] = {}
    for name, kind in _NAMED_BY.items():
        edit = edits.get(name)
        if not isinstance(edit, pd.DataFrame):
            continue
        before = [str(name) for name in table_of(SHEETS[name], job)["name"]]
        now = {_text(value) for value in edit["name"]}
        for row, value in zip(edit[ROW], edit["name"], strict=True):
            old, new = "" if pd.isna(row) else before[int(row)], _text(value)
            if old and new and new != old and old not in now:
                found.setdefault(kind, {})[old] = new
    return found


def _carried(sheet: JobSheet, row: Cells, renamed: Mapping[str, Mapping[str, str]]) -> Cells:
    changed = {
        c.field: renamed[c.refers][str(row[c.field])]
        for c in sheet.columns
        if c.kind is CellKind.NAME and str(row.get(c.field)) in renamed.get(c.refers, {})
    }
    return {**row, **changed} if changed else row


def _rows(sheet: JobSheet, frame: pd.DataFrame) -> list[RowValues]:
    return [
        {c.field: cell_of(c, value) for c, value in zip(sheet.columns, values, strict=True)}
        for values in frame[[c.field for c in sheet.columns]].itertuples(index=False, name=None)
    ]


def cell_of(column: Column, value: object) -> CellValue:
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


def _numbers(frame: pd.DataFrame) -> list[int | None]:
    """Which of the job's things each row was; None for a new one."""
    return [None if pd.isna(number) else int(number) for number in frame[ROW]]


def _text(value: object) -> str:
    return " ".join(str(value).split()) if isinstance(value, str) else ""


__all__ = [
    "HEADING_ROW",
    "HELD",
    "ROW",
    "SHEETS",
    "Edit",
    "InputFaults",
    "cell_of",
    "chips",
    "edited_job",
    "in_units",
    "place_of",
    "settings_of",
    "split_names",
    "table_of",
    "table_of_cells",
    "typed_cells",
    "typed_settings",
    "whole_steps",
]

"""Editing a job on the screen: a sheet of the job workbook as a table, and edited tables back to a job.

The workbook's own description of its sheets makes the tables, and its own reader judges what was typed, so
a screen and a workbook accept the same things and say the same of the rest.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

import pandas as pd

from planner.books.columns import Column, Kind, Sheet
from planner.books.columns_rules import CREW_MINIMA
from planner.books.job_in import job_of_sheets
from planner.books.job_in_file import RawCell, RawSheet
from planner.books.job_layout import CellValue, RowValues
from planner.books.job_rows import job_rows, join_names
from planner.books.job_sheets import JOB_SHEETS, SETTING, UNIT, VALUE
from planner.errors import Fault, InputFaults
from planner.job import Job, UnitSystem

SHEETS: dict[str, Sheet] = {sheet.name: sheet for sheet in JOB_SHEETS}

#: Row of the headings in the sheets that are handed to the reader; the first thing stands in the next.
HEADING_ROW = 1

#: Column of a table that holds the number of the job's thing that a row was; not shown.
ROW = "_row"

#: Which names a sheet gives to the things that other sheets refer to.
_NAMED_BY = {"People": "people", "Dive work": "items", "Surface work": "items", "Stations": "stations"}

#: What was typed into one sheet: a table, or the values of a sheet of settings by field.
Edit = pd.DataFrame | Mapping[str, CellValue]


def whole_steps(column: Column, units: UnitSystem) -> bool:
    """Whether the column takes whole numbers in these units (a depth of 18.3 m is not one)."""
    return column.kind is Kind.WHOLE and (column.measure is None or units is UnitSystem.FEET)


def table_of(sheet: Sheet, job: Job) -> pd.DataFrame:
    """A sheet that lists things as a table with one column a field, in the job's units.

    A further column, `ROW`, says which of the job's things a row was; rows added later have none.
    """
    rows = job_rows(job)[sheet.name]
    units = job.site.units
    columns = {c.field: _series(c, [row.get(c.field) for row in rows], units) for c in sheet.columns}
    return pd.DataFrame({**columns, ROW: pd.Series(range(len(rows)), dtype="Int64")})


def _series(column: Column, values: Sequence[CellValue], units: UnitSystem) -> pd.Series[Any]:
    if column.kind in (Kind.WHOLE, Kind.NUMBER):
        numbers = [v if isinstance(v, int | float) else None for v in values]
        return pd.Series(numbers, dtype="Int64" if whole_steps(column, units) else "Float64")
    if column.kind is Kind.YES_NO:
        return pd.Series([None if v is None else v == "yes" for v in values], dtype="boolean")
    if column.kind is Kind.DATE:
        return pd.Series(pd.to_datetime(pd.Series(list(values), dtype="object")))
    if chips(column):
        return pd.Series([split_names(str(v or "")) for v in values], dtype="object")
    return pd.Series(["" if v is None else str(v) for v in values], dtype="object")


def chips(column: Column) -> bool:
    """Whether a cell holds names that are picked one by one."""
    return column.kind is Kind.NAMES and column.refers in ("duties", "certificates")


def split_names(text: str) -> list[str]:
    """Names of one cell, split by semicolons; one in quotes may hold a semicolon itself."""
    rows = list(csv.reader([text], delimiter=";", skipinitialspace=True))
    return [name.strip() for name in rows[0] if name.strip()] if rows else []


def settings_of(sheet: Sheet, job: Job) -> dict[str, CellValue]:
    """The values of a sheet of settings by field, in the job's units."""
    return dict(job_rows(job)[sheet.name][0])


def edited_job(job: Job, edits: Mapping[str, Edit], *, now: datetime | None = None, by: str = "") -> Job:
    """The job with some of its sheets as they were edited.

    A name that was changed in its own sheet is changed wherever other sheets refer to it.

    Parameters
    ----------
    job
        The job before.
    edits
        Edited sheets by name.
    now
        Time that is noted in crew rows that were changed; None notes nothing.

    Raises
    ------
    InputFaults
        Every fault; its place is the sheet and a cell of it (see `place_of`).
    """
    renamed = _renamed(job, edits)
    raws = []
    for name, rows in job_rows(job).items():
        sheet = SHEETS[name]
        edit = edits.get(name)
        if sheet.settings:
            values = {**rows[0], **edit} if isinstance(edit, Mapping) else rows[0]
            raws.append(_raw_settings(sheet, values, job.site.units))
        else:
            listed = _rows(sheet, edit) if isinstance(edit, pd.DataFrame) else rows
            if sheet is CREW_MINIMA and now is not None and isinstance(edit, pd.DataFrame):
                listed = _stamped(edit, listed, rows, now, by)
            raws.append(_raw_table(sheet, [_carried(sheet, r, renamed) for r in listed], job.site.units))
    return job_of_sheets(raws)


def _stamped(
    frame: pd.DataFrame, rows: Sequence[RowValues], before: Sequence[RowValues], now: datetime, by: str
) -> list[RowValues]:
    """Crew rows with who changed them and the time, where something else of them was changed."""
    stamped: list[RowValues] = []
    for number, row in zip(frame[ROW], rows, strict=True):
        old = {} if pd.isna(number) else before[int(number)]
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


def _carried(sheet: Sheet, row: RowValues, renamed: Mapping[str, Mapping[str, str]]) -> RowValues:
    changed = {
        c.field: renamed[c.refers][str(row[c.field])]
        for c in sheet.columns
        if c.kind is Kind.NAME and str(row.get(c.field)) in renamed.get(c.refers, {})
    }
    return {**row, **changed} if changed else row


def _rows(sheet: Sheet, frame: pd.DataFrame) -> list[RowValues]:
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
    if column.kind is Kind.YES_NO:
        return "yes" if bool(value) else "no"
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date | int | float):
        return value
    if hasattr(value, "tolist"):
        return cell_of(column, value.tolist())
    return str(value).strip() or None


def typed_rows(name: str, frame: pd.DataFrame) -> list[tuple[int | None, list[CellValue]]]:
    """An edited table as plain rows: number of the job's thing (None for a new row), and its cells."""
    sheet = SHEETS[name]
    numbers = [None if pd.isna(number) else int(number) for number in frame[ROW]]
    return [
        (number, [row[c.field] for c in sheet.columns])
        for number, row in zip(numbers, _rows(sheet, frame), strict=True)
    ]


def table_of_typed(
    name: str, rows: Sequence[tuple[int | None, Sequence[CellValue]]], job: Job
) -> pd.DataFrame:
    """The edited table that `typed_rows` gave."""
    sheet, units = SHEETS[name], job.site.units
    columns = {c.field: _series(c, [row[i] for _, row in rows], units) for i, c in enumerate(sheet.columns)}
    return pd.DataFrame({**columns, ROW: pd.Series([number for number, _ in rows], dtype="Int64")})


def _text(value: object) -> str:
    return " ".join(str(value).split()) if isinstance(value, str) else ""


def _raw_table(sheet: Sheet, rows: Sequence[RowValues], units: UnitSystem) -> RawSheet:
    raw = RawSheet(sheet.name)
    raw.rows[HEADING_ROW] = {i: RawCell(c.heading(units)) for i, c in enumerate(sheet.columns, start=1)}
    for number, row in enumerate(rows, start=HEADING_ROW + 1):
        cells = {i: _raw(row.get(c.field)) for i, c in enumerate(sheet.columns, start=1)}
        filled = {i: cell for i, cell in cells.items() if cell is not None}
        if filled:
            raw.rows[number] = filled
    return raw


def _raw_settings(sheet: Sheet, values: RowValues, units: UnitSystem) -> RawSheet:
    raw = RawSheet(sheet.name)
    raw.rows[HEADING_ROW] = {i: RawCell(h) for i, h in enumerate((SETTING, VALUE, UNIT), start=1)}
    for number, column in enumerate(sheet.columns, start=HEADING_ROW + 1):
        cells = {1: RawCell(column.title)}
        value, unit = _raw(values.get(column.field)), column.unit_in(units)
        if value is not None:
            cells[2] = value
        if unit:
            cells[3] = RawCell(unit)
        raw.rows[number] = cells
    return raw


def _raw(value: CellValue) -> RawCell | None:
    return None if value is None or value == "" else RawCell(value)


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


__all__ = [
    "HEADING_ROW",
    "ROW",
    "SHEETS",
    "Edit",
    "InputFaults",
    "cell_of",
    "chips",
    "edited_job",
    "place_of",
    "settings_of",
    "split_names",
    "table_of",
    "table_of_typed",
    "typed_rows",
    "whole_steps",
]

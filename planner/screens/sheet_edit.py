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

from planner.errors import InputFaults
from planner.job import Job, UnitSystem
from planner.screens.figures import (
    Cell,
    Cells,
    Figure,
    held_cells,
    held_text,
    own_cells,
    shown_row,
    typed_row,
    with_units,
)
from planner.screens.sheet_raw import HEADING_ROW, SHEETS, place_of, raw_settings, raw_table
from planner.workbook.columns import Column, Kind, Sheet
from planner.workbook.job_reader import job_of_sheets
from planner.workbook.job_sheets import CREW_MINIMA
from planner.workbook.job_writer import job_rows, join_names
from planner.workbook.layout import CellValue, RowValues

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
    return column.kind is Kind.WHOLE and (column.measure is None or units is UnitSystem.FEET)


def table_of(sheet: Sheet, job: Job, units: UnitSystem | None = None) -> pd.DataFrame:
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


def settings_of(sheet: Sheet, job: Job, units: UnitSystem | None = None) -> dict[str, CellValue]:
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
    sheet: Sheet, edit: Mapping[str, Cell], job: Job, units: UnitSystem, before: Cells | None = None
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


def _settled(sheet: Sheet, row: Cells, units: UnitSystem, own: Cells | None = None) -> Cells:
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


def _carried(sheet: Sheet, row: Cells, renamed: Mapping[str, Mapping[str, str]]) -> Cells:
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

"""Sheets into rows: where the headings are, which unit each names, what each filled cell holds."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from planner.errors import Fault
from planner.job import UnitSystem
from planner.job.names import did_you_mean, fold, listed
from planner.workbook.cells import Unreadable, Value, allowed_in, found_text, read_cell
from planner.workbook.columns import CellKind, JobColumn, JobSheet
from planner.workbook.job_sheets import SETTING, UNIT, VALUE
from planner.workbook.opening import RawCell, RawSheet

#: Headings are looked for this far down.
_HEADING_SEARCH_ROWS = 30
#: A tab with as many headings of a sheet of a job, and hardly any others, is taken for that sheet.
_HEADINGS_ALIKE = 3
_MOSTLY = 0.75
_WITH_UNIT = re.compile(r"(.*\S)\s*\((.*)\)\s*", re.DOTALL)


@dataclass
class Row:
    """One thing of a sheet, or all its settings.

    ``values`` holds what could be read, by field, with a stand-in where a needed cell could not; ``bad``
    names those fields, and every field whose cell had a fault. ``typed``: see `Measured`.
    """

    sheet: JobSheet
    place: str
    values: dict[str, Any] = field(default_factory=dict)
    cells: dict[str, str] = field(default_factory=dict)
    bad: set[str] = field(default_factory=set)
    typed: dict[str, float] = field(default_factory=dict)

    def where(self, name: str) -> str:
        """The cell of a field; the row's first cell when the sheet lacks the column."""
        return self.cells.get(name, self.place)


@dataclass
class SheetRows:
    """The rows of one sheet. ``whole``: it was there, and no heading that it needs was missing."""

    sheet: JobSheet
    rows: list[Row] = field(default_factory=list)
    whole: bool = True
    there: bool = True
    first_cell: str = ""


@dataclass
class _Heading:
    column: JobColumn
    units: UnitSystem


class SheetReader:
    """Reads the sheets of one workbook in its units and collects the faults.

    Parameters
    ----------
    units
        The workbook's units; None while they are not known, so that no heading is held against them.
    kept_in
        Units of the job, where what is read are its sheets as a screen shows them in others.
    """

    def __init__(self, units: UnitSystem | None, kept_in: UnitSystem | None = None) -> None:
        self.units, self.kept_in = units, kept_in or units
        self.faults: list[Fault] = []
        self.told: list[str] = []
        """Sentences about what is opened otherwise than it stands in the workbook."""

    def fault(self, where: str, found: str, allowed: str, sentence: str) -> None:
        self.faults.append(Fault(where, found, allowed, sentence))

    def table(self, sheet: JobSheet, raw: RawSheet | None) -> SheetRows:
        """The rows of a sheet that lists things."""
        table = SheetRows(sheet, first_cell=f"{sheet.name}!A1")
        if raw is None:
            return self._absent(table)
        heading_row = _heading_row(sheet, raw)
        if heading_row is None:
            if raw.rows or sheet.required:
                self.fault(
                    table.first_cell,
                    "",
                    ", ".join(c.heading(self.units or UnitSystem.FEET) for c in sheet.columns),
                    f"The sheet {sheet.name} has no row of headings.",
                )
                table.whole = False
            return table
        headings = self._headings(sheet, raw, heading_row)
        self._missing_columns(table, raw, heading_row, headings)
        self._cells_beside(raw, heading_row)
        table.first_cell = raw.place(heading_row + 1, 1)
        for number in sorted(n for n in raw.rows if n > heading_row):
            if any(column in raw.rows[number] for column in headings):
                table.rows.append(self._row(sheet, raw, number, headings))
        return table

    def settings(self, sheet: JobSheet, raw: RawSheet | None) -> SheetRows:
        """The one row that the settings of a sheet make up."""
        table = SheetRows(sheet, first_cell=f"{sheet.name}!A1")
        if raw is None:
            self._absent(table)
        row = Row(sheet, table.first_cell)
        table.rows.append(row)
        if raw is not None:
            places = _settings_places(raw)
            if places is None:
                self.fault(
                    table.first_cell,
                    "",
                    f"{SETTING}, {VALUE}, {UNIT}",
                    f"The sheet {sheet.name} has no row of headings.",
                )
                table.whole = False
            else:
                self._read_settings(row, raw, *places)
        for column in sheet.columns:
            if table.whole:
                self._needed(row, column)
            elif sheet.needs(column):
                row.bad.add(column.field)
            _stand_in(row, column)
        return table

    def _absent(self, table: SheetRows) -> SheetRows:
        table.there = False
        if table.sheet.required:
            table.whole = False
            self.fault(
                table.sheet.name,
                "no such sheet",
                f"a sheet called {table.sheet.name}",
                f"The workbook lacks the sheet {table.sheet.name}.",
            )
        return table

    def _headings(self, sheet: JobSheet, raw: RawSheet, heading_row: int) -> dict[int, _Heading]:
        headings: dict[int, _Heading] = {}
        taken: set[str] = set()
        for index, cell in sorted(raw.rows[heading_row].items()):
            text = found_text(cell.content)
            where = raw.place(heading_row, index)
            column = _column_of(sheet, text)
            if column is None:
                titles = [c.title for c in sheet.columns]
                with_unit = _WITH_UNIT.fullmatch(text)
                own = " Keep notes of your own on a sheet of their own."
                meant = did_you_mean(with_unit.group(1) if with_unit else text, titles, own)
                sentence = f"The sheet {sheet.name} has no column called {text}.{meant}"
                self.fault(where, text, listed(titles, 30), sentence)
            elif column.field in taken:
                self.fault(
                    where, text, "each heading once", f"The heading {column.title} stands there twice."
                )
            else:
                taken.add(column.field)
                headings[index] = _Heading(column, self._heading_units(where, text, column))
        return headings

    def _heading_units(self, where: str, text: str, column: JobColumn) -> UnitSystem:
        """The unit system that a heading's unit belongs to; a fault when it is not the workbook's."""
        expected = self.units or UnitSystem.FEET
        match = _WITH_UNIT.fullmatch(text)
        return self._unit_system(where, text, match.group(2) if match else "", column) or expected

    def _unit_system(self, where: str, found: str, unit: str, column: JobColumn) -> UnitSystem | None:
        expected = self.units or UnitSystem.FEET
        if column.measure is None:
            if unit and fold(unit) != fold(column.unit):
                self.fault(
                    where,
                    found,
                    column.heading(expected),
                    f"{column.title} is in {column.unit}, not in {unit}."
                    if column.unit
                    else f"{column.title} has no unit.",
                )
            return None
        both = f"{column.heading(UnitSystem.FEET)} or {column.heading(UnitSystem.METRIC)}"
        if not unit:
            self.fault(where, found, both, f"{column.title} does not say its unit.")
            return None
        if column.measure.feet == column.measure.metric:
            return None
        for system in UnitSystem:
            if fold(unit) == fold(column.measure.unit(system)):
                if self.units is not None and system is not self.units:
                    self.fault(
                        where,
                        found,
                        column.heading(self.units),
                        f"{column.title} is in {unit} here, but the sheet Site says that the workbook is in "
                        f"{self.units}.",
                    )
                return system
        self.fault(where, found, both, f"{column.title} is in a unit that is not known: {unit}.")
        return None

    def _missing_columns(
        self, table: SheetRows, raw: RawSheet, heading_row: int, headings: dict[int, _Heading]
    ) -> None:
        there = {h.column.field for h in headings.values()}
        for column in table.sheet.columns:
            if table.sheet.needs(column) and column.field not in there:
                table.whole = False
                self.fault(
                    raw.place(heading_row, 1),
                    "no such column",
                    column.heading(self.units or UnitSystem.FEET),
                    f"The sheet {table.sheet.name} lacks the column {column.title}.",
                )

    def _cells_beside(self, raw: RawSheet, heading_row: int) -> None:
        named = raw.rows[heading_row]
        told: set[int] = set()
        for number in sorted(n for n in raw.rows if n > heading_row):
            for index, cell in sorted(raw.rows[number].items()):
                if index not in named and index not in told:
                    told.add(index)
                    self.fault(
                        raw.place(number, index),
                        found_text(cell.content),
                        "cells under a heading",
                        "This cell stands under no heading, so it would be lost.",
                    )

    def _row(self, sheet: JobSheet, raw: RawSheet, number: int, headings: dict[int, _Heading]) -> Row:
        row = Row(sheet, raw.place(number, min(headings)))
        there: set[str] = set()
        for index, heading in headings.items():
            column = heading.column
            there.add(column.field)
            row.cells[column.field] = raw.place(number, index)
            cell = raw.rows[number].get(index)
            if cell is not None:
                self._read(row, column, cell, heading.units)
            self._needed(row, column)
        for column in sheet.columns:
            if column.field not in there and sheet.needs(column):
                row.bad.add(column.field)
            _stand_in(row, column)
        return row

    def _read(self, row: Row, column: JobColumn, cell: RawCell, units: UnitSystem) -> None:
        try:
            value = row.values[column.field] = read_cell(row.sheet, column, cell, units)
        except Unreadable as told:
            row.bad.add(column.field)
            self.fault(row.where(column.field), told.found, told.allowed, told.sentence)
            return
        own = cell.units or units
        if column.measure and own is UnitSystem.METRIC and isinstance(value, int | float):
            figure = float(str(cell.content))
            if self.kept_in is not own or figure != column.measure.typed(value, own):
                row.typed[column.field] = figure

    def _needed(self, row: Row, column: JobColumn) -> None:
        if column.field in row.values or column.field in row.bad or not row.sheet.needs(column):
            return
        row.bad.add(column.field)
        self.fault(
            row.where(column.field),
            "",
            allowed_in(row.sheet, column, self.units or UnitSystem.FEET),
            f"{column.title} must be filled in.",
        )

    def _read_settings(self, row: Row, raw: RawSheet, heading_row: int, places: dict[str, int]) -> None:
        titles = {fold(c.title): c for c in row.sheet.columns}
        stands = {
            titles[said].field
            for cells in raw.rows.values()
            if (label := cells.get(places[SETTING])) and (said := fold(found_text(label.content))) in titles
        }
        for number in sorted(n for n in raw.rows if n > heading_row):
            cells = raw.rows[number]
            label, value = cells.get(places[SETTING]), cells.get(places[VALUE])
            if label is None:
                if value is not None:
                    self.fault(
                        raw.place(number, places[VALUE]),
                        found_text(value.content),
                        "a value beside the name of its setting",
                        "This value stands beside no setting.",
                    )
                continue
            text = found_text(label.content)
            column = titles.get(fold(text))
            where = raw.place(number, places[SETTING])
            if column is None:
                known = [c.title for c in row.sheet.columns]
                sentence = f"There is no setting called {text}.{did_you_mean(text, known)}"
                self.fault(where, text, listed(known, 40), sentence)
                continue
            if column.field in row.cells:
                self.fault(
                    where, text, "each setting once", f"The setting {column.title} stands there twice."
                )
                continue
            row.cells[column.field] = raw.place(number, places[VALUE])
            if value is None:
                continue
            units = self.units or UnitSystem.FEET
            if column.measure is not None and UNIT in places:
                unit = cells.get(places[UNIT])
                said = found_text(unit.content) if unit else ""
                units = self._unit_system(raw.place(number, places[UNIT]), said, said, column) or units
            for older in row.sheet.older:
                if older.field == column.field and older.before not in stands and value.content == older.was:
                    row.values[column.field] = older.now
                    self.told.append(older.sentence)
                    break
            else:
                self._read(row, column, value, units)


def workbook_units(sheet: JobSheet, raw: RawSheet | None) -> UnitSystem | None:
    """The units that the sheet Site names; feet when the cell is blank, None when it cannot be read."""
    quiet = SheetReader(None)
    row = quiet.settings(sheet, raw).rows[0]
    if "units" in row.bad:
        return None
    return UnitSystem(row.values["units"]) if "units" in row.values else UnitSystem.FEET


def _column_of(sheet: JobSheet, heading: str) -> JobColumn | None:
    match = _WITH_UNIT.fullmatch(heading)
    names = {fold(heading), fold(match.group(1)) if match else ""}
    return next((c for c in sheet.columns if fold(c.title) in names), None)


def heading_row(sheet: JobSheet, raw: RawSheet) -> int | None:
    """The row in which the headings of a sheet stand; None when it has none."""
    if sheet.settings:
        places = _settings_places(raw)
        return None if places is None else places[0]
    return _heading_row(sheet, raw)


def headings_of(sheet: JobSheet, raw: RawSheet) -> int:
    """How many headings (or settings) of a sheet of a job a tab has; 0 where it is not taken for that sheet.

    It is, when it has all that the sheet needs and hardly any others: a list of a user's own shares a heading
    or two (Name, Note) with many.
    """
    number = heading_row(sheet, raw)
    if number is None:
        return 0
    if sheet.settings:
        at = (_settings_places(raw) or (0, {}))[1][SETTING]
        texts = [found_text(cells[at].content) for n, cells in raw.rows.items() if n > number and at in cells]
    else:
        texts = [found_text(cell.content) for cell in raw.rows[number].values()]
    found = [column for text in texts if (column := _column_of(sheet, text)) is not None]
    whole = len(found) >= min(_HEADINGS_ALIKE, len(sheet.columns)) and len(found) >= _MOSTLY * len(texts)
    return len(found) if whole and all(c in found for c in sheet.columns if sheet.needs(c)) else 0


def _heading_row(sheet: JobSheet, raw: RawSheet) -> int | None:
    """The row near the top with the most headings of the sheet in it."""
    best: tuple[int, int] | None = None
    for number in sorted(n for n in raw.rows if n <= _HEADING_SEARCH_ROWS):
        hits = sum(_column_of(sheet, found_text(c.content)) is not None for c in raw.rows[number].values())
        if hits and (best is None or hits > best[0]):
            best = (hits, number)
    return best[1] if best else None


def _settings_places(raw: RawSheet) -> tuple[int, dict[str, int]] | None:
    """The heading row of a sheet of settings and the columns of its headings."""
    for number in sorted(n for n in raw.rows if n <= _HEADING_SEARCH_ROWS):
        places = {
            heading: index
            for index, cell in raw.rows[number].items()
            for heading in (SETTING, VALUE, UNIT)
            if fold(found_text(cell.content)) == fold(heading)
        }
        if SETTING in places and VALUE in places:
            return number, places
    return None


def _stand_in(row: Row, column: JobColumn) -> None:
    """A value for a needed cell that could not be read, so that the rest can still be judged."""
    if column.field in row.values or not row.sheet.needs(column):
        return
    stand_in = _any_value(row, column)
    if stand_in is not None:
        row.values[column.field] = stand_in


def _any_value(row: Row, column: JobColumn) -> Value | None:
    if column.refers:
        return () if column.kind is CellKind.NAMES else None
    if column.kind in (CellKind.NAME, CellKind.TEXT):
        return f"{row.place} (no {column.title.lower()})"
    if column.kind in (CellKind.WHOLE, CellKind.NUMBER):
        bounds = row.sheet.bounds(column)
        choices: Iterable[float | None] = (bounds.low, 1, bounds.high)
        value = next(v for v in choices if v is not None and bounds.hold(v))
        return int(value) if column.kind is CellKind.WHOLE else float(value)
    if column.kind is CellKind.CHOICE:
        return str(column.choices[0])
    if column.kind is CellKind.DATE and column.field == "first_day":
        return date(2000, 1, 1)
    return None

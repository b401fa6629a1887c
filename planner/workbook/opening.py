"""Opening a workbook that may be anything: limits before parsing, then plain cells.

What comes out is a `RawSheet` for each sheet: the cells that hold something, by row and column. Macros,
charts and links are never run or followed; a formula counts with the value that was saved with it. A sheet
that the workbook names and that is not in the file makes it damaged: it is never taken for absent.
"""

from __future__ import annotations

import hashlib
import io
import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from planner.errors import Fault, InputFaults
from planner.file_limits import DAMAGED, MOST_ROWS, MOST_SHEETS, Source, bytes_of, look_at, refused

if TYPE_CHECKING:
    # a child process that only opens a workbook does not load what a job is
    from planner.job import UnitSystem

CellContent = str | int | float | bool | date | datetime | time | timedelta

#: Kinds of a cell, each under a letter of its own: how one is written as JSON and read.
CellKinds = Mapping[str, tuple[type, Callable[[Any], Any], Callable[[Any], Any]]]

#: Those that JSON does not know.
CELL_KINDS: CellKinds = {
    "dt": (datetime, datetime.isoformat, datetime.fromisoformat),
    "d": (date, date.isoformat, date.fromisoformat),
    "t": (time, time.isoformat, time.fromisoformat),
    "s": (timedelta, timedelta.total_seconds, lambda kept: timedelta(seconds=kept)),
}


def cell_out(content: object, kinds: CellKinds = CELL_KINDS) -> Any:
    """What a cell holds, for JSON: a kind that JSON does not know under its letter."""
    known = ({letter: out(content)} for letter, (kind, out, _) in kinds.items() if isinstance(content, kind))
    return next(known, content)


def cell_in(kept: Any, kinds: CellKinds = CELL_KINDS) -> Any:
    """What a cell held that `cell_out` wrote."""
    if not isinstance(kept, dict):
        return kept
    [(letter, value)] = kept.items()
    return kinds[letter][2](value)


@dataclass(frozen=True)
class RawCell:
    content: CellContent
    trouble: str = ""
    """An error value, or a formula without a saved value."""
    units: UnitSystem | None = None
    """Units of the figure where they are not those of its heading: a table on the screen may hold figures
    that were typed in either. None: as the heading says."""


@dataclass
class RawSheet:
    """The filled cells of one sheet, by row, then column, both counted from 1."""

    name: str
    rows: dict[int, dict[int, RawCell]] = field(default_factory=dict)

    def place(self, row: int, column: int) -> str:
        """``Work!C7``."""
        return f"{self.name}!{column_letters(column)}{row}"


def sheet_out(sheet: RawSheet) -> Any:
    """A sheet for JSON, cell by cell: its name and rows, a row its number and cells."""

    def row_out(cells: dict[int, RawCell]) -> list[Any]:
        return [(column, cell_out(cell.content), cell.trouble) for column, cell in cells.items()]

    return sheet.name, [(number, row_out(cells)) for number, cells in sheet.rows.items()]


def sheet_in(kept: Any) -> RawSheet:
    """The sheet that `sheet_out` wrote."""

    def row_in(cells: list[Any]) -> dict[int, RawCell]:
        return {column: RawCell(cell_in(content), trouble) for column, content, trouble in cells}

    name, rows = kept
    return RawSheet(name, {number: row_in(cells) for number, cells in rows})


def column_letters(column: int) -> str:
    """Letters of a column counted from 1: ``C``, ``AB``.

    Said here, since only what parses a file loads the spreadsheet library (a quarter second of a start).
    """
    letters = ""
    while column:
        column, letter = divmod(column - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return letters


@dataclass(frozen=True)
class OpenedBook:
    """A workbook's name, what tells its very bytes from any others, and its sheets."""

    name: str
    sha256: str
    sheets: list[RawSheet]


def open_book(source: Source) -> OpenedBook:
    """A workbook with all its sheets.

    Raises
    ------
    InputFaults
        When it is not an .xlsx workbook, is too large or is broken; one fault, in one sentence.
    """
    name, content = bytes_of(source)
    look_at(name, content)
    with warnings.catch_warnings():
        # openpyxl warns of parts it leaves out (extensions, styles); nothing that is read here.
        warnings.simplefilter("ignore")
        try:
            sheets = _read(name, content, formulas=True)
            if any(c.trouble for s in sheets for row in s.rows.values() for c in row.values()):
                _fill_in_saved_values(sheets, _read(name, content, formulas=False))
        except (InputFaults, MemoryError):
            raise
        except Exception as broken:
            raise refused(name, "a broken workbook", DAMAGED) from broken
    return OpenedBook(name, hashlib.sha256(content).hexdigest(), sheets)


def _read(name: str, content: bytes, *, formulas: bool) -> list[RawSheet]:
    from openpyxl.reader.excel import ExcelReader
    from openpyxl.styles.stylesheet import apply_stylesheet

    reader = ExcelReader(io.BytesIO(content), read_only=True, data_only=not formulas, keep_links=False)
    with reader.archive:
        # properties, theme, names and extents, which the library's own `read` takes too, say nothing of a job
        reader.read_manifest()
        reader.read_strings()
        reader.read_workbook()
        apply_stylesheet(reader.archive, reader.wb)
        there = [one for one in reader.parser.find_sheets() if one[1].target in reader.valid_files]
        # the library passes over a sheet whose part is not in the archive, without a word
        named, tabs = [sheet.name for sheet in reader.parser.sheets], {sheet.name for sheet, _ in there}
        if lost := [tab for tab in named if tab not in tabs] or named[len(there) :]:
            raise refused(
                name,
                f"named, but not in the file: {', '.join(lost)}",
                "This workbook is damaged: sheets that it names are not in the file. Save it again from the "
                "spreadsheet program, or take an earlier copy.",
            )
        parts = [(sheet.name, part.target) for sheet, part in there if "chartsheet" not in part.Type]
        if len(parts) > MOST_SHEETS:
            raise refused(name, f"{len(parts)} sheets", "This workbook has too many sheets.")
        return [_cells(reader, tab, part) for tab, part in parts]


def _cells(reader: Any, tab: str, part: str) -> RawSheet:
    """The filled cells of one sheet of the library. What stands after the cells (lists to choose from, page
    setup) takes as long again to parse and is left; nor is the extent believed that a file claims for itself.
    """
    from openpyxl.worksheet._reader import DATA_TAG, ROW_TAG, WorkSheetParser
    from openpyxl.xml.functions import iterparse

    raw, last, book = RawSheet(tab), 0, reader.wb
    with reader.archive.open(part) as source:
        parser = WorkSheetParser(
            source,
            reader.shared_strings,
            data_only=book.data_only,
            epoch=book.epoch,
            date_formats=book._date_formats,
            timedelta_formats=book._timedelta_formats,
        )
        for _, element in iterparse(source):
            if element.tag == DATA_TAG:
                break
            if element.tag != ROW_TAG:
                continue
            number, cells = parser.parse_row(element)
            element.clear()
            row = {
                c["column"]: found for c in cells if (found := _raw(c["value"], c["data_type"])) is not None
            }
            if row and (number <= last or len({c["column"] for c in cells}) < len(cells)):
                # the library would take one of the two and say nothing
                place = f"{raw.name}!A{number}"
                raise InputFaults(
                    [Fault(place, "a row or a cell twice or out of order", "each once", DAMAGED)]
                )
            if row and number > MOST_ROWS:
                where, allowed = f"{raw.name}!A{number}", f"up to {MOST_ROWS} rows a sheet"
                told = "This sheet goes on for more rows than a job can need."
                raise InputFaults([Fault(where, f"row {number}", allowed, told)])
            if row:
                raw.rows[number] = row
            last = max(last, number)
    return raw


def _raw(value: Any, kind: str) -> RawCell | None:
    """A cell as it is kept; None where it is empty. ``kind``: the library's letter for it."""
    if value is None or (isinstance(value, str) and not value.strip() and kind != "f"):
        return None
    if kind == "f":
        return RawCell(value if isinstance(value, str) else "a formula", "formula")
    if kind == "e":
        return RawCell(str(value), "error")
    if isinstance(value, str | int | float | date | time | timedelta):
        return RawCell(value)
    return RawCell(str(value))


def _fill_in_saved_values(sheets: list[RawSheet], saved: list[RawSheet]) -> None:
    for sheet, values in zip(sheets, saved, strict=True):
        for number, row in sheet.rows.items():
            for column, cell in row.items():
                value = values.rows.get(number, {}).get(column)
                if cell.trouble == "formula" and value is not None:
                    row[column] = value

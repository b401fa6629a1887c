"""Opening a workbook that may be anything: limits before parsing, then plain cells.

What comes out is a `RawSheet` for each sheet: the cells that hold something, by row and column. Macros,
charts and links are never run or followed; a formula counts with the value that was saved with it.
"""

from __future__ import annotations

import io
import os
import warnings
import zipfile
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import BinaryIO

import openpyxl
from openpyxl.cell.cell import Cell
from openpyxl.cell.read_only import ReadOnlyCell
from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook

from planner.errors import Fault, InputFaults
from planner.job import UnitSystem

Source = str | os.PathLike[str] | BinaryIO | bytes

#: A job of a hundred people is well under a megabyte; these only keep out what is no job.
MOST_FILE_BYTES = 10 * 2**20
MOST_UNPACKED_BYTES = 60 * 2**20
MOST_MEMBERS = 400
MOST_ROWS = 2000
MOST_SHEETS = 80
#: Last row that the file format knows (ECMA-376); a sheet that claims more is broken.
_LAST_ROW = 1_048_576

_OLE = bytes.fromhex("d0cf11e0a1b11ae1")
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_WANTED = "a job workbook saved as .xlsx"

CellContent = str | int | float | bool | date | datetime | time | timedelta


@dataclass(frozen=True)
class RawCell:
    """What a cell holds.

    Parameters
    ----------
    trouble
        An error value, or a formula without a saved value.
    units
        Units of the figure where they are not those of its heading: a table on the screen may hold figures
        that were typed in either. None: as the heading says.
    """

    content: CellContent
    trouble: str = ""
    units: UnitSystem | None = None


@dataclass
class RawSheet:
    """The filled cells of one sheet, by row, then column, both counted from 1."""

    name: str
    rows: dict[int, dict[int, RawCell]] = field(default_factory=dict)

    def place(self, row: int, column: int) -> str:
        """``Work!C7``."""
        return f"{self.name}!{get_column_letter(column)}{row}"


def open_sheets(source: Source) -> list[RawSheet]:
    """All sheets of a workbook.

    Raises
    ------
    InputFaults
        When it is not an .xlsx workbook, is too large or is broken; one fault, in one sentence.
    """
    name, content = _bytes_of(source)
    _look_at_container(name, content)
    with warnings.catch_warnings():
        # openpyxl warns of parts it leaves out (extensions, styles); nothing that is read here.
        warnings.simplefilter("ignore")
        try:
            sheets = _read(content, formulas=True)
            if any(c.trouble for s in sheets for row in s.rows.values() for c in row.values()):
                _fill_in_saved_values(sheets, _read(content, formulas=False))
        except InputFaults:
            raise
        except Exception as broken:
            raise _refused(
                name, "a broken workbook", "This workbook is damaged and cannot be read."
            ) from broken
    return sheets


def _refused(name: str, found: str, sentence: str) -> InputFaults:
    return InputFaults([Fault(name, found, _WANTED, sentence)])


def _bytes_of(source: Source) -> tuple[str, bytes]:
    if isinstance(source, bytes):
        name, content = "workbook", source[: MOST_FILE_BYTES + 1]
    elif isinstance(source, str | os.PathLike):
        path = Path(source)
        name = path.name or str(path)
        try:
            with path.open("rb") as file:
                content = file.read(MOST_FILE_BYTES + 1)
        except (OSError, ValueError) as failed:
            why = failed.strerror if isinstance(failed, OSError) and failed.strerror else "not a file name"
            raise _refused(name, why, "This file cannot be opened.") from failed
    else:
        name = Path(str(getattr(source, "name", "workbook"))).name
        content = source.read(MOST_FILE_BYTES + 1)
    if not content:
        raise _refused(name, "an empty file", "This file is empty.")
    if len(content) > MOST_FILE_BYTES:
        most = MOST_FILE_BYTES // 2**20
        raise _refused(
            name, f"more than {most} MB", f"This file is larger than {most} MB, too large for a job."
        )
    return name, content


def _look_at_container(name: str, content: bytes) -> None:
    """Judge the file by its outside, before any part of it is parsed."""
    if content.startswith(_OLE):
        if _ENCRYPTED in content:
            raise _refused(
                name, "an encrypted workbook", "This workbook is protected by a password; save it without."
            )
        raise _refused(
            name, "an old workbook (.xls)", "This is the old workbook format; save it again as .xlsx."
        )
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as box:
            members = box.infolist()
    # zipfile answers a box that it cannot open in any of these four ways (NotImplementedError: one of a later
    # version of the format than it knows); each is told to the user as a fault
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError) as broken:
        raise _refused(
            name, "some other kind of file", "This is not a workbook, whatever its name says."
        ) from broken
    names = {member.filename for member in members}
    if "xl/workbook.xml" not in names:
        raise _refused(name, *_other_kind(names))
    if len(members) > MOST_MEMBERS:
        raise _refused(name, f"{len(members)} parts", "This workbook has more parts than a job can need.")
    unpacked = sum(member.file_size for member in members)
    if unpacked > MOST_UNPACKED_BYTES:
        raise _refused(
            name,
            f"{unpacked // 2**20} MB unpacked",
            f"This workbook unpacks to more than {MOST_UNPACKED_BYTES // 2**20} MB, too large for a job.",
        )
    if any(member.flag_bits & 1 for member in members):
        raise _refused(
            name, "an encrypted archive", "This workbook is protected by a password; save it without."
        )


def _other_kind(names: set[str]) -> tuple[str, str]:
    if "xl/workbook.bin" in names:
        return "a binary workbook (.xlsb)", "This is a binary workbook; save it again as .xlsx."
    if "mimetype" in names and "content.xml" in names:
        return "an OpenDocument file", "This is an OpenDocument file; save it again as .xlsx."
    if any(part.startswith(("word/", "ppt/")) for part in names):
        return "a text or slide document", "This is a document, not a workbook."
    return "an archive", "This is an archive of files, not a workbook."


def _read(content: bytes, *, formulas: bool) -> list[RawSheet]:
    book: Workbook = openpyxl.load_workbook(
        io.BytesIO(content), read_only=True, data_only=not formulas, keep_links=False
    )
    try:
        if len(book.worksheets) > MOST_SHEETS:
            raise _refused("workbook", f"{len(book.worksheets)} sheets", "This workbook has too many sheets.")
        sheets = []
        for worksheet in book.worksheets:
            # The extent that a file claims for a sheet may be wrong; read what is there.
            if hasattr(worksheet, "reset_dimensions"):
                worksheet.reset_dimensions()
            raw = RawSheet(worksheet.title)
            for number, cells in enumerate(worksheet.iter_rows(), start=1):
                row = {i: raw_cell for i, c in enumerate(cells, start=1) if (raw_cell := _raw(c)) is not None}
                if row and number > MOST_ROWS:
                    raise InputFaults(
                        [
                            Fault(
                                f"{raw.name}!A{number}",
                                f"row {number}",
                                f"up to {MOST_ROWS} rows a sheet",
                                "This sheet goes on for more rows than a job can need.",
                            )
                        ]
                    )
                if number > _LAST_ROW:
                    break
                if row:
                    raw.rows[number] = row
            sheets.append(raw)
        return sheets
    finally:
        book.close()


def _raw(cell: object) -> RawCell | None:
    if not isinstance(cell, ReadOnlyCell | Cell):
        return None
    value = cell.value
    if value is None or (isinstance(value, str) and not value.strip() and cell.data_type != "f"):
        return None
    if cell.data_type == "f":
        return RawCell(value if isinstance(value, str) else "a formula", "formula")
    if cell.data_type == "e":
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

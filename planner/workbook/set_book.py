"""A table set as one workbook: the sheet *set* for `set.toml`, and a sheet for each CSV file, row for row.

A workbook becomes the files of the folder that it stands for, so there is one reader and one judge of sets
(`planner.table_sets`); what they say of a line is said of the sheet's row.
"""

from __future__ import annotations

import csv
import io
import json
import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any, get_args, get_origin

from openpyxl.styles import Font
from openpyxl.utils import get_column_letter

from planner.errors import InputFaults
from planner.file_limits import Source
from planner.files import workbook_bytes
from planner.table_sets.folder import HEAD, folder_files
from planner.table_sets.soundness import Soundness, examine
from planner.table_sets.table_set import AsPrinted, Head
from planner.workbook.apart import open_apart
from planner.workbook.opening import CellContent, RawSheet
from planner.workbook.style import new_book, write

FACTS = "set"
"""The sheet of facts: what a line of `set.toml` is called, then its values, a cell each."""

_FIRST_ROW = ("fact", "values, a cell each")
_PRINTED = tuple(AsPrinted.model_fields)
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_LINE = re.compile(r"^([\w.]+?)(?:\.csv|\.toml), line (\d+)")


def read_set_book(source: Source) -> dict[str, bytes]:
    """The files of a set that stands in a workbook, as its folder would hold them.

    Raises
    ------
    InputFaults
        It is no .xlsx workbook, is too large or is broken.
    """
    try:
        sheets = open_apart(source).sheets
    except InputFaults as wrong:
        allowed = "a workbook of tables saved as .xlsx"
        raise InputFaults([replace(fault, allowed=allowed) for fault in wrong.faults]) from wrong
    return {
        HEAD if sheet.name == FACTS else f"{sheet.name}.csv": (_facts if sheet.name == FACTS else _rows)(
            sheet
        )
        for sheet in sheets
        if sheet.rows
    }


def examine_book(id: str, source: Source) -> tuple[dict[str, bytes], Soundness]:
    """The files of a set in a workbook, and the report on it, each fault with sheet and row.

    Raises
    ------
    InputFaults
        As `read_set_book`.
    """
    files = read_set_book(source)
    report = examine(id, files)
    faults = tuple(replace(fault, where=_on_its_sheet(fault.where)) for fault in report.faults)
    return files, replace(report, faults=faults, told=tuple(map(_on_its_sheet, report.told)))


def _on_its_sheet(where: str) -> str:
    return _LINE.sub(r"sheet \1, row \2", where)


def _text(content: CellContent) -> str:
    """A cell as a CSV file would hold it."""
    if isinstance(content, float) and content.is_integer():
        content = int(content)
    if isinstance(content, datetime):
        content = content.date()
    words = content.isoformat() if isinstance(content, date) else str(content)
    return " ".join(words.split())


def _rows(sheet: RawSheet) -> bytes:
    """A sheet as CSV, a line for each row up to the last."""
    wide = max(sheet.rows.get(1, {0: None}))
    out = io.StringIO(newline="")
    lines = csv.writer(out, lineterminator="\n")
    for number in range(1, max(sheet.rows) + 1):
        row = sheet.rows.get(number, {})
        cells = range(1, max(wide, *row) + 1) if row else range(0)
        lines.writerow([_text(row[place].content) if place in row else "" for place in cells])
    return out.getvalue().encode()


def _facts(sheet: RawSheet) -> bytes:
    """The sheet of facts as `set.toml`, a line for each row up to the last."""
    lines = [""] * max(sheet.rows)
    printed: list[int] = []
    for number, row in sheet.rows.items():
        key = _text(row[1].content) if 1 in row else ""
        values = [row[place].content for place in sorted(row) if place > 1]
        if key == "as_printed":
            printed.append(number)
        elif key and key != _FIRST_ROW[0]:
            name = ".".join(p if _BARE.fullmatch(p) else json.dumps(p) for p in key.split(".", 1))
            lines[number - 1] = f"{name} = {_value(key.split('.')[0], values)}"
    if printed:
        kept = [
            ", ".join(
                f"{name} = {json.dumps(_text(cell.content), ensure_ascii=False)}"
                for place, name in enumerate(_PRINTED, start=2)
                if (cell := sheet.rows[number].get(place))
            )
            for number in printed
        ]
        lines[printed[0] - 1] = f"as_printed = [{', '.join(f'{{{one}}}' for one in kept)}]"
    return ("\n".join(lines) + "\n").encode()


def _value(field: str, values: list[CellContent]) -> str:
    """The values of a fact as TOML; a text stands where the set's head wants one."""
    wanted = Head.model_fields[field].annotation if field in Head.model_fields else str
    told = [_scalar(value, text=_wants_text(wanted)) for value in values]
    return told[0] if len(told) == 1 and get_origin(wanted) is not tuple else f"[{', '.join(told)}]"


def _wants_text(wanted: object) -> bool:
    return wanted is str or isinstance(wanted, str) or any(_wants_text(part) for part in get_args(wanted))


def _scalar(value: CellContent, *, text: bool) -> str:
    if isinstance(value, str) or text:
        return json.dumps(value if isinstance(value, str) else _text(value), ensure_ascii=False)
    return str(value).lower() if isinstance(value, bool) else _text(value)


def write_set_book(files: Mapping[str, bytes]) -> bytes:
    """A set's files as a workbook, which `read_set_book` reads back.

    Parameters
    ----------
    files
        Of a set that can be read: `planner.table_sets.read_files` tells.
    """
    head: dict[str, Any] = tomllib.loads(files[HEAD].decode("utf-8"))
    book = new_book(f"{head.get('name', '')}, {head.get('edition', '')}")
    _put(book.create_sheet(FACTS), [_FIRST_ROW, *_fact_rows(head)], (30, 60))
    for name in sorted(name for name in files if name.endswith(".csv")):
        text = io.StringIO(files[name].decode("utf-8-sig"), newline="")
        rows = [[_number(cell.strip()) for cell in row] for row in csv.reader(text)]
        _put(book.create_sheet(name.removesuffix(".csv")), rows, [max(8, len(str(c)) + 2) for c in rows[0]])
    return workbook_bytes(book)


def _fact_rows(head: Mapping[str, Any]) -> list[list[Any]]:
    rows: list[list[Any]] = []
    for key, value in head.items():
        if key == "as_printed":
            rows += [[key, *(one.get(name) for name in _PRINTED)] for one in value]
        elif isinstance(value, dict):
            rows += [[f"{key}.{name}", called] for name, called in value.items()]
        else:
            rows.append([key, *value] if isinstance(value, list) else [key, value])
    return rows


def _number(cell: str) -> str | int | float:
    """A number as one, so that a person may sort and add."""
    if re.fullmatch(r"\d{1,6}", cell):
        return int(cell)
    return float(cell) if re.fullmatch(r"\d{1,3}\.\d{1,2}", cell) else cell


def _put(sheet: Any, rows: list[Any], widths: Any) -> None:
    for number, row in enumerate(rows, start=1):
        for place, value in enumerate(row, start=1):
            if value != "":
                write(sheet.cell(number, place), value)
    for place, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = width
    for cell in sheet[1]:
        cell.font = Font(bold=True)
    sheet.freeze_panes = "B2"


def set_files(place: Path) -> tuple[dict[str, bytes], Soundness]:
    """The files of a set in a folder or a workbook, and the report on it.

    Raises
    ------
    InputFaults
        The workbook cannot be read.
    OSError
        The folder cannot be read.
    """
    if place.is_dir():
        files = folder_files(place)
        return files, examine(place.resolve().name, files)
    return examine_book(place.stem, place)

"""Pay rules from a file: CSV, or a workbook, which is opened apart as every workbook is."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from planner.errors import InputFaults
from planner.file_limits import bytes_of
from planner.hours.pay_rules import COLUMNS, SHEET, PayRules, pay_rules_of_csv, pay_rules_of_lines
from planner.workbook.apart import open_apart
from planner.workbook.opening import RawSheet

_WANTED = "a .csv or .xlsx file of pay rules"


def read_pay_rules(path: Path) -> PayRules:
    """Rules from a ``.csv`` file, or from the sheet *Pay rules*, else the first, of an ``.xlsx`` file.

    The hours workbook can be given back: its rules end at the first blank row.

    Raises
    ------
    InputFaults
        The file cannot be read, has other columns, or its rows cannot be used.
    """
    try:
        given = bytes_of(path) if path.suffix.casefold() == ".csv" else open_apart(path)
    except InputFaults as wrong:
        raise InputFaults([replace(fault, allowed=_WANTED) for fault in wrong.faults]) from wrong
    if isinstance(given, tuple):
        name, content = given
        return pay_rules_of_csv(content, name)
    own = next((sheet for sheet in given.sheets if sheet.name == SHEET), given.sheets[0])
    return pay_rules_of_lines(_lines(own), given.name, printed=own.name == SHEET)


def _lines(sheet: RawSheet) -> list[list[object]]:
    """A sheet's lines, blank ones too, in the columns that a table of pay rules has."""
    columns = range(1, len(COLUMNS) + 1)
    rows = (sheet.rows.get(row, {}) for row in range(1, max(sheet.rows, default=0) + 1))
    return [[row[c].content if c in row else None for c in columns] for row in rows]

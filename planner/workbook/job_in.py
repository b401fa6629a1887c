"""A job workbook read into a `Job`, or every fault in it together."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable

from openpyxl.utils import column_index_from_string

from planner.errors import Fault, InputFaults
from planner.job.job import Job
from planner.job.names import fold
from planner.job.words import UnitSystem
from planner.workbook.columns_site import SITE
from planner.workbook.job_in_build import JobBuilder
from planner.workbook.job_in_file import RawSheet, Source, open_sheets
from planner.workbook.job_in_table import SheetReader, workbook_units
from planner.workbook.job_sheets import JOB_SHEETS, LISTS_SHEET, README_SHEET

_CELL = re.compile(r"(?P<sheet>.*)!(?P<column>[A-Z]+)(?P<row>\d+)")
#: How alike a tab's name must be to that of a missing sheet to be taken for a slip of the pen.
_SHEET_LIKENESS = 0.75


def read_job(source: Source) -> Job:
    """Read a job workbook.

    Parameters
    ----------
    source
        Path, bytes, or open binary file of an .xlsx workbook.

    Raises
    ------
    InputFaults
        With every fault that was found, in the order of the sheets: the cell, what was found, what is
        allowed, and one plain sentence.
    """
    return job_of_sheets(open_sheets(source))


def job_of_sheets(raws: Iterable[RawSheet], units: UnitSystem | None = None) -> Job:
    """The job that a workbook's sheets make, wherever their cells come from (a file, a screen).

    Parameters
    ----------
    units
        Units of the headings and of what is told, where they are not those that the sheet Site names for the
        job's own workbook. None: as the sheet Site says.

    Raises
    ------
    InputFaults
        As `read_job`.
    """
    sheets = {fold(raw.name): raw for raw in raws}
    reader = SheetReader(units or workbook_units(SITE, sheets.get(fold(SITE.name))))
    _misspelt_sheets(reader, sheets)
    tables = {
        sheet.name: (reader.settings if sheet.settings else reader.table)(sheet, sheets.get(fold(sheet.name)))
        for sheet in JOB_SHEETS
    }
    builder = JobBuilder(reader, tables)
    job = builder.job()
    if job is not None:
        builder.cross(job)
    if reader.faults or job is None:
        raise InputFaults(sorted(reader.faults, key=_by_place))
    return job


def _misspelt_sheets(reader: SheetReader, sheets: dict[str, RawSheet]) -> None:
    """A tab that looks like a sheet that is missing; other tabs are the user's own."""
    known = {fold(README_SHEET), fold(LISTS_SHEET), *(fold(s.name) for s in JOB_SHEETS)}
    missing = {fold(s.name): s.name for s in JOB_SHEETS if fold(s.name) not in sheets}
    for key, raw in sheets.items():
        near = [] if key in known else difflib.get_close_matches(key, missing, 1, _SHEET_LIKENESS)
        if near:
            meant = missing[near[0]]
            reader.fault(
                raw.name, raw.name, meant, f"{raw.name} is not a sheet of a job. Did you mean {meant}?"
            )


def _by_place(fault: Fault) -> tuple[int, int, int]:
    """Sheets in their order, then cells from top to bottom; what stands in no sheet comes first."""
    match = _CELL.fullmatch(fault.where)
    names = [sheet.name for sheet in JOB_SHEETS]
    sheet = match["sheet"] if match else fault.where
    order = names.index(sheet) if sheet in names else -1
    if match is None:
        return order, 0, 0
    return order, int(match["row"]), column_index_from_string(match["column"])

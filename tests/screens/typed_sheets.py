"""Sheets as a page shows them, typed into as a person does: tables in, a job out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from planner.job import Job, UnitSystem
from planner.screens.editing import sheets
from planner.screens.editing.edits import Edits
from planner.screens.editing.sheets import SHEETS, Edit, own_rows, typed_rows
from planner.workbook.columns import JobSheet


def table_of(sheet: JobSheet, job: Job, units: UnitSystem | None = None) -> pd.DataFrame:
    """A sheet of the job as a table, in the job's own units or in these."""
    return sheets.table_of(sheet, own_rows(sheet, job), units or job.site.units)


def settings_of(sheet: JobSheet, job: Job, units: UnitSystem | None = None) -> dict[str, Any]:
    """The values of a sheet of settings, in the job's own units or in these."""
    return dict(Edits(units=units or job.site.units).settings(sheet, job))


def rows_of(sheet: JobSheet, table: pd.DataFrame, job: Job, units: UnitSystem | None = None) -> Edit:
    """The rows that were typed into a table of `table_of`."""
    own = own_rows(sheet, job)
    return typed_rows(sheet, table, own, own, units or job.site.units)


def edited_job(
    job: Job, typed: Mapping[str, Edit | pd.DataFrame], *, units: UnitSystem | None = None, **more: Any
) -> Job:
    """The job with tables and settings as they were typed."""
    edits = {
        name: rows_of(SHEETS[name], edit, job, units) if isinstance(edit, pd.DataFrame) else edit
        for name, edit in typed.items()
    }
    return sheets.edited_job(job, edits, units=units, **more)

"""The sheets of the job workbook, in the order of their tabs. The files beside describe them, one subject
each: what a row stands for, column by column.
"""

from __future__ import annotations

from planner.job.names import fold
from planner.workbook.columns import JobSheet
from planner.workbook.job_sheets.gear_and_air import AIR, BANKS, BENCH_STEPS, COMPRESSORS, OUTFITS, TANKS
from planner.workbook.job_sheets.people import CERTIFICATES, HOURS_WORKED, ON_SITE, PAST_DIVES, PEOPLE
from planner.workbook.job_sheets.rules import CREW_MINIMA, DUTY_CERTIFICATES, DUTY_PAIRS, RULES
from planner.workbook.job_sheets.site_and_water import SITE, STATIONS, TIDE, WATER_WINDOWS
from planner.workbook.job_sheets.work import (
    DIVE_WORK,
    GATES,
    NOT_TOGETHER,
    ORDER,
    PINS,
    SURFACE_WORK,
    WINDOWS,
)

README_SHEET = "Read me"
#: Holds the entries of the drop-downs; hidden, never read.
LISTS_SHEET = "Lists"

JOB_SHEETS: tuple[JobSheet, ...] = (
    SITE,
    STATIONS,
    PEOPLE,
    CERTIFICATES,
    PAST_DIVES,
    HOURS_WORKED,
    ON_SITE,
    DIVE_WORK,
    SURFACE_WORK,
    WINDOWS,
    ORDER,
    NOT_TOGETHER,
    GATES,
    PINS,
    WATER_WINDOWS,
    TIDE,
    OUTFITS,
    AIR,
    COMPRESSORS,
    BANKS,
    TANKS,
    CREW_MINIMA,
    DUTY_PAIRS,
    DUTY_CERTIFICATES,
    RULES,
    BENCH_STEPS,
)

#: The sheets by their names as they are compared, and the other tabs of a job workbook.
SHEET_OF: dict[str, JobSheet] = {fold(sheet.name): sheet for sheet in JOB_SHEETS}
NEVER_READ = frozenset({fold(README_SHEET), fold(LISTS_SHEET)})

#: Headings of a sheet that lists settings.
SETTING, VALUE, UNIT, MEANING, SOURCE = "Setting", "Value", "Unit", "What it means", "Source"

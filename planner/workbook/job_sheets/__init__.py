"""The sheets of the job workbook, in the order of their tabs. The files beside describe them, one subject
each: what a row stands for, column by column.
"""

from __future__ import annotations

from planner.job.names import fold
from planner.workbook.columns import JobSheet
from planner.workbook.job_sheets import gear_and_air, people, rules, site_and_water, work

README_SHEET = "Read me"
#: Holds the entries of the drop-downs; hidden, never read.
LISTS_SHEET = "Lists"

JOB_SHEETS: tuple[JobSheet, ...] = (
    site_and_water.SITE,
    site_and_water.STATIONS,
    people.PEOPLE,
    people.CERTIFICATES,
    people.PAST_DIVES,
    people.HOURS_WORKED,
    people.ON_SITE,
    work.DIVE_WORK,
    work.SURFACE_WORK,
    work.WINDOWS,
    work.ORDER,
    work.NOT_TOGETHER,
    work.GATES,
    work.PINS,
    site_and_water.WATER_WINDOWS,
    site_and_water.TIDE,
    gear_and_air.OUTFITS,
    gear_and_air.AIR,
    gear_and_air.COMPRESSORS,
    gear_and_air.BANKS,
    gear_and_air.TANKS,
    rules.CREW_MINIMA,
    rules.DUTY_PAIRS,
    rules.DUTY_CERTIFICATES,
    rules.RULES,
    gear_and_air.BENCH_STEPS,
)

#: The sheets by their names as they are compared, and the other tabs of a job workbook.
SHEET_OF: dict[str, JobSheet] = {fold(sheet.name): sheet for sheet in JOB_SHEETS}
NEVER_READ = frozenset({fold(README_SHEET), fold(LISTS_SHEET)})

#: Headings of a sheet that lists settings.
SETTING, VALUE, UNIT, MEANING, SOURCE = "Setting", "Value", "Unit", "What it means", "Source"

"""The sheets of the job workbook in the order of their tabs."""

from __future__ import annotations

from planner.workbook.columns import Sheet
from planner.workbook.columns_gear import AIR, BANKS, BENCH_STEPS, COMPRESSORS, OUTFITS, TANKS
from planner.workbook.columns_people import CERTIFICATES, HOURS_WORKED, ON_SITE, PAST_DIVES, PEOPLE
from planner.workbook.columns_rules import CREW_MINIMA, DUTY_PAIRS, RULES
from planner.workbook.columns_site import SITE, STATIONS, TIDE, WATER_WINDOWS
from planner.workbook.columns_work import DIVE_WORK, NOT_TOGETHER, ORDER, PINS, SURFACE_WORK, WINDOWS

README_SHEET = "Read me"
#: Holds the entries of the drop-downs; hidden, never read.
LISTS_SHEET = "Lists"

JOB_SHEETS: tuple[Sheet, ...] = (
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
    RULES,
    BENCH_STEPS,
)

#: Headings of a sheet that lists settings.
SETTING, VALUE, UNIT, MEANING, SOURCE = "Setting", "Value", "Unit", "What it means", "Source"

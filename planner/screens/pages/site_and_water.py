"""The page of site and water: days and hours, place, policy, stations, slack windows and the tide."""

from __future__ import annotations

from planner.screens import chrome
from planner.screens.editing.widgets import edit_sheets
from planner.screens.session import desk
from planner.workbook.job_sheets import SITE, STATIONS, TIDE, WATER_WINDOWS

#: Sheets of the job workbook that are edited on this page.
SHEETS = (SITE, STATIONS, WATER_WINDOWS, TIDE)


def page() -> None:
    """Draw the page."""
    here = desk()
    chrome.head("Site and water", "Where and when, which ways up are allowed, slack water and tide.")
    job = chrome.job_or_stop(here, "edit its site here")
    chrome.job_line(job)
    edit_sheets(here, SHEETS, key="site")

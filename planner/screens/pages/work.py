"""The page of work: dive items, surface items, when and in what order they may be done, what is pinned."""

from __future__ import annotations

from planner.screens import chrome
from planner.screens.editing.widgets import edit_sheets
from planner.screens.session import desk
from planner.workbook.job_sheets import DIVE_WORK, NOT_TOGETHER, ORDER, PINS, SURFACE_WORK, WINDOWS

#: Sheets of the job workbook that are edited on this page.
SHEETS = (DIVE_WORK, SURFACE_WORK, WINDOWS, ORDER, NOT_TOGETHER, PINS)


def page() -> None:
    """Draw the page."""
    here = desk()
    chrome.head("Work", "What has to be done under water and on deck, when it may be done, what comes first.")
    job = chrome.job_or_stop(here, "edit its work here")
    chrome.job_line(job)
    edit_sheets(here, SHEETS, key="work")

"""The page of people: who there is, what each may hold, certificates, dives and hours before, on site."""

from __future__ import annotations

from planner.screens import chrome
from planner.screens.editing.widgets import edit_sheets
from planner.screens.session import desk
from planner.workbook.job_sheets import CERTIFICATES, HOURS_WORKED, ON_SITE, PAST_DIVES, PEOPLE

#: Sheets of the job workbook that are edited on this page.
SHEETS = (PEOPLE, CERTIFICATES, PAST_DIVES, HOURS_WORKED, ON_SITE)


def page() -> None:
    """Draw the page."""
    here = desk()
    chrome.head("People", "Everyone who can be posted, and what they bring from the days before.")
    job = chrome.job_or_stop(here, "edit its people here")
    chrome.job_line(job)
    edit_sheets(here, SHEETS, key="people")

"""The watchbill workbook: all its sheets on one paper, and what to call the file."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from datetime import datetime

from planner.air import air_report
from planner.charts.palette import duty_style
from planner.check import air_findings
from planner.files import Target, write_whole
from planner.job import Job
from planner.plan.model import Plan
from planner.sheets.air import write_air
from planner.sheets.bill import Bill
from planner.sheets.dive_sheets import write_dive_sheets
from planner.sheets.dives import write_dives
from planner.sheets.dressing import write_dressing_cards, write_inspections
from planner.sheets.gear import write_gear
from planner.sheets.grid import write_grid
from planner.sheets.layout import made_words, printed_book
from planner.sheets.left_over import write_left_over
from planner.sheets.people import write_people
from planner.sheets.sources import write_sources
from planner.words.measures import dates_words
from planner.words.plan import status_words

#: The sheets in the order of the book; each writes itself from the `Bill`.
SHEETS: tuple[Callable[[Bill], None], ...] = (
    write_grid,
    write_dives,
    write_dive_sheets,
    write_people,
    write_left_over,
    write_air,
    write_gear,
    write_inspections,
    write_dressing_cards,
    write_sources,
)

#: Longest name of a job within a file name, in letters.
_NAME_LETTERS = 60


def write_watchbill(
    plan: Plan,
    job: Job,
    path: Target,
    *,
    paper: str = "A4",
    revision: str = "",
    made_at: datetime | None = None,
) -> None:
    """Write the watchbill of a plan as a workbook that prints without a setting being touched.

    Parameters
    ----------
    plan, job
        A plan that `planner.check.check` has cleared, and its job. Nothing is checked again here.
    path
        Where the ``.xlsx`` goes: a path, replaced only once the new file is whole, or an open binary file.
    paper
        ``A4`` or ``Letter``.
    revision
        Printed in the head of every sheet where given.
    made_at
        When it was made; now when not given. A time without a zone is the site's local time.

    Raises
    ------
    ValueError
        For another paper.
    OSError
        The place cannot be written.
    """
    parts = [dates_words(job), status_words(plan), made_words(job.clock, made_at)]
    facts = " · ".join([*parts, f"revision {revision}"] if revision else parts)
    book = printed_book(f"Watchbill, {job.site.name}", paper, job.site.name, facts)
    bill = Bill(plan, job, air_report(plan, job), air_findings(job, plan), duty_style(job), book)
    for write_sheet in SHEETS:
        write_sheet(bill)
    write_whole(book.book, path)


def watchbill_name(job: Job) -> str:
    """A file name for a job's watchbill: ``watchbill_Quay-wall-7_2026-03-03.xlsx``.

    Letters and digits of any alphabet stay; everything that some system forbids in a name becomes a dash.
    """
    words = unicodedata.normalize("NFC", job.site.name)
    safe = re.sub(r"[^\w]+", "-", words).strip("-_")[:_NAME_LETTERS].rstrip("-_")
    return f"watchbill_{safe or 'job'}_{job.site.first_day.isoformat()}.xlsx"

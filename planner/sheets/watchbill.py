"""The watchbill workbook: all its sheets on one paper, and what to call the file."""

from __future__ import annotations

import re
import unicodedata
from datetime import datetime

from planner.air import air_report
from planner.charts.palette import duty_style
from planner.check import air_findings
from planner.files import Target, write_whole
from planner.job import Job
from planner.plan.model import Plan
from planner.sheets.air import write_air
from planner.sheets.dive_sheets import write_dive_sheets
from planner.sheets.dives import write_dives
from planner.sheets.dressing import add_dressing_sheets
from planner.sheets.gear import write_gear
from planner.sheets.grid import write_grid
from planner.sheets.left_over import write_left_over
from planner.sheets.people import write_people
from planner.sheets.sources import write_sources
from planner.words.measures import dates_words
from planner.words.plan import status_words
from planner.workbook.style import Page, new_book, paper_named

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
        A plan that `planner.check.verdict` has cleared, and its job. Nothing is checked again here.
    path
        Where the ``.xlsx`` goes: a path or an open binary file.
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
    """
    landscape = Page(paper_named(paper), landscape=True)
    upright = Page(paper_named(paper), landscape=False)
    facts = _facts(plan, job, revision, made_at)
    styles = duty_style(job)
    air = air_report(plan, job)
    book = new_book(f"Watchbill, {job.site.name}")
    write_grid(book, plan, job, landscape, styles, facts)
    write_dives(book, plan, job, landscape, facts)
    write_dive_sheets(book, plan, job, upright, facts)
    write_people(book, plan, job, upright, styles, facts)
    write_left_over(book, plan, job, upright, facts)
    write_air(book, job, air, air_findings(job, plan), upright, facts)
    write_gear(book, plan, job, landscape, facts)
    add_dressing_sheets(book, plan, job, paper=paper, facts=facts, outfits=False)
    write_sources(book, plan, job, air, upright, facts)
    write_whole(book, path)


def watchbill_name(job: Job) -> str:
    """A file name for a job's watchbill: ``watchbill_Quay-wall-7_2026-03-03.xlsx``.

    Letters and digits of any alphabet stay; everything that some system forbids in a name becomes a dash.
    """
    words = unicodedata.normalize("NFC", job.site.name)
    safe = re.sub(r"[^\w]+", "-", words).strip("-_")[:_NAME_LETTERS].rstrip("-_")
    return f"watchbill_{safe or 'job'}_{job.site.first_day.isoformat()}.xlsx"


def _facts(plan: Plan, job: Job, revision: str, made_at: datetime | None) -> str:
    """The line under the head of every sheet: date, status and gap, when made, revision."""
    made = made_at or datetime.now(tz=job.clock.zone)
    made = made.astimezone(job.clock.zone) if made.tzinfo else made
    parts = [dates_words(job), status_words(plan), f"made {made:%Y-%m-%d %H:%M}"]
    if revision:
        parts.append(f"revision {revision}")
    return " · ".join(parts)

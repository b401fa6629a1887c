"""The watchbill workbook: all its sheets on one paper, and what to call the file."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Collection, Mapping
from datetime import datetime

from planner.air import air_report
from planner.charts.palette import duty_style
from planner.check import air_findings
from planner.files import Target, write_whole
from planner.job import Job
from planner.plan.model import Plan
from planner.sheets.air import write_air
from planner.sheets.bill import Bill
from planner.sheets.brief import write_brief
from planner.sheets.dive_sheets import write_dive_sheets
from planner.sheets.dives import write_dives
from planner.sheets.dressing import write_dressing_cards, write_inspections
from planner.sheets.gates import write_gates
from planner.sheets.gear import write_gear
from planner.sheets.grid import write_grid
from planner.sheets.layout import made_words, printed_book
from planner.sheets.left_over import write_left_over
from planner.sheets.people import write_people
from planner.sheets.sources import write_rules, write_sources
from planner.whatif.spread import Spread
from planner.words.measures import dates_words
from planner.words.plan import crew_status_words

#: The sheets in the order of the book; each writes itself from the `Bill`.
SHEETS: dict[str, Callable[[Bill], None]] = {
    "Brief": write_brief,
    "Watchbill": write_grid,
    "Dives": write_dives,
    "Dive sheets": write_dive_sheets,
    "Gates": write_gates,
    "Each person's day": write_people,
    "Left over": write_left_over,
    "Air": write_air,
    "Gear": write_gear,
    "Inspection": write_inspections,
    "Dressing cards": write_dressing_cards,
    "Cautions and sources": write_sources,
    "Rules": write_rules,
}

#: What a crew needs on the day: the rest can be printed once, or read on a screen.
DAY_SHEETS = ("Brief", "Watchbill", "Dives", "Dive sheets")

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
    opened_from: str = "",
    sheets: Collection[str] = (),
    spread: Spread | None = None,
    card: Mapping[str, str] | None = None,
    estimates: bool = True,
) -> int:
    """Write the watchbill of a plan as a workbook that prints without a setting being touched; the number of
    pages that it prints on.

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
    opened_from
        Where the job came from: which workbook, which of its sheets were read and which were not.
    sheets
        Names of `SHEETS` to write, in the book's order; all where none is named.
    spread
        How days go otherwise, for the chance on the sheet *Brief*; what ships where not given.
    card
        The emergency card as far as it is filled (`planner.log.CARD_LABELS`); room to write where it is not.
    estimates
        Whether the slack of each dive and the day's chance are worked out, which takes seconds; if not, the
        sheet *Brief* says so.

    Raises
    ------
    ValueError
        For another paper, a sheet of no such name, or a choice that leaves nothing to write.
    OSError
        The place cannot be written.
    """
    unknown = ", ".join(name for name in sheets if name not in SHEETS)
    if unknown:
        raise ValueError(f"no sheet is called {unknown}; there are {', '.join(SHEETS)}")
    parts = [dates_words(job), crew_status_words(plan, job), made_words(job.clock, made_at)]
    facts = " · ".join([*parts, f"revision {revision}"] if revision else parts)
    facts = f"{facts} · {job.tables.printed}"
    book = printed_book(f"Watchbill, {job.site.name}", paper, job.site.name, facts)
    air, styles = air_report(plan, job), duty_style(job)
    bill = Bill(
        plan, job, air, air_findings(job, plan), styles, book, opened_from, spread, card or {}, estimates
    )
    for name, write_sheet in SHEETS.items():
        if not sheets or name in sheets:
            write_sheet(bill)
    if not book.book.sheetnames:
        raise ValueError(f"the job has nothing for the sheet {', '.join(sheets)}")
    write_whole(book.book, path)
    return sum(sheet.pages() for sheet in book.sheets)


def watchbill_name(job: Job) -> str:
    """A file name for a job's watchbill: ``watchbill_Quay-wall-7_2026-03-03.xlsx``.

    Letters and digits of any alphabet stay; everything that some system forbids in a name becomes a dash.
    """
    words = unicodedata.normalize("NFC", job.site.name)
    safe = re.sub(r"[^\w]+", "-", words).strip("-_")[:_NAME_LETTERS].rstrip("-_")
    return f"watchbill_{safe or 'job'}_{job.site.first_day.isoformat()}.xlsx"

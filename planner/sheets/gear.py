"""The sheet *Gear*: every outfit with its stamped numbers and state, and who wears it when."""

from __future__ import annotations

from openpyxl.workbook import Workbook

from planner.gear import OutfitDay, outfit_days
from planner.job import Job
from planner.plan.model import Plan
from planner.words.measures import span_words
from planner.workbook.style import (
    HEAD,
    SMALL,
    VALUE,
    Look,
    Page,
    lines_needed,
    new_sheet,
    set_up_page,
    write_head,
)

_COLUMNS: tuple[tuple[str, float], ...] = (
    ("Outfit", 20),
    ("Kind", 22),
    ("Helmet", 15),
    ("Breastplate", 21),
    ("Straps", 15),
    ("Numbers agree", 16),
    ("Size", 11),
    ("State", 34),
    ("Inspection due", 21),
    ("Hose tested", 21),
    ("Hose ft", 12),
    ("Worn, and by whom", 94),
)


def write_gear(book: Workbook, plan: Plan, job: Job, page: Page, facts: str) -> None:
    """Add the sheet *Gear* to the book."""
    sheet = new_sheet(book, "Gear", page, [width for _, width in _COLUMNS])
    row = write_head(sheet, "Gear", job.site.name, facts)
    for column, (title, _) in enumerate(_COLUMNS, start=1):
        across = "left" if column in (1, 2, 8, 12) else "center"
        sheet.put(row, column, title, HEAD.but(across=across, indent=1 if column == 12 else 0))
    sheet.tall(row, 23)
    sheet.title_rows = row
    sheet.ws.freeze_panes = f"B{row + 1}"
    for day in outfit_days(job, plan):
        row += 1
        outfit = day.outfit
        worn, state = worn_words(day, job), day.not_ready or "ready"
        text = Look(size=9, edges="b", shrink=True)
        sheet.put(row, 1, outfit.name, text.but(bold=True, size=10))
        sheet.put(row, 2, outfit.kind.value, text)
        for column, number in ((3, outfit.helmet_no), (4, outfit.breastplate_no), (5, outfit.straps_no)):
            sheet.put(row, column, number or "–", VALUE.but(shrink=True))
        sheet.put(row, 6, "yes" if outfit.numbers_agree else "NO", VALUE.but(bold=not outfit.numbers_agree))
        sheet.put(row, 7, outfit.size or "–", VALUE.but(shrink=True))
        sheet.put(row, 8, state, Look(size=9, edges="b", wrap=True, bold=day.not_ready is not None))
        sheet.put(row, 9, _date(outfit.inspection_due), VALUE)
        sheet.put(row, 10, _date(outfit.hose_tested_on), VALUE)
        sheet.put(row, 11, outfit.umbilical_length_ft or "–", VALUE)
        sheet.put(row, 12, worn, Look(size=9, edges="b", wrap=True, indent=1))
        lines = max(lines_needed(worn, sheet.width_mm(12) - 3, 9), lines_needed(state, sheet.width_mm(8), 9))
        sheet.tall(row, max(16.0, 12.0 * lines + 4))
    row += 1
    note = "An outfit that is worn in the water is not worn again before its turnaround is over."
    sheet.put(row, 1, note, SMALL, wide=sheet.columns)
    set_up_page(sheet, row)


def worn_words(day: OutfitDay, job: Job) -> str:
    """Who wears an outfit when, a line each: ``07:00–09:07 Ana Reyes, dive N1; free again 09:22``."""
    lines = []
    for use in day.uses:
        words = f"{span_words(job, use.start_min, use.end_min)} {use.person}, "
        words += f"standby for {use.dive}" if use.standby else f"{use.dive}"
        if use.free_min > use.end_min:
            words += f"; free again {job.clock.hhmm(use.free_min)}"
        lines.append(words)
    return "\n".join(lines) or "not worn"


def _date(day: object) -> str:
    return str(day) if day else "no date"

"""The sheet *Left over*: what the plan does not finish and why, then what it does finish and when."""

from __future__ import annotations

from openpyxl.workbook import Workbook

from planner.job import Job
from planner.plan.model import Leftover, Plan
from planner.sheets.person_day import dives_in_order, length, wall
from planner.words.plan import dive_label
from planner.workbook.style import (
    HEAD,
    LENGTH,
    MIST,
    SMALL,
    SOFT,
    VALUE,
    Look,
    Page,
    Sheet,
    lines_needed,
    new_sheet,
    set_up_page,
    write_head,
)

_WIDTHS = (70.0, 16.0, 18.0, 18.0, 18.0, 30.0, 20.0)


def write_left_over(book: Workbook, plan: Plan, job: Job, page: Page, facts: str) -> None:
    """Add the sheet *Left over* to the book."""
    sheet = new_sheet(book, "Left over", page, _WIDTHS)
    row = write_head(sheet, "Left over", job.site.name, facts)
    row = _leftovers(sheet, row, plan, job)
    row = _finished(sheet, row, plan, job)
    sheet.ws.freeze_panes = f"A{sheet.title_rows + 1}"
    set_up_page(sheet, row)


def _heads(sheet: Sheet, row: int, titles: tuple[str, ...]) -> int:
    for column, title in enumerate(titles, start=1):
        sheet.put(row, column, title, HEAD.but(across="left" if column == 1 else "center"))
    sheet.tall(row, 14)
    return row + 1


def _leftovers(sheet: Sheet, row: int, plan: Plan, job: Job) -> int:
    if not plan.leftovers:
        sheet.put(
            row, 1, "Nothing is left over: every item is planned in full.", Look(size=11, bold=True), wide=7
        )
        sheet.tall(row, 22)
        return row + 1
    row = _heads(sheet, row, ("Not finished", "Priority", "Needed", "Planned", "Left", "", ""))
    for left in plan.leftovers:
        first = row
        row = _leftover(sheet, row, job, left)
        sheet.keep_together(first, row - 1)
    note = "The name behind a reason is the id of its rule: see Cautions and sources."
    sheet.put(row, 1, note, SMALL, wide=sheet.columns)
    sheet.tall(row, 14)
    return row + 1


def _leftover(sheet: Sheet, row: int, job: Job, left: Leftover) -> int:
    band = Look(size=10, bold=True, fill=MIST, edges="t", shrink=True)
    middle = band.but(across="center", number_format="[h]:mm")
    sheet.put(row, 1, left.item, band)
    sheet.put(row, 2, job.item(left.item).priority, middle.but(number_format="0"))
    for column, minutes in (
        (3, left.needed_min),
        (4, left.planned_min),
        (5, left.needed_min - left.planned_min),
    ):
        sheet.put(row, column, length(minutes), middle)
    sheet.put(row, 6, "", band, wide=2)
    sheet.tall(row, 17)
    room = sheet.width_mm(1, 5)
    for reason in left.reasons:
        row += 1
        sheet.put(row, 1, reason.sentence, Look(size=9, wrap=True, down="top", indent=1), wide=5)
        sheet.put(row, 6, reason.rule or "", Look(size=8, ink=SOFT, down="top", shrink=True), wide=2)
        sheet.tall(row, 12.0 * lines_needed(reason.sentence, room - 4, 9) + 2)
    if not left.reasons:
        row += 1
        words = "No reason could be proven in the time given."
        sheet.put(row, 1, words, Look(size=9, italic=True, indent=1), wide=sheet.columns)
    sheet.tall(row + 1, 6)
    return row + 2


def _finished(sheet: Sheet, row: int, plan: Plan, job: Job) -> int:
    """Every item with planned minutes: by which dives, until when."""
    items = [item.name for item in job.items if plan.worked_min(item.name)]
    if not items:
        return row
    sheet.tall(row, 6)
    row = _heads(sheet, row + 1, ("Planned", "Priority", "Needed", "Planned", "Part", "Dives", "Done at"))
    clock = "ddd hh:mm" if len(job.day_windows) > 1 else "hh:mm"
    for item in items:
        needed, done = job.item(item).needed_min, plan.worked_min(item)
        dives = [d for d in dives_in_order(plan) if d.item == item]
        ends = [d.leave_bottom_min for d in dives] + [t.end_min for t in plan.surface_tasks if t.item == item]
        by = ", ".join(dive_label(d).removeprefix("Dive ") for d in dives) or "on deck"
        sheet.put(row, 1, item, Look(size=9, edges="b", shrink=True))
        sheet.put(row, 2, job.item(item).priority, VALUE)
        sheet.put(row, 3, length(needed), LENGTH)
        sheet.put(row, 4, length(done), LENGTH)
        sheet.put(
            row, 5, "all" if done >= needed else f"{100 * done // needed} %", VALUE.but(bold=done >= needed)
        )
        sheet.put(row, 6, by, VALUE.but(shrink=True))
        sheet.put(row, 7, wall(job, max(ends)), VALUE.but(number_format=clock))
        row += 1
    return row

"""The sheet *Left over*: what the plan does not finish and why, then what it does finish and when."""

from __future__ import annotations

from planner.job import Item
from planner.plan.model import Leftover
from planner.sheets.bill import Bill, length
from planner.sheets.layout import Column, PrintedSheet, Table, wall
from planner.words.measures import several_days
from planner.words.plan import NO_REASON, dive_label
from planner.workbook.style import LENGTH, MIST, SMALL, SOFT, VALUE, Look

_WIDTHS = (70.0, 16.0, 18.0, 18.0, 18.0, 30.0, 20.0)
_BAND = Look(size=10, bold=True, fill=MIST, edges="t", shrink=True)
_BAND_LENGTH = _BAND.but(across="center", number_format="[h]:mm")
_REASON = Look(size=9, wrap=True, down="top", indent=1)
_RULE = Look(size=8, ink=SOFT, down="top", shrink=True)


def write_left_over(bill: Bill) -> None:
    """Add the sheet *Left over* to the book."""
    sheet = bill.printed.sheet("Left over", _WIDTHS)
    _leftovers(sheet, bill)
    _finished(sheet, bill)
    sheet.freeze()
    sheet.end()


def _leftovers(sheet: PrintedSheet, bill: Bill) -> None:
    if not bill.plan.leftovers:
        words = "Nothing is left over: every item is planned in full."
        sheet.words(words, Look(size=11, bold=True), 22)
        return
    whole = _BAND_LENGTH.but(number_format="0")
    table: Table[Leftover] = Table(
        (
            Column("Not finished", 1, lambda left: left.item, _BAND),
            Column("Priority", 1, lambda left: bill.job.item(left.item).priority, whole),
            Column("Needed, h:min", 1, lambda left: length(left.needed_min), _BAND_LENGTH),
            Column("Planned, h:min", 1, lambda left: length(left.planned_min), _BAND_LENGTH),
            Column("Left, h:min", 1, lambda left: length(left.needed_min - left.planned_min), _BAND_LENGTH),
            *[Column[Leftover]("", 1, lambda left: "", _BAND)] * 2,
        ),
        points=17,
        laid_on=1,
    )
    sheet.heads(table)
    for left in bill.plan.leftovers:
        with sheet.together():
            sheet.rows(table, [left])
            _reasons(sheet, left)
    note = "The name behind a reason is the id of its rule: see Rules."
    sheet.across(note, SMALL, 14)


def _reasons(sheet: PrintedSheet, left: Leftover) -> None:
    for reason in left.reasons:
        sheet.line([(reason.sentence, 5, _REASON), (reason.rule or "", 2, _RULE)], 0)
    if not left.reasons:
        sheet.across(NO_REASON, Look(size=9, italic=True, indent=1))
    sheet.gap(6)


def _finished(sheet: PrintedSheet, bill: Bill) -> None:
    """Every item with planned minutes: by which dives, until when."""
    plan, job = bill.plan, bill.job

    def part(item: Item) -> str:
        done = plan.worked_min(item.name)
        return "all" if done >= item.needed_min else f"{100 * done // item.needed_min} %"

    clock = VALUE.but(number_format="ddd hh:mm" if several_days(job) else "hh:mm")
    table: Table[Item] = Table(
        (
            Column("Planned", 1, lambda i: i.name, Look(size=9, edges="b", shrink=True)),
            Column("Priority", 1, lambda i: i.priority),
            Column("Needed, h:min", 1, lambda i: length(i.needed_min), LENGTH),
            Column("Planned, h:min", 1, lambda i: length(plan.worked_min(i.name)), LENGTH),
            Column("Part", 1, part, VALUE, lambda i: {"bold": part(i) == "all"}),
            Column("Dives", 1, lambda i: _done_by(bill, i.name), VALUE.but(shrink=True)),
            Column("Done at", 1, lambda i: wall(job.clock, _done_at_min(bill, i.name)), clock),
        ),
        laid_on=1,
    )
    items = [item for item in job.items if plan.worked_min(item.name)]
    if items:
        sheet.gap(6)
        sheet.heads(table)
        sheet.rows(table, items)


def _done_by(bill: Bill, item: str) -> str:
    labels = [dive_label(d).removeprefix("Dive ") for d in bill.dives if d.item == item]
    return ", ".join(labels) or "on deck"


def _done_at_min(bill: Bill, item: str) -> int:
    under = [d.leave_bottom_min for d in bill.plan.dives if d.item == item]
    return max(under + [t.end_min for t in bill.plan.surface_tasks if t.item == item])

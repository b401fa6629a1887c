"""One person's week on a sheet: his days, the minutes by duty, and the pay line by line with live sums."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from planner.hours import LineKind, PayLine, PersonDay, PersonWeek, Timesheets
from planner.job.clock import Clock
from planner.workbook.style import (
    HEAD,
    SMALL,
    SOFT,
    Look,
    Page,
    Sheet,
    Value,
    lines_needed,
    new_sheet,
    set_up_page,
    write_head,
)

NUMBER = Look(across="right", edges="b", number_format="#,##0;-#,##0;–", size=8.5)
SUM = NUMBER.but(bold=True, heavy="t", edges="")
MONEY = Look(across="right", edges="b", number_format="#,##0.00", size=8.5)
RATE = MONEY.but(number_format="#,##0.0000")
WORD = Look(edges="b", size=8.5, shrink=True)
CLOCK = Look(edges="b", size=8.5, across="center", number_format="hh:mm")
DATE = Look(edges="b", size=8.5, number_format="ddd d mmm yyyy")

_LEFT = ("Day", "Start", "End", "Span, min", "Breaks, min", "Worked, min")
_RIGHT = ("Overtime", "Night", "Weekend", "By the chamber", "Bottom time", "Depth, fsw", "Dives", "From")
#: Letters that a workbook forbids in a sheet's name, and those that mean something in a formula.
_FORBIDDEN = re.compile(r"[\[\]:*?/\\=\"!()+@]")


@dataclass(frozen=True)
class WeekCells:
    """Where the sums of a week stand, as references that other sheets use."""

    week: PersonWeek
    sheet: str
    worked: str
    overtime: str
    pay: str

    def reference(self, cell: str) -> str:
        """A formula that takes a cell of this sheet."""
        quoted = self.sheet.replace("'", "''")
        return f"='{quoted}'!{cell}"


def sheet_name(week: PersonWeek, taken: set[str]) -> str:
    """A sheet's name for a person's week: unique, at most 31 letters, no letter that a workbook forbids."""
    date = f"{week.starts.day} {week.starts:%b}"
    person = _FORBIDDEN.sub("-", " ".join(week.person.split())).replace("'", "’").strip("- ") or "person"
    stem = f"{person[: 30 - len(date)]} {date}"
    name, number = stem, 2
    while name.casefold() in taken:
        tail = f" {number}"
        name, number = f"{stem[: 31 - len(tail)]}{tail}", number + 1
    taken.add(name.casefold())
    return name


def formula(sheet: Sheet, row: int, column: int, text: str, look: Look) -> None:
    """Put a formula of the program's own (never a user's text) in a cell."""
    sheet.put(row, column, None, look)
    sheet.ws.cell(row, column).value = text


def wall(clock: Clock, minute: int) -> datetime:
    """Wall time without a zone, as a spreadsheet keeps it."""
    return clock.at(minute).replace(tzinfo=None)


def write_week(
    book: Workbook, sheets: Timesheets, week: PersonWeek, page: Page, name: str, facts: str
) -> WeekCells:
    """Add the sheet of one person's week to the book."""
    duties = list(dict.fromkeys(duty for day in week.days for duty, _ in day.by_duty))
    left = len(_LEFT)
    widths = (29.0, 14.0, 14.0, 15.0, 15.0, 16.0, *([17.0] * len(duties)), *([16.0] * len(_RIGHT)))
    sheet = new_sheet(book, name, page, widths)
    row = write_head(sheet, week.person, sheets.records[0].job_name, facts)
    for column, title in enumerate((*_LEFT, *(f"{d}, min" for d in duties), *_RIGHT), start=1):
        sheet.put(row, column, title, HEAD.but(across="left" if column == 1 else "right", size=7))
    sheet.tall(row, 32)
    first = row + 1
    for offset, day in enumerate(week.days):
        _day_row(sheet, first + offset, sheets, week, day, duties)
    last = first + len(week.days) - 1
    total = last + 1
    sheet.put(total, 1, "Week", Look(bold=True, heavy="t", size=8.5))
    for column in range(2, sheet.columns + 1):
        title = (*_LEFT, *duties, *_RIGHT)[column - 1]
        if title in ("Start", "End", "From"):
            sheet.put(total, column, None, SUM)
            continue
        letter = get_column_letter(column)
        what = "MAX" if title == "Depth, fsw" else "SUM"
        formula(sheet, total, column, f"={what}({letter}{first}:{letter}{last})", SUM)
    sheet.tall(total, 16)
    row = total + 1
    sums = f"{get_column_letter(left + 1)}{total}:{get_column_letter(left + len(duties))}{total}"
    sheet.put(row, 1, "Minutes by duty less worked (must be 0)", SMALL, wide=5)
    formula(
        sheet, row, 6, f"=SUM({sums})-F{total}", NUMBER.but(size=7.5, ink=SOFT, edges="", number_format="0")
    )
    overtime_column = get_column_letter(left + len(duties) + 1)
    row, pay = _pay(sheet, row + 2, week, f"F{total}", sheets.rules.currency)
    row = _rest(sheet, row + 1, sheets, week)
    set_up_page(sheet, row)
    return WeekCells(week, name, f"F{total}", f"{overtime_column}{total}", pay)


def _day_row(
    sheet: Sheet, row: int, sheets: Timesheets, week: PersonWeek, day: PersonDay, duties: list[str]
) -> None:
    by_duty = dict(day.by_duty)
    sheet.put(row, 1, datetime(day.day.year, day.day.month, day.day.day), DATE)
    sheet.put(row, 2, wall(sheets.clock, day.start_min), CLOCK)
    sheet.put(row, 3, wall(sheets.clock, day.end_min), CLOCK)
    sheet.put(row, 4, day.span_min, NUMBER)
    sheet.put(row, 5, day.break_min, NUMBER)
    formula(sheet, row, 6, f"=D{row}-E{row}", NUMBER.but(bold=True))
    values: list[Value] = [by_duty.get(duty, 0) for duty in duties]
    values += [
        week.overtime_by_day.get(day.day, 0),
        day.night_min,
        day.weekend_min,
        day.chamber_min,
        day.bottom_min,
        day.greatest_depth_fsw,
        day.dives,
        "log" if day.from_log else "plan",
    ]
    for column, value in enumerate(values, start=7):
        sheet.put(row, column, value, NUMBER)
    sheet.tall(row, 15)


def _pay(sheet: Sheet, row: int, week: PersonWeek, worked: str, currency: str) -> tuple[int, str]:
    """The pay lines. Returns the next free row and the cell of the total."""
    wide = sheet.columns - 11
    heads = ("Pay line", "Quantity", "Unit", "Per hour or foot", "Times", f"Amount, {currency}", "In base")
    places = (1, 5, 6, 7, 8, 9, 10)
    for title, column in zip(heads, places, strict=True):
        sheet.put(
            row,
            column,
            title,
            HEAD.but(
                across="left" if column in (1, 6, 10) else "right", size=7, indent=int(column in (6, 10))
            ),
            wide=4 if column == 1 else 1,
        )
    sheet.put(row, 11, "Source", HEAD.but(size=7), wide=wide + 1)
    sheet.tall(row, 22)
    first = row + 1
    in_base = [
        f"E{first + n}*G{first + n}" + ("*60" if line.kind is LineKind.DEPTH else "")
        for n, line in enumerate(week.lines)
        if line.in_overtime_base
    ]
    regular = f"({'+'.join(in_base)})/{worked}"
    for offset, line in enumerate(week.lines):
        _line(sheet, first + offset, line, worked, regular, wide)
    total = first + len(week.lines)
    sheet.put(total, 1, "Pay of the week", Look(bold=True, heavy="t", size=9), wide=4)
    for column in range(5, sheet.columns + 1):
        sheet.put(total, column, None, SUM)
    formula(sheet, total, 9, f"=SUM(I{first}:I{total - 1})", SUM.but(number_format="#,##0.00"))
    sheet.tall(total, 16)
    note = (
        "Each line is rounded to the cent. The regular rate is the pay of the lines in the base over all "
        "hours worked; overtime lines pay what comes on top of the straight time."
    )
    sheet.put(total + 1, 1, note, SMALL, wide=sheet.columns)
    return total + 2, f"I{total}"


def _line(sheet: Sheet, row: int, line: PayLine, worked: str, regular: str, wide: int) -> None:
    sheet.put(row, 1, line.label, WORD, wide=4)
    if line.kind is LineKind.BASE:
        formula(sheet, row, 5, f"={worked}", NUMBER)
    else:
        sheet.put(row, 5, line.quantity, NUMBER)
    sheet.put(row, 6, line.unit, WORD.but(indent=1))
    if line.kind is LineKind.OVERTIME:
        formula(sheet, row, 7, f"={regular}", RATE)
        amount = f"=ROUND(E{row}*G{row}*H{row}/60,2)"
    else:
        sheet.put(row, 7, line.per_unit, MONEY)  # type: ignore[arg-type]
        per = "" if line.kind is LineKind.DEPTH else "/60"
        amount = f"=ROUND(E{row}*G{row}{per},2)"
    sheet.put(row, 8, line.times, NUMBER.but(number_format="0.0#"))  # type: ignore[arg-type]
    formula(sheet, row, 9, amount, MONEY)
    sheet.put(row, 10, "yes" if line.in_overtime_base else "no", WORD.but(indent=1))
    source = f"EXAMPLE · {line.source}" if line.example else line.source
    needed = lines_needed(source, sheet.width_mm(11, wide + 1), 7)
    sheet.put(row, 11, source, Look(size=7, ink=SOFT, wrap=True, edges="b"), wide=wide + 1)
    sheet.tall(row, max(15.0, 9.5 * needed + 3))


def _rest(sheet: Sheet, row: int, sheets: Timesheets, week: PersonWeek) -> int:
    own = [breach for person, breach in sheets.rest if person == week.person]
    sheet.put(row, 1, "Rest", Look(bold=True, size=9), wide=sheet.columns)
    row += 1
    if not own:
        sheet.put(row, 1, "No rest rule is broken by the hours known here.", SMALL, wide=sheet.columns)
        return row + 1
    for breach in own:
        sheet.put(row, 1, breach.rule, Look(size=8.5, bold=True), wide=4)
        words = breach.sentence(lambda minute: sheets.clock.hhmm(minute, with_day=True))
        sheet.put(row, 5, words, Look(size=8.5), wide=sheet.columns - 4)
        row += 1
    return row

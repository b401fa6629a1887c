"""The hours workbook: summary, a sheet a person a week, rest, pay rules, one flat table for import.

Its only formulas are the program's own sums and products; a text that a user typed stays a text.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from planner.check.rest import REST_RULES
from planner.check.rule import SUBJECT_TO
from planner.files import Target, workbook_bytes, write_whole
from planner.hours import (
    FLAT_COLUMNS,
    LineKind,
    PayLine,
    PersonDay,
    PersonWeek,
    Timesheets,
    flat_rows,
    pay_rows,
)
from planner.job.base import Clock
from planner.workbook.style import (
    HEAD,
    SMALL,
    SOFT,
    Look,
    Page,
    Sheet,
    Value,
    lines_needed,
    new_book,
    new_sheet,
    paper_named,
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


SUMMARY, REST, RULES, FLAT = "Summary", "Rest", "Pay rules", "Flat table"


def hours_book(sheets: Timesheets, *, paper: str = "A4", made_at: datetime | None = None) -> Workbook:
    """The hours workbook, not yet saved.

    Its only formulas are the program's own sums and products; a text that a user typed stays a text.

    Parameters
    ----------
    sheets
        The timesheets.
    paper
        ``A4`` or ``Letter``.
    made_at
        When it was made; printed in the head.

    Raises
    ------
    ValueError
        For another paper.
    """
    landscape = Page(paper_named(paper), landscape=True)
    upright = Page(paper_named(paper), landscape=False)
    made = made_at or datetime.now(tz=sheets.clock.zone)
    facts = f"{sheets.basis_sentence} · {sheets.rules.name} · made {made:%Y-%m-%d %H:%M}"
    book = new_book(f"Hours, {sheets.records[0].job_name}")
    taken = {name.casefold() for name in (SUMMARY, REST, RULES, FLAT)}
    cells = []
    for week in sheets.weeks:
        class_words = f" · pay class {week.pay_class}" if week.pay_class else ""
        own = f"Week from {week.starts:%A} {week.starts.day} {week.starts:%B %Y}{class_words} · {facts}"
        cells.append(write_week(book, sheets, week, landscape, sheet_name(week, taken), own))
    _summary(book, sheets, cells, landscape, facts)
    _rest_hours_book(book, sheets, upright, facts)
    _rules(book, sheets, landscape, facts)
    _flat(book, sheets, landscape)
    book.move_sheet(SUMMARY, -book.index(book[SUMMARY]))
    book.active = 0
    return book


def write_hours_book(
    sheets: Timesheets, target: Target, *, paper: str = "A4", made_at: datetime | None = None
) -> None:
    """Write the hours workbook to a path or an open binary file.

    Raises
    ------
    OSError
        The place cannot be written.
    """
    write_whole(hours_book(sheets, paper=paper, made_at=made_at), target)


def hours_book_bytes(sheets: Timesheets, *, paper: str = "A4") -> bytes:
    """The hours workbook as bytes, for a download."""
    return workbook_bytes(hours_book(sheets, paper=paper))


_SUMMARY = (
    ("Person", 46.0),
    ("Week from", 30.0),
    ("Class", 16.0),
    ("Days", 12.0),
    ("Worked, min", 18.0),
    ("Hours", 16.0),
    ("Overtime, min", 18.0),
    ("Night, min", 16.0),
    ("Weekend, min", 18.0),
    ("By the chamber, min", 20.0),
    ("Bottom time, min", 18.0),
    ("Dives", 13.0),
    ("Greatest depth, fsw", 18.0),
    ("Pay", 22.0),
    ("Rest rules broken", 18.0),
    ("From", 18.0),
)


def _summary(book: Workbook, sheets: Timesheets, cells: list[WeekCells], page: Page, facts: str) -> None:
    sheet = new_sheet(book, SUMMARY, page, [width for _, width in _SUMMARY])
    row = write_head(sheet, "Hours", sheets.records[0].job_name, facts)
    for column, (title, _) in enumerate(_SUMMARY, start=1):
        words = f"{title}, {sheets.rules.currency}" if title == "Pay" else title
        sheet.put(row, column, words, HEAD.but(across="left" if column <= 3 else "right", size=7))
    sheet.tall(row, 24)
    sheet.title_rows = row
    sheet.ws.freeze_panes = f"A{row + 1}"
    first = row + 1
    for offset, own in enumerate(cells):
        at, week = first + offset, own.week
        sheet.put(at, 1, week.person, WORD)
        sheet.put(at, 2, datetime(week.starts.year, week.starts.month, week.starts.day), DATE)
        sheet.put(at, 3, week.pay_class, WORD)
        sheet.put(at, 4, len(week.days), NUMBER)
        formula(sheet, at, 5, own.reference(own.worked), NUMBER)
        formula(sheet, at, 6, f"=E{at}/60", MONEY)
        formula(sheet, at, 7, own.reference(own.overtime), NUMBER)
        for column, count in enumerate(
            (
                sum(d.night_min for d in week.days),
                sum(d.weekend_min for d in week.days),
                sum(d.chamber_min for d in week.days),
                sum(d.bottom_min for d in week.days),
                sum(d.dives for d in week.days),
                max((d.greatest_depth_fsw for d in week.days), default=0),
            ),
            start=8,
        ):
            sheet.put(at, column, count, NUMBER)
        formula(sheet, at, 14, own.reference(own.pay), MONEY.but(bold=True))
        sheet.put(at, 15, len({b.rule for p, b in sheets.rest if p == week.person}), NUMBER)
        sheet.put(at, 16, week.basis, WORD.but(across="right"))
        sheet.tall(at, 15)
    total = first + len(cells)
    sheet.put(total, 1, "All", Look(bold=True, heavy="t", size=9))
    for column in range(2, sheet.columns + 1):
        letter = get_column_letter(column)
        if column in (2, 3, 15, 16):
            sheet.put(total, column, None, SUM)
            continue
        what = "MAX" if column == 13 else "SUM"
        look = SUM.but(number_format="#,##0.00") if column in (6, 14) else SUM
        formula(sheet, total, column, f"={what}({letter}{first}:{letter}{max(first, total - 1)})", look)
    sheet.tall(total, 17)
    row = total + 2
    for note in (
        *sheets.notes,
        "A minute with two duties counts once, under the first of: diver, diver at the entry, standby "
        "diver, supervisor, chamber operator, tender, standby's tender, air console, log keeper. A gap "
        f"shorter than {sheets.rules.break_least_min} min is time worked (between duties). {SUBJECT_TO}",
    ):
        sheet.put(row, 1, note, SMALL.but(wrap=True, down="top"), wide=sheet.columns)
        sheet.tall(row, 10.5 * lines_needed(note, page.width_mm, 7.5) + 2)
        row += 1
    set_up_page(sheet, row)


def _rest_hours_book(book: Workbook, sheets: Timesheets, page: Page, facts: str) -> None:
    sheet = new_sheet(book, REST, page, (40.0, 40.0, 110.0))
    row = write_head(sheet, "Rest", sheets.records[0].job_name, facts)
    for column, title in enumerate(("Person", "Rule", "What is found"), start=1):
        sheet.put(row, column, title, HEAD)
    sheet.title_rows = row
    row += 1
    for person, breach in sheets.rest:
        words = breach.sentence(lambda minute: sheets.clock.hhmm(minute, with_day=True))
        sheet.put(row, 1, person, WORD)
        sheet.put(row, 2, breach.rule, WORD)
        sheet.put(row, 3, words, WORD.but(wrap=True, shrink=False))
        sheet.tall(row, 11.0 * lines_needed(words, sheet.width_mm(3), 8.5) + 4)
        row += 1
    if not sheets.rest:
        sheet.put(row, 1, "No rest rule is broken by the hours known here.", WORD, wide=3)
        row += 1
    row += 1
    sheet.put(row, 1, "The rules", Look(bold=True), wide=3)
    for rule in REST_RULES:
        row += 1
        sheet.put(row, 1, rule.id, Look(size=8.5))
        words = f"{rule.sentence} ({rule.source})"
        sheet.put(row, 2, words, Look(size=8.5, wrap=True, down="top"), wide=2)
        sheet.tall(row, 11.0 * lines_needed(words, sheet.width_mm(2, 2), 8.5) + 4)
    row += 1
    note = f"Hours that are not given here are taken as rest. {SUBJECT_TO}"
    sheet.put(row, 1, note, SMALL, wide=3)
    set_up_page(sheet, row)


def _rules(book: Workbook, sheets: Timesheets, page: Page, facts: str) -> None:
    sheet = new_sheet(book, RULES, page, (38.0, 18.0, 20.0, 20.0, 18.0, 18.0, 110.0, 18.0))
    row = write_head(sheet, "Pay rules", sheets.records[0].job_name, facts)
    rows = pay_rows(sheets.rules)
    for column, title in enumerate(rows[0] if rows else (), start=1):
        sheet.put(row, column, title.capitalize(), HEAD.but(indent=int(title == "in overtime base")))
    sheet.tall(row, 24)
    sheet.title_rows = row
    for cells in rows:
        row += 1
        for column, (name, text) in enumerate(cells.items(), start=1):
            right = name in ("from", "to", "amount")
            words = "EXAMPLE" if name == "example" and text else text
            look = WORD.but(across="right" if right else "left", indent=int(name == "in overtime base"))
            sheet.put(row, column, words, look.but(wrap=True, shrink=False) if name == "source" else look)
        sheet.tall(row, 11.0 * lines_needed(cells["source"], sheet.width_mm(7), 8.5) + 4)
    row += 2
    note = (
        "From: hours for overtime, fsw for the depth premium, a time for the night, minutes for a break. "
        f"Amount: money an hour or a foot, or times the regular rate. {SUBJECT_TO}"
    )
    sheet.put(row, 1, note, SMALL, wide=sheet.columns)
    set_up_page(sheet, row)


def _flat(book: Workbook, sheets: Timesheets, page: Page) -> None:
    """Names of the columns in the first row and nothing above them, so that any program can import it."""
    widths = [
        30.0 if name == "person" else 22.0 if name in ("start", "end", "duty") else 13.0
        for name in FLAT_COLUMNS
    ]
    sheet = new_sheet(book, FLAT, page, widths)
    for column, name in enumerate(FLAT_COLUMNS, start=1):
        sheet.put(1, column, name, Look(size=7, bold=True, edges="b", wrap=True))
    sheet.tall(1, 24)
    sheet.title_rows = 1
    row = 1
    for cells in flat_rows(sheets):
        row += 1
        for column, name in enumerate(FLAT_COLUMNS, start=1):
            value = cells[name]
            look = Look(size=7, shrink=True)
            if isinstance(value, Decimal):
                look = look.but(number_format="0.00", across="right")
            sheet.put(row, column, value, look)  # type: ignore[arg-type]
    sheet.ws.auto_filter.ref = f"A1:{get_column_letter(len(FLAT_COLUMNS))}{row}"
    set_up_page(sheet, row)

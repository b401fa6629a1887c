"""The hours workbook: summary, a sheet a person a week, rest, pay rules, one flat table for import."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from planner.files import Target, save_workbook, workbook_bytes
from planner.hours import FLAT_COLUMNS, Timesheets, flat_rows, pay_rows
from planner.rules.rest import REST_RULES
from planner.rules.rule import SUBJECT_TO
from planner.sheets.hours_sheets import (
    DATE,
    MONEY,
    NUMBER,
    SUM,
    WORD,
    WeekCells,
    formula,
    sheet_name,
    write_week,
)
from planner.workbook.style import (
    HEAD,
    SMALL,
    Look,
    Page,
    lines_needed,
    new_book,
    new_sheet,
    paper_named,
    set_up_page,
    write_head,
)

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
    _rest(book, sheets, upright, facts)
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
    save_workbook(hours_book(sheets, paper=paper, made_at=made_at), target)


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


def _rest(book: Workbook, sheets: Timesheets, page: Page, facts: str) -> None:
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

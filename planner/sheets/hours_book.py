"""The hours workbook: summary, a sheet a person a week, rest, pay rules, one flat table for import.

Its only formulas are the program's own sums and products; a text that a user typed stays a text.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from planner.check.rest import REST_RULES, ShortRest
from planner.check.rule import SUBJECT_TO, Rule
from planner.files import Target, write_whole
from planner.hours import (
    EXAMPLE_RULES,
    FLAT_COLUMNS,
    LineKind,
    PayLine,
    PayRules,
    PersonDay,
    PersonWeek,
    Timesheets,
    flat_rows,
    from_plan,
    pay_rows,
    timesheets,
)
from planner.job import Job
from planner.plan import Plan
from planner.sheets.layout import (
    CellValue,
    Column,
    Formula,
    PrintedBook,
    Table,
    freeze,
    made_words,
    printed_book,
    unused_name,
    wall,
    write_line,
    write_words,
)
from planner.workbook.style import SMALL, SOFT, Look, Page, Sheet, new_sheet, set_up_page

SUMMARY, REST, RULES, FLAT = "Summary", "Rest", "Pay rules", "Flat table"

NUMBER = Look(across="right", edges="b", number_format="#,##0;-#,##0;–", size=8.5)
MONEY = Look(across="right", edges="b", number_format="#,##0.00", size=8.5)
WORD = Look(edges="b", size=8.5, shrink=True)
WRAPPED = Look(edges="b", size=8.5, wrap=True)
CLOCK = Look(edges="b", size=8.5, across="center", number_format="hh:mm")
DATE = Look(edges="b", size=8.5, number_format="ddd d mmm yyyy")
_SOURCE = Look(size=7, ink=SOFT, wrap=True, edges="b")
_NO_BREACH = "No rest rule is broken by the hours known here."

#: Letters that a workbook forbids in a sheet's name, and those that mean something in a formula.
_FORBIDDEN = re.compile(r"[\[\]:*?/\\=\"!()+@{}]")


@dataclass(frozen=True)
class WeekCells:
    """Where the sums of a week stand, as references that other sheets use."""

    week: PersonWeek
    sheet: str
    worked: str
    overtime: str
    pay: str

    def reference(self, cell: str) -> Formula:
        """A formula that takes a cell of this sheet."""
        quoted = self.sheet.replace("'", "''")
        return Formula(f"='{quoted}'!{cell}")


def sheet_name(week: PersonWeek, taken: set[str]) -> str:
    """A sheet's name for a person's week: unique, at most 31 letters, no letter that a workbook forbids."""
    date = f"{week.starts.day} {week.starts:%b}"
    person = _FORBIDDEN.sub("-", " ".join(week.person.split())).replace("'", "’").strip("- ") or "person"
    return unused_name(f"{person[: 30 - len(date)]} {date}", taken)


def _midnight(day: date) -> datetime:
    """A day as a spreadsheet keeps it."""
    return datetime(day.year, day.month, day.day)


def hours_book(sheets: Timesheets, *, paper: str = "A4", made_at: datetime | None = None) -> Workbook:
    """The hours workbook, not yet saved.

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
    facts = f"{sheets.basis_sentence} · {sheets.rules.name} · {made_words(sheets.clock, made_at)}"
    job_name = sheets.records[0].job_name
    printed = printed_book(f"Hours, {job_name}", paper, job_name, facts)
    taken = {name.casefold() for name in (SUMMARY, REST, RULES, FLAT)}
    cells = [_week(printed, sheets, week, sheet_name(week, taken)) for week in sheets.weeks]
    _summary(printed, sheets, cells)
    _rest(printed, sheets)
    _rules(printed, sheets)
    _flat(printed, sheets)
    book = printed.book
    book.move_sheet(SUMMARY, -book.index(book[SUMMARY]))
    book.active = 0
    return book


# --- a person's week --------------------------------------------------------------------------------------


def write_hours(
    days: Sequence[tuple[Job, Plan]], target: Target, *, rules: PayRules = EXAMPLE_RULES
) -> Timesheets:
    """Write the hours of planned days as a workbook for the office.

    Parameters
    ----------
    days
        Each job with its plan, in any order.
    target
        Path or open binary file.
    rules
        Pay rules; the examples that ship where none are given.

    Returns
    -------
    Timesheets
        What was written, by person, week and day; minutes, and money of ``rules``.

    Raises
    ------
    InputFaults
        The same day twice.
    OSError
        When the place cannot be written.
    """
    sheets = timesheets([from_plan(plan, job) for job, plan in days], rules)
    write_whole(hours_book(sheets), target)
    return sheets


def _week(printed: PrintedBook, sheets: Timesheets, week: PersonWeek, name: str) -> WeekCells:
    """One person's week: his days, the minutes by duty, and the pay line by line with live sums."""
    class_words = f" · pay class {week.pay_class}" if week.pay_class else ""
    starts = f"Week from {week.starts:%A} {week.starts.day} {week.starts:%B %Y}{class_words}"
    duties = list(dict.fromkeys(duty for day in week.days for duty, _ in day.by_duty))
    table = _days(sheets, week, duties)
    sheet, row = printed.sheet(
        name, table.widths, landscape=True, title=week.person, facts=f"{starts} · {printed.facts}"
    )
    first = table.heads(sheet, row)
    total = table.rows(sheet, first, week.days)
    row = table.totals(sheet, total, first, "Week")
    left = 6
    sums = f"{get_column_letter(left + 1)}{total}:{get_column_letter(left + len(duties))}{total}"
    check = NUMBER.but(size=7.5, ink=SOFT, edges="", number_format="0")
    words = ("Minutes by duty less worked (must be 0)", 5, SMALL)
    row = write_line(sheet, row, [words, (Formula(f"=SUM({sums})-F{total}"), 1, check)])
    row, pay = _pay(sheet, row + 1, week, f"F{total}", sheets.rules.currency)
    row = _rest_of(sheet, row + 1, sheets, week)
    set_up_page(sheet, row)
    overtime = f"{get_column_letter(left + len(duties) + 1)}{total}"
    return WeekCells(week, name, f"F{total}", overtime, pay)


def _days(sheets: Timesheets, week: PersonWeek, duties: list[str]) -> Table[PersonDay]:
    clock = sheets.clock

    def minutes_in(duty: str) -> Column[PersonDay]:
        return Column(f"{duty}, min", 17, lambda d: dict(d.by_duty).get(duty, 0), NUMBER, total="SUM")

    return Table(
        (
            Column("Day", 29, lambda d: _midnight(d.day), DATE),
            Column("Start", 14, lambda d: wall(clock, d.start_min), CLOCK),
            Column("End", 14, lambda d: wall(clock, d.end_min), CLOCK),
            Column("Span, min", 15, lambda d: d.span_min, NUMBER, total="SUM"),
            Column("Breaks, min", 15, lambda d: d.break_min, NUMBER, total="SUM"),
            Column(
                "Worked, min", 16, lambda d: Formula("=D{row}-E{row}"), NUMBER.but(bold=True), total="SUM"
            ),
            *map(minutes_in, duties),
            Column("Overtime", 16, lambda d: week.overtime_by_day.get(d.day, 0), NUMBER, total="SUM"),
            Column("Night", 16, lambda d: d.night_min, NUMBER, total="SUM"),
            Column("Weekend", 16, lambda d: d.weekend_min, NUMBER, total="SUM"),
            Column("By the chamber", 16, lambda d: d.chamber_min, NUMBER, total="SUM"),
            Column("Bottom time", 16, lambda d: d.bottom_min, NUMBER, total="SUM"),
            Column("Depth, fsw", 16, lambda d: d.greatest_depth_fsw, NUMBER, total="MAX"),
            Column("Dives", 16, lambda d: d.dives, NUMBER, total="SUM"),
            Column("From", 16, lambda d: "log" if d.from_log else "plan", NUMBER),
        ),
        heads_points=32,
        head_size=7,
    )


def _pay(sheet: Sheet, row: int, week: PersonWeek, worked: str, currency: str) -> tuple[int, str]:
    """The pay lines. Returns the next free row and the cell of the total."""
    first = row + 1
    in_base = [
        f"E{first + n}*G{first + n}" + ("*60" if line.kind is LineKind.DEPTH else "")
        for n, line in enumerate(week.lines)
        if line.in_overtime_base
    ]
    regular = Formula(f"=({'+'.join(in_base)})/{worked}")

    def quantity(line: PayLine) -> CellValue:
        return Formula(f"={worked}") if line.kind is LineKind.BASE else line.quantity

    def rate_format(line: PayLine) -> dict[str, object]:
        return {"number_format": "#,##0.0000"} if line.kind is LineKind.OVERTIME else {}

    def amount(line: PayLine) -> CellValue:
        if line.kind is LineKind.OVERTIME:
            return Formula("=ROUND(E{row}*G{row}*H{row}/60,2)")
        return Formula("=ROUND(E{row}*G{row}" + ("" if line.kind is LineKind.DEPTH else "/60") + ",2)")

    table: Table[PayLine] = Table(
        (
            Column("Pay line", 4, lambda p: p.label, WORD),
            Column("Quantity", 1, quantity, NUMBER),
            Column("Unit", 1, lambda p: p.unit, WORD.but(indent=1)),
            Column(
                "Per hour or foot",
                1,
                lambda p: regular if p.kind is LineKind.OVERTIME else p.per_unit,
                MONEY,
                rate_format,
            ),
            Column("Times", 1, lambda p: p.times, NUMBER.but(number_format="0.0#")),
            Column(f"Amount, {currency}", 1, amount, MONEY, total="SUM"),
            Column("In base", 1, lambda p: "yes" if p.in_overtime_base else "no", WORD.but(indent=1)),
            Column(
                "Source",
                sheet.columns - 10,
                lambda p: f"EXAMPLE · {p.source}" if p.example else p.source,
                _SOURCE,
            ),
        ),
        heads_points=22,
        head_size=7,
        laid_on=1,
    )
    total = table.rows(sheet, table.heads(sheet, row), week.lines)
    row = table.totals(sheet, total, first, "Pay of the week")
    note = (
        "Each line is rounded to the cent. The regular rate is the pay of the lines in the base over all "
        "hours worked; overtime lines pay what comes on top of the straight time."
    )
    return write_words(sheet, row, note), f"I{total}"


def _found(sheets: Timesheets, breach: ShortRest) -> str:
    return breach.sentence(lambda minute: sheets.clock.hhmm(minute, with_day=True))


def _rest_of(sheet: Sheet, row: int, sheets: Timesheets, week: PersonWeek) -> int:
    own = [breach for person, breach in sheets.rest if person == week.person]
    row = write_line(sheet, row, [("Rest", sheet.columns, Look(bold=True))])
    if not own:
        return write_line(sheet, row, [(_NO_BREACH, sheet.columns, SMALL)])
    for breach in own:
        rule, words = (breach.rule, 4, Look(size=8.5, bold=True)), _found(sheets, breach)
        row = write_line(sheet, row, [rule, (words, sheet.columns - 4, Look(size=8.5))])
    return row


# --- the whole team ---------------------------------------------------------------------------------------


def _summary(printed: PrintedBook, sheets: Timesheets, cells: list[WeekCells]) -> None:
    def broken(own: WeekCells) -> int:
        return len({b.rule for person, b in sheets.rest if person == own.week.person})

    def of_days(head: str, width: float, field: str) -> Column[WeekCells]:
        return Column(
            head, width, lambda own: sum(getattr(d, field) for d in own.week.days), NUMBER, total="SUM"
        )

    table: Table[WeekCells] = Table(
        (
            Column("Person", 46, lambda own: own.week.person, WORD),
            Column("Week from", 30, lambda own: _midnight(own.week.starts), DATE),
            Column("Class", 16, lambda own: own.week.pay_class, WORD),
            Column("Days", 12, lambda own: len(own.week.days), NUMBER, total="SUM"),
            Column("Worked, min", 18, lambda own: own.reference(own.worked), NUMBER, total="SUM"),
            Column("Hours", 16, lambda own: Formula("=E{row}/60"), MONEY, total="SUM"),
            Column("Overtime, min", 18, lambda own: own.reference(own.overtime), NUMBER, total="SUM"),
            of_days("Night, min", 16, "night_min"),
            of_days("Weekend, min", 18, "weekend_min"),
            of_days("By the chamber, min", 20, "chamber_min"),
            of_days("Bottom time, min", 18, "bottom_min"),
            of_days("Dives", 13, "dives"),
            Column(
                "Greatest depth, fsw",
                18,
                lambda own: max((d.greatest_depth_fsw for d in own.week.days), default=0),
                NUMBER,
                total="MAX",
            ),
            Column(
                f"Pay, {sheets.rules.currency}",
                22,
                lambda own: own.reference(own.pay),
                MONEY.but(bold=True),
                total="SUM",
            ),
            Column("Rest rules broken", 18, broken, NUMBER),
            Column("From", 18, lambda own: own.week.basis, WORD.but(across="right")),
        ),
        heads_points=24,
        head_size=7,
    )
    sheet, row = printed.sheet(SUMMARY, table.widths, landscape=True, title="Hours")
    first = table.heads(sheet, row, on_each_page=True)
    freeze(sheet)
    row = table.totals(sheet, table.rows(sheet, first, cells), first, "All", 17) + 1
    counted = (
        "A minute with two duties counts once, under the first of: diver, diver at the entry, standby "
        "diver, supervisor, chamber operator, tender, standby's tender, air console, log keeper. A gap "
        f"shorter than {sheets.rules.break_least_min} min is time worked (between duties). {SUBJECT_TO}"
    )
    for note in (*sheets.notes, counted):
        row = write_words(sheet, row, note)
    set_up_page(sheet, row)


def _rest(printed: PrintedBook, sheets: Timesheets) -> None:
    found: Table[tuple[str, ShortRest]] = Table(
        (
            Column("Person", 40, lambda p: p[0], WORD),
            Column("Rule", 40, lambda p: p[1].rule, WORD),
            Column("What is found", 110, lambda p: _found(sheets, p[1]), WRAPPED),
        )
    )
    sheet, row = printed.sheet(REST, found.widths)
    row = found.heads(sheet, row, on_each_page=True)
    row = found.rows(sheet, row, sheets.rest)
    if not sheets.rest:
        row = write_line(sheet, row, [(_NO_BREACH, 3, WORD)])
    row = write_line(sheet, row + 1, [("The rules", 3, Look(bold=True))])
    rules: tuple[Rule, ...] = REST_RULES
    for rule in rules:
        words = f"{rule.sentence} ({rule.source})"
        look = Look(size=8.5)
        row = write_line(sheet, row, [(rule.id, 1, look), (words, 2, look.but(wrap=True, down="top"))])
    write_words(sheet, row, f"Hours that are not given here are taken as rest. {SUBJECT_TO}")
    set_up_page(sheet, row)


def _rules(printed: PrintedBook, sheets: Timesheets) -> None:
    rows = pay_rows(sheets.rules)
    widths = (38.0, 18.0, 20.0, 20.0, 18.0, 18.0, 110.0, 18.0)
    looks = {"in overtime base": WORD.but(indent=1), "source": WRAPPED}
    looks |= dict.fromkeys(("from", "to", "amount"), WORD.but(across="right"))

    def column(name: str, width: float) -> Column[dict[str, str]]:
        def words(cells: dict[str, str]) -> str:
            return "EXAMPLE" if name == "example" and cells[name] else cells[name]

        return Column(name.capitalize(), width, words, looks.get(name, WORD))

    names = list(rows[0]) if rows else []
    table = Table(tuple(map(column, names, widths)), heads_points=24)
    sheet, row = printed.sheet(RULES, widths, landscape=True)
    row = table.rows(sheet, table.heads(sheet, row, on_each_page=True), rows) + 1
    note = (
        "From: hours for overtime, fsw for the depth premium, a time for the night, minutes for a break. "
        f"Amount: money an hour or a foot, or times the regular rate. {SUBJECT_TO}"
    )
    write_words(sheet, row, note)
    set_up_page(sheet, row)


def _flat(printed: PrintedBook, sheets: Timesheets) -> None:
    """Names of the columns in the first row and nothing above them, so that any program can import it."""
    widths = [
        30.0 if name == "person" else 22.0 if name in ("start", "end", "duty") else 13.0
        for name in FLAT_COLUMNS
    ]
    sheet = new_sheet(printed.book, FLAT, Page(printed.paper, landscape=True), widths)
    head, look = Look(size=7, bold=True, edges="b", wrap=True), Look(size=7, shrink=True)
    row = write_line(sheet, 1, [(name, 1, head) for name in FLAT_COLUMNS], 24)
    sheet.title_rows = 1
    money = look.but(number_format="0.00", across="right")
    for cells in flat_rows(sheets):
        values = [cells[name] for name in FLAT_COLUMNS]
        row = write_line(sheet, row, [(v, 1, money if isinstance(v, Decimal) else look) for v in values])
    sheet.ws.auto_filter.ref = f"A1:{get_column_letter(len(FLAT_COLUMNS))}{row - 1}"
    set_up_page(sheet, row - 1)

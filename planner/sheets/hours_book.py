"""The hours workbook: summary, a sheet a person a week, rest, pay rules.

Its only formulas are the program's own sums and products; a text that a user typed stays a text.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import datetime

from planner.check.rest import REST_RULES, ShortRest
from planner.check.rule import SUBJECT_TO, Rule
from planner.files import Target, write_whole
from planner.hours.pay_rules import EXAMPLE_RULES, SHEET, CountBy, PayRules
from planner.hours.shifts import Shift
from planner.hours.timesheets import Timesheets, timesheets
from planner.hours.weeks import PersonWeek
from planner.hours.worked import from_plan, in_metres, tables_words
from planner.job import Job
from planner.job.duties import DUTY_OF, PaidAs
from planner.plan import Plan
from planner.sheets.hours_rules import write_rules
from planner.sheets.hours_week import (
    DATE,
    IN_METRES,
    METRES,
    MONEY,
    NO_BREACH,
    NUMBER,
    WORD,
    WeekCells,
    midnight,
    write_week,
)
from planner.sheets.layout import (
    Column,
    Formula,
    PrintedBook,
    Table,
    facts_words,
    made_words,
    printed_book,
    unused_name,
)
from planner.workbook.style import Book, Look

SUMMARY, REST = "Summary", "Rest"

WRAPPED = Look(edges="b", size=8.5, wrap=True)

#: Letters that a workbook forbids in a sheet's name, and those that mean something in a formula.
_FORBIDDEN = re.compile(r"[\[\]:*?/\\=\"!()+@{}]")


def sheet_name(week: PersonWeek, taken: set[str]) -> str:
    """A sheet's name for a person's week: unique, at most 31 letters, no letter that a workbook forbids."""
    date = f"{week.starts.day} {week.starts:%b}"
    person = _FORBIDDEN.sub("-", " ".join(week.person.split())).replace("'", "’").strip("- ") or "person"
    return unused_name(f"{person[: 30 - len(date)]} {date}", taken)


def hours_book(sheets: Timesheets, *, paper: str = "A4", made_at: datetime | None = None) -> Book:
    """The hours workbook on ``A4`` or ``Letter``, not yet saved.

    Raises
    ------
    ValueError
        For another paper.
    """
    made = made_words(sheets.clock, made_at)
    facts = facts_words(sheets.basis_sentence, sheets.rules.name, made, tables_words(sheets.records))
    job_name = sheets.records[0].job_name
    printed = printed_book(f"Hours, {job_name}", paper, job_name, facts)
    taken = {name.casefold() for name in (SUMMARY, REST, SHEET)}
    rules = write_rules(printed, sheets.rules)
    cells = [write_week(printed, sheets, week, sheet_name(week, taken), rules) for week in sheets.weeks]
    _summary(printed, sheets, cells)
    _rest(printed, sheets)
    book = printed.book
    book.move_sheet(SUMMARY, -book.index(book[SUMMARY]))
    book.move_sheet(SHEET, len(book.sheetnames) - 1 - book.index(book[SHEET]))
    book.active = 0
    return book


def write_hours(
    days: Sequence[tuple[Job, Plan]], target: Target, *, rules: PayRules = EXAMPLE_RULES
) -> Timesheets:
    """Write the hours of planned days, in any order, as a workbook for the office, to a path or an open
    binary file.

    Returns
    -------
    Timesheets
        What was written, by person, week and shift; minutes, and money of ``rules``.

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


# --- the whole team ---------------------------------------------------------------------------------------


def _summary(printed: PrintedBook, sheets: Timesheets, cells: list[WeekCells]) -> None:
    counted = "Days" if sheets.rules.count_by is CountBy.DAY else "Shifts"

    def broken(own: WeekCells) -> int:
        return len({b.rule for person, b in sheets.rest if person == own.week.person})

    def of(
        head: str, width: float, of_shift: Callable[[Shift], int], total: str = "SUM"
    ) -> Column[WeekCells]:
        def value(own: WeekCells) -> Formula:
            values = [of_shift(shift) for shift in own.week.shifts]
            return own.reference(head, max(values) if total == "MAX" else sum(values))

        return Column(head, width, value, NUMBER, total=total)

    def overtime(own: WeekCells) -> Formula:
        both = [own.reference(f"Overtime of the {what}, min", 0).text[1:] for what in ("shift", "week")]
        return Formula(f"={both[0]}+{both[1]}", own.week.overtime_min)

    def hours(own: WeekCells) -> Formula:
        return Formula("=E{row}/60", own.week.worked_min / 60)

    def pay(own: WeekCells) -> Formula:
        return own.reference("Pay", own.week.pay)

    def deepest_m(own: WeekCells) -> Formula:
        return own.reference(METRES, max(shift.greatest_depth_m for shift in own.week.shifts))

    metres: Column[WeekCells] = Column(METRES, 16, deepest_m, IN_METRES, total="MAX")
    table: Table[WeekCells] = Table(
        (
            Column("Person", 46, lambda own: own.week.person, WORD),
            Column("Week from", 30, lambda own: midnight(own.week.starts), DATE),
            Column("Class", 16, lambda own: own.week.pay_class, WORD.but(indent=1)),
            Column(counted, 14, lambda own: len(own.week.shifts), NUMBER, total="SUM"),
            of("Worked, min", 18, lambda s: s.worked_min),
            Column("Worked, h", 16, hours, MONEY, total="SUM"),
            Column("Overtime, min", 18, overtime, NUMBER, total="SUM"),
            of("Night, min", 16, lambda s: s.night_min),
            of("Weekend, min", 18, lambda s: s.weekend_min),
            of("By the chamber, min", 20, lambda s: s.paid_min(PaidAs.CHAMBER)),
            of("Bottom time, min", 18, lambda s: s.bottom_min),
            of("Dives", 13, lambda s: s.dives),
            of("Depth, fsw", 18, lambda s: s.greatest_depth_fsw, "MAX"),
            *([metres] if in_metres(sheets.records) else []),
            Column(f"Pay, {sheets.rules.currency}", 22, pay, MONEY.but(bold=True), total="SUM"),
            Column("Rest rules broken", 18, broken, NUMBER),
            Column("From", 18, lambda own: own.week.basis, WORD.but(across="right")),
        ),
        heads_points=24,
        head_size=7,
    )
    sheet = printed.listed(SUMMARY, table, cells, title="Hours")
    sheet.totals(table, sheet.title_rows + 1, "All", 17)
    sheet.gap()
    ranked = ", ".join(name for name, duty in DUTY_OF.items() if not duty.everybody)
    said = (
        f"A minute with two duties counts once, under the first of: {ranked}. A gap shorter than "
        f"{sheets.rules.break_least_min} min is time worked (between duties). The sums of this sheet are "
        "live, taken from those of the weeks; rest and shifts are counted when the workbook is made. "
        f"{SUBJECT_TO}"
    )
    for note in (*sheets.notes, said):
        sheet.words(note)
    sheet.end()


def _rest(printed: PrintedBook, sheets: Timesheets) -> None:
    found: Table[tuple[str, ShortRest]] = Table(
        (
            Column("Person", 40, lambda p: p[0], WORD),
            Column("Rule", 40, lambda p: p[1].rule, WORD),
            Column("What is found", 110, lambda p: sheets.rest_words(p[1]), WRAPPED),
        )
    )
    sheet = printed.sheet(REST, found.widths)
    sheet.heads(found, on_each_page=True)
    sheet.rows(found, sheets.rest)
    if not sheets.rest:
        sheet.across(NO_BREACH, WORD)
    sheet.gap()
    sheet.across("The rules", Look(bold=True))
    rules: tuple[Rule, ...] = REST_RULES
    for rule in rules:
        words = f"{rule.sentence} ({rule.source})"
        look = Look(size=8.5)
        sheet.line([(rule.id, 1, look), (words, 2, look.but(wrap=True, down="top"))])
    sheet.words(f"Hours that are not given here are taken as rest. {SUBJECT_TO}")
    sheet.end()

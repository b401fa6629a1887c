"""The hours workbook is live: its formulas say what their cells show, and follow what is typed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from planner.cli.pay_book import read_pay_rules
from planner.files import write_whole
from planner.hours.pay_rules import EXAMPLE_RULES, CountBy, HourlyRate, PayRules
from planner.hours.timesheets import Timesheets, timesheets
from planner.hours.worked import from_plan
from planner.sheets.hours_book import hours_book
from planner.workbook.style import PAPERS
from tests.hours.by_the_minute import Counted, pay, shifts
from tests.world.office import converted
from tests.world.sample_plans import planned
from tests.world.worked_days import dive, record, spell

MADE = datetime(2027, 11, 2, 18, 0, tzinfo=UTC)
#: Monday of the week in which Lisbon puts its clocks back (Directive 2000/84/EC: 31 October 2027, 01:00 UTC).
AUTUMN = date(2027, 10, 25)
OWN = "'=cmd|1' [x]"
BY_DAY = EXAMPLE_RULES.replace(count_by=CountBy.DAY)
#: A night within one day, a weekend over the week's end, days that begin with a shift, limits in odd minutes.
ODD = EXAMPLE_RULES.replace(
    count_by=CountBy.DAY,
    day_starts=time(5),
    night_from=time(0, 20),
    night_to=time(5, 5),
    weekend_days=(6, 0),
    overtime=tuple(
        o.replace(after_min=o.after_min - 25) if o.after_min else o for o in EXAMPLE_RULES.overtime
    ),
)


def _week(first_start: str = "2000", last_end: str = "0630", depth_fsw: int = 90) -> Timesheets:
    """A week of nights over the change of the clocks, split shifts by day, and a name like a formula."""
    spells = [
        one
        for day in range(7)
        for one in (
            spell("Ana", "standby diver", first_start if day == 0 else "2000", "2345", day),
            spell("Ana", "diver", "0021", last_end if day == 6 else "0633", day + 1),
            spell(OWN, "tender", "0500", "0859", day),
            spell(OWN, "air console", "0910", "1007", day),
            spell(OWN, "chamber operator", "1400", "1931", day),
        )
        if one.person == "Ana" or day < 4
    ]
    dives = tuple(
        dive("Ana", depth_fsw if d == 2 else 60 + d, "0100", 40, d + 1, enclosed_space=d < 3)
        for d in range(6)
    )
    given = record(
        *spells, dives=dives, first_day=AUTUMN, days=7, time_zone="Europe/Lisbon", pay_classes={"Ana": "D2"}
    )
    return timesheets([given], EXAMPLE_RULES)


def _formulas(book: Workbook) -> Iterator[tuple[str, str, str]]:
    for ws in book:
        for row in ws.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    yield ws.title, cell.coordinate, str(cell.value)


def test_formulas_are_the_programs_own() -> None:
    """No text that somebody typed is in a formula; each is made of cells, numbers, and a few known words."""
    known = {"SUM", "MAX", "MIN", "ROUND", "INT", "IF", "AND", "MEDIAN", "MOD", "INDEX", "WEEKDAY", "MATCH"}
    known |= {"SUMPRODUCT", "COUNTIF", "LEFT", "LEN"}
    words = {"break, unpaid", "yes", "ft", "standing by", "in an enclosed space", "by the chamber"}
    count = 0
    for _, _, text in _formulas(hours_book(_week(), made_at=MADE)):
        bare = re.sub(r"'[^']*'!", "", text)
        assert set(re.findall(r'"([^"]*)"', bare)) <= words
        bare = re.sub(r'"[^"]*"', "", bare)
        assert set(re.findall(r"[A-Z]{3,}|[A-Z]+(?=\()", bare)) <= known, text
        assert not set(bare) - set("=ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789$:(),.+-*/<>"), text
        count += 1
    assert count > 400


@pytest.mark.parametrize("rules", [BY_DAY, ODD])
def test_every_formula_has_its_value_beside_it(tmp_path: Path, rules: PayRules) -> None:
    """A program that only reads sees figures: each formula has the one that the timesheets have."""
    path = tmp_path / "hours.xlsx"
    sheets = timesheets(_week().records, rules)
    write_whole(hours_book(sheets, made_at=MADE), path)
    book, shown = load_workbook(path), load_workbook(path, data_only=True)
    assert [place for *place, _ in _formulas(book) if shown[place[0]][place[1]].value is None] == []
    totals = [row for row in shown["Summary"].iter_rows(values_only=True) if row[0] == "All"]
    assert _cents(totals[0][13]) == sheets.pay
    assert (totals[0][4], totals[0][6]) == (sheets.worked_min, sheets.overtime_min)


def test_the_rules_are_read_back_from_the_workbook(tmp_path: Path) -> None:
    """An office that changes a rate in its hours workbook gives that workbook as its pay rules."""
    path = tmp_path / "hours.xlsx"
    book = hours_book(_week(), made_at=MADE)
    row = next(r for r in book["Pay rules"].iter_rows() if r[1].value == "D2")
    row[4].value = 51.5
    write_whole(book, path)
    back = read_pay_rules(path)
    assert back.rate("D2").per_hour == Decimal("51.5")
    for name in (
        "overtime",
        "depth_bands",
        "night_from",
        "night_to",
        "weekend_days",
        "count_by",
        "shift_ends_min",
    ):
        assert getattr(back, name) == getattr(EXAMPLE_RULES, name)
    assert back.has_examples


def test_units_lines_to_sign_and_what_is_not_live() -> None:
    """Every head of a figure says its unit, every week has three lines to sign, and says what is not live."""
    ws = hours_book(_week(), made_at=MADE).worksheets[1]
    words = [str(c.value) for row in ws.iter_rows() for c in row if isinstance(c.value, str)]
    assert {"Worked, min", "Night, min", "Depth, fsw", "standby diver, min", "Amount, USD"} <= set(words)
    assert [w for w in words if w.endswith(", date")] == [
        "Worked so: the person, date",
        "Seen: the person in charge, date",
        "Taken up: the office, date",
    ]
    assert any("does not follow" in w for w in words)


def test_a_duty_may_be_called_as_a_sum_is() -> None:
    """A crew's own duties "Night" and "Worked" have columns beside the sums of those names."""
    made = record(spell("Ana", "Night", "2200", "0200"), spell("Ana", "Worked", "0200", "0300", 1))
    book = hours_book(timesheets([made], EXAMPLE_RULES), made_at=MADE)
    ws = book.worksheets[1]
    row = _row_of(ws, 1, "Day", "Shifts")
    cells = [ws.cell(row + 1, column).coordinate for column in range(1, ws.max_column + 1)]
    heads = [ws.cell(row, column).value for column in range(1, ws.max_column + 1)]
    shown = [(head, book.reckoned[ws.title].get(cell)) for head, cell in zip(heads, cells, strict=True)]
    assert [value for head, value in shown if head == "Worked, min"] == [300, 60]
    assert [value for head, value in shown if head == "Night, min"] == [240, 300]


def _recalculated(book: Workbook, folder: Path, name: str) -> Workbook:
    """The workbook as LibreOffice works it out: saved without values, so that none can be taken over."""
    book.save(folder / name)
    again = converted(folder / name, "xlsx:Calc MS Excel 2007 XML", folder / "again")
    return load_workbook(again, data_only=True)


def _cents(value: object) -> Decimal:
    return Decimal(str(value)).quantize(Decimal("0.01"))


def _number(value: object) -> float:
    """A cell's value as a number: a time of day and a moment as the sheet keeps them."""
    if isinstance(value, datetime):
        return (value - datetime(1899, 12, 30)) / timedelta(days=1)
    if isinstance(value, time):
        return (value.hour * 60 + value.minute) / 1440
    assert isinstance(value, int | float), value
    return value


@pytest.mark.paper
@pytest.mark.parametrize("rules", [EXAMPLE_RULES, BY_DAY, ODD])
def test_libreoffice_comes_to_every_value(tmp_path: Path, rules: PayRules) -> None:
    """Recalculated from nothing, every formula of the book comes to the value that stands beside it."""
    sheets = timesheets(_week().records, rules)
    book = hours_book(sheets, made_at=MADE)
    write_whole(book, tmp_path / "shown.xlsx")
    shown = load_workbook(tmp_path / "shown.xlsx", data_only=True)
    again = _recalculated(book, tmp_path, "hours.xlsx")
    for title, place, text in _formulas(book):
        one, other = shown[title][place].value, again[title][place].value
        if isinstance(one, str):
            assert one == other, (title, place, text)
        else:
            assert _number(other) == pytest.approx(_number(one), abs=1e-6), (title, place, text)


def _row_of(ws: Worksheet, column: int, value: object, title: str) -> int:
    """The first row below a title with that value in a column."""
    first = next(r for r in range(1, ws.max_row) if ws.cell(r, 1).value == title)
    return next(r for r in range(first, ws.max_row + 1) if ws.cell(r, column).value == value)


def _table(ws: Worksheet, title: str) -> list[dict[str, object]]:
    """The rows of a table below its title, by head."""
    top = next(r for r in range(1, ws.max_row) if ws.cell(r, 1).value == title) + 1
    heads = {c: str(ws.cell(top, c).value) for c in range(1, ws.max_column + 1) if ws.cell(top, c).value}
    found = []
    for row in range(top + 1, ws.max_row + 1):
        if ws.cell(row, 2).value is None:
            break
        found.append({head: ws.cell(row, c).value for c, head in heads.items()})
    return found


@pytest.mark.paper
def test_what_is_typed_is_followed_to_the_cent(tmp_path: Path) -> None:
    """A start, an end, a depth, a rate, the night and the week's limit are typed anew: every sum is then that
    of a count minute by minute of the hours so changed."""
    book = hours_book(_week(), made_at=MADE)
    ana = book.worksheets[1]
    start = datetime(2027, 10, 25, 20, 0)
    ana.cell(_row_of(ana, 2, start, "Times"), 2).value = start - timedelta(minutes=77)
    end = datetime(2027, 11, 1, 5, 30)  # six and a half hours after a midnight before the change
    ana.cell(_row_of(ana, 3, end, "Times"), 3).value = end + timedelta(minutes=43)
    shift = _row_of(ana, 1, "Day", "Shifts") + 3
    depths = next(c for c in range(1, 30) if ana.cell(shift - 3, c).value == "Depth, fsw")
    assert ana.cell(shift, depths).value == 90
    ana.cell(shift, depths).value = 131
    rules = book["Pay rules"]
    for rule, pay_class, column, value in (
        ("hourly rate", "D2", 5, 47.35),
        ("night premium", None, 3, time(21, 30)),
        ("weekly overtime", None, 3, 38),
        ("daily overtime", None, 3, 7.5),
        ("standby premium", None, 6, "no"),
    ):
        cells = next(r for r in rules.iter_rows() if (r[0].value, r[1].value or None) == (rule, pay_class))
        cells[column - 1].value = value
    again = _recalculated(book, tmp_path, "typed.xlsx")

    changed = EXAMPLE_RULES.replace(
        rates=tuple(
            HourlyRate(
                pay_class=r.pay_class, per_hour=Decimal("47.35") if r.pay_class == "D2" else r.per_hour
            )
            for r in EXAMPLE_RULES.rates
        ),
        night_from=time(21, 30),
        overtime=tuple(
            o.replace(
                after_min={2400: 2280, 480: 450}.get(o.after_min, o.after_min)
                if str(o.kind) != "seventh day"
                else o.after_min
            )
            for o in EXAMPLE_RULES.overtime
        ),
        premiums=tuple(
            p.replace(in_overtime_base=p.in_overtime_base and str(p.kind) != "standby premium")
            for p in EXAMPLE_RULES.premiums
        ),
    )
    records = _week("1843", "0713", 131).records
    total = Fraction(0)
    for ws, person, pay_class in ((again.worksheets[1], "Ana", "D2"), (again.worksheets[2], OWN, "")):
        counted = shifts(records, person, changed)
        lines = pay(counted, pay_class, changed)
        for row, one in zip(_table(ws, "Shifts"), counted, strict=True):
            _same(row, one)
        left = next(r for r in ws.iter_rows(values_only=True) if str(r[0]).startswith("Minutes by duty less"))
        assert left[4] == 0
        amounts = [r["Amount, USD"] for r in _pay_rows(ws)]
        assert sum(map(_cents, amounts), Decimal(0)) == sum(map(_decimal, lines.values()), Decimal(0))
        assert sorted(a for a in map(_cents, amounts) if a) == sorted(
            x for x in map(_decimal, lines.values()) if x
        )
        total += sum(lines.values())
    summary = next(r for r in again["Summary"].iter_rows(values_only=True) if r[0] == "All")
    assert _cents(summary[13]) == _decimal(total)


def _decimal(amount: Fraction | int) -> Decimal:
    return Decimal(Fraction(amount).numerator) / Decimal(Fraction(amount).denominator)


def _pay_rows(ws: Worksheet) -> list[dict[str, object]]:
    """The pay lines: their first cell takes four columns."""
    top = next(r for r in range(1, ws.max_row) if ws.cell(r, 1).value == "Pay line")
    heads = {c: str(ws.cell(top, c).value) for c in range(1, 12) if ws.cell(top, c).value}
    last = next(r for r in range(top, ws.max_row) if ws.cell(r, 1).value == "Pay of the week")
    return [{head: ws.cell(row, c).value for c, head in heads.items()} for row in range(top + 1, last)]


def _same(row: dict[str, object], one: Counted) -> None:
    assert row["Worked, min"] == one.worked
    assert row["Breaks, min"] == one.rest
    assert row["Night, min"] == one.night
    assert row["Weekend, min"] == one.weekend
    assert row["By the chamber, min"] == one.chamber
    assert row["Depth, fsw"] == one.depth
    both = [row[f"Overtime of the {what}, min"] for what in ("shift", "week")]
    assert sum(int(_number(v)) for v in both) == one.overtime
    for duty, minutes in one.duties.items():
        assert row[f"{duty}, min"] == minutes
    assert (row["Start"], row["Day"]) == (one.start, datetime.combine(one.day, time(0)))


@pytest.mark.parametrize("rules", [PayRules(rates=(HourlyRate(per_hour=Decimal(20)),))])
def test_rules_without_overtime_or_premiums_make_a_book(rules: PayRules) -> None:
    """An office that pays nothing but hours has one pay line, and formulas that still come out."""
    sheets = timesheets(_week().records, rules)
    ws = hours_book(sheets, made_at=MADE).worksheets[1]
    assert [r["Pay line"] for r in _pay_rows(ws)] == ["hours worked, pay class D2"]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("sample", ["small heavy dress", "too much work"])
def test_a_day_of_hours_is_one_page(sample: str, paper: str) -> None:
    """A week with one shift: times, shift, pay and lines to sign on one page, no type made smaller."""
    job, plan = planned(sample)
    book = hours_book(timesheets([from_plan(plan, job)], EXAMPLE_RULES), paper=paper)
    weeks = [ws for ws in book.worksheets if ws["A5"].value == "Times"]
    assert len(weeks) == len({s.person for s in plan.duties})
    assert not any(ws.row_breaks.brk for ws in weeks)
    assert not any(ws.page_setup.fitToHeight for ws in weeks)

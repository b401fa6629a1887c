"""Pay rules and records that contradict themselves are refused in clear sentences."""

from __future__ import annotations

import zipfile
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest

from planner.cli.pay_book import read_pay_rules
from planner.errors import InputFaults
from planner.hours.pay_rules import (
    COLUMNS,
    EXAMPLE_RULES,
    KINDS,
    DepthBand,
    pay_rows,
    pay_rules_csv,
    pay_rules_from,
)
from planner.hours.timesheets import timesheets
from tests.world.worked_days import dive, record, spell


def _bands(*edges: tuple[int, int]) -> tuple[DepthBand, ...]:
    return tuple(DepthBand(over_fsw=a, to_fsw=b, per_foot=Decimal(1)) for a, b in edges)


@pytest.mark.parametrize(
    ("edges", "words"),
    [
        (((50, 100), (110, 150)), "gap between 100 and 110 fsw"),
        (((50, 100), (90, 150)), "overlap between 90 and 100 fsw"),
        (((100, 50),), "no depth lies in it"),
    ],
)
def test_bands_with_a_gap_or_an_overlap(edges: tuple[tuple[int, int], ...], words: str) -> None:
    """A foot that nothing pays for, or that is paid twice, is told with its depths."""
    rules = EXAMPLE_RULES.replace(depth_bands=_bands(*edges))
    with pytest.raises(InputFaults) as found:
        timesheets([record(spell("Ana", "tender", "0800", "1000"))], rules)
    assert any(words in fault.sentence for fault in found.value.faults)


def test_a_day_twice() -> None:
    """Two records of one day would pay it twice: refused with the date."""
    one = record(spell("Ana", "tender", "0800", "1000"), days=2)
    other = record(spell("Bo", "tender", "0800", "1000"), days=1)
    with pytest.raises(InputFaults) as found:
        timesheets([one, other], EXAMPLE_RULES)
    assert [f.sentence for f in found.value.faults] == [
        "2027-03-15 is there twice, so its hours would be paid twice."
    ]


def test_two_time_zones_and_nothing_at_all() -> None:
    """Hours of two zones are not put together, and no hours are no timesheet."""
    one = record(spell("Ana", "tender", "0800", "1000"), days=1)
    later = one.model_copy(update={"first_day": one.first_day.replace(day=20), "time_zone": "Asia/Tokyo"})
    with pytest.raises(InputFaults, match="different time zones"):
        timesheets([one, later], EXAMPLE_RULES)
    with pytest.raises(InputFaults, match="nothing to make timesheets from"):
        timesheets([], EXAMPLE_RULES)


def test_rows_come_back_as_they_went_out(tmp_path: Path) -> None:
    """Rules written as CSV and read again are the same rules."""
    path = tmp_path / "rules.csv"
    path.write_text(pay_rules_csv(EXAMPLE_RULES), encoding="utf-8")
    back = read_pay_rules(path)
    for name in ("rates", "overtime", "depth_bands", "premiums", "night_from", "night_to", "weekend_days"):
        assert getattr(back, name) == getattr(EXAMPLE_RULES, name)
    assert (back.week_starts, back.break_least_min, back.currency) == (0, 30, "USD")
    assert back.rates[0].per_hour == Decimal("30.00")


def test_a_rule_far_down_a_sheet_is_read(tmp_path: Path) -> None:
    """Nothing of a workbook is lost in silence: below 600 blank rows stands a rate, and it counts."""
    book = openpyxl.Workbook()
    sheet = book.worksheets[0]
    sheet.append([*COLUMNS])
    for row, (pay_class, rate) in ((2, ("", 30)), (603, ("D2", 45))):
        for column, value in ((1, "hourly rate"), (2, pay_class), (5, rate)):
            sheet.cell(row, column, value)
    book.save(tmp_path / "rules.xlsx")
    back = read_pay_rules(tmp_path / "rules.xlsx")
    assert [(rate.pay_class, rate.per_hour) for rate in back.rates] == [("", 30), ("D2", 45)]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"rule": "hazard"}, "no such pay rule"),
        ({"amount": "twelve"}, "not a number"),
        ({"amount": "-3"}, "negative"),
        ({"amount": "NaN"}, "negative"),
        ({"amount": ""}, "not a number"),
        ({"rule": "depth premium", "from": "50.5", "to": "100"}, "no whole number"),
        ({"rule": "daily overtime", "from": "soon"}, "not a number"),
        ({"rule": "night premium", "from": "25:00", "to": "06:00"}, "time cannot be read"),
        ({"rule": "week starts", "from": "Someday"}, "day of the week cannot be read"),
    ],
)
def test_a_row_that_cannot_be_used(change: dict[str, str], words: str) -> None:
    """Each fault names its row and what is wrong with it."""
    rows = [*pay_rows(EXAMPLE_RULES), dict.fromkeys(COLUMNS, "") | {"rule": KINDS[0], "amount": "1"} | change]
    rows[-1].setdefault("pay class", "Z9")
    with pytest.raises(InputFaults) as found:
        pay_rules_from(rows)
    last = found.value.faults[0]
    assert words in last.sentence
    assert last.where.endswith(f"row {len(rows) + 1}")


def test_a_row_twice_and_no_rate() -> None:
    """Two rates of one class contradict each other; without any rate nobody can be paid."""
    rows = pay_rows(EXAMPLE_RULES)
    with pytest.raises(InputFaults, match="There are 2 rows for hourly rate"):
        pay_rules_from([rows[0], *rows])
    with pytest.raises(InputFaults, match="No row gives an hourly rate"):
        pay_rules_from([r for r in rows if r["rule"] != "hourly rate"])


def test_files_that_are_no_rules(tmp_path: Path) -> None:
    """A picture, a missing file, a table with other columns and a file that unpacks to gigabytes end in a
    sentence, not in a traceback; the spreadsheet library does not see them."""
    picture = tmp_path / "rules.xlsx"
    picture.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(200))
    other = tmp_path / "rules.csv"
    other.write_text("a,b\n1,2\n")
    binary = tmp_path / "raw.csv"
    binary.write_bytes(b"\xff\xfe\x00\x01")
    bomb = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as box:
        box.writestr("xl/workbook.xml", "<workbook/>")
        box.writestr("xl/worksheets/sheet1.xml", b"<row/>" * 9_000_000)
    for path, words in (
        (picture, "not a workbook"),
        (bomb, "unpacks to more than 15 MB"),
        (tmp_path / "none.csv", "cannot be opened"),
        (other, "columns of pay rules"),
        (binary, "UTF-8"),
    ):
        with pytest.raises(InputFaults, match=words):
            read_pay_rules(path)


def test_a_dive_past_the_last_band_is_noted() -> None:
    """Feet that no band pays for are not paid in silence."""
    deep = record(spell("Ana", "diver", "0800", "1000"), dives=(dive("Ana", 170, "0830", 10),), days=1)
    assert any("bands end at 150 fsw" in note for note in timesheets([deep], EXAMPLE_RULES).notes)


def test_a_pay_class_without_a_rate_is_noted() -> None:
    """A class that no row names and no row for everybody else covers is told."""
    rules = EXAMPLE_RULES.replace(rates=(EXAMPLE_RULES.rates[1],))
    given = record(spell("Ana", "tender", "0800", "1000"), days=1, pay_classes={"Ana": "X"})
    sheets = timesheets([given], rules)
    assert sheets.pay == 0
    assert any("no hourly rate for pay class X" in note for note in sheets.notes)

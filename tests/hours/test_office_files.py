"""What the office gets: the workbook with live sums, the flat table, call times, dive records."""

from __future__ import annotations

import csv
import io
import os
import re
import shutil
import subprocess
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from icalendar import Calendar
from openpyxl import load_workbook

from planner import CAUTION
from planner.files import write_whole
from planner.hours import (
    EXAMPLE_RULES,
    FLAT_COLUMNS,
    Timesheets,
    call_calendar,
    call_files,
    flat_csv,
    flat_rows,
    timesheets,
)
from planner.sheets.dive_record_book import dive_record_book
from planner.sheets.hours_book import hours_book
from planner.tables import Stop
from tests.hours.made_up import dive, record, spell

MADE = datetime(2027, 3, 22, 18, 0, tzinfo=UTC)
FORMULA = '=HYPERLINK("x")'


def _week() -> Timesheets:
    """Three people over a week with odd minutes, overtime, premiums, a name like a formula and a long one."""
    spells = []
    for day in range(7):
        spells += [
            spell("O'Hara [north]", "tender", "0607", "1511", day, dive="D1"),
            spell("O'Hara [north]", "air console", "1530", "1707", day, dive="D1"),
            spell(FORMULA, "diver", "0700", "1133", day, dive="D1"),
            spell(FORMULA, "standby diver", "1203", "1849", day),
        ]
    spells.append(spell("Maximiliane von und zu Hohenstein-Waldeck", "supervisor", "2000", "0317", 2))
    dives = tuple(
        dive(
            FORMULA, 63 + 7 * d, "0733", 21, d, way_up="in-water air", stops=(Stop(depth_fsw=20, minutes=6),)
        )
        for d in range(7)
    )
    classes = {FORMULA: "D2", "O'Hara [north]": "T1"}
    return timesheets([record(*spells, dives=dives, pay_classes=classes)], EXAMPLE_RULES)


def test_only_the_programs_own_sums_are_formulas() -> None:
    """No text that somebody typed becomes a formula; every formula is a sum, a product or a reference."""
    book = hours_book(_week(), made_at=MADE)
    formulas = [
        str(cell.value) for ws in book for row in ws.iter_rows() for cell in row if cell.data_type == "f"
    ]
    assert len(formulas) > 50
    # a reference names its sheet between quotes, where nothing runs
    bare = [re.sub(r"'[^']*'!", "", f) for f in formulas]
    assert not any("HYPERLINK" in f for f in bare)
    assert not any('"' in f for f in bare)
    starts = ("=SUM(", "=MAX(", "=ROUND(", "=D", "=E", "=F", "=(E", "='")
    assert all(f.startswith(starts) for f in formulas)


def test_sheets_have_names_that_a_workbook_allows() -> None:
    """At most 31 letters, none of []:*?/\\, all different (ECMA-376 part 1, §18.2.19)."""
    names = hours_book(_week(), made_at=MADE).sheetnames
    assert names[0] == "Summary" and names[-1] == "Flat table"
    assert all(len(n) <= 31 and not set("[]:*?/\\") & set(n) for n in names)
    assert len({n.casefold() for n in names}) == len(names)


@pytest.mark.paper
def test_libreoffice_comes_to_the_same_totals(tmp_path: Path) -> None:
    """Recalculated by LibreOffice the workbook has the same minutes and cents as the timesheets."""
    soffice = shutil.which("soffice") or shutil.which("libreoffice")
    if soffice is None:
        if os.environ.get("CI"):
            pytest.fail("LibreOffice (soffice) is missing, and CI must recalculate the hours")
        pytest.skip("LibreOffice (soffice) is not installed here")
    sheets = _week()
    write_whole(hours_book(sheets, made_at=MADE), tmp_path / "hours.xlsx")
    subprocess.run(
        [
            soffice,
            f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}",
            "--headless",
            "--convert-to",
            "xlsx:Calc MS Excel 2007 XML",
            "--outdir",
            str(tmp_path / "again"),
            str(tmp_path / "hours.xlsx"),
        ],
        check=True,
        capture_output=True,
        timeout=180,
    )
    again = load_workbook(tmp_path / "again" / "hours.xlsx", data_only=True)
    summary = {str(row[0]): row for row in again["Summary"].iter_rows(min_row=5, values_only=True) if row[0]}
    for week in sheets.weeks:
        row = summary[week.person]
        assert (row[4], row[6]) == (week.worked_min, week.overtime_min)
        assert _money(row[13]) == week.pay
    total = summary["All"]
    assert (total[4], total[6]) == (sheets.worked_min, sheets.overtime_min)
    assert _money(total[13]) == sheets.pay
    for ws in again.worksheets[1 : 1 + len(sheets.weeks)]:
        check = [r for r in ws.iter_rows(values_only=True) if str(r[0]).startswith("Minutes by duty less")]
        assert [row[5] for row in check] == [0]
    errors = [
        c.value for ws in again for r in ws.iter_rows() for c in r if str(c.value).startswith(("#", "Err:"))
    ]
    assert errors == []


def _money(value: object) -> Decimal:
    return Decimal(str(value)).quantize(Decimal("0.01"))


def test_the_flat_table_adds_up() -> None:
    """Every column of minutes of the flat table adds up to the timesheets' total."""
    sheets = _week()
    rows = flat_rows(sheets)

    def total(column: str) -> int:
        return sum(int(row[column]) for row in rows)

    assert total("duty_min") == total("day_worked_min") == sheets.worked_min
    assert total("day_overtime_min") == sheets.overtime_min
    assert total("bottom_min") == sum(d.bottom_min for d in sheets.days)
    assert total("dives") == 7


def test_the_csv_runs_nothing() -> None:
    """A name like a formula is led by an apostrophe in the CSV; the columns are those documented."""
    rows = list(csv.reader(io.StringIO(flat_csv(_week()))))
    assert rows[0] == list(FLAT_COLUMNS)
    assert {row[0] for row in rows[1:]} >= {f"'{FORMULA}", "O'Hara [north]"}
    assert not any(cell.startswith(("=", "+", "-", "@")) for row in rows for cell in row)


def test_the_calendar_is_what_rfc_5545_asks_for() -> None:
    """An event a day in UTC, CRLF, lines of 75 octets at most (RFC 5545 3.1); the library reads it back."""
    sheets = _week()
    raw = call_calendar(sheets, "O'Hara [north]", MADE)
    assert all(len(line) <= 75 for line in raw.split(b"\r\n"))
    assert b"\n" not in raw.replace(b"\r\n", b"")
    calendar = Calendar.from_ical(raw)
    assert isinstance(calendar, Calendar)
    events = list(calendar.walk("VEVENT"))
    assert len(events) == 7
    assert len({str(e["uid"]) for e in events}) == 7
    first = events[0]
    assert first["dtstart"].dt == datetime(2027, 3, 15, 6, 7, tzinfo=UTC)
    assert first["dtend"].dt == datetime(2027, 3, 15, 17, 7, tzinfo=UTC)
    assert CAUTION in str(first["description"])
    assert "tender: 544 min" in str(first["description"])


def test_a_calendar_file_a_person_with_a_safe_name() -> None:
    """Every person has a file; names hold letters, digits, dashes and underscores only."""
    sheets = _week()
    files = call_files(sheets, MADE)
    assert len(files) == len(sheets.people) == 3
    assert all(set(n.removesuffix(".ics")) & set("[]:*?/\\' \"=") == set() for n in files)
    with pytest.raises(KeyError):
        call_calendar(sheets, "Nobody", MADE)


def test_the_dive_record_lists_what_the_regulation_asks_for() -> None:
    """Each fact of 29 CFR 1910.423(d)(1) and, outside the no-stop limits, of (d)(2) has its place.

    Source: the list in the regulation, paragraph numbers from memory.
    """
    book = dive_record_book(_week(), made_at=MADE)
    (sheet,) = book.worksheets
    words = "\n".join(str(c.value) for row in sheet.iter_rows() for c in row if c.value is not None)
    for fact in (
        "Team",
        "Person in charge",
        "Leave surface",
        "Place",
        "Mode",
        "Nature of the work",
        "Water",
        "Surface conditions",
        "Greatest depth",
        "Bottom time",
        "Depth, time and gas",
        "Table used, changes to it",
        "Since the last exposure",
        "Group before and after",
        "Signs of decompression sickness",
    ):
        assert fact in words
    assert "6 min at 20 fsw on air" in words
    assert "not yet a record" in words
    assert words.count("Greatest depth") == 7


def test_nobody_dived_is_said() -> None:
    """A record without dives still makes a book that opens and says so."""
    book = dive_record_book(timesheets([record(spell("Ana", "tender", "0800", "0900"))], EXAMPLE_RULES))
    assert book.sheetnames == ["No dives"]

"""What the office gets: the workbook with live sums, the flat table, call times, dive records."""

from __future__ import annotations

import csv
import io
import re
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from icalendar import Calendar

from planner import CAUTION
from planner.hours.office_files import (
    HOURS_COLUMNS,
    PAYROLL_COLUMNS,
    call_calendar,
    call_files,
    hours_csv,
    hours_rows,
    payroll_csv,
    payroll_rows,
)
from planner.hours.pay_rules import EXAMPLE_RULES, CountBy
from planner.hours.timesheets import Timesheets, timesheets
from planner.sheets.dive_record_book import dive_record_book
from planner.sheets.hours_book import hours_book
from planner.tables import Stop
from tests.world.worked_days import dive, record, spell

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


def test_sheets_have_names_that_a_workbook_allows() -> None:
    """At most 31 letters, none of []:*?/\\, all different (ECMA-376 part 1, §18.2.19)."""
    names = hours_book(_week(), made_at=MADE).sheetnames
    assert names[0] == "Summary" and names[-1] == "Pay rules"
    assert all(len(n) <= 31 and not set("[]:*?/\\") & set(n) for n in names)
    assert len({n.casefold() for n in names}) == len(names)


def test_the_tables_add_up() -> None:
    """Every column of minutes adds up to the timesheets' total, every amount to the pay."""
    sheets = _week()
    rows = hours_rows(sheets)

    def total(column: str) -> int:
        return sum(int(row[column]) for row in rows)

    assert total("duty_min") == total("shift_worked_min") == sheets.worked_min
    assert total("shift_overtime_min") == sheets.overtime_min
    assert total("bottom_min") == sum(s.bottom_min for s in sheets.shifts)
    assert total("dives") == 7
    assert sum(Decimal(row["amount"]) for row in payroll_rows(sheets)) == sheets.pay > 0


def test_the_csv_runs_nothing() -> None:
    """A name like a formula is led by an apostrophe in the CSV; the columns are the documented ones."""
    page = Path("docs/hours.md").read_text(encoding="utf-8")
    for text, columns in ((hours_csv(_week()), HOURS_COLUMNS), (payroll_csv(_week()), PAYROLL_COLUMNS)):
        rows = list(csv.reader(io.StringIO(text)))
        assert rows[0] == list(columns)
        assert {row[0] for row in rows[1:]} >= {f"'{FORMULA}", "O'Hara [north]"}
        assert not any(cell.startswith(("=", "+", "-", "@")) for row in rows for cell in row)
    documented = re.findall(r"^\| `(\w+)` \|", page, re.MULTILINE)
    assert documented == [*HOURS_COLUMNS, *PAYROLL_COLUMNS]


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


def test_a_night_and_the_next_nights_call_are_two_events() -> None:
    """Two nights over midnight are two events from call to end, each once; nothing is merged or left out."""
    night = [spell("Ana", "tender", "2000", "0400", day) for day in range(2)]
    for rules in (EXAMPLE_RULES, EXAMPLE_RULES.replace(count_by=CountBy.DAY)):
        calendar = Calendar.from_ical(call_calendar(timesheets([record(*night)], rules), "Ana", MADE))
        events = [(e["dtstart"].dt, e["dtend"].dt) for e in calendar.walk("VEVENT")]
        days = [datetime(2027, 3, 15 + n, 20, tzinfo=UTC) for n in range(2)]
        assert events == [(start, start + timedelta(hours=8)) for start in days]


def test_a_calendar_file_a_person_with_a_safe_name() -> None:
    """Every person has a file; names hold letters, digits, dashes and underscores only."""
    sheets = _week()
    files = call_files(sheets, MADE)
    assert len(files) == len(sheets.people) == 3
    assert all(set(n.removesuffix(".ics")) & set("[]:*?/\\' \"=") == set() for n in files)
    with pytest.raises(KeyError):
        call_calendar(sheets, "Nobody", MADE)


def test_the_dive_record_lists_what_the_regulation_asks_for() -> None:
    """Each fact of 29 CFR 1910.423(d)(1), of (2) outside the no-stop limits, and of (3) with its paragraph,
    and what 46 CFR 197.482(b)(2), (10), (11) and (c) add. 1926.1083 asks for the same as the first.
    """
    book = dive_record_book(_week(), made_at=MADE)
    (sheet,) = book.worksheets
    words = "\n".join(str(c.value) for row in sheet.iter_rows() for c in row if c.value is not None)
    for fact in (
        "Team (1)(i)",
        "Person in charge (1)(i)",
        "Leave surface (1)(ii)",
        "Reach surface (1)(ii)",
        "Location (1)(ii)",
        "Diving mode (1)(iii)",
        "Nature of the work (1)(iv)",
        "Under water (1)(v)",
        "Surface conditions (1)(v)",
        "Greatest depth (1)(vi)",
        "Bottom time (1)(vi)",
        "Depth, time and gas (2)(i)",
        "Table used, changes to it (2)(ii)",
        "Since the last exposure (2)(iii)",
        "Group before and after (2)(iii)",
        "Signs of decompression sickness or gas embolism, depth and time of onset (3)(i)",
        "Treatment and its results (3)(ii)",
        "temperature …; visibility … current …",
        "weather … air temperature …",
        "Injury or illness: date, time, circumstances, extent (1910.440(a)(2))",
        "Departures from the rules: why, which, what was done (46 CFR 197.482(c))",
    ):
        assert words.count(fact) == 7, fact
    assert "1926.1083" in words and "1910.440(b)(3)(iv)" in words and "within 45 days" in words
    assert "6 min at 20 fsw on air" in words
    assert "not yet a record" in words


def test_a_record_without_stops_has_group_and_last_exposure() -> None:
    """46 CFR 197.482(b)(5) asks for them on every dive, 29 CFR 1910.423(d)(2)(iii) outside the limits."""
    told = record(
        spell("Ana", "diver", "0800", "1200"),
        dives=(dive("Ana", 40, "0830", 20), dive("Ana", 40, "1100", 20)),
        days=1,
        water_words="sea water, 57 °F",
    )
    book = dive_record_book(timesheets([told], EXAMPLE_RULES))
    words = "\n".join(
        str(c.value) for ws in book for row in ws.iter_rows() for c in row if c.value is not None
    )
    assert words.count("Since the last exposure: ") == words.count("group before: ") == 2
    assert words.count("sea water, 57 °F; visibility … current …") == 2


def test_what_a_diver_reported_stands_in_his_record() -> None:
    """Sickness told to the log after a dive is in the record of that dive, with its time, and in no other."""
    told = record(
        spell("Ana", "diver", "0800", "1200"),
        spell("Bo", "diver", "0800", "1200"),
        dives=(dive("Ana", 60, "0830", 20), dive("Ana", 60, "1100", 20), dive("Bo", 60, "0830", 20)),
        days=1,
        from_log=True,
        sick=(("Ana", 600, "pain in the left shoulder"), ("Ana", 720, "shoulder worse")),
    )
    book = dive_record_book(timesheets([told], EXAMPLE_RULES))
    said = [str(c.value) for ws in book for row in ws.iter_rows() for c in row if "shoulder" in str(c.value)]
    assert said == ["Mon 10:00 pain in the left shoulder", "Mon 12:00 shoulder worse"]


def test_nobody_dived_is_said() -> None:
    """A record without dives still makes a book that opens and says so."""
    book = dive_record_book(timesheets([record(spell("Ana", "tender", "0800", "0900"))], EXAMPLE_RULES))
    assert book.sheetnames == ["No dives"]

"""Files for the office's programs: hours and payroll as tables, call times as a calendar file a person."""

from __future__ import annotations

import csv
import hashlib
import io
import re
import unicodedata
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import ROUND_HALF_UP, Decimal

from icalendar import Calendar, Event

from planner import CAUTION
from planner.hours.shifts import Shift
from planner.hours.timesheets import Timesheets
from planner.hours.weeks import PayLine, PersonWeek
from planner.job.base import Clock
from planner.job.duties import PaidAs

Cell = str | int | Decimal


def stamp(clock: Clock, minute: int) -> str:
    """A time with its distance from UTC, ``2027-03-16T07:00+00:00``: plain in every time of the year."""
    return clock.at(minute).isoformat(timespec="minutes")


@dataclass(frozen=True)
class _HoursRow:
    """What one row of the hours is made from; ``first`` of its shift."""

    sheets: Timesheets
    week: PersonWeek
    shift: Shift
    overtime_min: int
    duty: str
    minutes: int
    first: bool

    def once(self, minutes: int) -> int:
        """What holds for the whole shift stands on its first row, and 0 below it."""
        return minutes if self.first else 0


#: The columns of the hours, from left to right. Programs of an office read them by name: a column is never
#: renamed or taken away, a new one comes last.
_HOURS: dict[str, Callable[[_HoursRow], Cell]] = {
    "person": lambda r: r.week.person,
    "pay_class": lambda r: r.week.pay_class,
    "week_starts": lambda r: r.week.starts.isoformat(),
    "shift_date": lambda r: r.shift.day.isoformat(),
    "from": lambda r: "log" if r.shift.from_log else "plan",
    "start": lambda r: stamp(r.sheets.clock, r.shift.start_min),
    "end": lambda r: stamp(r.sheets.clock, r.shift.end_min),
    "duty": lambda r: r.duty,
    "duty_min": lambda r: r.minutes,
    "shift_worked_min": lambda r: r.once(r.shift.worked_min),
    "shift_break_min": lambda r: r.once(r.shift.break_min),
    "shift_overtime_min": lambda r: r.once(r.overtime_min),
    "night_min": lambda r: r.once(r.shift.night_min),
    "weekend_min": lambda r: r.once(r.shift.weekend_min),
    "standby_min": lambda r: r.once(r.shift.paid_min(PaidAs.STANDING_BY)),
    "enclosed_min": lambda r: r.once(r.shift.paid_min(PaidAs.ENCLOSED)),
    "chamber_min": lambda r: r.once(r.shift.paid_min(PaidAs.CHAMBER)),
    "bottom_min": lambda r: r.once(r.shift.bottom_min),
    "greatest_depth_fsw": lambda r: r.once(r.shift.greatest_depth_fsw),
    "dives": lambda r: r.once(r.shift.dives),
    "hourly_rate": lambda r: r.sheets.rules.rate(r.week.pay_class).per_hour,
    "currency": lambda r: r.sheets.rules.currency,
}
HOURS_COLUMNS: tuple[str, ...] = tuple(_HOURS)


def hours_rows(sheets: Timesheets) -> list[dict[str, Cell]]:
    """One row for each duty of each shift; sums of a shift only on its first row.

    So every column of minutes may be added up over the whole table.
    """
    lines = [
        _HoursRow(sheets, week, shift, overtime, duty, minutes, number == 0)
        for week in sheets.weeks
        for shift, overtime in zip(week.shifts, week.overtime_by_shift, strict=True)
        for number, (duty, minutes) in enumerate(shift.by_duty)
    ]
    return [{name: of(line) for name, of in _HOURS.items()} for line in lines]


#: The columns of the payroll, as stable as those of the hours.
_PAYROLL: dict[str, Callable[[PersonWeek, PayLine], Cell]] = {
    "person": lambda week, line: week.person,
    "pay_class": lambda week, line: week.pay_class,
    "week_starts": lambda week, line: week.starts.isoformat(),
    "from": lambda week, line: week.basis,
    "code": lambda week, line: line.code,
    "pay_line": lambda week, line: line.label,
    "quantity": lambda week, line: line.quantity,
    "unit": lambda week, line: line.unit,
    "rate": lambda week, line: line.per_unit.quantize(Decimal("0.0001"), rounding=ROUND_HALF_UP),
    "times": lambda week, line: line.times,
    "amount": lambda week, line: line.amount,
    "in_overtime_base": lambda week, line: "yes" if line.in_overtime_base else "no",
    "example": lambda week, line: "yes" if line.rule.example else "no",
}
PAYROLL_COLUMNS: tuple[str, ...] = (*_PAYROLL, "currency")


def payroll_rows(sheets: Timesheets) -> list[dict[str, Cell]]:
    """One row for each pay line of each person's week; the amounts add up to the pay."""
    currency = {"currency": sheets.rules.currency}
    return [
        {name: of(week, line) for name, of in _PAYROLL.items()} | currency
        for week in sheets.weeks
        for line in week.lines
    ]


def hours_csv(sheets: Timesheets) -> str:
    """The hours by shift and duty as CSV (RFC 4180), under `HOURS_COLUMNS`."""
    return _csv(HOURS_COLUMNS, hours_rows(sheets))


def payroll_csv(sheets: Timesheets) -> str:
    """The pay line by line as CSV (RFC 4180), under `PAYROLL_COLUMNS`."""
    return _csv(PAYROLL_COLUMNS, payroll_rows(sheets))


def _csv(columns: Sequence[str], rows: Iterable[Mapping[str, Cell]]) -> str:
    """Rows as CSV. A text that a spreadsheet would take for a formula is led by an apostrophe, so that
    opening the file runs nothing."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([_safe(row[name]) for name in columns] for row in rows)
    return out.getvalue()


def _safe(value: Cell) -> str:
    text = f"{value:f}" if isinstance(value, Decimal) else str(value)
    if isinstance(value, str) and text.startswith(("=", "+", "-", "@", "\t", "\r", "\n")):
        return f"'{text}"
    return text


_PRODUCT = "-//diving-team-planner//hours//EN"


def call_calendar(sheets: Timesheets, person: str, made_at: datetime | None = None) -> bytes:
    """One person's calls: an event a shift from call to end, duties and dives in its text.

    Times are written in UTC, so that no calendar program has to know the site's time zone.

    ``made_at``: the time stamped into the file; now when not given.

    Raises
    ------
    KeyError
        There are no hours of that person.
    """
    if person not in sheets.people:
        raise KeyError(person)
    made = (made_at or datetime.now(tz=UTC)).astimezone(UTC).replace(microsecond=0)
    calendar = Calendar()
    calendar.add("prodid", _PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", f"Calls of {person}")
    which: Counter[date] = Counter()
    for shift in sheets.calls:
        if shift.person != person:
            continue
        event = Event()
        job = ", ".join(shift.jobs)
        which[shift.day] += 1
        named = "|".join(
            (person, job, shift.day.isoformat(), *([str(which[shift.day])] if which[shift.day] > 1 else []))
        )
        event.add("uid", f"{hashlib.sha256(named.encode()).hexdigest()[:24]}@diving-team-planner")
        event.add("dtstamp", made)
        event.add("dtstart", sheets.clock.at(shift.start_min).astimezone(UTC))
        event.add("dtend", sheets.clock.at(shift.end_min).astimezone(UTC))
        event.add("summary", f"Call: {job}")
        event.add("location", job)
        duties = "\n".join(f"{duty}: {minutes} min" for duty, minutes in shift.by_duty)
        basis = "from the log" if shift.from_log else "as planned"
        event.add("description", f"{duties}\nHours {basis}.\n{CAUTION}")
        event.add("status", "CONFIRMED" if shift.from_log else "TENTATIVE")
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def call_files(sheets: Timesheets, made_at: datetime | None = None) -> dict[str, bytes]:
    """A file name and the calendar for everybody with hours; names are safe on every system."""
    files: dict[str, bytes] = {}
    taken: dict[str, int] = defaultdict(int)
    for person in sheets.people:
        words = re.sub(r"[^\w]+", "-", unicodedata.normalize("NFC", person)).strip("-_") or "person"
        taken[words.casefold()] += 1
        count = taken[words.casefold()]
        name = f"calls_{words}{f'_{count}' if count > 1 else ''}.ics"
        files[name] = call_calendar(sheets, person, made_at)
    return files

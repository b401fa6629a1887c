"""Files for the office's programs: the hours as one flat table, call times as a calendar file a person."""

from __future__ import annotations

import csv
import hashlib
import io
import re
import unicodedata
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal

from icalendar import Calendar, Event

from planner import CAUTION
from planner.hours.timesheets import Timesheets
from planner.hours.weeks import PersonDay, PersonWeek
from planner.job.base import Clock

Cell = str | int | Decimal


def stamp(clock: Clock, minute: int) -> str:
    """A time with its distance from UTC, ``2027-03-16T07:00+00:00``: plain in every time of the year."""
    return clock.at(minute).isoformat(timespec="minutes")


@dataclass(frozen=True)
class _Line:
    """What one row of the flat table is made from; ``first`` of its day."""

    sheets: Timesheets
    week: PersonWeek
    day: PersonDay
    duty: str
    minutes: int
    first: bool

    def once(self, minutes: int) -> int:
        """What holds for the whole day stands on its first row, and 0 below it."""
        return minutes if self.first else 0


#: The columns of the flat table, from left to right.
_FLAT: dict[str, Callable[[_Line], Cell]] = {
    "person": lambda r: r.week.person,
    "pay_class": lambda r: r.week.pay_class,
    "week_starts": lambda r: r.week.starts.isoformat(),
    "date": lambda r: r.day.day.isoformat(),
    "from": lambda r: "log" if r.day.from_log else "plan",
    "start": lambda r: stamp(r.sheets.clock, r.day.start_min),
    "end": lambda r: stamp(r.sheets.clock, r.day.end_min),
    "duty": lambda r: r.duty,
    "duty_min": lambda r: r.minutes,
    "day_worked_min": lambda r: r.once(r.day.worked_min),
    "day_break_min": lambda r: r.once(r.day.break_min),
    "day_overtime_min": lambda r: r.once(r.week.overtime_by_day.get(r.day.day, 0)),
    "night_min": lambda r: r.once(r.day.night_min),
    "weekend_min": lambda r: r.once(r.day.weekend_min),
    "chamber_min": lambda r: r.once(r.day.chamber_min),
    "bottom_min": lambda r: r.once(r.day.bottom_min),
    "greatest_depth_fsw": lambda r: r.once(r.day.greatest_depth_fsw),
    "dives": lambda r: r.once(r.day.dives),
    "hourly_rate": lambda r: r.sheets.rules.rate(r.week.pay_class).per_hour,
    "currency": lambda r: r.sheets.rules.currency,
}
FLAT_COLUMNS: tuple[str, ...] = tuple(_FLAT)


def flat_rows(sheets: Timesheets) -> list[dict[str, Cell]]:
    """One row for each duty of each person on each day; day sums only on the day's first row.

    So every column of minutes may be added up over the whole table.
    """
    lines = [
        _Line(sheets, week, day, duty, minutes, number == 0)
        for week in sheets.weeks
        for day in week.days
        for number, (duty, minutes) in enumerate(day.by_duty)
    ]
    return [{name: of(line) for name, of in _FLAT.items()} for line in lines]


def flat_csv(sheets: Timesheets) -> str:
    """The flat table as CSV (RFC 4180). A text that a spreadsheet would take for a formula is led by a
    tab-free apostrophe, so that opening the file runs nothing."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(FLAT_COLUMNS)
    for row in flat_rows(sheets):
        writer.writerow([_safe(row[name]) for name in FLAT_COLUMNS])
    return out.getvalue()


def _safe(value: Cell) -> str:
    text = f"{value:f}" if isinstance(value, Decimal) else str(value)
    if isinstance(value, str) and text.startswith(("=", "+", "-", "@", "\t", "\r", "\n")):
        return f"'{text}"
    return text


_PRODUCT = "-//diving-team-planner//hours//EN"


def call_calendar(sheets: Timesheets, person: str, made_at: datetime | None = None) -> bytes:
    """One person's calls: an event a day from call to end, duties and dives in its text.

    Times are written in UTC, so that no calendar program has to know the site's time zone.

    Parameters
    ----------
    sheets
        The timesheets.
    person
        Whose calls.
    made_at
        Time stamped into the file; now when not given.

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
    for day in sheets.days:
        if day.person != person:
            continue
        event = Event()
        named = (r.job_name for r in sheets.records if day.day in r.dates)
        job = next(named, sheets.records[-1].job_name)
        mark = hashlib.sha256(f"{person}|{job}|{day.day.isoformat()}".encode()).hexdigest()[:24]
        event.add("uid", f"{mark}@diving-team-planner")
        event.add("dtstamp", made)
        event.add("dtstart", sheets.clock.at(day.start_min).astimezone(UTC))
        event.add("dtend", sheets.clock.at(day.end_min).astimezone(UTC))
        event.add("summary", f"Call: {job}")
        event.add("location", job)
        duties = "\n".join(f"{duty}: {minutes} min" for duty, minutes in day.by_duty)
        basis = "from the log" if day.from_log else "as planned"
        event.add("description", f"{duties}\nHours {basis}.\n{CAUTION}")
        event.add("status", "CONFIRMED" if day.from_log else "TENTATIVE")
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

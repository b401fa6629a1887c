"""Call times as a calendar file a person (RFC 5545), written by the icalendar library."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections import defaultdict
from datetime import UTC, datetime

from icalendar import Calendar, Event

from planner import CAUTION
from planner.hours.timesheets import Timesheets

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
        job = _job_of(sheets, day.day.isoformat())
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


def _job_of(sheets: Timesheets, day: str) -> str:
    for record in sheets.records:
        if day in {d.isoformat() for d in record.dates}:
            return record.job_name
    return sheets.records[-1].job_name


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

"""Dates and times of day from cells: real dates and times, day fractions, and text such as 0700."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, timezone

from planner.job.clock import parse_clock
from planner.workbook.columns import Column, plain
from planner.workbook.job_in_file import CellContent

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
CLOCK_ALLOWED = "a time such as 07:00 or 0700"
DATE_ALLOWED = "a date such as 2027-03-16"


@dataclass(frozen=True)
class WallTime:
    """A time of day as typed: the day where the cell held one, and 24:00 as ``end_of_day``."""

    wall: time
    day: date | None = None
    end_of_day: bool = False


class Unreadable(Exception):
    """A cell whose content is not allowed; carries what `planner.errors.Fault` needs."""

    def __init__(self, found: str, allowed: str, sentence: str) -> None:
        super().__init__(sentence)
        self.found, self.allowed, self.sentence = found, allowed, sentence


def found_text(content: CellContent) -> str:
    """A cell's content as the user sees it, cut short."""
    if isinstance(content, bool):
        return "TRUE" if content else "FALSE"
    if isinstance(content, int | float):
        return plain(content)
    if isinstance(content, datetime):
        return content.isoformat(" ", "minutes") if content.time() != time(0) else content.date().isoformat()
    if isinstance(content, time):
        return f"{content:%H:%M:%S}" if content.second else f"{content:%H:%M}"
    text = str(content)
    return text if len(text) <= 80 else f"{text[:77]}..."


def read_date(column: Column, content: CellContent) -> date:
    """A calendar day: a date cell or ISO text. Raises `Unreadable` for anything else."""
    if isinstance(content, datetime):
        if content.time() == time(0):
            return content.date()
        raise Unreadable(
            found_text(content), DATE_ALLOWED, f"{column.title} holds a time of day with its date."
        )
    if isinstance(content, date):
        return content
    if isinstance(content, str) and _DAY.fullmatch(content.strip()):
        try:
            return date.fromisoformat(content.strip())
        except ValueError:
            raise Unreadable(found_text(content), DATE_ALLOWED, "There is no such day.") from None
    raise Unreadable(found_text(content), DATE_ALLOWED, f"{column.title} is not a date.")


def read_clock(column: Column, content: CellContent) -> WallTime:
    """A time of day in any form a cell may hold it. Raises `Unreadable` for anything else."""
    fault = Unreadable(found_text(content), CLOCK_ALLOWED, f"{column.title} is not a time of day.")
    if isinstance(content, bool):
        raise fault
    if isinstance(content, datetime):
        # A time cell that shows 24:00 holds the day number 1, which reads as a day of 1900.
        day = content.date() if content.year > 1900 else None
        if day is None and content.time() == time(0):
            return WallTime(time(0), None, True)
        return _at(column, _since_midnight(content), day)
    if isinstance(content, time):
        return _at(column, _since_midnight(content))
    if isinstance(content, timedelta):
        if content == timedelta(days=1):
            return WallTime(time(0), None, True)
        if timedelta(0) <= content < timedelta(days=1):
            return _at(column, content)
        raise fault
    if isinstance(content, int | float):
        if 0 <= content < 1:
            return _at(column, timedelta(days=float(content)))
        if content == int(content) and 100 <= content <= 2400:
            content = f"{int(content):04d}"
        else:
            raise fault
    if isinstance(content, str):
        text = content.strip()
        if text in ("24:00", "2400"):
            return WallTime(time(0), None, True)
        try:
            return _clock_text(text)
        except ValueError:
            raise fault from None
    raise fault


def _clock_text(text: str) -> WallTime:
    """``07:00``, ``0700``, a time with its offset ``01:30+01:00``, or a date and time.

    Raises ValueError for anything else.
    """
    if "-" in text[:8] and _DAY.match(text):
        moment = datetime.fromisoformat(text)
        if moment.second or moment.microsecond:
            raise ValueError(text)
        return WallTime(moment.timetz(), moment.date())
    offset = re.fullmatch(r"(\d{1,2}:?\d{2})([+-]\d{2}:\d{2})", text, re.ASCII)
    if offset:
        hours, minutes = offset.group(2)[1:].split(":")
        away = timedelta(hours=int(hours), minutes=int(minutes))
        zone = timezone(-away if offset.group(2)[0] == "-" else away)
        return WallTime(parse_clock(offset.group(1)).replace(tzinfo=zone))
    if not text.isascii():
        raise ValueError(text)
    return WallTime(parse_clock(text))


def _since_midnight(moment: time | datetime) -> timedelta:
    return timedelta(
        hours=moment.hour, minutes=moment.minute, seconds=moment.second, microseconds=moment.microsecond
    )


def _at(column: Column, since_midnight: timedelta, day: date | None = None) -> WallTime:
    """To the minute; a second either way is how spreadsheets round a time that was worked out."""
    seconds = since_midnight.total_seconds()
    minutes = round(seconds / 60)
    if abs(seconds - minutes * 60) > 1.0:
        raise Unreadable(
            f"{time(int(seconds // 3600), int(seconds // 60 % 60), int(seconds % 60)):%H:%M:%S}",
            CLOCK_ALLOWED,
            f"{column.title} has seconds; times are in whole minutes.",
        )
    return WallTime(time(minutes // 60 % 24, minutes % 60), day, minutes == 24 * 60)


def read_moment(column: Column, content: CellContent) -> datetime:
    """A date with its time. Raises `Unreadable` for anything else."""
    allowed = "a date and time such as 2027-03-15T19:40"
    if isinstance(content, datetime):
        return content
    if isinstance(content, str):
        try:
            return datetime.fromisoformat(content.strip())
        except ValueError:
            pass
    elif isinstance(content, date):
        return datetime.combine(content, time(0))
    raise Unreadable(found_text(content), allowed, f"{column.title} is not a date and time.")

"""What one cell holds, read into a value of its column, or told as a fault."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from planner.job import UnitSystem
from planner.job.base import parse_wall
from planner.job.names import did_you_mean, fold, listed
from planner.job.units import DEPTH, DEPTH_TRIGGER
from planner.job.work import CrewNeed
from planner.workbook.columns import Bounds, CellKind, JobColumn, JobSheet, bounds_of, plain, shown
from planner.workbook.opening import CellContent, RawCell

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


def read_date(column: JobColumn, content: CellContent) -> date:
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


def read_clock(column: JobColumn, content: CellContent) -> WallTime:
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
    if not text.isascii():
        raise ValueError(text)
    return WallTime(parse_wall(text))


def _since_midnight(moment: time | datetime) -> timedelta:
    return timedelta(
        hours=moment.hour, minutes=moment.minute, seconds=moment.second, microseconds=moment.microsecond
    )


def _at(column: JobColumn, since_midnight: timedelta, day: date | None = None) -> WallTime:
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


def read_moment(column: JobColumn, content: CellContent) -> datetime:
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


_NUMBER_AND_UNIT = re.compile(r"[+-]?[\d.,]+\s*([^\W\d]+\.?|[°%'′\"″]\s*[A-Za-z]?)")
_NUMBER = re.compile(r"[+-]?\d{1,15}(\.\d{1,15})?", re.ASCII)
_CREW = re.compile(r"(.*\S)\s+(\d{1,9})", re.ASCII | re.DOTALL)
_NUMBER_FIRST = re.compile(r"\d+\s+\S.*", re.ASCII | re.DOTALL)
_YES = frozenset({"yes", "y", "true"})
_NO = frozenset({"no", "n", "false"})
#: No figure of a job comes near; keeps the conversions clear of overflow.
_HUGE = 1e9


Value = str | int | float | bool | date | datetime | WallTime | tuple[str, ...] | tuple[CrewNeed, ...]


def read_cell(sheet: JobSheet, column: JobColumn, raw: RawCell, units: UnitSystem) -> Value:
    """The value of a filled cell, in inside units.

    Raises
    ------
    Unreadable
        When the column does not allow what the cell holds.
    """
    content = raw.content
    if raw.trouble == "formula":
        raise Unreadable(
            found_text(content),
            "a value, or a formula in a file saved by a spreadsheet program",
            f"{column.title} is a formula whose value was never saved.",
        )
    if raw.trouble == "error":
        raise Unreadable(found_text(content), "a value", f"{column.title} shows an error in the sheet.")
    if column.kind in (CellKind.WHOLE, CellKind.NUMBER):
        return _number(sheet, column, content, units, raw.units or units)
    if column.kind is CellKind.YES_NO:
        return _yes_no(column, content)
    if column.kind is CellKind.CHOICE:
        return _choice(column, content)
    if column.kind is CellKind.DATE:
        return read_date(column, content)
    if column.kind is CellKind.CLOCK:
        return read_clock(column, content)
    if column.kind is CellKind.MOMENT:
        return read_moment(column, content)
    text = _text(column, content)
    if column.kind is CellKind.NAMES:
        return _names(sheet, column, text)
    if column.kind is CellKind.CREW:
        return _crew(sheet, column, text)
    return _fitting(column, text, sheet.bounds(column))


def allowed_in(sheet: JobSheet, column: JobColumn, units: UnitSystem) -> str:
    """What a column takes, in a few words."""
    if column.kind in (CellKind.WHOLE, CellKind.NUMBER):
        return _allowed_number(sheet, column, units)
    if column.kind is CellKind.CHOICE:
        return listed(str(c) for c in column.choices)
    if column.kind is CellKind.YES_NO:
        return "yes or no"
    if column.kind is CellKind.DATE:
        return DATE_ALLOWED
    if column.kind is CellKind.CLOCK:
        return CLOCK_ALLOWED
    example = shown(column.example, column)
    kind = f"a {column.kind}" if column.kind in (CellKind.NAME, CellKind.TEXT) else str(column.kind)
    return f"{kind}, such as {example}" if example else kind


def _unit_of_figure(column: JobColumn, units: UnitSystem) -> str:
    """What is said behind a figure of the column; blank where its heading says a range instead (1 to 5)."""
    unit = column.unit_in(units)
    return "" if unit[:1].isdigit() else unit


def _allowed_number(sheet: JobSheet, column: JobColumn, units: UnitSystem) -> str:
    low, high = sheet.range_in(column, units)
    unit = _unit_of_figure(column, units)
    tail = f" {unit}" if unit else ""
    kind = "a whole number" if column.whole_in(units) else "a number"
    over = "more than " if sheet.bounds(column).low_open else ""
    if low is not None and high is not None:
        span = f" over {plain(low)} up to {plain(high)}" if over else f" from {plain(low)} to {plain(high)}"
        return f"{kind}{span}{tail}"
    if low is not None:
        return f"{kind}, {over}{plain(low)}{'' if over else ' or more'}{tail}"
    return f"{kind}{tail}"


def _number(
    sheet: JobSheet, column: JobColumn, content: CellContent, units: UnitSystem, own: UnitSystem
) -> int | float:
    """The number in inside units; `units` are those of the heading, `own` those of the figure."""
    allowed = _allowed_number(sheet, column, units)
    found = found_text(content)
    unit = _unit_of_figure(column, own)
    if isinstance(content, str):
        if not _NUMBER.fullmatch(content.strip()):
            what = f"{column.title} holds text where a number belongs."
            if unit and _NUMBER_AND_UNIT.fullmatch(content.strip()):
                what = f"{column.title} holds a unit beside its number: it is the number alone, in {unit}."
            raise Unreadable(found, allowed, what)
        content = float(content.strip())
    if isinstance(content, bool) or not isinstance(content, int | float):
        raise Unreadable(found, allowed, f"{column.title} does not hold a number.")
    typed = float(content) if abs(content) <= _HUGE else _HUGE if content > 0 else -_HUGE
    metric = column.measure is not None and own is UnitSystem.METRIC
    whole = column.kind is CellKind.WHOLE
    if whole and not metric and typed != int(typed):
        hint = ""
        if column.measure in (DEPTH, DEPTH_TRIGGER):
            hint = " For metres, write the workbook in metric units."
        raise Unreadable(found, allowed, f"{column.title} takes whole numbers only.{hint}")
    inside = column.measure.inside(typed, own) if column.measure else typed
    bounds = sheet.bounds(column)
    if not bounds.hold(inside):
        raise Unreadable(
            f"{found} {unit}".strip(), allowed, _out_of_bounds(column, typed, inside, bounds, unit)
        )
    return int(inside) if whole else float(inside)


def _out_of_bounds(column: JobColumn, typed: float, inside: float, bounds: Bounds, unit: str) -> str:
    if column.measure in (DEPTH, DEPTH_TRIGGER) and bounds.high is not None and inside > bounds.high:
        feet = f", which is {plain(inside)} fsw," if unit == "m" else ""
        return (
            f"A depth of {plain(typed)} {unit}{feet} is deeper than any dive on air in the tables. "
            "Is the figure in another unit?"
        )
    if bounds.low is not None and bounds.low >= 0 and typed < 0:
        return f"{column.title} cannot be negative."
    if (
        bounds.low is not None
        and not bounds.hold(max(inside, bounds.low))
        and bounds.low_open
        and inside <= 0
    ):
        return f"{column.title} must be more than nothing."
    way = "large" if bounds.high is not None and inside > bounds.high else "small"
    doubt = " Is the figure in another unit?" if column.measure else ""
    return f"{column.title} is too {way}.{doubt}"


def _yes_no(column: JobColumn, content: CellContent) -> bool:
    if isinstance(content, bool):
        return content
    word = fold(content) if isinstance(content, str) else ""
    if word in _YES:
        return True
    if word in _NO:
        return False
    raise Unreadable(found_text(content), "yes or no", f"{column.title} is neither yes nor no.")


def _choice(column: JobColumn, content: CellContent) -> str:
    text = _text(column, content)
    for choice in column.choices:
        if fold(str(choice)) == fold(text):
            return str(choice)
    known, found = [str(c) for c in column.choices], found_text(content)
    sentence = f"{column.title} cannot be {found}.{did_you_mean(text, known)}"
    raise Unreadable(found, listed(known), sentence)


def _text(column: JobColumn, content: CellContent) -> str:
    if isinstance(content, bool) or not isinstance(content, str | int | float):
        raise Unreadable(
            found_text(content),
            "text",
            f"{column.title} holds a date or a truth value where text belongs; format the cell as text.",
        )
    return content.strip() if isinstance(content, str) else plain(content)


def _fitting(column: JobColumn, text: str, bounds: Bounds) -> str:
    if len(text) > bounds.longest:
        raise Unreadable(
            found_text(text),
            f"up to {bounds.longest} letters",
            f"{column.title} is too long: {len(text)} letters.",
        )
    return text


def split_names(text: str) -> list[str]:
    """Names of one cell, split by semicolons; one in quotes may hold a semicolon itself."""
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=";", skipinitialspace=True)
    return [part.strip() for row in rows for part in row if part.strip()]


def _split(column: JobColumn, text: str) -> list[str]:
    try:
        return split_names(text)
    except csv.Error as broken:
        raise Unreadable(
            found_text(text), str(column.kind), f"{column.title} cannot be split into names."
        ) from broken


def _names(sheet: JobSheet, column: JobColumn, text: str) -> tuple[str, ...]:
    parts = [_fitting(column, part, sheet.bounds(column)) for part in _split(column, text)]
    seen: dict[str, str] = {}
    for part in parts:
        if fold(part) in seen:
            raise Unreadable(part, "each name once", f"{column.title} names {part} twice.")
        seen[fold(part)] = part
    return tuple(parts)


def _crew(sheet: JobSheet, column: JobColumn, text: str) -> tuple[CrewNeed, ...]:
    longest = bounds_of(CrewNeed.model_fields["duty"])
    most = bounds_of(CrewNeed.model_fields["count"])
    allowed = "a duty with its number, such as rigger 2; crane operator 1"
    crew = []
    for part in _split(column, text):
        match = _CREW.fullmatch(part)
        if match is None and _NUMBER_FIRST.fullmatch(part):
            raise Unreadable(part, allowed, "The number of people stands after the duty, not before it.")
        duty, count = (match.group(1), int(match.group(2))) if match else (part, 1)
        if not most.hold(count):
            raise Unreadable(
                part,
                f"{plain(most.low or 1)} to {plain(most.high or 1)} people",
                f"A crew cannot have {count} {duty}.",
            )
        crew.append(CrewNeed(duty=_fitting(column, duty, longest), count=count))
    return tuple(crew)

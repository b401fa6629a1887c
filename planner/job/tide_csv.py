"""The open CSV of high and low waters that many tide services write, read into tide marks."""

from __future__ import annotations

import csv
from datetime import UTC, datetime, tzinfo

from planner.errors import Fault, InputFaults
from planner.job.base import MINUTES_A_DAY, Clock
from planner.job.site import HIGHEST_TIDE_FT, TideMark
from planner.job.tide import covers, out_of_turn
from planner.job.units import METRES_PER_FOOT

#: Heads of its columns, in any order.
COLUMNS = ("Date Time", "Prediction", "Type")

#: Longest file and most faults told at once.
MOST_ROWS, MOST_FAULTS = 50_000, 50

_HIGH = {"h": True, "high": True, "hh": True, "l": False, "low": False, "ll": False}
_FORMS = ("%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M:%S", "%Y/%m/%d %H:%M", "%m/%d/%Y %H:%M")


def read_tide_csv(
    content: str | bytes,
    clock: Clock,
    *,
    days: int = 1,
    metres: bool = False,
    utc: bool = False,
    name: str = "tide table",
) -> tuple[TideMark, ...]:
    """High and low waters from a CSV with the columns ``Date Time``, ``Prediction`` and ``Type``.

    Only the marks from the day before the job to the day after it are kept: the level and slack water need
    no others.

    Parameters
    ----------
    content
        The file's text, or its bytes in UTF-8. Levels are above the table's own datum; a type is H or L.
    days
        Days of the job.
    metres
        The levels are in metres, not feet.
    utc
        The times are UTC, not the site's local time.
    name
        What the file is called in a fault.

    Raises
    ------
    InputFaults
        All faults together, each with its line.
    """
    faults: list[Fault] = []
    zone = UTC if utc else clock.zone
    found = [
        (line, _mark(row, f"{name}, line {line}", clock, zone, metres, faults))
        for line, row in _rows(content, name)
    ]
    marks = sorted(((mark, line) for line, mark in found if mark is not None), key=lambda m: m[0].minute)
    for _, at, odd in out_of_turn([mark for mark, _ in marks], clock):
        faults.append(Fault(f"{name}, line {marks[at][1]}", odd.found, odd.allowed, odd.sentence))
    first, last = clock.day_start(0), clock.day_start(days)
    kept = tuple(m for m, _ in marks if first - MINUTES_A_DAY <= m.minute <= last + MINUTES_A_DAY)
    if not faults and not covers(kept, first, last):
        faults.append(
            Fault(
                name,
                f"{clock.day_of(marks[0][0].minute)} to {clock.day_of(marks[-1][0].minute)}",
                f"a water before {clock.first_day.isoformat()} and one after the job's last day",
                "The table does not reach over the job's days.",
            )
        )
    if faults:
        raise InputFaults(faults[:MOST_FAULTS])
    return kept


def _rows(content: str | bytes, name: str) -> list[tuple[int, dict[str, str]]]:
    """The lines under the heads, each with its number and its cells by head."""
    allowed = f"a first line: {', '.join(COLUMNS)}"
    try:
        text = content.decode("utf-8") if isinstance(content, bytes) else content
        lines = text.removeprefix("\ufeff").splitlines()
        if len(lines) > MOST_ROWS:
            found = f"{len(lines)} lines"
            raise InputFaults([Fault(name, found, f"{MOST_ROWS} lines or fewer", "The file is too long.")])
        table = [[cell.strip() for cell in row] for row in csv.reader(lines)]
    except (UnicodeDecodeError, csv.Error) as wrong:
        fault = Fault(name, str(wrong), "comma-separated text in UTF-8", "The file is no CSV.")
        raise InputFaults([fault]) from wrong
    filled = [(number, row) for number, row in enumerate(table, start=1) if any(row)]
    if filled:
        number, top = filled.pop(0)
        heads = [_plain(cell) for cell in top]
        for column in COLUMNS:
            if _plain(column) not in heads:
                where, sentence = f"{name}, line {number}", f"The column {column} is missing."
                raise InputFaults([Fault(where, ", ".join(top)[:80], allowed, sentence)])
    if not filled:
        fault = Fault(name, "", allowed + ", and waters under it", "There are no waters in the file.")
        raise InputFaults([fault])
    return [(number, dict(zip(heads, row, strict=False))) for number, row in filled]


def _plain(head: str) -> str:
    return " ".join(head.casefold().split())


def _mark(
    row: dict[str, str], where: str, clock: Clock, zone: tzinfo, metres: bool, faults: list[Fault]
) -> TideMark | None:
    when, level, kind = (row.get(_plain(column), "") for column in COLUMNS)
    minute, feet, high = _minute(when, clock, zone), _feet(level, metres), _HIGH.get(kind.casefold())
    if minute is None:
        faults.append(
            Fault(where, when, "a date and time such as 2026-05-12 03:12", "This is no date and time.")
        )
    if feet is None:
        most = f"{HIGHEST_TIDE_FT * METRES_PER_FOOT:.0f} m" if metres else f"{HIGHEST_TIDE_FT} ft"
        faults.append(
            Fault(where, level, f"a level from -{most} to {most}", "This is no level of the water.")
        )
    if high is None:
        faults.append(Fault(where, kind, "H or L", "This is neither a high nor a low water."))
    if minute is None or feet is None or high is None:
        return None
    return TideMark(minute=minute, level_ft=feet, high=high)


def _minute(text: str, clock: Clock, zone: tzinfo) -> int | None:
    for form in _FORMS:
        try:
            moment = datetime.strptime(text, form)
        except ValueError:
            continue
        if 1900 <= moment.year <= 2200:
            return clock.minute(moment.replace(tzinfo=zone))
    return None


def _feet(text: str, metres: bool) -> float | None:
    try:
        feet = float(text) / (METRES_PER_FOOT if metres else 1)
    except ValueError:
        return None
    return feet if abs(feet) <= HIGHEST_TIDE_FT else None

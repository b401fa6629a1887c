"""The tide: the open CSV of high and low waters, the level between them, slack water around them.

The level between two marks follows half a cosine wave (common practice; the rule of twelfths is the same
curve by hand, within half a foot on ordinary ranges). Levels are feet above the table's datum. A foot of
tide is counted as one fsw.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Sequence
from datetime import UTC, datetime, tzinfo
from itertools import pairwise

from planner.errors import Fault, InputFaults
from planner.job.base import MINUTES_A_DAY, Clock, Span
from planner.job.job import Job
from planner.job.site import Site, TideMark
from planner.job.units import METRES_PER_FOOT
from planner.job.work import DiveItem

#: Columns of the open CSV of high and low waters, as the tide services of many countries write it.
COLUMNS = ("Date Time", "Prediction", "Type")

#: Highest level that a table may give, in feet (the bounds of `TideMark.level_ft`).
HIGHEST_FT = 60.0

#: Longest file and most faults told at once.
MOST_ROWS, MOST_FAULTS = 50_000, 50

_TYPES = {"h": True, "high": True, "hh": True, "l": False, "low": False, "ll": False}
_FORMS = ("%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M:%S", "%Y/%m/%d %H:%M", "%m/%d/%Y %H:%M")


def read_tide_table(
    text: str,
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
    text
        The file's text. Levels are above the table's own datum; a type is H or L.
    clock
        The job's clock.
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
    rows = _rows(text, name, faults)
    marks: list[tuple[int, TideMark]] = []
    for line, row in rows:
        mark = _mark(row, f"{name}, line {line}", clock, UTC if utc else clock.zone, metres, faults)
        if mark is not None:
            marks.append((line, mark))
    marks.sort(key=lambda pair: pair[1].minute)
    for (_, before), (line, after) in pairwise(marks):
        where, found = f"{name}, line {line}", clock.at(after.minute).strftime("%Y-%m-%d %H:%M")
        if after.minute == before.minute:
            faults.append(Fault(where, found, "each time once", "Two waters stand at the same time."))
        elif after.high == before.high and after.minute - before.minute < MINUTES_A_DAY:
            kind = "high" if after.high else "low"
            faults.append(
                Fault(where, found, "high and low in turn", f"Two {kind} waters follow each other.")
            )
    first = clock.day_start(0) - MINUTES_A_DAY
    last = clock.day_start(days) + MINUTES_A_DAY
    kept = tuple(mark for _, mark in marks if first <= mark.minute <= last)
    if not faults and not covers(kept, clock.day_start(0), clock.day_start(days)):
        faults.append(
            Fault(
                name,
                _dates(clock, [mark for _, mark in marks]),
                f"a water before {clock.first_day.isoformat()} and one after the job's last day",
                "The table does not reach over the job's days.",
            )
        )
    if faults:
        raise InputFaults(faults[:MOST_FAULTS])
    return kept


def _dates(clock: Clock, marks: Sequence[TideMark]) -> str:
    return f"{clock.at(marks[0].minute).date()} to {clock.at(marks[-1].minute).date()}"


def _rows(text: str, name: str, faults: list[Fault]) -> list[tuple[int, dict[str, str]]]:
    """The lines under the heads, each with its number and its cells by head."""
    allowed = f"a first line: {', '.join(COLUMNS)}"
    lines = text.removeprefix("\ufeff").splitlines()
    if len(lines) > MOST_ROWS:
        faults.append(
            Fault(name, f"{len(lines)} lines", f"{MOST_ROWS} lines or fewer", "The file is too long.")
        )
        return []
    try:
        table = list(csv.reader(lines))
    except csv.Error as wrong:
        faults.append(Fault(name, str(wrong), "comma-separated text", "The file is no CSV."))
        return []
    heads: list[str] | None = None
    rows: list[tuple[int, dict[str, str]]] = []
    for number, cells in enumerate(table, start=1):
        trimmed = [cell.strip() for cell in cells]
        if not any(trimmed):
            continue
        if heads is None:
            heads = [_plain(cell) for cell in trimmed]
            missing = [column for column in COLUMNS if _plain(column) not in heads]
            if missing:
                faults.append(
                    Fault(
                        f"{name}, line {number}",
                        ", ".join(trimmed)[:80],
                        allowed,
                        f"The column {missing[0]} is missing.",
                    )
                )
                return []
            continue
        rows.append((number, dict(zip(heads, trimmed, strict=False))))
    if not rows:
        faults.append(Fault(name, "", allowed + ", and waters under it", "There are no waters in the file."))
    return rows


def _plain(head: str) -> str:
    return " ".join(head.casefold().split())


def _mark(
    row: dict[str, str], where: str, clock: Clock, zone: tzinfo, metres: bool, faults: list[Fault]
) -> TideMark | None:
    before = len(faults)
    when, level, kind = (row.get(_plain(column), "") for column in COLUMNS)
    minute = _minute(when, clock, zone)
    if minute is None:
        faults.append(
            Fault(where, when, "a date and time such as 2026-05-12 03:12", "This is no date and time.")
        )
    feet = _feet(level, metres)
    if feet is None:
        most = HIGHEST_FT * METRES_PER_FOOT if metres else HIGHEST_FT
        unit = "m" if metres else "ft"
        faults.append(
            Fault(
                where,
                level,
                f"a level from {-most:.0f} to {most:.0f} {unit}",
                "This is no level of the water.",
            )
        )
    high = _TYPES.get(kind.casefold())
    if high is None:
        faults.append(Fault(where, kind, "H or L", "This is neither a high nor a low water."))
    if len(faults) > before or minute is None or feet is None or high is None:
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
        level = float(text)
    except ValueError:
        return None
    feet = level / METRES_PER_FOOT if metres else level
    return feet if abs(feet) <= HIGHEST_FT else None


def covers(marks: Sequence[TideMark], start_min: int, end_min: int) -> bool:
    """Whether the level is known over the whole of a stretch."""
    minutes = [mark.minute for mark in marks]
    return len(minutes) > 1 and min(minutes) <= start_min and end_min <= max(minutes)


def level_ft(marks: Sequence[TideMark], minute: float) -> float | None:
    """Level above the table's datum at a job minute; None outside the first and last mark."""
    ordered = sorted(marks, key=lambda mark: mark.minute)
    for before, after in pairwise(ordered):
        if before.minute <= minute <= after.minute and after.minute > before.minute:
            share = (minute - before.minute) / (after.minute - before.minute)
            return before.level_ft + (after.level_ft - before.level_ft) * (1 - math.cos(math.pi * share)) / 2
    return None


def greatest_level_ft(marks: Sequence[TideMark], start_min: int, end_min: int) -> float | None:
    """Greatest level from ``start_min`` to ``end_min``, both taken in; None where the marks do not reach.

    Between two marks the curve only rises or only falls, so it is the greatest of both ends and of the marks
    between them.
    """
    if not covers(marks, start_min, end_min) or end_min < start_min:
        return None
    ends = (level_ft(marks, start_min), level_ft(marks, end_min))
    between = (mark.level_ft for mark in marks if start_min <= mark.minute <= end_min)
    return max((*(level for level in ends if level is not None), *between), default=None)


def depth_with_tide_fsw(job: Job, item: DiveItem, start_min: int, end_min: int) -> int | None:
    """Depth of an item from ``start_min`` to ``end_min``, rounded up to the whole fsw; at least 1.

    For an item that follows the tide: the charted depth and the greatest level in the stretch. None where the
    job's tide marks do not reach over it.
    """
    if not item.depth_follows_tide:
        return item.depth_fsw
    level = greatest_level_ft(job.tide_marks, start_min, end_min)
    return None if level is None else _deep(item, level)


def deepest_fsw(job: Job, item: DiveItem) -> int:
    """Depth of an item at the highest of the job's tide marks, rounded up; its own depth without any."""
    if not item.depth_follows_tide or not job.tide_marks:
        return item.depth_fsw
    return _deep(item, max(mark.level_ft for mark in job.tide_marks))


def _deep(item: DiveItem, level: float) -> int:
    # the guard keeps 40 + 0.3 + 0.7 at 41 whatever the last binary digit says
    return max(1, math.ceil(item.depth_fsw + level - 1e-9))


def spans_no_deeper(job: Job, item: DiveItem, depth_fsw: int) -> tuple[Span, ...]:
    """Stretches, in whole minutes, in which an item that follows the tide is no deeper than a depth.

    Any stretch inside one of them, both ends taken in, has `depth_with_tide_fsw` of at most ``depth_fsw``.
    """
    marks = sorted(job.tide_marks, key=lambda mark: mark.minute)
    most = depth_fsw - item.depth_fsw + 1e-9
    spans: list[tuple[int, int]] = []
    for before, after in pairwise(marks):
        part = _part_below(before, after, most)
        if part is None:
            continue
        if spans and part[0] <= spans[-1][1]:
            spans[-1] = (spans[-1][0], max(spans[-1][1], part[1]))
        else:
            spans.append(part)
    return tuple(Span(start_min=start, end_min=end) for start, end in spans if start < end)


def _part_below(before: TideMark, after: TideMark, most_ft: float) -> tuple[int, int] | None:
    """The minutes between two marks at which the level is at most ``most_ft``."""
    low, high = sorted((before.level_ft, after.level_ft))
    if after.minute <= before.minute or low > most_ft:
        return None
    if high <= most_ft:
        return before.minute, after.minute
    share = math.acos(1 - 2 * (most_ft - before.level_ft) / (after.level_ft - before.level_ft)) / math.pi
    crossing = before.minute + share * (after.minute - before.minute)
    if before.level_ft < after.level_ft:
        return before.minute, max(before.minute, math.floor(crossing))
    return min(after.minute, math.ceil(crossing)), after.minute


def slack_around(site: Site, marks: Sequence[TideMark]) -> tuple[tuple[TideMark, Span], ...]:
    """Slack water around each mark, by the site's own offset and length; none where the length is 0."""
    if site.slack_length_min == 0:
        return ()
    out = []
    for mark in sorted(marks, key=lambda mark: mark.minute):
        start = mark.minute + site.slack_offset_min - site.slack_length_min // 2
        if -13 * MINUTES_A_DAY <= start <= 14 * MINUTES_A_DAY:
            out.append((mark, Span(start_min=start, end_min=start + site.slack_length_min)))
    return tuple(out)

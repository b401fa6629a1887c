"""The hours as one flat table for a payroll program, a row a person, day and duty; and the same as CSV."""

from __future__ import annotations

import csv
import io
from decimal import Decimal

from planner.hours.timesheets import Timesheets
from planner.job.clock import Clock

FLAT_COLUMNS: tuple[str, ...] = (
    "person",
    "pay_class",
    "week_starts",
    "date",
    "from",
    "start",
    "end",
    "duty",
    "duty_min",
    "day_worked_min",
    "day_break_min",
    "day_overtime_min",
    "night_min",
    "weekend_min",
    "chamber_min",
    "bottom_min",
    "greatest_depth_fsw",
    "dives",
    "hourly_rate",
    "currency",
)
#: Columns that hold for the whole day: they stand on the first row of a day and are blank (or 0) below it.
_OF_DAY = FLAT_COLUMNS[9:18]

Cell = str | int | Decimal


def stamp(clock: Clock, minute: int) -> str:
    """A time with its distance from UTC, ``2027-03-16T07:00+00:00``: plain in every time of the year."""
    return clock.at(minute).isoformat(timespec="minutes")


def flat_rows(sheets: Timesheets) -> list[dict[str, Cell]]:
    """One row for each duty of each person on each day; day sums only on the day's first row.

    So every column of minutes may be added up over the whole table.
    """
    rows: list[dict[str, Cell]] = []
    for week in sheets.weeks:
        for day in week.days:
            for number, (duty, minutes) in enumerate(day.by_duty):
                row: dict[str, Cell] = {
                    "person": week.person,
                    "pay_class": week.pay_class,
                    "week_starts": week.starts.isoformat(),
                    "date": day.day.isoformat(),
                    "from": "log" if day.from_log else "plan",
                    "start": stamp(sheets.clock, day.start_min),
                    "end": stamp(sheets.clock, day.end_min),
                    "duty": duty,
                    "duty_min": minutes,
                    "day_worked_min": day.worked_min,
                    "day_break_min": day.break_min,
                    "day_overtime_min": week.overtime_by_day.get(day.day, 0),
                    "night_min": day.night_min,
                    "weekend_min": day.weekend_min,
                    "chamber_min": day.chamber_min,
                    "bottom_min": day.bottom_min,
                    "greatest_depth_fsw": day.greatest_depth_fsw,
                    "dives": day.dives,
                    "hourly_rate": sheets.rules.rate(week.pay_class).per_hour,
                    "currency": sheets.rules.currency,
                }
                if number:
                    row.update(dict.fromkeys(_OF_DAY, 0))
                rows.append(row)
    return rows


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

"""Logbooks: a page a diver with every dive by the day logs, over all jobs, and what they add up to."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from planner.check.rule import SUBJECT_TO
from planner.hours.logbook import Logbook, LoggedDive, runs_of_days
from planner.hours.worked import in_metres, tables_words
from planner.sheets.dive_record_book import KEPT, SOURCE, diver_sheet_name
from planner.sheets.layout import Column, PrintedSheet, Table, facts_words, printed_book, wall
from planner.words.measures import hours_minutes
from planner.words.schedule import group_after_words, table_row_words
from planner.workbook.style import SMALL, Book, Look

_NUMBER = Look(across="right", edges="b", size=8)
_METRES = _NUMBER.but(number_format="0.0#")
_WORD = Look(edges="b", size=8, wrap=True)
_LINE = Look(edges="b", size=8, shrink=True)
_DATE = Look(edges="b", size=8, number_format="yyyy-mm-dd")
_CLOCK = Look(edges="b", size=8, across="center", number_format="hh:mm")
_NOTE = (
    "Dives by the day logs of all jobs in the store; a day that was planned and not logged is not in it. In "
    "the water: leave surface to reach surface. Days in a row: days on which a shift began, dived or not. "
    "Medical: the last day that the newest job gives. {source} {kept} {subject_to}"
)
_SIGN = ("Diver, date", "Person in charge, date")


def logbook_book(logbooks: Sequence[Logbook], *, paper: str = "A4", made_at: datetime | None = None) -> Book:
    """The logbooks as a workbook on ``A4`` or ``Letter``, a sheet a diver, not yet saved.

    Raises
    ------
    ValueError
        For another paper.
    """
    made = f"made {made_at or datetime.now().astimezone():%Y-%m-%d %H:%M}"
    printed = printed_book("Logbooks", paper, "Logbook", made)
    metric = in_metres(dive.record for logbook in logbooks for dive in logbook.dives)
    table = _table(metric=metric)
    taken: set[str] = set()
    for logbook in logbooks:
        told = tables_words(d.record for d in logbook.dives)
        facts = facts_words("Logbook, dives by the day log", made, told)
        name = diver_sheet_name(logbook.person, taken)
        sheet = printed.sheet(name, table.widths, landscape=True, title=logbook.person, facts=facts)
        _figures(sheet, logbook)
        sheet.heads(table, on_each_page=True)
        sheet.rows(table, logbook.dives)
        with sheet.together():
            sheet.totals(table, sheet.title_rows + 1, "All")
            sheet.words(_NOTE.format(source=f"{SOURCE}.", kept=KEPT, subject_to=SUBJECT_TO))
            sheet.signatures(_SIGN)
        sheet.end()
    if not logbooks:
        sheet = printed.sheet("No dives", table.widths, landscape=True, title="Logbooks")
        sheet.words("No dive is logged in any job of the store, so there is no logbook.", Look())
        sheet.end()
    return printed.book


def _figures(sheet: PrintedSheet, book: Logbook) -> None:
    """A strip of what the dives add up to."""
    worked, dived = runs_of_days(book.days), runs_of_days(book.dived_days)
    last = book.dived_days[-1].isoformat()
    figures = (
        ("Dives", str(len(book.dives))),
        ("In the water, h:min", hours_minutes(book.in_water_min)),
        ("Bottom time, h:min", hours_minutes(book.bottom_min)),
        _greatest(book),
        ("Last dive", last),
        ("In a row, days: last / most", f"{worked[-1]} / {max(worked)}"),
        ("Dived in a row, days: last / most", f"{dived[-1]} / {max(dived)}"),
        ("Medical until", book.medical_words),
    )
    half = len(figures) // 2

    def nearest(width_mm: float) -> int:
        return min(range(sheet.columns + 1), key=lambda n: abs(sheet.width_mm(1, n) - width_mm))

    edges = [1 + nearest(sheet.page.width_mm * n / half) for n in range(half + 1)]
    for line in (figures[:half], figures[half:]):
        sheet.figures(line, edges, 11, 16)
    given = f"Medical as the job {book.medical_by} gives it." if book.medical_by else None
    sheet.across(given, SMALL, 12 if given else 5)


def _greatest(book: Logbook) -> tuple[str, str]:
    """The greatest depth with its head; the metres before it where a job is kept in them."""
    if not in_metres(dive.record for dive in book.dives):
        return "Greatest depth, fsw", str(book.greatest_depth_fsw)
    return "Greatest depth", f"{book.greatest_depth_m:g} m ({book.greatest_depth_fsw} fsw)"


def _table(*, metric: bool) -> Table[LoggedDive]:
    """The columns of the dives; ``metric``: the depth in metres too."""

    def interval(dive: LoggedDive) -> str:
        minutes = dive.worked.row.surface_interval_min
        return "" if minutes is None else hours_minutes(minutes)

    def left(dive: LoggedDive) -> datetime:
        return wall(dive.record.clock, dive.worked.dive.leave_surface_min)

    metres: Column[LoggedDive] = Column(
        "Greatest depth, m", 14, lambda d: d.worked.greatest_depth_m, _METRES, total="MAX"
    )
    return Table(
        (
            Column("Date", 18, left, _DATE),
            Column("Dive", 8, lambda d: d.worked.dive.id, _WORD),
            Column("Place", 37, lambda d: f"{d.record.job_name}, {d.worked.dive.station}".strip(", "), _WORD),
            Column("Nature of the work", 28, lambda d: d.worked.dive.item, _WORD),
            Column("Duty, dress", 30, lambda d: f"{d.worked.row.duty}, {d.worked.gear}".strip(", "), _WORD),
            Column("Leave surface", 13, left, _CLOCK),
            Column(
                "Reach surface", 13, lambda d: wall(d.record.clock, d.worked.dive.reach_surface_min), _CLOCK
            ),
            Column("In the water, min", 14, lambda d: d.in_water_min, _NUMBER, total="SUM"),
            Column("Bottom time, min", 13, lambda d: d.worked.dive.bottom_time_min, _NUMBER, total="SUM"),
            Column("Greatest depth, fsw", 14, lambda d: d.worked.greatest_depth_fsw, _NUMBER, total="MAX"),
            *([metres] if metric else []),
            Column("Schedule", 36, lambda d: table_row_words(d.worked.row.schedule), _LINE.but(indent=1)),
            Column("Since last dive, h:min", 14, interval, _NUMBER),
            Column(
                "Group after", 13, lambda d: group_after_words(d.worked.row.group_after), _LINE.but(indent=1)
            ),
            Column("In charge", 20, lambda d: d.in_charge, _WORD),
        ),
        heads_points=24,
        head_size=7,
        points=12.5,
    )

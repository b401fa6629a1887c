"""The sheet *Dives*: for each dive its times, its table schedule, its nitrogen and its whole crew."""

from __future__ import annotations

from openpyxl.workbook import Workbook

from planner.job import Job
from planner.job.duties import CONSOLE, LOG_KEEPER, STANDBY, STANDBY_TENDER, SUPERVISOR, TENDER, WATER_DUTIES
from planner.plan.model import Dive, DiverExposure, Plan
from planner.sheets.person_day import crew_of, day_of, dives_in_order, length, people_in, standbys, wall
from planner.words.measures import date_words, depth_words, minutes_seconds, minutes_words
from planner.words.plan import dive_label
from planner.words.schedule import group_after_words, group_words, schedule_words
from planner.workbook.style import (
    CLOCK,
    HEAD,
    INK,
    LENGTH,
    MIST,
    SMALL,
    SOFT,
    TEXT,
    VALUE,
    Look,
    Page,
    Sheet,
    lines_needed,
    new_sheet,
    set_up_page,
    write_head,
)

_COLUMNS: tuple[tuple[str, float], ...] = (
    ("Diver", 37),
    ("Outfit", 19),
    ("Dressing starts", 14),
    ("Leave surface", 14),
    ("Reach bottom", 14),
    ("Leave bottom", 14),
    ("Reach surface", 14),
    ("Undressed", 17.5),
    ("Bottom time", 13),
    ("Table schedule, way up", 46),
    ("Table", 13),
    ("Ascent min:s", 13),
    ("Group before", 14),
    ("Surface interval", 14),
    ("RNT min", 12),
    ("Equivalent min", 17.5),
    ("Group after", 14),
)


def write_dives(book: Workbook, plan: Plan, job: Job, page: Page, facts: str) -> None:
    """Add the sheet *Dives* to the book."""
    sheet = new_sheet(book, "Dives", page, [width for _, width in _COLUMNS])
    row = write_head(sheet, "Dives", job.site.name, facts)
    for column, (title, _) in enumerate(_COLUMNS, start=1):
        sheet.put(row, column, title, HEAD.but(across="left" if column in (1, 2, 10) else "center"))
    sheet.tall(row, 23)
    sheet.title_rows = row
    sheet.ws.freeze_panes = f"A{row + 1}"
    row += 1
    if not plan.dives:
        sheet.put(row, 1, "No dive is planned.", wide=sheet.columns)
        row += 1
    day = -1
    for dive in dives_in_order(plan):
        first = row
        if day_of(job, dive.leave_surface_min) != day and len(job.day_windows) > 1:
            day = day_of(job, dive.leave_surface_min)
            sheet.put(row, 1, date_words(job, day), Look(size=11, bold=True), wide=sheet.columns)
            sheet.tall(row, 22)
            row += 1
        row = _dive(sheet, row, plan, job, dive)
        sheet.keep_together(first, row - 1)
    note = (
        "RNT: residual nitrogen time. Equivalent: equivalent single dive time. Standby: no-stop minutes that "
        "he still has at the working depth when the diver leaves the surface. Group after none: no "
        "repetitive dive until clean."
    )
    sheet.put(row, 1, note, SMALL.but(wrap=True, down="top"), wide=sheet.columns)
    sheet.tall(row, 14)
    set_up_page(sheet, row)


def _dive(sheet: Sheet, row: int, plan: Plan, job: Job, dive: Dive) -> int:
    """One dive: a band, a row a diver, the crew. Returns the next free row."""
    band = Look(size=10, bold=True, fill=MIST, edges="t", heavy="t", shrink=True)
    sheet.put(row, 1, f"{dive_label(dive)} · {dive.item}", band, wide=9)
    facts = (
        f"{dive.station} · {depth_words(dive.depth_fsw, job.site.units)} · "
        f"{minutes_words(dive.work_min)} of work on the bottom"
    )
    if dive.out_of_chamber_min is not None:
        facts += f" · out of the chamber {job.clock.hhmm(dive.out_of_chamber_min)}"
    sheet.put(row, 10, facts, band.but(size=9, bold=False, across="right"), wide=sheet.columns - 9)
    sheet.tall(row, 17)
    for diver in dive.divers:
        row += 1
        _diver(sheet, row, job, dive, diver)
    return _crew(sheet, row + 1, plan, job, dive)


def _diver(sheet: Sheet, row: int, job: Job, dive: Dive, diver: DiverExposure) -> None:
    name = diver.person if diver.duty == "diver" else f"{diver.person} ({diver.duty})"
    sheet.put(row, 1, name, TEXT.but(bold=True, edges="b", shrink=True))
    sheet.put(row, 2, diver.outfit, TEXT.but(edges="b", shrink=True))
    moments = (
        dive.dress_start_min,
        dive.leave_surface_min,
        dive.reach_bottom_min,
        dive.leave_bottom_min,
        dive.reach_surface_min,
        dive.undressed_min,
    )
    for column, minute in enumerate(moments, start=3):
        water = column in (4, 7)
        sheet.put(row, column, wall(job, minute), CLOCK.but(bold=water))
    sheet.put(row, 9, length(dive.bottom_time_min), LENGTH.but(bold=True))
    words = schedule_words(diver.schedule)
    sheet.put(row, 10, words, Look(size=8, edges="b", wrap=True))
    sheet.put(row, 11, diver.schedule.table, VALUE.but(size=7.5, wrap=True))
    sheet.put(row, 12, minutes_seconds(diver.schedule.ascent_s), VALUE)
    sheet.put(row, 13, group_words(diver.group_before), VALUE)
    interval = diver.surface_interval_min
    sheet.put(row, 14, length(interval) if interval is not None else "–", LENGTH)
    sheet.put(row, 15, diver.residual_nitrogen_min, VALUE)
    sheet.put(row, 16, diver.equivalent_min, VALUE)
    sheet.put(row, 17, group_after_words(diver.group_after, short=True), VALUE.but(bold=True))
    sheet.tall(row, max(16.0, 10.5 * lines_needed(words, sheet.width_mm(10), 8) + 4))


def _crew(sheet: Sheet, row: int, plan: Plan, job: Job, dive: Dive) -> int:
    """The crew of a dive: a line of small titles, a line of names. Returns the next free row."""
    crew = crew_of(plan, dive)
    parts = [
        ("Tenders", people_in(crew, TENDER), 1, 2),
        ("Standby diver: no-stop minutes left, outfit", standbys(plan, job, dive), 3, 4),
        ("Standby's tender", people_in(crew, STANDBY_TENDER), 7, 3),
        ("Supervisor", people_in(crew, SUPERVISOR), 10, 2),
        ("Air console", people_in(crew, CONSOLE), 12, 3),
        ("Log keeper", people_in(crew, LOG_KEEPER), 15, 3),
    ]
    others = [d for d in crew if d not in _SHOWN]
    for title, names, column, wide in parts:
        indent = 0 if column == 1 else 1
        title_look = Look(size=7, ink=SOFT, down="bottom", shrink=True, indent=indent)
        sheet.put(row, column, title, title_look, wide=wide)
        name_look = Look(size=8.5, ink=INK, down="top", shrink=True, indent=indent)
        sheet.put(row + 1, column, names, name_look, wide=wide)
    sheet.tall(row, 10)
    sheet.tall(row + 1, 13)
    row += 2
    if others:
        words = " · ".join(f"{duty}: {people_in(crew, duty)}" for duty in others)
        sheet.put(row, 1, words, Look(size=8.5, shrink=True), wide=sheet.columns)
        sheet.tall(row, 13)
        row += 1
    sheet.tall(row, 5)
    return row + 1


_SHOWN = frozenset({TENDER, STANDBY, STANDBY_TENDER, SUPERVISOR, CONSOLE, LOG_KEEPER}) | WATER_DUTIES

"""The sheet *Dives*: for each dive its times, its table schedule, its nitrogen and its whole crew."""

from __future__ import annotations

from planner.job.duties import (
    CONSOLE,
    LOG_KEEPER,
    STANDBY,
    STANDBY_TENDER,
    SUPERVISOR,
    TENDER,
    WATER_DUTIES,
)
from planner.plan.model import Dive, DiverExposure
from planner.sheets.bill import Bill, crew_of, length, people_in, standby_reach, standbys
from planner.sheets.gates import held_lines
from planner.sheets.layout import Cell, Column, PrintedSheet, Table, wall
from planner.words.measures import (
    date_words,
    dive_depth_words,
    minutes_seconds,
    minutes_words,
    several_days,
    standby_minutes_words,
)
from planner.words.plan import dive_label, diver_words
from planner.words.schedule import group_after_words, group_words, schedule_words
from planner.workbook.style import CLOCK, LENGTH, MIST, SOFT, TEXT, VALUE, Look, Value

_NAME = TEXT.but(edges="b", shrink=True)
_BAND = Look(size=10, bold=True, fill=MIST, edges="t", heavy="t", shrink=True)
_TITLE = Look(size=7, ink=SOFT, down="bottom", shrink=True)
_CREW = Look(size=8, down="top", shrink=True)
#: Duties with a place of their own in the crew's line: title, duty, columns.
_CREW_PLACES = (
    ("Tenders", TENDER, 2),
    ("Standby: {minutes} left, outfit", STANDBY, 4),
    ("Standby's tender", STANDBY_TENDER, 3),
    ("Supervisor", SUPERVISOR, 1),
    ("Air console", CONSOLE, 4),
    ("Log keeper", LOG_KEEPER, 3),
)
_PLACED = {duty for _, duty, _ in _CREW_PLACES} | WATER_DUTIES
_NOTE = (
    "RNT: residual nitrogen time. Equivalent: single dive time. Standby: {minutes} at the working depth when "
    "the diver leaves the surface; he reaches him after the word go, what is left there counts from leaving "
    "the surface. Group after none: no repetitive dive until clean. May leave later: what follows is pushed "
    "along, or the dive alone moved, nobody posted anew. Last longer: with its way up. In brackets: what "
    "breaks then."
)

_Diver = tuple[Dive, DiverExposure]


def write_dives(bill: Bill) -> None:
    """Add the sheet *Dives* to the book."""
    job, table, day = bill.job, _table(bill), -1
    sheet = bill.printed.sheet("Dives", table.widths, landscape=True)
    sheet.heads(table, on_each_page=True)
    sheet.freeze()
    if not bill.plan.dives:
        sheet.across("No dive is planned.", TEXT)
    for dive in bill.dives:
        with sheet.together():
            if job.working_day_of(dive.leave_surface_min) != day and several_days(job):
                day = job.working_day_of(dive.leave_surface_min)
                sheet.across(date_words(job, day), Look(size=11, bold=True), 22)
            _dive(sheet, bill, table, dive)
    sheet.words(_NOTE.format(minutes=standby_minutes_words(job.rules)))
    sheet.end()


def _table(bill: Bill) -> Table[_Diver]:
    clock = bill.job.clock

    def interval(pair: _Diver) -> Value:
        minutes = pair[1].surface_interval_min
        return length(minutes) if minutes is not None else "–"

    def after(pair: _Diver) -> str:
        return group_after_words(pair[1].group_after, short=True)

    bold, wrapped = CLOCK.but(bold=True), Look(size=8, edges="b", wrap=True)
    return Table(
        (
            Column("Diver", 37, lambda p: diver_words(p[1]), _NAME.but(bold=True)),
            Column("Outfit", 19, lambda p: p[1].outfit, _NAME),
            Column("Dressing starts", 14, lambda p: wall(clock, p[0].dress_start_min), CLOCK),
            Column("Leave surface", 14, lambda p: wall(clock, p[0].leave_surface_min), bold),
            Column("Reach bottom", 14, lambda p: wall(clock, p[0].reach_bottom_min), CLOCK),
            Column("Leave bottom", 14, lambda p: wall(clock, p[0].leave_bottom_min), CLOCK),
            Column("Reach surface", 14, lambda p: wall(clock, p[0].reach_surface_min), bold),
            Column("Undressed", 17.5, lambda p: wall(clock, p[0].undressed_min), CLOCK),
            Column("Bottom time, h:min", 13, lambda p: length(p[0].bottom_time_min), LENGTH.but(bold=True)),
            Column("Table schedule, way up", 46, lambda p: schedule_words(p[1].schedule), wrapped),
            Column("Table", 13, lambda p: p[1].schedule.table, VALUE.but(size=7.5, wrap=True)),
            Column("Ascent, min:s", 13, lambda p: minutes_seconds(p[1].schedule.ascent_s)),
            Column("Group before", 14, lambda p: group_words(p[1].group_before)),
            Column("Surface interval, h:min", 14, interval, LENGTH),
            Column("RNT, min", 12, lambda p: p[1].residual_nitrogen_min),
            Column("Equivalent, min", 17.5, lambda p: p[1].equivalent_min),
            Column("Group after", 14, after, VALUE.but(bold=True)),
        ),
        heads_points=21,
        points=13.5,
        head_size=7,
    )


def _dive(sheet: PrintedSheet, bill: Bill, table: Table[_Diver], dive: Dive) -> None:
    """One dive: a band, a row a diver, the crew, what it has to spare."""
    job = bill.job
    facts = (
        f"{dive.station} · {dive_depth_words(job, dive.item, dive.depth_fsw)} · "
        f"{minutes_words(dive.work_min)} of work on the bottom"
    )
    if dive.out_of_chamber_min is not None:
        facts += f" · out of the chamber {job.clock.hhmm(dive.out_of_chamber_min)}"
    sent = standby_reach(bill.plan, job, dive)
    facts += f" · standby {sent}" if sent else ""
    right = _BAND.but(size=9, bold=False, across="right")
    band = [(f"{dive_label(dive)} · {dive.item}", 6, _BAND), (facts, sheet.columns - 6, right)]
    sheet.line(band, 14.5)
    sheet.rows(table, [(dive, diver) for diver in dive.divers])
    _crew(sheet, bill, dive)
    if bill.spare is not None:
        sheet.words(bill.spare.of(dive.id).words)
    sheet.gap(1)


def _crew(sheet: PrintedSheet, bill: Bill, dive: Dive) -> None:
    """The crew of a dive: a line of small titles, a line of names."""
    crew = crew_of(bill.plan, dive)
    titles: list[Cell] = []
    names: list[Cell] = []
    for title, duty, wide in _CREW_PLACES:
        people = standbys(bill.plan, bill.job, dive) if duty == STANDBY else people_in(crew, duty)
        title = title.format(minutes=standby_minutes_words(bill.job.rules))
        titles.append((title, wide, _TITLE))
        names.append((people, wide, _CREW))
    sheet.line(titles, 9)
    sheet.line(names, 12)
    others = " · ".join(f"{duty}: {people_in(crew, duty)}" for duty in crew if duty not in _PLACED)
    if others:
        sheet.across(others, Look(size=8.5, shrink=True), 13)
    for line in held_lines(bill.job, dive):
        sheet.across(line, _CREW.but(bold=True, down="center"), 13)

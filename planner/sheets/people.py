"""The sheet *Each person's day*: call time, every spell to the minute, end, minutes by duty, nitrogen."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate, pairwise, repeat, takewhile

from planner.plan.model import DutySpell
from planner.sheets.bill import Bill, PostedDay, length, posted_day
from planner.sheets.layout import Column, PrintedBook, PrintedSheet, Table, wall
from planner.words.measures import date_words, minutes_words, several_days
from planner.words.plan import dive_label
from planner.workbook.letters import POINTS_PER_MM
from planner.workbook.style import LENGTH, MIST, SMALL, SOFT, VALUE, Look, new_book

_CLOCK = VALUE.but(number_format="hh:mm")
_TEXT = Look(size=9, edges="b", shrink=True)
_CHIP = Look(size=7.5, bold=True, across="center", edges="lrtb")
_BAND = Look(size=10.5, bold=True, fill=MIST, edges="t", heavy="t", shrink=True)


#: Height of a row, and of one that stands closer where that saves a page, in points.
_ROW_POINTS, _CLOSE_POINTS = 12.0, 10.8


def write_people(bill: Bill) -> None:
    """Add the sheet *Each person's day* to the book: a block a person and day, never cut by a page; the pages
    hold about as much each, so that nobody stands alone on the last."""
    numbers = range(len(bill.job.day_windows))
    days = [posted_day(bill.plan, bill.job, p.name, n) for p in bill.job.people for n in numbers]
    worked = [day for day in days if day is not None]
    tried = {points: _pages(bill, worked, points) for points in (_ROW_POINTS, _CLOSE_POINTS)}
    points = min(tried, key=lambda points: (len(tried[points]), -points))
    sheet, table = _begun(bill.printed, bill, points)
    sheet.freeze()
    for number, day in enumerate(worked):
        if number and number in tried[points]:
            sheet.new_page()
        with sheet.together():
            _block(sheet, bill, table, day)
    _tail(sheet, bill, worked)
    sheet.end()


def _begun(printed: PrintedBook, bill: Bill, points: float) -> tuple[PrintedSheet, Table[DutySpell]]:
    """The sheet with its heads, and the table of its blocks."""
    table = _spells(bill, points)
    sheet = printed.sheet("Each person's day", table.widths)
    sheet.heads(table, on_each_page=True)
    return sheet, table


def _tail(sheet: PrintedSheet, bill: Bill, worked: list[PostedDay]) -> None:
    """Who has no duty, and how the figures are counted."""
    posted = {day.person for day in worked}
    free = [person.name for person in bill.job.people if person.name not in posted]
    if free:
        sheet.words("Not posted: " + ", ".join(free), Look(size=9))
    note = (
        "On duty counts two duties held at once only once; the minutes by duty count each. Call is the start "
        "of the first duty, the briefing where one is planned; who comes later is briefed on joining."
    )
    sheet.words(note, SMALL, 24)


def _pages(bill: Bill, worked: list[PostedDay], points: float) -> list[int]:
    """The blocks with which a page begins: as few pages as there can be, and the fullest of them as little
    full as it can be. Measured on paper that is thrown away."""
    sheet, table = _begun(replace(bill.printed, book=new_book(""), sheets=[]), bill, points)
    rows = [sheet.row]
    for day in worked:
        _block(sheet, bill, table, day)
        rows.append(sheet.row)
    _tail(sheet, bill, worked)
    rows[-1] = sheet.row
    tall = [sheet.height_mm(top, after - 1) * POINTS_PER_MM for top, after in pairwise(rows)]

    def begun(room: float) -> list[int]:
        found: list[int] = []
        free = 0.0
        for number, points in enumerate(tall):
            if not found or points > free:
                found.append(number)
                free = room
            free -= points
        return found

    fewest = begun(sheet.page_points)
    rooms = accumulate(repeat(_ROW_POINTS), initial=sum(tall) / max(1, len(fewest)))
    tried = map(begun, takewhile(lambda r: r < sheet.page_points, rooms))
    return next((found for found in tried if len(found) == len(fewest)), fewest)


def _spells(bill: Bill, points: float) -> Table[DutySpell]:
    clock, labels = bill.job.clock, {dive.id: dive_label(dive) for dive in bill.plan.dives}

    def chip(spell: DutySpell) -> dict[str, object]:
        style = bill.styles[spell.duty]
        return {"ink": style.text_hex, "fill": style.fill_hex}

    return Table(
        (
            Column("From", 14, lambda s: wall(clock, s.start_min), _CLOCK),
            Column("To", 14, lambda s: wall(clock, s.end_min), _CLOCK),
            Column("Length, h:min", 14, lambda s: length(s.end_min - s.start_min), LENGTH),
            Column("", 12, lambda s: bill.styles[s.duty].letters, _CHIP, chip),
            Column("Duty", 31, lambda s: s.duty, _TEXT.but(indent=1)),
            Column("Dive", 15, lambda s: labels.get(s.dive or "", "on deck"), _TEXT),
            Column("Work", 63, lambda s: s.item, _TEXT),
            Column("Station", 25, lambda s: s.station or "", _TEXT),
            Column("Outfit", 14, lambda s: s.outfit or "", _TEXT),
        ),
        points=points,
    )


def _block(sheet: PrintedSheet, bill: Bill, table: Table[DutySpell], day: PostedDay) -> None:
    """One person's day."""
    hhmm = bill.job.clock.hhmm
    when = f"{date_words(bill.job, day.day)} · " if several_days(bill.job) else ""
    words = f"{when}call {hhmm(day.call_min)} · end {hhmm(day.end_min)}"
    head = [(day.person, 5, _BAND), (words, 4, _BAND.but(size=10, across="right"))]
    sheet.line(head, 14)
    sheet.rows(table, day.spells)
    sheet.across(_sums(bill, day), Look(size=7.5, ink=SOFT, wrap=True), 0)
    sheet.gap(2)


def _sums(bill: Bill, day: PostedDay) -> str:
    duties = ", ".join(f"{duty} {minutes_words(minutes)}" for duty, minutes in day.by_duty)
    parts = [f"On duty {minutes_words(day.on_duty_min)}: {duties}"]
    if day.bottom_min:
        parts.append(f"bottom time {minutes_words(day.bottom_min)}")
    clean_min = day.at_end.clean_min
    if clean_min is not None:
        clean = bill.job.clock.hhmm(clean_min, with_day=True)
        parts.append(f"group at the end of the day {day.at_end.word}, clean from {clean}")
    return " · ".join(parts)

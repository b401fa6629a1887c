"""The sheet *Each person's day*: call time, every spell to the minute, end, minutes by duty, nitrogen."""

from __future__ import annotations

from openpyxl.workbook import Workbook

from planner.charts.palette import DutyStyle
from planner.job import Job
from planner.plan.model import DutySpell, Plan
from planner.sheets.person_day import PersonDay, length, person_day, wall
from planner.words.measures import date_words, minutes_words
from planner.words.plan import dive_label
from planner.workbook.style import (
    HEAD,
    LENGTH,
    MIST,
    SMALL,
    SOFT,
    VALUE,
    Look,
    Page,
    Sheet,
    Value,
    lines_needed,
    new_sheet,
    set_up_page,
    write_head,
)

_WIDTHS = (16.0, 16.0, 15.0, 12.0, 38.0, 15.0, 46.0, 28.0, 14.0)
_TITLES = ("From", "To", "Length", "", "Duty", "Dive", "Work", "Station", "Outfit")


def write_people(
    book: Workbook, plan: Plan, job: Job, page: Page, styles: dict[str, DutyStyle], facts: str
) -> None:
    """Add the sheet *Each person's day* to the book: a block a person and day, never cut by a page."""
    sheet = new_sheet(book, "Each person's day", page, _WIDTHS)
    row = write_head(sheet, "Each person's day", job.site.name, facts)
    for column, title in enumerate(_TITLES, start=1):
        sheet.put(row, column, title, HEAD.but(across="center" if column < 5 else "left"))
    sheet.tall(row, 14)
    sheet.title_rows = row
    sheet.ws.freeze_panes = f"A{row + 1}"
    row += 1
    free: list[str] = []
    for person in job.people:
        days = [person_day(plan, job, person.name, day) for day in range(len(job.day_windows))]
        worked = [day for day in days if day is not None]
        if not worked:
            free.append(person.name)
        for day in worked:
            first = row
            row = _Block(sheet, plan, job, styles, day).write(row)
            sheet.keep_together(first, row - 1)
    if free:
        sheet.put(
            row, 1, "Not posted: " + ", ".join(free), Look(size=9, wrap=True, down="top"), wide=sheet.columns
        )
        sheet.tall(row, 13.0 * lines_needed(", ".join(free), page.width_mm - 20, 9))
        row += 1
    note = (
        "On duty counts two duties held at once only once; the minutes by duty count each. Call is the start "
        "of the first duty: the time for a briefing before it is the supervisor's to set."
    )
    sheet.put(row, 1, note, SMALL.but(wrap=True, down="top"), wide=sheet.columns)
    sheet.tall(row, 24)
    set_up_page(sheet, row)


class _Block:
    """One person's day."""

    def __init__(
        self, sheet: Sheet, plan: Plan, job: Job, styles: dict[str, DutyStyle], day: PersonDay
    ) -> None:
        self.sheet, self.plan, self.job, self.styles, self.day = sheet, plan, job, styles, day
        self.many = len(job.day_windows) > 1
        self.dives = {dive.id: dive for dive in plan.dives}

    def write(self, row: int) -> int:
        """Write the block from a row on; returns the next free row."""
        sheet, day = self.sheet, self.day
        band = Look(size=10.5, bold=True, fill=MIST, edges="t", heavy="t", shrink=True)
        sheet.put(row, 1, day.person, band, wide=5)
        when = f"{date_words(self.job, day.day)} · " if self.many else ""
        words = f"{when}call {self._at(day.call_min)} · end {self._at(day.end_min)}"
        sheet.put(row, 6, words, band.but(size=10, across="right"), wide=4)
        sheet.tall(row, 17)
        for spell in day.spells:
            row += 1
            self._spell(row, spell)
        row += 1
        sheet.put(row, 1, self._sums(), Look(size=8, ink=SOFT, wrap=True, down="center"), wide=sheet.columns)
        lines = lines_needed(self._sums(), sheet.page.width_mm, 8)
        sheet.tall(row, 11 * lines + 3)
        sheet.tall(row + 1, 5)
        return row + 2

    def _at(self, minute: int) -> str:
        return self.job.clock.hhmm(minute)

    def _spell(self, row: int, spell: DutySpell) -> None:
        sheet, style = self.sheet, self.styles[spell.duty]
        clock = VALUE.but(number_format="hh:mm")
        text = Look(size=9, edges="b", shrink=True)
        chip = Look(
            size=7.5, bold=True, ink=style.text_hex, fill=style.fill_hex, across="center", edges="lrtb"
        )
        dive = self.dives.get(spell.dive or "")
        cells: tuple[tuple[Value, Look], ...] = (
            (wall(self.job, spell.start_min), clock),
            (wall(self.job, spell.end_min), clock),
            (length(spell.end_min - spell.start_min), LENGTH),
            (style.letters, chip),
            (spell.duty, text.but(indent=1)),
            (dive_label(dive) if dive else "on deck", text),
            (spell.item, text),
            (spell.station or "", text),
            (spell.outfit or "", text),
        )
        for column, (value, look) in enumerate(cells, start=1):
            sheet.put(row, column, value, look)
        sheet.tall(row, 14)

    def _sums(self) -> str:
        day = self.day
        duties = ", ".join(f"{duty} {minutes_words(minutes)}" for duty, minutes in day.by_duty)
        parts = [f"On duty {minutes_words(day.on_duty_min)}: {duties}"]
        if day.bottom_min:
            parts.append(f"bottom time {minutes_words(day.bottom_min)}")
        if day.at_end.carries:
            clean = day.clean_min
            until = f", clean from {self.job.clock.hhmm(clean, with_day=True)}" if clean is not None else ""
            parts.append(f"group at the end of the day {day.at_end.word}{until}")
        return " · ".join(parts)

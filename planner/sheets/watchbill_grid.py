"""The watchbill's first sheet: who does what in each quarter of an hour.

Above the people stands what the day is built on: daylight, tide and slack water, then the water of each
station and the work on deck. One row a person follows, one column a quarter hour, the letters of the duty
in every cell so that a column can be read downwards.
"""

from __future__ import annotations

from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook

from planner.charts.palette import DutyStyle
from planner.job import Job, Span
from planner.job.words import WATER_DUTIES
from planner.plan.model import DutySpell, Plan
from planner.sheets.watchbill_bands import Block, bands
from planner.sheets.watchbill_facts import (
    PersonDay,
    date_words,
    day_of,
    length,
    person_day,
    wall,
)
from planner.sheets.watchbill_frame import points_below, write_key_figures, write_legend, write_signatures
from planner.workbook.style import (
    HEAD,
    INK,
    POINTS_PER_MM,
    SOFT,
    Look,
    Page,
    Sheet,
    new_sheet,
    set_up_page,
    write_head,
)

#: More columns than this are too narrow to read on paper: a longer day goes on in a second block.
MOST_QUARTERS = 64
NAME_MM, CLOCK_MM, TOTAL_MM = 36.0, 10.5, 11.5
FIRST_QUARTER_COLUMN = 3

#: Two lines of letters need a person's row this tall, in points.
LEAST_PERSON_POINTS = 15.5
MOST_PERSON_POINTS = 27.0
#: A grid that is over its page by no more than this part is squeezed onto it.
SQUEEZE = 0.22


def blocks_of(plan: Plan, job: Job) -> tuple[Block, ...]:
    """The hours the grid shows: for each day with work, whole hours from the first duty to the last."""
    blocks = []
    for day in range(len(job.day_windows)):
        spells = [s for s in plan.duties if day_of(job, s.start_min) == day]
        if not spells:
            continue
        start = min(s.start_min for s in spells) // 60 * 60
        hours = -(-(max(s.end_min for s in spells) - start) // 60)
        parts = -(-hours * 4 // MOST_QUARTERS)
        hours_a_part = -(-hours // parts)
        for part in range(parts):
            left = hours - part * hours_a_part
            blocks.append(Block(day, start + part * hours_a_part * 60, min(hours_a_part, left) * 4))
    return tuple(blocks)


def write_grid(
    book: Workbook, plan: Plan, job: Job, page: Page, styles: dict[str, DutyStyle], facts: str
) -> None:
    """Add the sheet *Watchbill* to the book."""
    blocks = blocks_of(plan, job)
    quarters = max((b.quarters for b in blocks), default=MOST_QUARTERS // 2)
    room = page.width_mm - NAME_MM - 3 * CLOCK_MM - TOTAL_MM
    widths = [NAME_MM, CLOCK_MM, *[room / quarters] * quarters, CLOCK_MM, TOTAL_MM, CLOCK_MM]
    sheet = new_sheet(book, "Watchbill", page, widths)
    row = write_head(sheet, "Watchbill", job.site.name, facts)
    row = write_key_figures(sheet, row, plan, job)
    if not blocks:
        sheet.put(row, 1, "Nothing is planned: see the sheet Left over for the reasons.", wide=sheet.columns)
        row += 1
    height: float | None = None
    for block in blocks:
        if block is not blocks[0]:
            sheet.break_after(row - 1)
        writer = _GridBlock(sheet, plan, job, styles, block, quarters, alone=len(blocks) == 1)
        row = writer.write(row, height)
        height = writer.height
    row = write_legend(sheet, row, plan, job, styles)
    row = write_signatures(sheet, row)
    sheet.ws.freeze_panes = f"{get_column_letter(FIRST_QUARTER_COLUMN)}{sheet.title_rows + 1}"
    set_up_page(sheet, row)


class _GridBlock:
    """Writes one block of the grid."""

    def __init__(
        self,
        sheet: Sheet,
        plan: Plan,
        job: Job,
        styles: dict[str, DutyStyle],
        block: Block,
        quarters: int,
        *,
        alone: bool,
    ) -> None:
        self.sheet, self.plan, self.job, self.styles, self.block = sheet, plan, job, styles, block
        self.height = LEAST_PERSON_POINTS
        self.alone = alone
        quarter_mm = sheet.width_mm(FIRST_QUARTER_COLUMN)
        self.letter_size = round(min(8.0, max(5.5, quarter_mm * 1.5)), 1)
        self.end_column = FIRST_QUARTER_COLUMN + quarters
        self.days = {
            person.name: day
            for person in job.people
            if (day := person_day(plan, job, person.name, block.day)) is not None
        }

    def write(self, row: int, height: float | None) -> int:
        """Write the block from a row on; returns the next free row. No height: as tall as the page allows."""
        row = self._hours(row)
        row = self._bands(row)
        self.sheet.tall(row, 4)
        row += 1
        self.height = height or self._person_height(row)
        for person in self.job.people:
            self.sheet.tall(row, self.height)
            if not self.sheet.one_page and self.sheet.over_mm(row) > 0:
                self.sheet.break_after(row - 1)
                row = self._hours(row)
            self._person_row(row, person.name, self.height)
            row += 1
        self.sheet.tall(row, 5)
        return row + 1

    def _person_height(self, row: int) -> float:
        """Rows as tall as one page allows, within what two lines of letters need and what looks calm."""
        below = 5 + points_below(self.plan)
        room = (self.sheet.page.height_mm - self.sheet.height_mm(1, row - 1)) * POINTS_PER_MM - below
        people = max(1, len(self.job.people))
        over = (LEAST_PERSON_POINTS * people - room) / (self.sheet.page.height_mm * POINTS_PER_MM)
        self.sheet.one_page = self.alone and 0 < over <= SQUEEZE
        return min(MOST_PERSON_POINTS, max(LEAST_PERSON_POINTS, (room - 4) / people))

    def _hours(self, row: int) -> int:
        sheet, block = self.sheet, self.block
        sheet.put(
            row,
            1,
            date_words(self.job, block.day),
            Look(size=9, bold=True, shrink=True, edges="b", heavy="b"),
        )
        sheet.put(row, 2, "Call", HEAD.but(across="center"))
        for quarter in range(0, block.quarters, 4):
            hour = self.job.clock.hhmm(block.quarter(quarter).start_min)
            sheet.put(
                row,
                FIRST_QUARTER_COLUMN + quarter,
                hour,
                Look(size=8, bold=True, edges="lb", heavy="b", down="bottom"),
                wide=4,
            )
        for offset, word in enumerate(("End", "On duty", "Bottom")):
            sheet.put(
                row,
                self.end_column + offset,
                word,
                HEAD.but(across="center", edges="lb" if not offset else "b"),
            )
        sheet.tall(row, 15)
        return row + 1

    def _bands(self, row: int) -> int:
        """What the day is built on: light, tide, water windows, the stations' dives, work on deck."""
        quarter_mm = self.sheet.width_mm(FIRST_QUARTER_COLUMN)
        for band in bands(self.plan, self.job, self.block, quarter_mm):
            self.sheet.put(row, 1, band.title, Look(size=7.5, ink=SOFT, shrink=True), wide=2)
            for bar in band.bars:
                column = FIRST_QUARTER_COLUMN + bar.first
                self.sheet.put(row, column, bar.label, bar.look, wide=bar.last - bar.first + 1)
            self.sheet.tall(row, band.points)
            row += 1
        return row

    # --- the people -----------------------------------------------------------------------------------

    def _person_row(self, row: int, name: str, height: float) -> None:
        sheet, day = self.sheet, self.days.get(name)
        sheet.tall(row, height)
        ink = INK if day else SOFT
        sheet.put(row, 1, name, Look(size=9, bold=day is not None, ink=ink, shrink=True, edges="b"))
        time_look = Look(size=8, across="center", edges="b", number_format="hh:mm", ink=ink, shrink=True)
        sheet.put(row, 2, wall(self.job, day.call_min) if day else "–", time_look)
        cells = [self._held(day, q) for q in range(self.block.quarters)]
        for quarter, held in enumerate(cells):
            before = cells[quarter - 1] if quarter else ()
            self._quarter_cell(row, quarter, held, _same_work(before, held))
        end = self.end_column
        sheet.put(row, end, wall(self.job, day.end_min) if day else "–", time_look.but(edges="lb"))
        sheet.put(
            row,
            end + 1,
            length(day.on_duty_min) if day else "–",
            time_look.but(number_format="[h]:mm", bold=True),
        )
        bottom = day.bottom_min if day else 0
        sheet.put(row, end + 2, length(bottom) if bottom else "–", time_look.but(number_format="[h]:mm"))

    def _held(self, day: PersonDay | None, quarter: int) -> tuple[DutySpell, ...]:
        """The spells of a person in a quarter, in order of time."""
        span = self.block.quarter(quarter)
        return tuple(s for s in (day.spells if day else ()) if span.overlaps(s.start_min, s.end_min))

    def _quarter_cell(self, row: int, quarter: int, held: tuple[DutySpell, ...], goes_on: bool) -> None:
        column = FIRST_QUARTER_COLUMN + quarter
        hour = "l" if quarter % 4 == 0 else ""
        if not held:
            edges = hour + ("" if goes_on else "l")
            self.sheet.put(row, column, None, Look(edges=f"b{edges}"))
            return
        span = self.block.quarter(quarter)
        style = self.styles[max(held, key=lambda s: _weight(s, span)).duty]
        letters = "\n".join(dict.fromkeys(self.styles[s.duty].letters for s in held))
        look = Look(
            size=self.letter_size if "\n" not in letters else min(6.5, self.letter_size),
            bold=True,
            ink=style.text_hex,
            fill=style.fill_hex,
            across="center",
            wrap="\n" in letters,
            shrink=True,
            edges="b" + hour,
            heavy="" if goes_on else "l",
        )
        self.sheet.put(row, column, letters, look)


def _same_work(one: tuple[DutySpell, ...], other: tuple[DutySpell, ...]) -> bool:
    """Whether two neighbouring quarters hold the same duties for the same dives or items."""
    return [(s.duty, s.dive, s.item) for s in one] == [(s.duty, s.dive, s.item) for s in other]


def _weight(spell: DutySpell, span: Span) -> tuple[int, bool]:
    """Minutes of a spell in a quarter; a duty in the water wins a draw."""
    minutes = min(spell.end_min, span.end_min) - max(spell.start_min, span.start_min)
    return minutes, spell.duty in WATER_DUTIES

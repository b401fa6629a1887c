"""The watchbill's first sheet: who does what in each quarter of an hour.

Above the people stands what the day is built on: daylight, tide and slack water, then the water of each
station and the work on deck. One row a person follows, one column a quarter hour, the letters of the duty
in every cell so that a column can be read downwards.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from openpyxl.utils import get_column_letter
from openpyxl.workbook import Workbook

from planner.books.sheet_style import (
    HEAD,
    INK,
    MIST,
    PALE,
    POINTS_PER_MM,
    SOFT,
    Look,
    Page,
    Sheet,
    new_sheet,
    set_up_page,
    write_head,
)
from planner.books.watchbill_facts import (
    PersonDay,
    date_words,
    day_of,
    dives_in_order,
    length,
    person_day,
    wall,
)
from planner.books.watchbill_frame import points_below, write_key_figures, write_legend, write_signatures
from planner.charts.palette import DutyStyle
from planner.job import Job, Span
from planner.job.words import WATER_DUTIES
from planner.plan.model import Dive, DutySpell, Plan
from planner.rules.daylight import daylight

QUARTER_MIN = 15
#: More columns than this are too narrow to read on paper: a longer day goes on in a second block.
MOST_QUARTERS = 64
NAME_MM, CLOCK_MM, TOTAL_MM = 36.0, 10.5, 11.5
FIRST_QUARTER_COLUMN = 3
_DARK = "#C4C4C4"

#: Two lines of letters need a person's row this tall, in points.
LEAST_PERSON_POINTS = 15.5
#: A grid that is over its page by no more than this part is squeezed onto it.
SQUEEZE = 0.22


@dataclass(frozen=True)
class Block:
    """One run of hours of one day, with its own row of hours: ``quarters`` columns from ``start_min``."""

    day: int
    start_min: int
    quarters: int

    @property
    def end_min(self) -> int:
        return self.start_min + self.quarters * QUARTER_MIN

    def quarter(self, index: int) -> Span:
        """The quarter hour of a column, counted from 0."""
        start = self.start_min + index * QUARTER_MIN
        return Span(start_min=start, end_min=start + QUARTER_MIN)


@dataclass(frozen=True)
class Bar:
    """A stretch of columns with one label."""

    first: int
    last: int
    label: str
    look: Look


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
        writer = _GridBlock(sheet, plan, job, styles, block, quarters)
        row = writer.write(row, height)
        height = writer.height
    row = write_legend(sheet, row, plan, job, styles)
    row = write_signatures(sheet, row)
    over = sheet.height_mm(1, row) / page.height_mm - 1
    sheet.one_page = len(blocks) == 1 and 0 < over <= SQUEEZE
    sheet.ws.freeze_panes = f"{get_column_letter(FIRST_QUARTER_COLUMN)}{sheet.title_rows + 1}"
    set_up_page(sheet, row)


class _GridBlock:
    """Writes one block of the grid."""

    def __init__(
        self, sheet: Sheet, plan: Plan, job: Job, styles: dict[str, DutyStyle], block: Block, quarters: int
    ) -> None:
        self.sheet, self.plan, self.job, self.styles, self.block = sheet, plan, job, styles, block
        self.height = LEAST_PERSON_POINTS
        self.end_column = FIRST_QUARTER_COLUMN + quarters
        self.days = {
            person.name: day
            for person in job.people
            if (day := person_day(plan, job, person.name, block.day)) is not None
        }

    def write(self, row: int, height: float | None) -> int:
        """Write the block from a row on; returns the next free row. No height: as tall as the page allows."""
        row = self._hours(row)
        row = self._light_row(row)
        row = self._tide_row(row)
        row = self._slack_rows(row)
        row = self._station_rows(row)
        row = self._deck_rows(row)
        self.sheet.tall(row, 4)
        row += 1
        self.height = height or self._person_height(row)
        for person in self.job.people:
            self._person_row(row, person.name, self.height)
            row += 1
        self.sheet.tall(row, 5)
        return row + 1

    def _person_height(self, row: int) -> float:
        """Rows as tall as one page allows, within what two lines of letters need and what looks calm."""
        below = 5 + points_below(self.plan)
        room = (self.sheet.page.height_mm - self.sheet.height_mm(1, row - 1)) * POINTS_PER_MM - below
        return min(23.0, max(LEAST_PERSON_POINTS, (room - 4) / max(1, len(self.job.people))))

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

    # --- what the day is built on -------------------------------------------------------------------

    def _bars(self, row: int, title: str, bars: list[Bar], points: float = 12.5) -> int:
        """One row of bars with a title; the columns between bars stay empty."""
        self.sheet.put(row, 1, title, Look(size=7.5, ink=SOFT, shrink=True), wide=2)
        for bar in bars:
            column = FIRST_QUARTER_COLUMN + bar.first
            self.sheet.put(row, column, bar.label, bar.look, wide=bar.last - bar.first + 1)
        self.sheet.tall(row, points)
        return row + 1

    def _span_bars(self, spans: list[tuple[int, int, str]], look: Look) -> list[Bar]:
        """Bars for stretches of time, each over every quarter in which it holds for 8 minutes or more."""
        block = self.block
        bars: list[Bar] = []
        for start, end, label in spans:
            first = max(0, round((start - block.start_min) / QUARTER_MIN))
            last = min(block.quarters, round((end - block.start_min) / QUARTER_MIN)) - 1
            if first <= last and (not bars or first > bars[-1].last):
                bars.append(Bar(first, last, label, look))
        return bars

    def _light_row(self, row: int) -> int:
        sun = daylight(self.job)
        if sun is None:
            return row
        clock, block = self.job.clock, self.block
        spans: list[tuple[int, int, str]] = []
        dark: list[tuple[int, int, str]] = []
        reached = block.start_min
        for up in sun:
            if not up.overlaps(block.start_min, block.end_min):
                continue
            words = f"sun up {clock.hhmm(up.start_min)} to {clock.hhmm(up.end_min)}"
            spans.append((up.start_min, up.end_min, words))
            dark.append((reached, up.start_min, "dark"))
            reached = max(reached, up.end_min)
        dark.append((reached, block.end_min, "dark"))
        light_look = Look(size=7, across="center", edges="lrtb", shrink=True)
        dark_look = Look(size=7, across="center", fill=_DARK, edges="lrtb", shrink=True)
        bars = self._span_bars(spans, light_look) + self._span_bars(dark, dark_look)
        return self._bars(row, "Daylight", bars)

    def _tide_row(self, row: int) -> int:
        marks = [m for m in self.job.tide_marks if self.block.start_min <= m.minute < self.block.end_min]
        bars: list[Bar] = []
        for mark in sorted(marks, key=lambda m: m.minute):
            middle = (mark.minute - self.block.start_min) // QUARTER_MIN
            first = max(middle - 4, bars[-1].last + 1 if bars else 0)
            last = min(middle + 4, self.block.quarters - 1)
            kind = "high" if mark.high else "low"
            words = f"▾ {kind} water {self.job.clock.hhmm(mark.minute)}, {mark.level_ft:g} ft"
            if first <= last:
                bars.append(Bar(first, last, words, Look(size=7, across="center", shrink=True)))
        return self._bars(row, "Tide", bars) if bars else row

    def _slack_rows(self, row: int) -> int:
        by_stations: dict[tuple[str, ...], list[tuple[int, int, str]]] = {}
        for window in sorted(self.job.water_windows, key=lambda w: w.start_min):
            if window.overlaps(self.block.start_min, self.block.end_min):
                clock = self.job.clock
                words = f"{window.label} {clock.hhmm(window.start_min)}–{clock.hhmm(window.end_min)}"
                by_stations.setdefault(window.stations, []).append((window.start_min, window.end_min, words))
        look = Look(size=7, across="center", fill=PALE, edges="lrtb", shrink=True)
        for stations, spans in by_stations.items():
            title = "Water window" + (f", {', '.join(stations)}" if stations else "")
            row = self._bars(row, title, self._span_bars(spans, look))
        return row

    def _station_rows(self, row: int) -> int:
        for station in self.job.stations:
            dives = [d for d in dives_in_order(self.plan) if d.station == station.name]
            phases = [_phase(dives, self.block.quarter(q)) for q in range(self.block.quarters)]
            bars = list(_runs(phases))
            if bars:
                title = f"In the water, {station.name}" if len(self.job.stations) > 1 else "In the water"
                row = self._bars(row, title, [self._dive_bar(*bar) for bar in bars], points=14)
        return row

    def _dive_bar(self, first: int, last: int, key: tuple[str, str]) -> Bar:
        phase, dive_id = key
        dive = next(d for d in self.plan.dives if d.id == dive_id)
        if phase == "water":
            look = Look(
                size=7.5, bold=True, ink="#FFFFFF", fill=INK, across="center", shrink=True, edges="lr"
            )
            label = f"{dive.id} · {dive.item}" if last - first >= 3 else dive.id
            return Bar(first, last, label, look)
        look = Look(size=6.5, ink=SOFT, fill=PALE, across="center", shrink=True, edges="lrtb")
        return Bar(first, last, f"{phase} {dive.id}" if last > first else "", look)

    def _deck_rows(self, row: int) -> int:
        lanes: list[list[tuple[int, int, str]]] = []
        for task in sorted(self.plan.surface_tasks, key=lambda t: t.start_min):
            if task.start_min >= self.block.end_min or task.end_min <= self.block.start_min:
                continue
            lane = next((lane for lane in lanes if lane[-1][1] <= task.start_min), None)
            if lane is None:
                lane = []
                lanes.append(lane)
            lane.append((task.start_min, task.end_min, task.item))
        look = Look(size=7.5, bold=True, across="center", fill=MIST, edges="lrtb", shrink=True)
        for number, lane in enumerate(lanes):
            row = self._bars(
                row, "Work on deck" if number == 0 else "", self._span_bars(lane, look), points=14
            )
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
            size=6.5 if "\n" not in letters else 6,
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


def _phase(dives: list[Dive], span: Span) -> tuple[str, str] | None:
    """What a station does in a quarter: a dive in the water before one that dresses or undresses."""

    def shared(start: int, end: int) -> int:
        return min(end, span.end_min) - max(start, span.start_min)

    wet = [(shared(d.leave_surface_min, d.reach_surface_min), d.id) for d in dives]
    best = max(wet, default=(0, ""), key=lambda pair: pair[0])
    if best[0] > 0:
        return "water", best[1]
    dry = [(shared(d.dress_start_min, d.leave_surface_min), "dress", d.id) for d in dives]
    dry += [(shared(d.reach_surface_min, d.undressed_min), "undress", d.id) for d in dives]
    most = max(dry, default=(0, "", ""), key=lambda triple: triple[0])
    return (most[1], most[2]) if most[0] > 0 else None


def _runs(phases: list[tuple[str, str] | None]) -> Iterator[tuple[int, int, tuple[str, str]]]:
    """Runs of equal phases as (first quarter, last quarter, phase); quarters without one are left out."""
    first = 0
    for phase, group in groupby(phases):
        last = first + len(list(group)) - 1
        if phase is not None:
            yield first, last, phase
        first = last + 1

"""The watchbill's first sheet: who does what in each quarter of an hour.

Above the people stand the day's few figures and what the day is built on: daylight, tide and slack water,
then the water of each station and the work on deck. One row a person follows, one column a quarter hour,
the letters of the duty in every cell so that a column can be read downwards; letters and signatures below.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import groupby

from openpyxl.utils import get_column_letter

from planner.job import Job, Span
from planner.job.daylight import daylight
from planner.job.duties import WATER_DUTIES
from planner.plan.model import Dive, DutySpell, Plan
from planner.sheets.bill import Bill, PostedDay, dives_in_order, key_times, length, posted_day
from planner.sheets.layout import PrintedSheet, wall
from planner.words.measures import date_words, level_words, time_words
from planner.words.plan import work_words
from planner.workbook.letters import CELL_EDGES_MM, POINTS_PER_MM, fitted, text_width_mm
from planner.workbook.style import HEAD, INK, MIST, PALE, SOFT, TEXT, Look, Page

QUARTER_MIN = 15
_DARK = "#C4C4C4"
_LIGHT_LOOK = Look(size=7.5, across="center", edges="lrtb", shrink=True)
_DARK_LOOK = _LIGHT_LOOK.but(fill=_DARK)
_WINDOW_LOOK = _LIGHT_LOOK.but(fill=PALE)
_TIDE_LOOK = Look(size=7.5, across="center", shrink=True)
_WATER_LOOK = Look(size=7.5, bold=True, ink="#FFFFFF", fill=INK, across="center", shrink=True, edges="lr")
_BENCH_LOOK = Look(size=7.5, ink=SOFT, fill=PALE, across="center", shrink=True, edges="lrtb")
_DECK_LOOK = Look(size=7.5, bold=True, across="center", fill=MIST, edges="lrtb", shrink=True)
#: A label that stands beside its bar, or under it.
_BESIDE_LOOK = Look(size=7.5, bold=True, shrink=True)


@dataclass(frozen=True)
class HoursRun:
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
    """A stretch of quarters, first to last, with one label."""

    first: int
    last: int
    label: str
    look: Look


@dataclass(frozen=True)
class Band:
    """One row of bars with its title; ``points`` is its height."""

    title: str
    bars: tuple[Bar, ...]
    points: float = 11.0


@dataclass(frozen=True)
class _Stretch:
    """A stretch of time with wordings for its label, the fullest first."""

    start_min: int
    end_min: int
    words: tuple[str, ...]
    look: Look


def bands(plan: Plan, job: Job, block: HoursRun, quarter_mm: float) -> tuple[Band, ...]:
    """The bands of a block whose quarter hours are ``quarter_mm`` wide; empty ones are left out."""
    own = _Bands(plan, job, block, quarter_mm)
    return (*own.light(), *own.tide(), *own.windows(), *own.stations(), *own.deck())


class _Rows:
    """The rows of one band: what overlaps goes to a row of its own."""

    def __init__(self) -> None:
        self.rows: list[list[Bar]] = []

    def add(self, *bars: Bar, below: int = 0) -> None:
        """Put bars that belong together into the first row that is free for them, after ``below`` others."""
        first, last = min(bar.first for bar in bars), max(bar.last for bar in bars)
        for row in self.rows[below:]:
            if all(last < there.first or there.last < first for there in row):
                row.extend(bars)
                return
        self.rows.append(list(bars))

    def bands(self, title: str, points: float) -> Iterator[Band]:
        """The rows, the first of them with its title."""
        for number, row in enumerate(self.rows):
            yield Band("" if number else title, tuple(row), points)


def _fits(label: str, look: Look, room_mm: float) -> bool:
    """Whether a label stands whole in a bar of a width."""
    return text_width_mm(label, look.size, bold=look.bold) + CELL_EDGES_MM / 2 <= room_mm


class _Bands:
    def __init__(self, plan: Plan, job: Job, block: HoursRun, quarter_mm: float) -> None:
        self.plan, self.job, self.block, self.quarter_mm = plan, job, block, quarter_mm

    def _hhmm(self, minute: int) -> str:
        return self.job.clock.hhmm(minute)

    def _bar(self, first: int, last: int, words: tuple[str, ...], look: Look) -> Bar:
        """A bar whose label is the first wording that can be read in it."""
        room = (last - first + 1) * self.quarter_mm - CELL_EDGES_MM / 2
        return Bar(first, last, fitted(words, room, look.size, bold=look.bold), look)

    def _columns(self, start_min: int, end_min: int) -> tuple[int, int]:
        """First and last quarter of a stretch: every one of which it holds the greater part, and one at
        least."""
        first = max(0, round((start_min - self.block.start_min) / QUARTER_MIN))
        last = round((end_min - self.block.start_min) / QUARTER_MIN) - 1
        last = min(self.block.quarters - 1, max(first, last))
        return min(first, last), last

    def _lanes(self, title: str, stretches: list[_Stretch]) -> Iterator[Band]:
        """Stretches as rows of bars."""
        rows = _Rows()
        for stretch in sorted(stretches, key=lambda s: s.start_min):
            first, last = self._columns(stretch.start_min, stretch.end_min)
            rows.add(self._bar(first, last, stretch.words, stretch.look))
        yield from rows.bands(title, Band.points)

    def _quarters_for(self, label: str) -> int:
        """How many quarters a label takes that stands free of its bar; all of the block's at most."""
        wide = text_width_mm(label, _BESIDE_LOOK.size, bold=True) + CELL_EDGES_MM
        return min(self.block.quarters, math.ceil(wide / self.quarter_mm))

    def _named(self, first: int, last: int, label: str, look: Look) -> tuple[Bar, ...]:
        """A bar with its label whole: in it, or else beside it, on the right where there is room."""
        if _fits(label, look, (last - first + 1) * self.quarter_mm):
            return (Bar(first, last, label, look),)
        needed = self._quarters_for(label)
        right = self.block.quarters - 1 - last
        if needed <= right or first < right:
            start, end, beside = last + 1, min(last + needed, self.block.quarters - 1), _BESIDE_LOOK
        else:
            start, end, beside = max(0, first - needed), first - 1, _BESIDE_LOOK.but(across="right")
        bar = Bar(first, last, "", look)
        return (bar, self._bar(start, end, (label,), beside)) if start <= end else (bar,)

    def light(self) -> Iterator[Band]:
        """Sun up and dark; nothing when the job gives no position."""
        sun = daylight(self.job)
        if sun is None:
            return
        block = self.block
        stretches: list[_Stretch] = []
        reached = block.start_min
        for up in (s for s in sun if s.overlaps(block.start_min, block.end_min)):
            words = f"sun up {self._hhmm(up.start_min)} to {self._hhmm(up.end_min)}"
            stretches += self._dark(reached, up.start_min)
            start, end = max(up.start_min, block.start_min), min(up.end_min, block.end_min)
            stretches.append(_Stretch(start, end, (words, "sun up"), _LIGHT_LOOK))
            reached = up.end_min
        stretches += self._dark(reached, block.end_min)
        yield from self._lanes("Daylight", stretches)

    def _dark(self, start: int, end: int) -> list[_Stretch]:
        """A stretch of darkness, if it is long enough to be seen at all."""
        if end - start < QUARTER_MIN / 2:
            return []
        return [_Stretch(start, end, ("dark", ""), _DARK_LOOK)]

    def tide(self) -> Iterator[Band]:
        """High and low water, each marked at its quarter hour."""
        bars: list[Bar] = []
        half = max(1, round(16 / self.quarter_mm))
        for mark in sorted(self.job.tide_marks, key=lambda m: m.minute):
            if not self.block.start_min <= mark.minute < self.block.end_min:
                continue
            middle = (mark.minute - self.block.start_min) // QUARTER_MIN
            first = max(middle - half, bars[-1].last + 1 if bars else 0)
            last = min(middle + half, self.block.quarters - 1)
            kind = "high" if mark.high else "low"
            at = self._hhmm(mark.minute)
            words = (
                f"▾ {kind} water {at}, {level_words(mark, self.job.site.units)}",
                f"▾ {kind} water {at}",
                f"▾ {at}",
            )
            if first <= last:
                bars.append(self._bar(first, last, words, _TIDE_LOOK))
        if bars:
            yield Band("Tide", tuple(bars))

    def windows(self) -> Iterator[Band]:
        """Slack or current windows, those of one set of stations together."""
        by_stations: dict[tuple[str, ...], list[_Stretch]] = {}
        for window in self.job.water_windows:
            if not window.overlaps(self.block.start_min, self.block.end_min):
                continue
            times = f"{self._hhmm(window.start_min)}–{self._hhmm(window.end_min)}"
            words = (f"{window.label} {times}", times, window.label)
            stretch = _Stretch(window.start_min, window.end_min, words, _WINDOW_LOOK)
            by_stations.setdefault(window.stations, []).append(stretch)
        for stations, stretches in by_stations.items():
            yield from self._lanes(
                "Water window" + (f", {', '.join(stations)}" if stations else ""), stretches
            )

    def stations(self) -> Iterator[Band]:
        """For each station the dive in the water, dark; dressing and undressing pale; the work of a dive too
        short for its words stands under it."""
        for station in self.job.stations:
            dives = [d for d in dives_in_order(self.plan) if d.station == station.name]
            phases = [_phase(dives, self.block.quarter(q)) for q in range(self.block.quarters)]
            bars, under = [], _Rows()
            for first, last, (phase, dive_id) in _runs(phases):
                if phase != "water":
                    bars.append(self._bar(first, last, (f"{phase} {dive_id}", phase, ""), _BENCH_LOOK))
                    continue
                label = f"{dive_id} · {next(d.item for d in dives if d.id == dive_id)}"
                fits = _fits(label, _WATER_LOOK, (last - first + 1) * self.quarter_mm)
                bars.append(self._bar(first, last, (label if fits else dive_id, ""), _WATER_LOOK))
                if not fits:
                    needed = self._quarters_for(label)
                    start = min(first, self.block.quarters - needed)
                    under.add(self._bar(start, start + needed - 1, (label,), _BESIDE_LOOK))
            if bars:
                title = f"In the water, {station.name}" if len(self.job.stations) > 1 else "In the water"
                yield Band(title, tuple(bars), points=12.5)
                yield from under.bands("", 10)

    def deck(self) -> Iterator[Band]:
        """Surface tasks, on as many rows as run at once, each with its name; what runs from one quarter to
        one quarter stands in one row."""
        together: dict[tuple[int, int], list[str]] = {}
        for task in sorted(self.plan.surface_tasks, key=lambda task: task.start_min):
            if task.start_min < self.block.end_min and self.block.start_min < task.end_min:
                together.setdefault(self._columns(task.start_min, task.end_min), []).append(task.item)
        rows = _Rows()
        for (first, last), items in together.items():
            room = max(first, self.block.quarters - 1 - last) * self.quarter_mm
            joined = " · ".join(items)
            whole = text_width_mm(joined, _BESIDE_LOOK.size, bold=True) + CELL_EDGES_MM <= room
            for label in (joined,) if whole else items:
                rows.add(*self._named(first, last, label, _DECK_LOOK))
        yield from rows.bands("Work on deck", 11)


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


#: Heights in points.
LEGEND_POINTS, NOTE_POINTS, SIGN_POINTS = 12.0, 11.5, 28.0
LEGEND_A_ROW = 5
_SIGN = ("Person in charge", "Supervisor", "Issued at, revision")
_KEY_TIMES = ("First call", "First diver leaves surface", "Last diver at the surface", "Last hand free")


def points_below(duties: Collection[str]) -> float:
    """Height of everything below the grid, in points."""
    return LEGEND_POINTS * -(-len(duties) // LEGEND_A_ROW) + NOTE_POINTS + SIGN_POINTS


def write_key_figures(sheet: PrintedSheet, plan: Plan, job: Job) -> None:
    """A strip of the day's few figures that a tired reader looks for first."""
    times = key_times(plan.duties, plan.dives, _KEY_TIMES)
    figures = [
        *((name, time_words(job, minute)) for name, minute in times),
        ("Dives", str(len(plan.dives))),
        ("People on duty", f"{len({s.person for s in plan.duties})} of {len(job.people)}"),
        ("Work planned", work_words(plan, job)),
        ("Items left over", str(len(plan.leftovers))),
    ]
    widths = [
        max(text_width_mm(label, 7.5), text_width_mm(value, 13, bold=True)) + 5 for label, value in figures
    ]
    edges = [1, 3]
    for index in range(1, len(figures)):
        part = sum(widths[1 : index + 1]) / sum(widths[1:])
        edges.append(3 + round((sheet.columns - 2) * part))
    sheet.figures(figures, edges)
    sheet.gap(5)


def write_legend(sheet: PrintedSheet, bill: Bill, duties: Collection[str]) -> None:
    """The letters and colours of the duties above it."""
    row, shown = sheet.row, [d for d in bill.styles if d in duties]
    sheet.put(row, 1, "Letters", Look(size=8, bold=True))
    room = sheet.columns - 1
    chip_wide = 2 if sheet.columns > 40 else 1
    for index, duty in enumerate(shown):
        line, place = divmod(index, LEGEND_A_ROW)
        first = 2 + round(room * place / LEGEND_A_ROW)
        after = 2 + round(room * (place + 1) / LEGEND_A_ROW)
        style = bill.styles[duty]
        chip = Look(size=7, bold=True, ink=style.text_hex, fill=style.fill_hex, across="center", edges="lrtb")
        wide = chip_wide if place else 1
        sheet.put(row + line, first, style.letters, chip, wide=wide)
        text = Look(size=8, shrink=True, indent=1)
        sheet.put(row + line, first + wide, duty, text, wide=max(1, after - first - wide))
        sheet.tall(row + line, LEGEND_POINTS)
    sheet.row += -(-len(shown) // LEGEND_A_ROW)
    note = (
        "Two duties in a quarter: the letters of both, the colour of the longer. Heavy line: duty or dive "
        "changes. Pale beside a dive: dressing, undressing. Minutes: Each person's day. "
        f"Times are local ({bill.job.site.time_zone})."
    )
    sheet.put(sheet.row, 1, note, Look(size=7.5, ink=SOFT, wrap=True, down="top"), wide=sheet.columns)
    sheet.gap(NOTE_POINTS)


#: More columns than this are too narrow to read on paper: a longer day goes on in a second block.
MOST_QUARTERS = 64
NAME_MM, CLOCK_MM, TOTAL_MM = 36.0, 10.5, 11.5
FIRST_QUARTER_COLUMN = 3
#: The row of hours: its last heads take two lines, the unit below.
_HOURS_POINTS = 23.0

#: Two lines of letters need a person's row this tall, and each further one so much more, in points.
LEAST_PERSON_POINTS, LETTERS_LINE_POINTS = 15.5, 7.75
MOST_PERSON_POINTS = 27.0
#: A grid that is over its page by no more than this part is squeezed onto it.
SQUEEZE = 0.22


def blocks_of(plan: Plan, job: Job) -> tuple[HoursRun, ...]:
    """The hours the grid shows: for each day with work, whole hours from the first duty to the last."""
    blocks = []
    for day in range(len(job.day_windows)):
        spells = [s for s in plan.duties if job.working_day_of(s.start_min) == day]
        if not spells:
            continue
        start = min(s.start_min for s in spells) // 60 * 60
        hours = -(-(max(s.end_min for s in spells) - start) // 60)
        parts = -(-hours * 4 // MOST_QUARTERS)
        hours_a_part = -(-hours // parts)
        for part in range(parts):
            left = hours - part * hours_a_part
            blocks.append(HoursRun(day, start + part * hours_a_part * 60, min(hours_a_part, left) * 4))
    return tuple(blocks)


def write_grid(bill: Bill) -> None:
    """Add the sheet *Watchbill* to the book."""
    blocks = blocks_of(bill.plan, bill.job)
    quarters = max((b.quarters for b in blocks), default=MOST_QUARTERS // 2)
    room = Page(bill.printed.paper, landscape=True).width_mm - NAME_MM - 2 * (CLOCK_MM + TOTAL_MM)
    widths = [NAME_MM, CLOCK_MM, *[room / quarters] * quarters, CLOCK_MM, TOTAL_MM, TOTAL_MM]
    sheet = bill.printed.sheet("Watchbill", widths, landscape=True)
    write_key_figures(sheet, bill.plan, bill.job)
    if not blocks:
        sheet.across("Nothing is planned: see the sheet Left over for the reasons.", TEXT)
    for block in blocks:
        if block is not blocks[0]:
            sheet.new_page()
        _GridBlock(sheet, bill, block, quarters, alone=len(blocks) == 1).write()
        # the hands that make a plan a watchbill
        sheet.signatures(_SIGN, SIGN_POINTS - 12, (0.3, 0.62))
    sheet.freeze(get_column_letter(FIRST_QUARTER_COLUMN))
    sheet.end()


class _GridBlock:
    def __init__(
        self, sheet: PrintedSheet, bill: Bill, block: HoursRun, quarters: int, *, alone: bool
    ) -> None:
        self.sheet, self.bill, self.plan, self.job, self.block = sheet, bill, bill.plan, bill.job, block
        self.styles = bill.styles
        self.alone = alone
        quarter_mm = sheet.width_mm(FIRST_QUARTER_COLUMN)
        self.letter_size = round(min(8.0, max(5.5, quarter_mm * 1.5)), 1)
        self.end_column = FIRST_QUARTER_COLUMN + quarters
        self.days = {
            person.name: day
            for person in bill.job.people
            if (day := posted_day(bill.plan, bill.job, person.name, block.day)) is not None
        }
        self.duties = {spell.duty for day in self.days.values() for spell in day.spells}

    def write(self) -> None:
        """Write the block with its letters, rows as tall as the page allows."""
        sheet = self.sheet
        self._hours()
        self._bands()
        sheet.gap(4)
        common = self._person_height()
        for person in self.job.people:
            height = max(common, self._least_height(person.name))
            sheet.tall(sheet.row, height)
            if not sheet.one_page and sheet.room_points(sheet.row + 1) < 0:
                sheet.new_page()
                self._hours()
            self._person_row(person.name, height)
        sheet.gap(5)
        write_legend(sheet, self.bill, self.duties)

    def _least_height(self, name: str) -> float:
        """Height of a person's row in which every quarter's letters can be read, a line a duty."""
        day = self.days.get(name)
        most = max(len(set(self._letters(self._held(day, q)))) for q in range(self.block.quarters))
        return max(LEAST_PERSON_POINTS, most * LETTERS_LINE_POINTS)

    def _person_height(self) -> float:
        """Rows as tall as one page allows, within what their letters need and what looks calm."""
        room = self.sheet.room - 5 - points_below(self.duties)
        people = max(1, len(self.job.people))
        least = sum(self._least_height(person.name) for person in self.job.people)
        over = (least - room) / (self.sheet.page.height_mm * POINTS_PER_MM)
        self.sheet.one_page = self.alone and 0 < over <= SQUEEZE
        return min(MOST_PERSON_POINTS, LEAST_PERSON_POINTS + max(0.0, room - 4 - least) / people)

    def _hours(self) -> None:
        sheet, row, block, head = self.sheet, self.sheet.row, self.block, HEAD.but(across="center")
        day = Look(size=9, bold=True, shrink=True, edges="b", heavy="b")
        hour = Look(size=8, bold=True, edges="lb", heavy="b", down="bottom")
        sheet.put(row, 1, date_words(self.job, block.day), day)
        sheet.put(row, 2, "Call", head)
        for quarter in range(0, block.quarters, 4):
            at = f"{self.job.clock.at(block.quarter(quarter).start_min):%H:%M}"
            sheet.put(row, FIRST_QUARTER_COLUMN + quarter, at, hour, wide=4)
        for offset, word in enumerate(("End", "On duty, h:min", "Bottom, h:min")):
            sheet.put(row, self.end_column + offset, word, head if offset else head.but(edges="lb"))
        sheet.gap(_HOURS_POINTS)

    def _bands(self) -> None:
        """What the day is built on: light, tide, water windows, the stations' dives, work on deck."""
        sheet = self.sheet
        for band in bands(self.plan, self.job, self.block, sheet.width_mm(FIRST_QUARTER_COLUMN)):
            sheet.put(sheet.row, 1, band.title, Look(size=7.5, ink=SOFT, shrink=True), wide=2)
            for bar in band.bars:
                column = FIRST_QUARTER_COLUMN + bar.first
                sheet.put(sheet.row, column, bar.label, bar.look, wide=bar.last - bar.first + 1)
            sheet.gap(band.points)

    # --- the people -----------------------------------------------------------------------------------

    def _person_row(self, name: str, height: float) -> None:
        sheet, row, day = self.sheet, self.sheet.row, self.days.get(name)
        ink = INK if day else SOFT
        sheet.put(row, 1, name, Look(size=9, bold=day is not None, ink=ink, shrink=True, edges="b"))
        time_look = Look(size=8, across="center", edges="b", number_format="hh:mm", ink=ink, shrink=True)
        sheet.put(row, 2, wall(self.job.clock, day.call_min) if day else "–", time_look)
        cells = [self._held(day, q) for q in range(self.block.quarters)]
        for quarter, held in enumerate(cells):
            before = cells[quarter - 1] if quarter else ()
            self._quarter_cell(row, quarter, held, _same_work(before, held))
        end = self.end_column
        sheet.put(row, end, wall(self.job.clock, day.end_min) if day else "–", time_look.but(edges="lb"))
        hours = time_look.but(number_format="[h]:mm")
        sheet.put(row, end + 1, length(day.on_duty_min) if day else "–", hours.but(bold=True))
        bottom = day.bottom_min if day else 0
        sheet.put(row, end + 2, length(bottom) if bottom else "–", hours)
        sheet.gap(height)

    def _held(self, day: PostedDay | None, quarter: int) -> tuple[DutySpell, ...]:
        """The spells of a person in a quarter, in order of time."""
        span = self.block.quarter(quarter)
        return tuple(s for s in (day.spells if day else ()) if span.overlaps(s.start_min, s.end_min))

    def _letters(self, held: tuple[DutySpell, ...]) -> tuple[str, ...]:
        """Letters of the duties held, each once, in order of time."""
        return tuple(dict.fromkeys(self.styles[spell.duty].letters for spell in held))

    def _quarter_cell(self, row: int, quarter: int, held: tuple[DutySpell, ...], goes_on: bool) -> None:
        column = FIRST_QUARTER_COLUMN + quarter
        hour = "l" if quarter % 4 == 0 else ""
        if not held:
            edges = hour + ("" if goes_on else "l")
            self.sheet.put(row, column, None, Look(edges=f"b{edges}"))
            return
        span = self.block.quarter(quarter)
        style = self.styles[max(held, key=lambda s: _weight(s, span)).duty]
        letters = "\n".join(self._letters(held))
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

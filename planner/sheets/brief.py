"""The sheet *Brief*: one page a day, read out before the first dressing and carried on the clipboard.

Dives in order with who goes, how long and on which schedule, what the day has to spare, what must be held and
by whom, the chamber and whom to call, who does not fly, what a person ticks, and who signs. Nothing in type
under `LEAST_SIZE` but head and foot of the sheet.
"""

from __future__ import annotations

from dataclasses import replace
from enum import IntEnum

from planner import CAUTION
from planner.check import SUBJECT_TO
from planner.job.duties import STANDBY
from planner.job.work import Gate
from planner.plan import no_flight
from planner.plan.model import Dive, DutySpell, Plan
from planner.plan.unchecked import ALWAYS
from planner.sheets.bill import (
    Bill,
    DeckWork,
    bottom_may_last_min,
    crew_of,
    key_times,
    on_deck,
    people_in,
)
from planner.sheets.dive_sheets import PEOPLE_TO_CALL
from planner.sheets.gates import held_words
from planner.sheets.layout import LINE, Cell, Column, PrintedSheet, Table, wall
from planner.sheets.sources import to_tick
from planner.table_sets import table_words
from planner.whatif.slack import Slack
from planner.whatif.sure import chance_told
from planner.words.measures import NO_LIMIT, date_words, dive_depth_words, minutes_words
from planner.words.plan import crew_status_words, diver_words, work_words
from planner.words.schedule import group_after_words, short_row_words, way_up_words
from planner.workbook.letters import POINTS_PER_MM
from planner.workbook.style import Look, Value, new_book

#: Where nothing is held for the day's work: to be ticked, since a plan knows only what the job names.
NONE_HELD = "The job names no isolation, permit or hazard for this day's work: none is needed."
#: Where a watchbill is written at once.
NOT_ESTIMATED = (
    "Spare minutes of the dives and the chance of the day are not worked out where Ctrl-C was pressed twice; "
    "pressed once it ends the search with them."
)
#: Smallest type of what the page says, in points: read at arm's length.
LEAST_SIZE = 9.0
#: Columns of the sheet, 2.5 mm each on A4.
COLUMNS = 76

_TEXT = Look(size=LEAST_SIZE, wrap=True, down="top")
_BOLD = _TEXT.but(bold=True)
_CELL = _TEXT.but(edges="b")
_VALUE = _CELL.but(across="center")
_TIME = Look(size=LEAST_SIZE + 1, bold=True, across="center", down="top", edges="b", number_format="hh:mm")
_BOX = Look(size=LEAST_SIZE, down="top", edges="lrtb", wrap=True)
_SIGNATURES = ("Person in charge", "Supervisor", "Log keeper")
_KEY_TIMES = ("First call", "first diver down", "last diver up", "all free")
#: How many divers stand side by side with the time of their next flight.
_FLIGHTS_ACROSS = 3
#: More people than this in a briefing or a block are counted, not named.
_MOST_NAMED = 4
#: Least and greatest room to write a number to call, or to sign, in points.
_LEAST_ROOM, _MOST_ROOM = 24.0, 48.0
#: Height of a title, and what is kept clear under its line, in points.
_TITLE_POINTS = 16.5
_CLEAR_POINTS = 2.0
#: How much closer the lines of a full page stand, of what a row has above and below its type, in points.
_CLOSER_POINTS = 3.0
#: Room for the caution below them.
_CAUTION_POINTS = 28.0


class _Told(IntEnum):
    """How much a page tells: a full day in fewer lines, so that it stays one page."""

    FULL = 0
    CLOSE = 1
    """The lines stand closer."""
    TICKS_OF_ALL = 2
    """And what is to be ticked for this job alone is counted and named by its sheet."""
    TICKS_RUN_ON = 3
    """And what is to be ticked stands in one run."""
    DECK_RUN_ON = 4
    """And the work on deck too."""
    DECK_COUNTED = 5
    """And its people are counted: *Each person's day* names them."""
    TICKS_NAMED = 6
    """And what is to be ticked is named by its sheet alone."""
    GATES_RUN_ON = 7
    """And what is held stands in one run."""


def write_brief(bill: Bill) -> None:
    """Add the sheet *Brief* to the book: a page for each day on which anyone has a duty."""
    sheet = bill.printed.sheet("Brief", [1.0] * COLUMNS)
    start = sheet.row
    for day in range(len(bill.job.day_windows)):
        if not any(bill.job.working_day_of(spell.start_min) == day for spell in bill.plan.duties):
            continue
        if sheet.row > start:
            sheet.new_page()
        _Page(sheet, bill, day, _told(bill, day)).write()
    if sheet.row == start:
        sheet.line([("Nothing is planned.", COLUMNS, _TEXT)])
    sheet.freeze()
    sheet.end()


def _told(bill: Bill, day: int) -> _Told:
    """The most that fits one page, tried on paper that is thrown away."""
    for told in _Told:
        sheet = replace(bill.printed, book=new_book(""), sheets=[]).sheet("Brief", [1.0] * COLUMNS)
        _Page(sheet, bill, day, told).write()
        if sheet.room >= 0:
            return told
    return max(_Told)


class _Page:
    """The page of one day."""

    def __init__(self, sheet: PrintedSheet, bill: Bill, day: int, told: _Told) -> None:
        self.sheet, self.bill, self.plan, self.job, self.day = sheet, bill, bill.plan, bill.job, day
        self.told = told
        self.dives = tuple(d for d in bill.dives if self._today(d.leave_surface_min))
        self.spells: tuple[DutySpell, ...] = tuple(s for s in self.plan.duties if self._today(s.start_min))
        self.surface_items = {item.name for item in self.job.surface_items}
        self.on_deck = tuple(one for one in on_deck(self.plan) if self._today(one.start_min))

    def _today(self, minute: int) -> bool:
        return self.job.working_day_of(minute) == self.day

    def write(self) -> None:
        first = self.sheet.row
        self._day()
        self._dives()
        self._gates()
        self._blocks()
        self._after()
        self._ticks()
        if self.told >= _Told.CLOSE:
            for line in range(first, self.sheet.row):
                points = self.sheet.height_mm(line, line) * POINTS_PER_MM
                if points > LINE * LEAST_SIZE and points != _TITLE_POINTS:
                    self.sheet.tall(line, points - _CLOSER_POINTS)
        self._to_write()

    def _title(self, words: str) -> None:
        look = Look(size=10.5, bold=True, down="bottom", edges="b", heavy="b")
        self.sheet.across(words, look, _TITLE_POINTS)
        # what follows stands clear of the line
        self.sheet.gap(_CLEAR_POINTS)

    def _day(self) -> None:
        """The day, when it begins and ends, and how good the plan is."""
        times = key_times(self.spells, self.dives, _KEY_TIMES)
        words = " · ".join(f"{name} {self.job.clock.hhmm(minute)}" for name, minute in times)
        good = f"{crew_status_words(self.plan, self.job)} ({work_words(self.plan, self.job)})"
        half = COLUMNS // 2
        head: list[Cell] = [
            (date_words(self.job, self.day), half, Look(size=14, bold=True)),
            (f"{good[0].upper()}{good[1:]}.", half, Look(size=LEAST_SIZE, wrap=True, across="right")),
        ]
        self.sheet.line(head, 22)
        self.sheet.words(words, Look(size=11, bold=True))

    # --- dives ----------------------------------------------------------------------------------------

    def _dives(self) -> None:
        if not self.dives:
            return
        table = self._table()
        self._title("Dives in order")
        self.sheet.heads(table)
        self.sheet.rows(table, self.dives)
        spare = self.bill.spare
        if not self.bill.estimates:
            self.sheet.words(NOT_ESTIMATED, _BOLD)
        if spare is None:
            return
        ids = {dive.id for dive in self.dives}
        today = Slack(tuple(one for one in spare.dives if one.dive in ids))
        self.sheet.words(today.words, _BOLD)
        if today.breaks_words:
            self.sheet.words(today.breaks_words, _TEXT)
        self.sheet.words(chance_told(self.job, self.plan, self.bill.spread), _TEXT)
        left = ", ".join(one.item for one in self.plan.leftovers)
        if not left or self.told >= _Told.TICKS_RUN_ON:
            return
        self.sheet.words(f"Left over, in part or whole: {left}.", _TEXT)

    def _table(self) -> Table[Dive]:
        clock, units, spare = self.job.clock, self.job.site.units, self.bill.spare

        def bottom(dive: Dive) -> Value:
            most = bottom_may_last_min(self.job, dive)
            return f"{dive.bottom_time_min} / {NO_LIMIT if most is None else most}"

        def crew(dive: Dive) -> Value:
            standby = people_in(crew_of(self.plan, dive), STANDBY)
            return "\n".join([", ".join(map(diver_words, dive.divers)), f"standby {standby}"])

        def schedule(dive: Dive) -> Value:
            told = (
                f"{way_up_words(d.schedule, units)}\n"
                f"{short_row_words(d.schedule)}, {group_after_words(d.group_after, short=True)}"
                for d in dive.divers
            )
            return "\n".join(dict.fromkeys(told))

        def slack(dive: Dive) -> Value:
            if spare is None:
                return "–"
            one = spare.of(dive.id)
            return " / ".join(f"{r.minutes}{'' if r.breaks else '+'}" for r in (one.slip, one.longer))

        return Table(
            (
                Column("Dive, work, station", 15, lambda d: f"{d.id} · {d.item}, {d.station}", _CELL),
                Column("Who dives, who stands by", 20, crew, _CELL.but(bold=True, edges="bl")),
                Column("Down", 5, lambda d: wall(clock, d.leave_surface_min), _TIME),
                Column("Up", 5, lambda d: wall(clock, d.reach_surface_min), _TIME),
                Column("Depth", 5, lambda d: dive_depth_words(self.job, d.item, d.depth_fsw), _VALUE),
                Column("Bottom min:\nplan / most", 9, bottom, _VALUE.but(bold=True)),
                Column("Schedule, group after", 9, schedule, _CELL),
                Column("Spare min:\nlater/longer", 8, slack, _VALUE),
            ),
            head_size=LEAST_SIZE,
            laid_on=1,
        )

    # --- what the day stands on -----------------------------------------------------------------------

    def _work_today(self) -> set[str]:
        dived = {dive.item for dive in self.dives}
        return dived | {one.what for one in self.on_deck if one.what in self.surface_items}

    def _gates_today(self) -> list[Gate]:
        return [gate for gate in self.job.gates if self._work_today() & set(gate.items)]

    def _gates(self) -> None:
        """Isolations, permits and hazards of the day's work, and who holds each."""
        lines = [self._held(gate) for gate in self._gates_today()]
        if lines:
            self._title("Held before anyone leaves the surface: what, who holds it, when")
        if lines and self.told >= _Told.GATES_RUN_ON:
            lines = ["  ".join(lines)]
        for line in lines:
            self.sheet.words(line, _BOLD)

    def _held(self, gate: Gate) -> str:
        """What is held, by whom, when and for which of the day's work."""
        every = {dive.item for dive in self.dives} <= set(gate.items)
        items = "all dives of the day" if every else ", ".join(gate.items)
        return f"☐ {gate.what}: {gate.held_by or 'NOBODY NAMED'}, {held_words(gate, self.job)} ({items})"

    def _blocks(self) -> None:
        """Briefings, standing work and tasks on deck, by the clock."""
        if not self.on_deck:
            return
        self._title("On deck")
        blocks = [self._block(one) for one in self.on_deck]
        if self.told >= _Told.DECK_RUN_ON:
            self.sheet.words(" · ".join(blocks), _TEXT)
        else:
            self.sheet.side_by_side(blocks, _TEXT, apart=1)

    def _block(self, one: DeckWork) -> str:
        names = list(dict.fromkeys(name for name, _ in one.people))
        named = len(names) <= (1 if self.told >= _Told.DECK_COUNTED else _MOST_NAMED)
        people = ", ".join(names) if named else f"{len(names)} people"
        hhmm = self.job.clock.hhmm
        # the page says which day it is
        what = one.what.removesuffix(f", {self.job.clock.day_of(one.start_min):%a %d %b}")
        return f"{hhmm(one.start_min)}–{hhmm(one.end_min)} {what}: {people}"

    def _after(self) -> None:
        """Who does not fly before when, by all dives up to this day's."""
        today = {diver.person for dive in self.dives for diver in dive.divers}
        if today and not self.job.tables.flight_waits:
            words = f"{self.job.tables.no_flight_rows} Each diver has been told one, from elsewhere."
            self._title("Flying after diving")
            self.sheet.words(words, _TEXT)
            return
        so_far: Plan = self.plan.replace(
            dives=tuple(
                d for d in self.plan.dives if self.job.working_day_of(d.leave_surface_min) <= self.day
            )
        )
        waits = [
            f"{wait.person}: {self.job.clock.at(wait.until_min):%a %d %b %H:%M}"
            for wait in no_flight(so_far, self.job)
            if wait.person in today
        ]
        if waits:
            called = table_words(self.job.tables.called["before_altitude"])
            self._title(f"No flight before ({called}, 8,000 ft, by the dives up to this day)")
            self.sheet.side_by_side(waits, _TEXT, across=_FLIGHTS_ACROSS)

    def _ticks(self) -> None:
        """What a person ticks: in full where the page has room, else by where it stands."""
        self._title("Not known to the program: tick before the first dive")
        own = () if self._gates_today() else (NONE_HELD,)
        every = to_tick(self.job, self.bill.air)
        if self.told >= _Told.TICKS_NAMED:
            named = f"All {len(every)} points on the sheet Cautions and sources: weather, sea, divers …"
            told = [*own, named]
        elif self.told >= _Told.TICKS_OF_ALL and len(every) > len(ALWAYS):
            told = [*own, *ALWAYS, f"{len(every) - len(ALWAYS)} more on the sheet Cautions and sources."]
        else:
            told = [*own, *every]
        told = [f"☐ {sentence}" for sentence in told]
        if self.told >= _Told.TICKS_RUN_ON:
            self.sheet.words("  ".join(told), _TEXT)
        else:
            self.sheet.side_by_side(told, _TEXT, apart=1)

    # --- by hand --------------------------------------------------------------------------------------

    def _chamber(self) -> str:
        away = self.job.site.chamber_minutes_away
        if away is None:
            return "Chamber: none in reach"
        return "Chamber: at the dive location" if away == 0 else f"Chamber: {minutes_words(away)} away"

    def _to_write(self) -> None:
        """Whom to call, signatures and the caution: as tall as the rest of the page allows."""
        self._title("Emergency: name, number, tried at")
        call = [
            "\n".join(filter(None, [self._chamber() if line == "chamber" else who, self.bill.card.get(line)]))
            for line, who in PEOPLE_TO_CALL.items()
        ]
        boxes = [*call, *(f"{who}, time" for who in _SIGNATURES)]
        threes = [boxes[first : first + 3] for first in range(0, len(boxes), 3)]
        tall = self.sheet.points_for
        least = [max(_LEAST_ROOM, *(tall(told, 1, 25, _BOX) for told in three)) for three in threes]
        more = (self.sheet.room - _CAUTION_POINTS - sum(least)) / len(threes)
        for three, points in zip(threes, least, strict=True):
            cells: list[Cell] = [(t, wide, _BOX) for t, wide in zip(three, (26, 25, 25), strict=True)]
            self.sheet.line(cells, max(points, min(_MOST_ROOM, points + more)))
        self.sheet.words(f"{CAUTION} {SUBJECT_TO}", _BOLD)

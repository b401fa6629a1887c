"""The sheet *Dive sheets*: a page a dive for the clipboard, with boxes to write in by hand.

What is planned stands beside what happens: times, the table schedule with the next longer and the next
deeper ones, nitrogen, crew, and the fields that a record of a dive asks for (29 CFR 1910.423(d), from
memory). A last page has room for the people to call, whom the program does not know.
"""

from __future__ import annotations

from openpyxl.workbook import Workbook

from planner.job import Gear, Job, UnitSystem
from planner.job.duties import DIVER, STANDBY, WATER_DUTIES
from planner.plan.model import Dive, DiverExposure, Plan
from planner.sheets.person_day import crew_of, day_of, dives_in_order, length, people_in, standbys, wall
from planner.tables import Segment, profile
from planner.tables.schedule import UNLIMITED_MIN
from planner.words.beside import ScheduleBeside, schedules_beside
from planner.words.measures import NO_LIMIT, date_words, depth_words, minutes_seconds, minutes_words
from planner.words.plan import dive_label
from planner.words.schedule import group_after_words, group_words, row_words, stops_words
from planner.workbook.style import (
    CLOCK,
    HEAD,
    LENGTH,
    MIST,
    POINTS_PER_MM,
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

COLUMNS = 24
_BOX = Look(edges="lrtb")
_LABEL = Look(size=7, ink=SOFT, down="top", edges="lrt", shrink=True)

#: To be written by hand, in rows of boxes; a name and how many of the 24 columns it takes.
_BY_HAND: tuple[tuple[tuple[str, int], ...], ...] = (
    (("Greatest depth, pneumofathometer", 6), ("Bottom time", 6), ("Schedule used", 6), ("Group after", 6)),
    (
        ("Air supply at start", 6),
        ("Air supply at end", 6),
        ("Reserve on line, psi", 6),
        ("Voice checked at", 6),
    ),
    (("Water temperature", 6), ("Current", 6), ("Visibility", 6), ("Weather, sea", 6)),
    (("Condition of the diver after the dive, 10 min and 1 h", 12), ("Work done, left undone", 12)),
)
_SIGN_POINTS = 33.0
_SIGNATURES = ("Supervisor", "Log keeper", "Diver")
_PEOPLE_TO_CALL = (
    "Recompression chamber",
    "Hospital",
    "Diving physician",
    "Transport",
    "Rescue coordination centre",
    "Owner of the site, traffic control",
)


def write_dive_sheets(book: Workbook, plan: Plan, job: Job, page: Page, facts: str) -> None:
    """Add the sheet *Dive sheets* to the book: a printed page a dive, then the people to call."""
    sheet = new_sheet(book, "Dive sheets", page, [1.0] * COLUMNS)
    row = write_head(sheet, "Dive sheets", job.site.name, facts)
    start = row
    for dive in dives_in_order(plan):
        if row > start:
            sheet.break_after(row - 1)
        row = _DiveSheet(sheet, plan, job, dive).write(row)
    if row > start:
        sheet.break_after(row - 1)
    row = _people_to_call(sheet, row)
    sheet.ws.freeze_panes = f"A{sheet.title_rows + 1}"
    set_up_page(sheet, row)


class _DiveSheet:
    """One dive's page."""

    def __init__(self, sheet: Sheet, plan: Plan, job: Job, dive: Dive) -> None:
        self.sheet, self.plan, self.job, self.dive = sheet, plan, job, dive

    def write(self, row: int) -> int:
        """Write the page from a row on; returns the next free row."""
        first = row
        row = self._name(row)
        row = self._times(row)
        row = self._schedules(row)
        row = self._nitrogen(row)
        row = self._crew(row)
        return self._by_hand(row, first)

    def _title(self, row: int, words: str, points: float = 17) -> int:
        self.sheet.put(
            row, 1, words, Look(size=9, bold=True, down="bottom", edges="b", heavy="b"), wide=COLUMNS
        )
        self.sheet.tall(row, points)
        return row + 1

    def _line(self, row: int, cells: list[tuple[Value, int, Look]], points: float = 15) -> int:
        """One row of cells, each over a number of columns."""
        column = 1
        for value, wide, look in cells:
            self.sheet.put(row, column, value, look, wide=wide)
            column += wide
        self.sheet.tall(row, points)
        return row + 1

    def _name(self, row: int) -> int:
        dive, job, sheet = self.dive, self.job, self.sheet
        sheet.put(row, 1, dive_label(dive), Look(size=20, bold=True, shrink=True), wide=6)
        sheet.put(row, 7, dive.item, Look(size=13, bold=True, shrink=True), wide=COLUMNS - 6)
        sheet.tall(row, 27)
        words = (
            f"{date_words(job, day_of(job, dive.leave_surface_min))} · {dive.station} · "
            f"{depth_words(dive.depth_fsw, job.site.units)} · {job.dive_item(dive.item).gear.value} · "
            f"{minutes_words(dive.work_min)} of work on the bottom"
        )
        sheet.put(row + 1, 1, words, Look(size=9.5, shrink=True), wide=COLUMNS)
        row += 2
        for diver in dive.divers:
            outfit = job.outfit(diver.outfit)
            numbers = f"helmet {outfit.helmet_no}"
            if outfit.kind is Gear.HEAVY:
                numbers += f", breastplate {outfit.breastplate_no}, straps {outfit.straps_no}"
            role = "Diver" if diver.duty == DIVER else diver.duty.capitalize()
            row = self._line(
                row,
                [
                    (role, 4, SMALL),
                    (diver.person, 9, Look(size=11, bold=True, shrink=True)),
                    (f"outfit {diver.outfit}: {numbers}", 11, Look(size=9, shrink=True)),
                ],
                16,
            )
        return row

    # --- times ----------------------------------------------------------------------------------------

    def _times(self, row: int) -> int:
        dive = self.dive
        row = self._title(row, "Times")
        divers = dive.divers
        each = 4 if len(divers) <= 2 else max(2, 14 // len(divers))
        remarks = 14 - each * len(divers)
        heads: list[tuple[Value, int, Look]] = [("", 7, HEAD), ("planned", 3, HEAD.but(across="center"))]
        for diver in divers:
            word = "actual" if len(divers) == 1 else diver.person
            heads.append((word, each, HEAD.but(across="center", wrap=False, shrink=True)))
        if remarks:
            heads.append(("remarks", remarks, HEAD.but(indent=1)))
        row = self._line(row, heads, 13)
        for words, minute in self._moments():
            bold = words in ("Leave surface", "Reach surface")
            cells: list[tuple[Value, int, Look]] = [
                (words, 7, Look(size=9, bold=bold, edges="b", shrink=True)),
                (wall(self.job, minute), 3, CLOCK.but(bold=bold)),
            ]
            cells += [("", each, _BOX) for _ in divers]
            if remarks:
                cells.append(("", remarks, Look(edges="b")))
            row = self._line(row, cells, 16)
        return row

    def _moments(self) -> list[tuple[str, int]]:
        """What is planned to happen when; a stop's times are those of the diver with the longest way up."""
        dive = self.dive
        slowest = max(dive.divers, key=lambda d: d.schedule.ascent_s)
        moments = [
            ("Dressing starts", dive.dress_start_min),
            ("Leave surface", dive.leave_surface_min),
            ("Reach bottom", dive.reach_bottom_min),
            ("Leave bottom", dive.leave_bottom_min),
        ]
        for number, segment in enumerate(self._stops(slowest)):
            depth = depth_words(segment.end_depth_fsw, UnitSystem.FEET, table_fsw=segment.table_fsw)
            if number == 0:
                moments.append((f"Reach stop {depth}", dive.leave_surface_min + -(-segment.start_s // 60)))
            moments.append(
                (f"Leave stop {depth} ({segment.gas})", dive.leave_surface_min + -(-segment.end_s // 60))
            )
        moments.append(("Reach surface", dive.reach_surface_min))
        ends = [("Undressed", dive.undressed_min)]
        if dive.out_of_chamber_min is not None:
            ends.append(("Out of the chamber", dive.out_of_chamber_min))
        return moments + sorted(ends, key=lambda moment: moment[1])

    def _stops(self, diver: DiverExposure) -> list[Segment]:
        """The stretches at a stop, one for each depth and gas."""
        segments = profile(
            self.dive.depth_fsw,
            self.dive.bottom_time_min,
            diver.schedule,
            self.job.rules.descent_fsw_per_min,
        )
        return [s for s in segments if s.kind in ("stop", "oxygen", "air break")]

    # --- tables ---------------------------------------------------------------------------------------

    def _schedules(self, row: int) -> int:
        row = self._title(row, "Table schedule, and those beside it")
        titles = (
            ("", 5),
            ("Row of the table", 4),
            ("Bottom time up to", 3),
            ("Leave bottom by", 3),
            ("Stops", 5),
            ("Ascent min:s", 2),
            ("Group", 2),
        )
        row = self._line(
            row, [(t, w, HEAD.but(across="left" if w == 5 else "center")) for t, w in titles], 22
        )
        done: list[tuple[object, ...]] = []
        outside = False
        for diver in self.dive.divers:
            key = (diver.schedule, diver.group_before)
            if key in done:
                continue
            done.append(key)
            alike = [d.person for d in self.dive.divers if (d.schedule, d.group_before) == key]
            if len(self.dive.divers) > len(alike):
                row = self._line(row, [(", ".join(alike), COLUMNS, Look(size=8, bold=True, fill=MIST))], 13)
            for beside in schedules_beside(self.job, self.dive, diver):
                outside = outside or not beside.in_policy
                row = self._schedule_row(row, beside)
        notes = list(dict.fromkeys(note for d in self.dive.divers for note in d.schedule.notes))
        if outside:
            notes.append("* Not a schedule this job plans with: only for a dive that runs late or deep.")
        tables = ", ".join(dict.fromkeys(d.schedule.table for d in self.dive.divers))
        many = "s" if "," in tables else ""
        words = " ".join([f"Table{many} {tables}, U.S. Navy Diving Manual, Revision 7.", *notes])
        self.sheet.put(row, 1, words, SMALL.but(wrap=True, down="top"), wide=COLUMNS)
        self.sheet.tall(row, 10.5 * lines_needed(words, self.sheet.page.width_mm, SMALL.size) + 2)
        return row + 1

    def _schedule_row(self, row: int, beside: ScheduleBeside) -> int:
        planned = beside.kind == "planned"
        words = {"planned": "As planned", "longer": "If longer", "deeper": "If deeper"}[beside.kind]
        schedule = beside.schedule
        look = VALUE.but(bold=planned, size=9, shrink=True)
        last = self.dive.leave_surface_min + beside.longest_bottom_min
        unlimited = beside.longest_bottom_min >= UNLIMITED_MIN
        stops = stops_words(schedule) or "none"
        return self._line(
            row,
            [
                (words + ("" if beside.in_policy else " *"), 5, look.but(across="left")),
                (row_words(schedule), 4, look),
                (
                    NO_LIMIT if unlimited else length(beside.longest_bottom_min),
                    3,
                    look.but(number_format="[h]:mm"),
                ),
                ("–" if unlimited else wall(self.job, last), 3, look.but(number_format="hh:mm")),
                (stops, 5, look.but(across="left", size=8)),
                (minutes_seconds(schedule.ascent_s), 2, look),
                (group_after_words(beside.group_after, short=True), 2, look),
            ],
            15,
        )

    def _nitrogen(self, row: int) -> int:
        row = self._title(row, "Nitrogen")
        titles = (
            ("Diver", 6),
            ("Group before", 3),
            ("Surface interval", 3),
            ("RNT min", 3),
            ("Bottom time", 3),
            ("Equivalent min", 3),
            ("Group after", 3),
        )
        row = self._line(
            row, [(t, w, HEAD.but(across="left" if w == 6 else "center")) for t, w in titles], 13
        )
        for diver in self.dive.divers:
            interval = diver.surface_interval_min
            row = self._line(
                row,
                [
                    (diver.person, 6, Look(size=9, edges="b", shrink=True)),
                    (group_words(diver.group_before), 3, VALUE),
                    (length(interval) if interval is not None else "–", 3, LENGTH),
                    (diver.residual_nitrogen_min, 3, VALUE),
                    (length(self.dive.bottom_time_min), 3, LENGTH),
                    (diver.equivalent_min, 3, VALUE),
                    (group_after_words(diver.group_after, short=True), 3, VALUE.but(bold=True)),
                ],
            )
        return row

    # --- people ---------------------------------------------------------------------------------------

    def _crew(self, row: int) -> int:
        row = self._title(row, "Crew")
        crew = crew_of(self.plan, self.dive)
        duties = [d for d in self._duty_order() if d in crew and d not in WATER_DUTIES and d != STANDBY]
        pairs = [(duty, people_in(crew, duty)) for duty in duties]
        label, name = (
            Look(size=8, ink=SOFT, edges="b", shrink=True),
            Look(size=9, bold=True, edges="b", shrink=True),
        )
        row = self._line(
            row, [("standby diver", 4, label), (standbys(self.plan, self.job, self.dive), 20, name)]
        )
        for index in range(0, len(pairs), 2):
            cells: list[tuple[Value, int, Look]] = []
            for duty, names in pairs[index : index + 2]:
                cells += [(duty, 4, label), (names, 8, name)]
            row = self._line(row, cells)
        return row

    def _duty_order(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys([*self.job.duties, *(s.duty for s in self.plan.duties)]))

    # --- by hand --------------------------------------------------------------------------------------

    def _by_hand(self, row: int, first: int) -> int:
        """Boxes to write in: as tall as the rest of the page allows."""
        row = self._title(row, "To write by hand")
        sheet = self.sheet
        taken = sheet.height_mm(1, sheet.title_rows) + sheet.height_mm(first, row - 1)
        room = (sheet.page.height_mm - taken) * POINTS_PER_MM - _SIGN_POINTS - 10 * len(_BY_HAND) - 4
        box = min(44.0, max(15.0, room / (len(_BY_HAND) + 1)))
        for index, boxes in enumerate(_BY_HAND):
            self._line(row, [(words, wide, _LABEL) for words, wide in boxes], 10)
            tall = box * (2 if index == len(_BY_HAND) - 1 else 1)
            row = self._line(row + 1, [("", wide, Look(edges="lrb")) for _, wide in boxes], tall)
        sheet.tall(row, _SIGN_POINTS - 11)
        look = Look(size=7.5, ink=SOFT, down="top", edges="t")
        for index, words in enumerate(_SIGNATURES):
            sheet.put(row + 1, 1 + index * 8, f"{words}, time", look, wide=7)
        sheet.tall(row + 1, 11)
        return row + 2


def _people_to_call(sheet: Sheet, row: int) -> int:
    """A page to post at the station; whom to call is not in the job, so a person writes it."""
    sheet.put(row, 1, "People to call", Look(size=20, bold=True), wide=COLUMNS)
    sheet.tall(row, 27)
    words = (
        "Not known to the program. Write them in, try each number, and post this page at every station "
        "before the first dive (29 CFR 1910.421(b), from memory; subject to local regulations)."
    )
    sheet.put(row + 1, 1, words, Look(size=9, wrap=True, down="top"), wide=COLUMNS)
    sheet.tall(row + 1, 26)
    row += 2
    for word, column, wide in (
        ("", 1, 7),
        ("Name, place", 8, 8),
        ("How to reach", 16, 5),
        ("Tried at", 21, 4),
    ):
        sheet.put(row, column, word, HEAD, wide=wide)
    sheet.tall(row, 14)
    for who in _PEOPLE_TO_CALL:
        row += 1
        sheet.put(row, 1, who, Look(size=10, bold=True, edges="b"), wide=7)
        sheet.put(row, 8, "", _BOX, wide=8)
        sheet.put(row, 16, "", _BOX, wide=5)
        sheet.put(row, 21, "", _BOX, wide=4)
        sheet.tall(row, 34)
    return row

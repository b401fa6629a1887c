"""The sheet *Dive sheets*: a page a dive for the clipboard, with boxes to write in by hand.

What is planned stands beside what happens: times, the table schedule with the next longer and the next
deeper ones, nitrogen, crew, and the fields that a record of a dive asks for (29 CFR 1910.423(d), from
memory). A last page has the people to call: the emergency card, or room to write where that is not filled.
"""

from __future__ import annotations

from collections.abc import Mapping

from planner.air.bailout import BottleCarried, bottles_carried
from planner.job import Gear
from planner.job.duties import STANDBY, WATER_DUTIES
from planner.plan.model import Dive, DiverExposure
from planner.sheets.bill import Bill, crew_of, length, people_in, standby_reach, standbys
from planner.sheets.gates import held_lines
from planner.sheets.layout import Cell, Column, PrintedSheet, Table, wall
from planner.table_sets import table_words
from planner.tables import Segment, profile
from planner.words.beside import ScheduleBeside, schedules_beside
from planner.words.measures import (
    NO_LIMIT,
    date_words,
    dive_depth_words,
    minutes_seconds,
    minutes_words,
    own_pressure_words,
    pressure_words,
)
from planner.words.plan import dive_label
from planner.words.schedule import group_after_words, group_words, row_words, stop_depth_words, stops_words
from planner.workbook.style import CLOCK, HEAD, LENGTH, MIST, SMALL, SOFT, VALUE, Look, Value

COLUMNS = 24
_BOX = Look(edges="lrtb")
_LABEL = Look(size=7, ink=SOFT, down="top", edges="lrt", shrink=True)

#: To be written by hand, in rows of boxes; a name and how many of the 24 columns it takes.
_BY_HAND: tuple[tuple[tuple[str, int], ...], ...] = (
    (("Greatest depth, pneumofathometer", 6), ("Bottom time", 6), ("Schedule used", 6), ("Group after", 6)),
    (
        ("Air supply at start", 6),
        ("Air supply at end", 6),
        ("Reserve on line, pressure", 6),
        ("Voice checked at", 6),
    ),
    (("Water temperature", 6), ("Current", 6), ("Visibility", 6), ("Weather, sea", 6)),
    (("Condition of the diver after the dive, 10 min and 1 h", 12), ("Work done, left undone", 12)),
)
_SIGN_POINTS = 33.0
_SIGNATURES = ("Supervisor, time", "Log keeper, time", "Diver, time")
#: Whom to call, by the line of the emergency card (`planner.log.CARD_LABELS`); the last is on no card.
PEOPLE_TO_CALL = {
    "chamber": "Recompression chamber",
    "hospital": "Hospital",
    "physician": "Diving physician",
    "transport": "Transport",
    "rescue": "Rescue coordination centre",
    "owner": "Owner of the site, traffic control",
}


def write_dive_sheets(bill: Bill) -> None:
    """Add the sheet *Dive sheets* to the book: a printed page a dive, then the people to call."""
    sheet = bill.printed.sheet("Dive sheets", [1.0] * COLUMNS)
    for dive in bill.dives:
        _DiveSheet(sheet, bill, dive).write()
        sheet.new_page()
    _people_to_call(sheet, bill.card)
    sheet.freeze()
    sheet.end()


class _DiveSheet:
    """One dive's page."""

    def __init__(self, sheet: PrintedSheet, bill: Bill, dive: Dive) -> None:
        self.sheet, self.plan, self.job, self.dive = sheet, bill.plan, bill.job, dive

    def write(self) -> None:
        self._name()
        self._gates()
        self._times()
        self._schedules()
        self._nitrogen()
        self._crew()
        self._by_hand()

    def _title(self, words: str) -> None:
        self.sheet.across(words, Look(size=9, bold=True, down="bottom", edges="b", heavy="b"), 17)

    def _name(self) -> None:
        dive, job = self.dive, self.job
        name = (dive_label(dive), 6, Look(size=20, bold=True, shrink=True))
        self.sheet.line([name, (dive.item, COLUMNS - 6, Look(size=13, bold=True, shrink=True))], 27)
        words = (
            f"{date_words(job, job.working_day_of(dive.leave_surface_min))} · {dive.station} · "
            f"{dive_depth_words(job, dive.item, dive.depth_fsw)} · {job.dive_item(dive.item).gear.value} · "
            f"{minutes_words(dive.work_min)} of work on the bottom"
        )
        self.sheet.across(words, Look(size=9.5, shrink=True))
        if self._longest():
            self.sheet.across(self._longest(), Look(size=9.5, shrink=True))
        for diver in dive.divers:
            outfit = job.outfit(diver.outfit)
            numbers = f"helmet {outfit.helmet_no}"
            if outfit.kind is Gear.HEAVY:
                numbers += f", breastplate {outfit.breastplate_no}, straps {outfit.straps_no}"
            cells: list[Cell] = [
                (diver.duty.capitalize(), 4, SMALL),
                (diver.person, 9, Look(size=11, bold=True, shrink=True)),
                (f"outfit {diver.outfit}: {numbers}", 11, Look(size=9, shrink=True)),
            ]
            self.sheet.line(cells, 16)
        bottles = [b for b in bottles_carried(self.plan, job, dive) if b.asked]
        for two in (bottles[i : i + 2] for i in range(0, len(bottles), 2)):
            self.sheet.line([(self._bottle(b), 12, Look(size=8.5, shrink=True)) for b in two], 14)

    def _longest(self) -> str:
        """How long a diver may be on the bottom and in dress by the job's limits; "" where it sets none."""
        item = self.job.dive_item(self.dive.item)
        limits = (
            ("on the bottom", self.job.longest_bottom_min(item)),
            ("in dress", self.job.longest_in_dress_min(item)),
        )
        told = [f"{minutes_words(most)} {what}" for what, most in limits if most is not None]
        return f"At most {' and '.join(told)}." if told else ""

    def _bottle(self, bottle: BottleCarried) -> str:
        """What a carried bottle must show, and room for what it does show."""
        units = self.job.site.units
        if bottle.needed_psi is None:
            return f"{bottle.person}: NO bailout bottle on {bottle.outfit.name}"
        must = pressure_words(bottle.needed_psi, units, needed=True)
        now = own_pressure_words(bottle.outfit, units, "bailout_psi", units)
        named = f"Bailout {bottle.outfit.bailout_no}".strip()
        return (
            f"{named}, {bottle.person}: must show {must}; given {now}, {bottle.minutes_at_depth:.0f} min at "
            "depth; shows ________"
        )

    def _gates(self) -> None:
        """What must be held while the dive is in the water, each with a box to tick."""
        lines = held_lines(self.job, self.dive)
        if lines:
            self._title("Held before anyone leaves the surface: what, by whom, when")
        for line in lines:
            self.sheet.across(line, Look(size=9, bold=True, edges="b", shrink=True))

    # --- times ----------------------------------------------------------------------------------------

    def _times(self) -> None:
        """What is planned beside room for what happens, a column a diver."""
        self._title("Times")
        divers = self.dive.divers
        each = 4 if len(divers) <= 2 else max(2, 14 // len(divers))
        remarks = 14 - each * len(divers)
        name = HEAD.but(across="center", wrap=False, shrink=True)
        heads: list[Cell] = [("", 7, HEAD), ("planned", 3, HEAD.but(across="center"))]
        heads += [("actual" if len(divers) == 1 else d.person, each, name) for d in divers]
        room: list[Cell] = [("", each, _BOX) for _ in divers]
        if remarks:
            heads.append(("remarks", remarks, HEAD.but(indent=1)))
            room.append(("", remarks, Look(edges="b")))
        self.sheet.line(heads, 13)
        for words, minute in self._moments():
            bold = words in ("Leave surface", "Reach surface")
            what = (words, 7, Look(size=9, bold=bold, edges="b", shrink=True))
            self.sheet.line([what, (wall(self.job.clock, minute), 3, CLOCK.but(bold=bold)), *room], 15)

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
        at = {stop.held_fsw: stop_depth_words(stop) for stop in slowest.schedule.stops}
        for number, segment in enumerate(self._stops(slowest)):
            depth = at[segment.end_depth_fsw]
            if number == 0:
                moments.append((f"Reach stop {depth}", dive.leave_surface_min + -(-segment.start_s // 60)))
            left = dive.leave_surface_min + -(-segment.end_s // 60)
            moments.append((f"Leave stop {depth} ({segment.gas})", left))
        moments.append(("Reach surface", dive.reach_surface_min))
        ends = [("Undressed", dive.undressed_min)]
        if dive.out_of_chamber_min is not None:
            ends.append(("Out of the chamber", dive.out_of_chamber_min))
        return moments + sorted(ends, key=lambda moment: moment[1])

    def _stops(self, diver: DiverExposure) -> list[Segment]:
        """The stretches at a stop, one for each depth and gas."""
        dive, rate = self.dive, self.job.rules.descent_fsw_per_min
        segments = profile(dive.depth_fsw, dive.bottom_time_min, diver.schedule, rate)
        return [s for s in segments if s.kind in ("stop", "oxygen", "air break")]

    # --- tables ---------------------------------------------------------------------------------------

    def _schedules(self) -> None:
        dive = self.dive
        table = self._beside()
        self._title("Table schedule, and those beside it")
        self.sheet.heads(table)
        alike: dict[tuple[object, ...], list[DiverExposure]] = {}
        for diver in dive.divers:
            alike.setdefault((diver.schedule, diver.group_before), []).append(diver)
        outside = False
        for divers in alike.values():
            if len(alike) > 1:
                names = ", ".join(d.person for d in divers)
                self.sheet.across(names, Look(size=8, bold=True, fill=MIST), 13)
            beside = schedules_beside(self.job, dive, divers[0])
            outside = outside or not all(b.in_policy for b in beside)
            self.sheet.rows(table, beside)
        notes = list(dict.fromkeys(note for d in dive.divers for note in d.schedule.notes))
        if outside:
            notes.append("* Not a schedule this job plans with: only for a dive that runs late or deep.")
        tables = ", ".join(dict.fromkeys(d.schedule.table for d in dive.divers))
        cited = table_words(tables)
        words = " ".join([f"{cited[0].upper()}{cited[1:]}, {self.job.tables.printed}.", *notes])
        self.sheet.words(words)

    def _beside(self) -> Table[ScheduleBeside]:
        clock = self.job.clock
        kinds = {"planned": "As planned", "row": "To its end", "longer": "If longer", "deeper": "If deeper"}
        look = VALUE.but(size=9, shrink=True)

        def bold(beside: ScheduleBeside) -> dict[str, object]:
            return {"bold": beside.kind == "planned"}

        def longest(beside: ScheduleBeside) -> Value:
            return NO_LIMIT if beside.unlimited else length(beside.longest_bottom_min)

        def leave_by(beside: ScheduleBeside) -> Value:
            last = self.dive.leave_surface_min + beside.longest_bottom_min
            return "–" if beside.unlimited else wall(clock, last)

        def kind(beside: ScheduleBeside) -> str:
            return kinds[beside.kind] + ("" if beside.in_policy else " *")

        left, stops = look.but(across="left"), look.but(across="left", size=8)
        return Table(
            (
                Column("", 5, kind, left, bold),
                Column("Row of the table", 4, lambda b: row_words(b.schedule), look, bold),
                Column("Bottom time up to, h:min", 3, longest, look.but(number_format="[h]:mm"), bold),
                Column("Leave bottom by", 3, leave_by, look.but(number_format="hh:mm"), bold),
                Column("Stops", 5, lambda b: stops_words(b.schedule) or "none", stops, bold),
                Column("Ascent, min:s", 2, lambda b: minutes_seconds(b.schedule.ascent_s), look, bold),
                Column("Group", 2, lambda b: group_after_words(b.group_after, short=True), look, bold),
            ),
            heads_points=22,
            points=14,
            laid_on=1,
        )

    def _nitrogen(self) -> None:
        def interval(diver: DiverExposure) -> Value:
            return "–" if diver.surface_interval_min is None else length(diver.surface_interval_min)

        bottom, bold = length(self.dive.bottom_time_min), VALUE.but(bold=True)
        table: Table[DiverExposure] = Table(
            (
                Column("Diver", 6, lambda d: d.person, Look(size=9, edges="b", shrink=True)),
                Column("Group before", 3, lambda d: group_words(d.group_before)),
                Column("Surface interval, h:min", 3, interval, LENGTH),
                Column("RNT, min", 3, lambda d: d.residual_nitrogen_min),
                Column("Bottom time, h:min", 3, lambda d: bottom, LENGTH),
                Column("Equivalent, min", 3, lambda d: d.equivalent_min),
                Column("Group after", 3, lambda d: group_after_words(d.group_after, short=True), bold),
            ),
            heads_points=22,
            points=14,
            laid_on=1,
        )
        self._title("Nitrogen")
        self.sheet.heads(table)
        self.sheet.rows(table, self.dive.divers)

    # --- people ---------------------------------------------------------------------------------------

    def _crew(self) -> None:
        self._title("Crew")
        crew = crew_of(self.plan, self.dive)
        order = dict.fromkeys([*self.job.duties, *(s.duty for s in self.plan.duties)])
        label = Look(size=8, ink=SOFT, edges="b", shrink=True)
        name = Look(size=9, bold=True, edges="b", shrink=True)
        told = (standbys(self.plan, self.job, self.dive), standby_reach(self.plan, self.job, self.dive))
        standby = ", ".join(words for words in told if words)
        self.sheet.line([("standby diver", 4, label), (standby, 20, name)])
        pairs: list[list[Cell]] = [
            [(duty, 4, label), (people_in(crew, duty), 8, name)]
            for duty in order
            if duty in crew and duty not in WATER_DUTIES and duty != STANDBY
        ]
        for index in range(0, len(pairs), 2):
            self.sheet.line([cell for pair in pairs[index : index + 2] for cell in pair], 14)

    # --- by hand --------------------------------------------------------------------------------------

    def _by_hand(self) -> None:
        """Boxes to write in: as tall as the rest of the page allows."""
        self._title("To write by hand")
        sheet = self.sheet
        room = sheet.room - _SIGN_POINTS - 10 * len(_BY_HAND) - 4
        box = min(44.0, max(15.0, room / (len(_BY_HAND) + 1)))
        for index, boxes in enumerate(_BY_HAND):
            self.sheet.line([(words, wide, _LABEL) for words, wide in boxes], 10)
            tall = box * (2 if index == len(_BY_HAND) - 1 else 1)
            self.sheet.line([("", wide, Look(edges="lrb")) for _, wide in boxes], tall)
        sheet.signatures(_SIGNATURES, _SIGN_POINTS - 12)


def _people_to_call(sheet: PrintedSheet, card: Mapping[str, str]) -> None:
    """A page to post at the station: the emergency card, and what is not on it for a person to write."""
    sheet.line([("People to call", COLUMNS, Look(size=20, bold=True))], 27)
    known = "As on the emergency card." if card else "Not known to the program."
    words = (
        f"{known} Write in what is missing, try each number, and post this page at every station "
        "before the first dive (29 CFR 1910.421(b); subject to local regulations)."
    )
    sheet.words(words, Look(size=9), 26)
    heads = (("", 7), ("Name, place", 8), ("How to reach", 5), ("Tried at", 4))
    sheet.line([(word, wide, HEAD) for word, wide in heads], 14)
    for line, who in PEOPLE_TO_CALL.items():
        boxes: list[Cell] = [("", wide, _BOX) for _, wide in heads[1:]]
        if line in card:
            wide = heads[1][1] + heads[2][1]
            boxes[:2] = [(card[line], wide, _BOX.but(size=11, wrap=True, down="center"))]
        sheet.line([(who, 7, Look(size=10, bold=True, edges="b")), *boxes], 34)

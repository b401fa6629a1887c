"""The sheet *Air*: what each dive draws, the day's flow against the plant, running hours, tests, sources."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from itertools import takewhile

from planner.air import AirReport, BankDay, CompressorRun, DiveAir, RunningDay
from planner.air.bailout import BottleCarried
from planner.air.chamber import ChamberDay
from planner.air.reserve import emergency_words
from planner.air.running import TestDue
from planner.job import UnitSystem
from planner.job.units import LITRES_PER_CUBIC_FOOT, LITRES_PER_US_GALLON
from planner.sheets.bill import Bill, length
from planner.sheets.layout import Column, PrintedSheet, Row, Table, wall
from planner.words.measures import (
    depth_words,
    dive_depth_words,
    own_pressure_words,
    pressure_words,
    several_days,
    time_words,
)
from planner.workbook.style import INK, LENGTH, SMALL, SOFT, VALUE, Look

#: Columns of the sheet; a table's units take two of them.
COLUMNS, UNIT = 48, 2
#: Units of the bars that show the day's flow.
_BAR_UNITS = 12
#: Height of a row of the day's flow in points, and the least of them on a page of their own.
_FLOW_POINTS, _FEWEST_ROWS = 10.5, 6
#: Heights of a row of one line and of two, in points.
_LINE_POINTS, _TWO_LINES_POINTS = 13.0, 25.0
_SENTENCE = Look(size=7.5, down="top")
FORMULAS: tuple[str, ...] = (
    "Flow: scfm = acfm × (D + 33)/33, D in fsw.",
    "A dive's air is the sum over its legs of flow × minutes, divers at the deepest depth of each leg, with "
    "the standby breathing on the bench.",
    "Peak flow is what the primary must carry: every diver at depth, the standby sent down to him, tools "
    "still running.",
    "Running time is from the warm-up before the first diver goes on air to the last diver off air.",
)


@dataclass(frozen=True)
class FlowStretch:
    """A stretch of the day with one required flow and one capacity, scfm."""

    start_min: int
    end_min: int
    required_scfm: float
    capacity_scfm: float

    @property
    def over(self) -> bool:
        """Whether more must be carried than the compressors give."""
        return self.required_scfm > self.capacity_scfm + 1e-6

    def same_flow(self, other: FlowStretch) -> bool:
        """Whether both print the same numbers."""
        mine, theirs = ((round(s.required_scfm, 1), round(s.capacity_scfm, 1)) for s in (self, other))
        return mine == theirs


def flow_stretches(air: AirReport) -> tuple[FlowStretch, ...]:
    """The day's steps of flow, neighbours that do not differ joined."""
    out: list[FlowStretch] = []
    for step in air.supply:
        new = FlowStretch(step.demand.start_min, step.demand.end_min, step.flow_scfm, step.capacity_scfm)
        if out and out[-1].end_min == new.start_min and out[-1].same_flow(new):
            out[-1] = replace(out[-1], end_min=new.end_min)
        else:
            out.append(new)
    return tuple(out)


def _alike(tests: tuple[TestDue, ...]) -> list[TestDue]:
    """Tests with the same dates and source joined into one line, their things listed."""
    joined: dict[tuple[object, ...], list[TestDue]] = {}
    for test in tests:
        joined.setdefault((test.kind, test.tested_on, test.due_on), []).append(test)
    return [replace(found[0], what=_listed([t.what for t in found])) for found in joined.values()]


def _listed(names: list[str]) -> str:
    """``hose of H1, H2``: names in a row, words that they all begin with said once."""
    beside = zip(*(name.split(" ")[:-1] for name in names), strict=False)
    shared = "".join(f"{words[0]} " for words in takewhile(lambda words: len(set(words)) == 1, beside))
    if len(names) > 1 and shared:
        return shared + ", ".join(name.removeprefix(shared) for name in names)
    return ", ".join(names)


def bottle_name(bottle: BottleCarried) -> str:
    """``Light 21, bottle B21``."""
    number = bottle.outfit.bailout_no
    return f"{bottle.outfit.name}, bottle {number}" if number else bottle.outfit.name


def write_air(bill: Bill) -> None:
    """Add the sheet *Air* to the book."""
    sheet = bill.printed.sheet("Air", [1.0] * COLUMNS)
    _AirSheet(sheet, bill).write()
    sheet.freeze()
    sheet.end()


class _AirSheet:
    """Writes the parts of the sheet in turn."""

    def __init__(self, sheet: PrintedSheet, bill: Bill) -> None:
        self.sheet, self.job, self.air, self.findings = sheet, bill.job, bill.air, bill.air_findings
        self.metric = bill.job.site.units is UnitSystem.METRIC
        #: a cell of a table has two lines where there are two units
        self.cell = VALUE.but(size=8.5, shrink=not self.metric, wrap=self.metric)
        self.name = self.cell.but(across="left", bold=True)
        self.clock = "ddd hh:mm" if several_days(bill.job) else "hh:mm"

    def write(self) -> None:
        self._figures()
        self._verdict()
        self._dives()
        self._flow()
        self._compressors()
        self._banks()
        self._chamber()
        self._bottles()
        self._tests()
        self._formulas()

    # --- words ----------------------------------------------------------------------------------------

    def _both(self, words: str, metric: str) -> str:
        """A number in the program's own unit, with the metric one under it where the job is kept so."""
        return f"{words}\n{metric}" if self.metric else words

    def _beside(self, words: str, metric: str) -> str:
        """The same on one line."""
        return f"{words} ({metric})" if self.metric else words

    def _scf(self, scf: float) -> str:
        return self._both(f"{scf:,.0f} scf", f"{scf * LITRES_PER_CUBIC_FOOT / 1000:,.1f} m³")

    def _scfm(self, scfm: float) -> str:
        return self._both(f"{scfm:,.1f} scfm", f"{scfm * LITRES_PER_CUBIC_FOOT:,.0f} l/min")

    def _gal(self, gal: float) -> str:
        return self._both(f"{gal:.1f} gal", f"{gal * LITRES_PER_US_GALLON:.0f} l")

    def _psi(self, psi: float) -> str:
        return self._both(pressure_words(psi, UnitSystem.FEET), pressure_words(psi, UnitSystem.METRIC))

    # --- parts ----------------------------------------------------------------------------------------

    def _title(self, words: str) -> None:
        """A section's title, kept on one page with its column titles and the first rows under it."""
        first = self.sheet.row
        self.sheet.gap(2)
        self.sheet.across(words, Look(size=11, bold=True), 14)
        self.sheet.keep_together(first, first + 4)

    def _table(self, *columns: Column, points: float | None = None) -> Table:  # type: ignore[type-arg]
        tall = _TWO_LINES_POINTS if self.metric else _LINE_POINTS
        return Table(columns, points=points or tall, laid_on=UNIT)

    def _rows(self, table: Table[Row], ones: Iterable[Row]) -> None:
        """The rows of a table, its heads again at the top of a page that they go on to."""
        for one in ones:
            if self.sheet.room < _TWO_LINES_POINTS:
                self.sheet.new_page()
                self.sheet.heads(table)
            self.sheet.rows(table, [one])

    def _figures(self) -> None:
        air = self.air
        figures: list[tuple[str, str]] = [("Air drawn by all dives", self._scf(air.scf))]
        if air.peak is not None:
            at, given = time_words(self.job, air.peak.demand.start_min), "no plant given"
            figures.append((f"Peak flow, at {at}", self._scfm(air.peak.flow_scfm)))
            if air.plant_given:
                given = self._scfm(air.peak.capacity_scfm)
            figures.append(("Compressors give then", given))
        if air.plant_given and air.reserve_worst is not None:
            worst = air.reserve_worst
            at = time_words(self.job, worst.at_min)
            figures.append((f"Reserve, {emergency_words(self.job.air)}, {at}", self._scf(worst.scf)))
        wide = COLUMNS // len(figures)
        small = Look(size=7.5, ink=SOFT, shrink=True)
        large = Look(size=13, bold=True, shrink=not self.metric, wrap=self.metric)
        self.sheet.line([(label, wide, small) for label, _ in figures], 11)
        points = 36 if self.metric else 19
        self.sheet.line([(value, wide, large) for _, value in figures], points)

    def _verdict(self) -> None:
        """What the air rules say, before any number."""
        lines = [f"{b.sentence} [{b.rule}]" for b in self.findings]
        if lines:
            title = "Not as the air rules ask"
        elif not self.air.plant_given:
            title = "No air plant is given: flow is told, supply is not checked."
        else:
            title = "Primary and reserve carry the plan, and no test given here has run out."
        self.sheet.gap(6)
        self.sheet.across(title, Look(size=10, bold=True, edges="b" if lines else "tb"), 17)
        for line in lines:
            self.sheet.words(line, Look(size=9, edges="b", indent=1))

    def _dives(self) -> None:
        if not self.air.dives:
            return
        look = self.cell
        table: Table[DiveAir] = self._table(
            Column("Dive, item", 6, lambda d: f"{d.dive} · {d.item}", self.name),
            Column("Depth", 3, lambda d: dive_depth_words(self.job, d.item, d.depth_fsw), look),
            Column("Air drawn", 3, lambda d: self._scf(d.scf), look),
            Column("Peak flow", 3, lambda d: self._scfm(d.peak_scfm), look),
            Column("Manifold needs", 3, lambda d: self._psi(d.needed_psi), look),
            Column("Reserve: depth, way up", 3, lambda d: self._scf(d.reserve_scf), look),
            Column("Reserve flow", 3, lambda d: self._scfm(d.reserve_scfm), look),
        )
        self._title("Each dive, its standby counted")
        self.sheet.heads(table)
        self._rows(table, self.air.dives)

    def _flow(self) -> None:
        """The day as bars: grey what must be carried, the heavy line what the compressors give."""
        stretches, given = flow_stretches(self.air), self.air.plant_given
        if not stretches:
            return
        clock = VALUE.but(size=8, number_format=self.clock, edges="")

        def over(stretch: FlowStretch) -> dict[str, object]:
            return {"bold": stretch.over and given}

        def flow(head: str, scfm: Callable[[FlowStretch], float], *, told: bool = True) -> list[Column]:  # type: ignore[type-arg]
            """A flow in the program's own unit, with the metric one beside it where the job is kept so."""
            units = [("scfm", 1.0, "0.0"), ("l/min", LITRES_PER_CUBIC_FOOT, "#,##0")][: 1 + self.metric]
            return [
                Column(
                    f"{head}, {unit}",
                    2 if self.metric else 3,
                    lambda s, times=times: scfm(s) * times if told else "–",  # type: ignore[misc]
                    clock.but(number_format=shown),
                    over,
                )
                for unit, times, shown in units
            ]

        table: Table[FlowStretch] = self._table(
            Column("From", 2, lambda s: wall(self.job.clock, s.start_min), clock),
            Column("To", 2, lambda s: wall(self.job.clock, s.end_min), clock),
            *flow("To carry", lambda s: s.required_scfm),
            *flow("Plant gives", lambda s: s.capacity_scfm, told=given),
            points=_FLOW_POINTS,
        )
        self._title("Flow through the day, every standby sent down")
        self.sheet.heads(table)
        full = max(max(s.required_scfm, s.capacity_scfm) for s in stretches) or 1.0
        fit = int(self.sheet.room // _FLOW_POINTS)
        for number, stretch in enumerate(stretches):
            if number == min(fit, len(stretches) - _FEWEST_ROWS) and fit < len(stretches):
                self.sheet.new_page()
                self.sheet.heads(table)
            self.sheet.rows(table, [stretch])
            self._bar(self.sheet.row - 1, stretch, full)
        words = "Grey: flow to be carried. Heavy line: what the compressors give; tank and banks come on top."
        self.sheet.across(words, SMALL, 12)

    def _bar(self, row: int, stretch: FlowStretch, full: float) -> None:
        columns = UNIT * _BAR_UNITS
        filled = max(1, round(columns * stretch.required_scfm / full))
        line = round(columns * stretch.capacity_scfm / full)
        dark = INK if stretch.over and self.air.plant_given else "#9A9A9A"
        for index in range(columns):
            fill = dark if index < filled else None
            look = Look(fill=fill, heavy="r" if index + 1 == line else "")
            self.sheet.put(row, COLUMNS - columns + 1 + index, None, look)

    def _compressors(self) -> None:
        if not self.air.compressors:
            return
        look, clock = self.cell, self.cell.but(number_format=self.clock)
        running = LENGTH.but(size=8.5, bold=True)
        # a date is never broken in two
        dated = VALUE.but(size=7.5)
        Day = tuple[CompressorRun, RunningDay]

        def left(pair: Day) -> str:
            return "–" if pair[0].hours_to_service is None else f"{pair[0].hours_to_service:.1f}"

        table: Table[Day] = self._table(
            Column("Compressor", 5, lambda p: p[0].name, self.name),
            Column("Role", 2, lambda p: p[0].role.value, look),
            Column("Planned on", 3, lambda p: self._scfm(p[0].planned_scfm), look),
            Column("On", 2, lambda p: wall(self.job.clock, p[1].start_min), clock),
            Column("Off", 2, lambda p: wall(self.job.clock, p[1].end_min), clock),
            Column("Running, h:min", 2, lambda p: length(p[1].running_min), running),
            Column("Hour meter, h", 2, lambda p: f"{p[1].hour_meter_end:,.1f}", look),
            Column("To service, h", 2, left, look, lambda p: {"bold": p[0].service_overdue}),
            Column("Fuel", 2, lambda p: self._gal(p[1].fuel_gal), look),
            Column("Air test due", 2, lambda p: str(p[0].air_test_due_on or "no date"), dated),
        )
        self._title("Compressors: running hours, warm-up counted")
        self.sheet.heads(table)
        for run in self.air.compressors:
            self._rows(table, [(run, day) for day in run.days])
            if not run.days:
                idle = ("does not run", 38, look.but(across="left"))
                self.sheet.line([(run.name, 10, self.name), idle])

    def _banks(self) -> None:
        if not self.air.banks:
            return
        look = self.cell

        def left(bank: BankDay) -> str:
            """What a bank still holds: gas, and its pressure."""
            return ", ".join((self._scf(bank.left_scf), self._psi(bank.left_psi))).replace("\n", " ")

        def recharge(bank: BankDay) -> str:
            """What brings it up again: gas, and where a compressor charges it how long that runs."""
            gas = self._scf(bank.recharge_scf).replace("\n", " ")
            by = f" by {bank.recharged_by}" if bank.recharged_by else ""
            return gas if bank.recharge_min is None else f"{gas}, {bank.recharge_min} min{by}"

        table: Table[BankDay] = self._table(
            Column("Bank", 4, lambda b: b.name, self.name),
            Column("Role", 2, lambda b: b.role.value, look),
            Column("Usable", 3, lambda b: self._scf(b.usable_scf), look),
            Column("Drawn", 3, lambda b: self._scf(b.drawn_scf), look),
            Column("Left at the end", 4, left, look),
            Column("Worst moment takes", 3, lambda b: self._scf(b.worst_scf), look),
            Column("Recharge after", 5, recharge, look),
        )
        self._title("Banks")
        self.sheet.heads(table)
        self.sheet.rows(table, self.air.banks)

    def _chamber(self) -> None:
        if not self.air.chamber:
            return
        plant, look = self.job.air, self.cell

        def of(needed: float, held: float | None) -> str:
            return f"{self._scf(needed)} of {self._scf(held)}" if held is not None else "not counted"

        table: Table[ChamberDay] = self._table(
            Column("Day", 4, lambda d: str(d.day), self.name),
            Column("For dives", 5, lambda d: ", ".join(d.dives), look),
            Column("Primary air", 5, lambda d: of(d.primary_scf, plant.chamber_primary_scf), look),
            Column("Secondary air", 5, lambda d: of(d.secondary_scf, plant.chamber_secondary_scf), look),
            Column("Oxygen", 5, lambda d: of(d.oxygen_scf, plant.chamber_oxygen_scf), look),
        )
        self._title("The chamber: asked for and on hand")
        self.sheet.heads(table)
        self.sheet.rows(table, self.air.chamber)

    def _bottles(self) -> None:
        if not self.air.bottles:
            return
        look, units = self.cell, self.job.site.units

        def must(bottle: BottleCarried) -> str:
            said = [pressure_words(bottle.needed_psi or 0, u, needed=True) for u in UnitSystem]
            return "NO BOTTLE" if bottle.needed_psi is None else self._beside(*said)

        def shows(bottle: BottleCarried) -> str:
            if bottle.outfit.bailout_psi is None:
                return "–"
            said = [own_pressure_words(bottle.outfit, units, "bailout_psi", u) for u in UnitSystem]
            return self._beside(*said)

        def minutes(bottle: BottleCarried) -> str:
            return f"{bottle.minutes_at_depth:.0f} at {depth_words(bottle.depth_fsw, units)}"

        table: Table[BottleCarried] = self._table(
            Column("Dive", 2, lambda b: b.dive, self.name),
            Column("Carried by", 5, lambda b: b.person, look.but(across="left")),
            Column("Outfit, bottle", 4, bottle_name, look.but(across="left")),
            Column("Must show", 4, must, look, lambda b: {"bold": True}),
            Column("Shows", 5, shows, look),
            Column("Lasts, min at depth", 4, minutes, look),
            points=_LINE_POINTS,
        )
        self._title("Bailout bottles, standby divers too")
        self.sheet.heads(table)
        self._rows(table, self.air.bottles)

    def _tests(self) -> None:
        if not self.air.tests:
            return
        day, look = self.job.clock.day_of(self.job.day_windows[-1].start_min), self.cell

        def state(test: TestDue) -> str:
            return "RUN OUT" if test.overdue(day) else "holds" if test.due_on else "ask"

        def what(test: TestDue) -> str:
            return test.what if test.kind != "air" else f"air of {test.what}"

        table: Table[TestDue] = self._table(
            Column("What", 8, what, look.but(across="left", shrink=False, wrap=True)),
            Column("Tested", 3, lambda t: str(t.tested_on or "no date"), look),
            Column("Due", 3, lambda t: str(t.due_on or "–"), look),
            Column("", 2, state, look, lambda t: {"bold": t.overdue(day)}),
            Column("Source", 8, lambda t: t.source, Look(size=7.5, wrap=True, edges="b")),
            points=_LINE_POINTS,
        )
        self._title("Tests")
        self.sheet.heads(table)
        self.sheet.rows(table, _alike(self.air.tests))

    def _formulas(self) -> None:
        sheet, plant = self.sheet, self.job.air
        reserve = (
            f"Reserve: {emergency_words(plant)}, everyone at {plant.emergency_acfm:g} acfm, or at the gear's "
            "own flow where that is larger."
        )
        sources = (f"{source[0].upper()}{source[1:]}." for source in self.air.sources)
        sentences = (*FORMULAS, reserve, *sources)
        run_on, down, wide = " ".join(sentences), -(-len(sentences) // 2), COLUMNS // 2 - 1
        tall = [sheet.points_for(sentence, 1, wide, _SENTENCE) for sentence in sentences]
        beside = sum(max(tall[n::down]) for n in range(down))
        with sheet.together():
            self._title("Formulas and sources")
            if beside > sheet.room >= sheet.points_for(run_on, 1, COLUMNS, _SENTENCE):
                # rather than on a page of their own
                sheet.words(run_on, _SENTENCE)
            else:
                sheet.side_by_side(sentences, _SENTENCE, apart=1)

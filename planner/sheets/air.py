"""The sheet *Air*: what each dive draws, the day's flow against the plant, running hours, tests, sources."""

from __future__ import annotations

from dataclasses import dataclass, replace

from openpyxl.workbook import Workbook

from planner.air import AirReport, BankDay
from planner.air.running import TestDue
from planner.check import Finding
from planner.job import Job, UnitSystem
from planner.job.units import LITRES_PER_CUBIC_FOOT, bar_from_psi
from planner.sheets.person_day import length, wall
from planner.words.measures import depth_words, time_words
from planner.workbook.style import (
    HEAD,
    INK,
    LENGTH,
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


@dataclass(frozen=True)
class FlowStretch:
    """A stretch of the day with one required flow and one capacity, scfm."""

    start_min: int
    end_min: int
    required_scfm: float
    capacity_scfm: float


def flow_stretches(air: AirReport) -> tuple[FlowStretch, ...]:
    """The day's steps of flow, neighbours that do not differ joined."""
    out: list[FlowStretch] = []
    for step in air.supply:
        demand = step.demand
        new = FlowStretch(demand.start_min, demand.end_min, step.flow_scfm, step.capacity_scfm)
        last = out[-1] if out else None
        if last and last.end_min == new.start_min and _same(last, new):
            out[-1] = FlowStretch(last.start_min, new.end_min, last.required_scfm, last.capacity_scfm)
        else:
            out.append(new)
    return tuple(out)


def _same(one: FlowStretch, other: FlowStretch) -> bool:
    return (round(one.required_scfm, 1), round(one.capacity_scfm, 1)) == (
        round(other.required_scfm, 1),
        round(other.capacity_scfm, 1),
    )


#: Units of the layout, two columns of the sheet each.
UNITS = 24
COLUMNS = 2 * UNITS
#: Columns of the bars that show the day's flow.
_BAR_FROM, _BAR_UNITS = 21, 14
FORMULAS: tuple[str, ...] = (
    "Flow: scfm = acfm × (D + 33)/33, D in fsw.",
    "A dive's air is the sum over its legs of flow × minutes, divers at the deepest depth of each leg, with "
    "the standby breathing on the bench.",
    "Peak flow is what the primary must carry: every diver at depth, the standby sent down to him, tools "
    "still running.",
    "Running time is from the warm-up before the first diver goes on air to the last diver off air.",
)


def _alike(tests: tuple[TestDue, ...]) -> list[TestDue]:
    """Tests with the same dates and source joined into one line, their things listed."""
    joined: dict[tuple[object, ...], list[TestDue]] = {}
    for test in tests:
        joined.setdefault((test.kind, test.tested_on, test.due_on), []).append(test)
    return [replace(found[0], what=_listed([t.what for t in found])) for found in joined.values()]


def _listed(names: list[str]) -> str:
    """``hose of H1, H2``: names in a row, words that they all begin with said once."""
    shared = names[0].rsplit(" ", 1)[0] + " "
    if len(names) > 1 and all(name.startswith(shared) for name in names):
        return shared + ", ".join(name.removeprefix(shared) for name in names)
    return ", ".join(names)


def write_air(
    book: Workbook, job: Job, air: AirReport, findings: tuple[Finding, ...], page: Page, facts: str
) -> None:
    """Add the sheet *Air* to the book, with what breaks the air rules."""
    sheet = new_sheet(book, "Air", page, [1.0] * COLUMNS)
    row = write_head(sheet, "Air", job.site.name, facts)
    row = _AirSheet(sheet, job, air, findings).write(row)
    sheet.ws.freeze_panes = f"A{sheet.title_rows + 1}"
    set_up_page(sheet, row - 1)


class _AirSheet:
    """Writes the parts of the sheet in turn."""

    def __init__(self, sheet: Sheet, job: Job, air: AirReport, findings: tuple[Finding, ...]) -> None:
        self.sheet, self.job, self.air, self.findings = sheet, job, air, findings
        self.metric = job.site.units is UnitSystem.METRIC
        self.many = len(job.day_windows) > 1

    def write(self, row: int) -> int:
        """Write from a row on; returns the next free row."""
        row = self._figures(row)
        row = self._verdict(row)
        row = self._dives(row)
        row = self._flow(row)
        row = self._compressors(row)
        row = self._banks(row)
        row = self._tests(row)
        return self._formulas(row)

    # --- words ----------------------------------------------------------------------------------------

    def _both(self, words: str, metric: str) -> str:
        """A number in the program's own unit, with the metric one under it where the job is kept so."""
        return f"{words}\n{metric}" if self.metric else words

    def _scf(self, scf: float) -> str:
        return self._both(f"{scf:,.0f} scf", f"{scf * LITRES_PER_CUBIC_FOOT / 1000:,.1f} m³")

    def _scfm(self, scfm: float) -> str:
        return self._both(f"{scfm:,.1f} scfm", f"{scfm * LITRES_PER_CUBIC_FOOT:,.0f} l/min")

    def _psi(self, psi: float) -> str:
        return self._both(f"{psi:,.0f} psi", f"{bar_from_psi(psi):,.1f} bar")

    @property
    def _cell(self) -> Look:
        """A cell of a table: two lines where there are two units."""
        return VALUE.but(size=8.5, shrink=not self.metric, wrap=self.metric)

    @property
    def _points(self) -> float:
        return 25.0 if self.metric else 15.0

    def _at(self, minute: int) -> str:
        return time_words(self.job, minute)

    # --- parts ----------------------------------------------------------------------------------------

    def _title(self, row: int, words: str, titles: tuple[tuple[str, int], ...] = ()) -> int:
        sheet = self.sheet
        sheet.tall(row, 8)
        sheet.put(row + 1, 1, words, Look(size=11, bold=True), wide=COLUMNS)
        sheet.tall(row + 1, 17)
        # the title stays with its column titles and the first rows under it
        sheet.keep_together(row, row + 4)
        row += 2
        if titles:
            row = self._line(
                row,
                [(t, w, HEAD.but(across="left" if i == 0 else "center")) for i, (t, w) in enumerate(titles)],
                23,
            )
        return row

    def _line(self, row: int, cells: list[tuple[Value, int, Look]], points: float = 15) -> int:
        column = 1
        for value, wide, look in cells:
            self.sheet.put(row, column, value, look, wide=2 * wide)
            column += 2 * wide
        self.sheet.tall(row, points)
        return row + 1

    def _figures(self, row: int) -> int:
        air = self.air
        figures: list[tuple[str, str]] = [("Air drawn by all dives", self._scf(air.scf))]
        if air.peak is not None:
            figures.append((f"Peak flow, at {self._at(air.peak.at_min)}", self._scfm(air.peak.required_scfm)))
            figures.append(
                (
                    "Compressors give then",
                    self._scfm(air.peak.capacity_scfm) if air.plant_given else "no plant given",
                )
            )
        if air.plant_given and air.reserve_worst is not None:
            worst = air.reserve_worst
            figures.append((f"Way up without primary, {self._at(worst.at_min)}", self._scf(worst.scf)))
        wide = COLUMNS // max(1, len(figures))
        for index, (label, value) in enumerate(figures):
            column = 1 + index * wide
            self.sheet.put(row, column, label, Look(size=7.5, ink=SOFT, shrink=True), wide=wide)
            look = Look(size=13, bold=True, shrink=not self.metric, wrap=self.metric)
            self.sheet.put(row + 1, column, value, look, wide=wide)
        self.sheet.tall(row, 11)
        self.sheet.tall(row + 1, 36 if self.metric else 19)
        return row + 2

    def _verdict(self, row: int) -> int:
        """What the air rules say, before any number."""
        air = self.air
        if self.findings:
            lines = [f"{b.sentence} [{b.rule}]" for b in self.findings]
            title = "Not as the air rules ask"
        elif not air.plant_given:
            lines, title = [], "No air plant is given: flow is told, supply is not checked."
        else:
            lines, title = [], "Primary and reserve carry the plan, and no test given here has run out."
        self.sheet.tall(row, 6)
        self.sheet.put(
            row + 1, 1, title, Look(size=10, bold=True, edges="b" if lines else "tb"), wide=COLUMNS
        )
        self.sheet.tall(row + 1, 17)
        row += 2
        for line in lines:
            self.sheet.put(
                row, 1, line, Look(size=9, wrap=True, down="top", edges="b", indent=1), wide=COLUMNS
            )
            self.sheet.tall(row, 12.0 * lines_needed(line, self.sheet.page.width_mm - 4, 9) + 3)
            row += 1
        return row

    def _dives(self, row: int) -> int:
        if not self.air.dives:
            return row
        titles = (
            ("Dive, item", 6),
            ("Depth", 3),
            ("Air drawn", 3),
            ("Peak flow", 3),
            ("Manifold needs", 3),
            ("Reserve for the way up", 3),
            ("Reserve flow", 3),
        )
        row = self._title(row, "Each dive, its standby counted", titles)
        look = self._cell
        for dive in self.air.dives:
            row = self._line(
                row,
                [
                    (f"{dive.dive} · {dive.item}", 6, look.but(across="left", bold=True)),
                    (depth_words(dive.depth_fsw, self.job.site.units), 3, look),
                    (self._scf(dive.scf), 3, look),
                    (self._scfm(dive.peak_scfm), 3, look),
                    (self._psi(dive.needed_psi), 3, look),
                    (self._scf(dive.reserve_scf), 3, look),
                    (self._scfm(dive.reserve_scfm), 3, look),
                ],
                self._points,
            )
        return row

    def _flow(self, row: int) -> int:
        """The day as bars: grey what must be carried, the heavy line what the compressors give."""
        stretches = flow_stretches(self.air)
        if not stretches:
            return row
        titles = (("From", 2), ("To", 2), ("To carry scfm", 3), ("Compressors scfm", 3), ("", _BAR_UNITS))
        row = self._title(row, "Flow through the day, every standby sent down", titles)
        full = max(max(s.required_scfm, s.capacity_scfm) for s in stretches) or 1.0
        clock = VALUE.but(size=8, number_format="ddd hh:mm" if self.many else "hh:mm", edges="")
        for stretch in stretches:
            over = stretch.required_scfm > stretch.capacity_scfm + 1e-6 and self.air.plant_given
            number = clock.but(number_format="0.0", bold=over)
            row = self._line(
                row,
                [
                    (wall(self.job, stretch.start_min), 2, clock),
                    (wall(self.job, stretch.end_min), 2, clock),
                    (stretch.required_scfm, 3, number),
                    (stretch.capacity_scfm if self.air.plant_given else "–", 3, number),
                ],
                10.5,
            )
            self._bar(row - 1, stretch, full)
        words = "Grey: flow to be carried. Heavy line: what the compressors give; tank and banks come on top."
        self.sheet.put(row, 1, words, SMALL, wide=COLUMNS)
        self.sheet.tall(row, 12)
        return row + 1

    def _bar(self, row: int, stretch: FlowStretch, full: float) -> None:
        columns = 2 * _BAR_UNITS
        filled = max(1, round(columns * stretch.required_scfm / full))
        line = round(columns * stretch.capacity_scfm / full)
        over = self.air.plant_given and stretch.required_scfm > stretch.capacity_scfm + 1e-6
        for index in range(columns):
            fill = (INK if over else "#9A9A9A") if index < filled else None
            heavy = "r" if index + 1 == line else ""
            self.sheet.put(row, _BAR_FROM + index, None, Look(fill=fill, heavy=heavy))

    def _compressors(self, row: int) -> int:
        if not self.air.compressors:
            return row
        titles = (
            ("Compressor", 5),
            ("Role", 2),
            ("Planned on", 3),
            ("On", 2),
            ("Off", 2),
            ("Running", 2),
            ("Hour meter", 2),
            ("To service h", 2),
            ("Fuel gal", 2),
            ("Air test due", 2),
        )
        row = self._title(row, "Compressors: running hours, warm-up counted", titles)
        look = self._cell
        clock = look.but(number_format="ddd hh:mm" if self.many else "hh:mm")
        for run in self.air.compressors:
            left = "–" if run.hours_to_service is None else f"{run.hours_to_service:.1f}"
            due = str(run.air_test_due_on) if run.air_test_due_on else "no date"
            for day in run.days:
                row = self._line(
                    row,
                    [
                        (run.name, 5, look.but(across="left", bold=True)),
                        (run.role.value, 2, look),
                        (self._scfm(run.planned_scfm), 3, look),
                        (wall(self.job, day.start_min), 2, clock),
                        (wall(self.job, day.end_min), 2, clock),
                        (length(day.running_min), 2, LENGTH.but(size=8.5, bold=True)),
                        (f"{day.hour_meter_end:,.1f}", 2, look),
                        (left, 2, look.but(bold=run.service_overdue)),
                        (f"{day.fuel_gal:.1f}", 2, look),
                        (due, 2, look),
                    ],
                    self._points,
                )
            if not run.days:
                row = self._line(
                    row,
                    [
                        (run.name, 5, look.but(across="left", bold=True)),
                        ("does not run", 19, look.but(across="left")),
                    ],
                )
        return row

    def _banks(self, row: int) -> int:
        if not self.air.banks:
            return row
        titles = (
            ("Bank", 6),
            ("Role", 3),
            ("Usable", 4),
            ("Drawn", 4),
            ("Left at the end", 4),
            ("Worst way up takes", 3),
        )
        row = self._title(row, "Banks", titles)
        look = self._cell
        for bank in self.air.banks:
            row = self._line(
                row,
                [
                    (bank.name, 6, look.but(across="left", bold=True)),
                    (bank.role.value, 3, look),
                    (self._scf(bank.usable_scf), 4, look),
                    (self._scf(bank.drawn_scf), 4, look),
                    (self._left(bank), 4, look),
                    (self._scf(bank.worst_scf), 3, look),
                ],
                self._points,
            )
        return row

    def _left(self, bank: BankDay) -> str:
        """What a bank still holds: gas, and its pressure."""
        return ", ".join((self._scf(bank.left_scf), self._psi(bank.left_psi))).replace("\n", " ")

    def _tests(self, row: int) -> int:
        if not self.air.tests:
            return row
        row = self._title(row, "Tests", (("What", 8), ("Tested", 3), ("Due", 3), ("", 2), ("Source", 8)))
        day = self.job.clock.day_of(self.job.day_windows[-1].start_min)
        look = self._cell
        for test in _alike(self.air.tests):
            state = "RUN OUT" if test.overdue(day) else "holds" if test.due_on else "ask"
            what = test.what if test.kind != "air" else f"air of {test.what}"
            row = self._line(
                row,
                [
                    (what, 8, look.but(across="left", shrink=False, wrap=True)),
                    (str(test.tested_on or "no date"), 3, look),
                    (str(test.due_on or "–"), 3, look),
                    (state, 2, look.but(bold=state == "RUN OUT")),
                    (test.source, 8, Look(size=7.5, wrap=True, edges="b")),
                ],
                max(
                    9.5 * lines_needed(test.source, self.sheet.width_mm(33, 16), 7.5) + 5,
                    11.0 * lines_needed(what, self.sheet.width_mm(1, 16), 8.5) + 4,
                ),
            )
        return row

    def _formulas(self, row: int) -> int:
        row = self._title(row, "Formulas and sources")
        words = (*FORMULAS, *(f"{source[0].upper()}{source[1:]}." for source in self.air.sources))
        for sentence in words:
            self.sheet.put(row, 1, sentence, Look(size=8, wrap=True, down="top"), wide=COLUMNS)
            self.sheet.tall(row, 10.5 * lines_needed(sentence, self.sheet.page.width_mm, 8) + 1.5)
            row += 1
        return row

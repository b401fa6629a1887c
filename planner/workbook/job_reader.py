"""A job workbook read into a `Job`, or every fault in it together."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from typing import Any

from pydantic import ValidationError

from planner.errors import Fault, InputFaults
from planner.job.base import Clock
from planner.job.contradiction import Path, known_time_zones
from planner.job.crew_rules import CrewRules
from planner.job.cross_checks import cross_contradictions
from planner.job.duties import BUILT_IN_DUTIES
from planner.job.job import Job
from planner.job.names import closest, fold, listed
from planner.job.presets import DEFAULT_PRESET, PRESETS
from planner.job.site import TideMark
from planner.job.units import UnitSystem
from planner.workbook.apart import open_apart
from planner.workbook.columns import JobSheet, says_in
from planner.workbook.door import Source
from planner.workbook.field_cells import FieldCells, Names, Tree
from planner.workbook.job_sheets import JOB_SHEETS
from planner.workbook.job_sheets.gear_and_air import AIR, BANKS, BENCH_STEPS, COMPRESSORS, OUTFITS, TANKS
from planner.workbook.job_sheets.people import CERTIFICATES, HOURS_WORKED, ON_SITE, PAST_DIVES, PEOPLE
from planner.workbook.job_sheets.rules import (
    CREW_MINIMA,
    DUTY_CERTIFICATES,
    DUTY_PAIRS,
    PRIORITIES,
    RULES,
    weight_field,
)
from planner.workbook.job_sheets.site_and_water import HIGH_LOW, SITE, STATIONS, TIDE, WATER_WINDOWS
from planner.workbook.job_sheets.work import (
    DIVE_WORK,
    GATES,
    NOT_TOGETHER,
    ORDER,
    PINS,
    SURFACE_WORK,
    WINDOWS,
)
from planner.workbook.opening import OpenedBook, RawSheet, open_book
from planner.workbook.sheet_reader import Row, SheetReader, Table, workbook_units
from planner.workbook.unsaid import misspelt_sheets, sheets_read, taken_as


def earliest_day(tables: Iterable[Table]) -> date | None:
    """The first day that any row names; stands in for a first day that is missing."""
    days = [d for t in tables for row in t.rows if isinstance(d := row.values.get("day"), date)]
    return min(days, default=None)


#: Things that rows of other sheets belong to, with their places in the job.
Owners = list[tuple[Tree, Path]]


class JobBuilder:
    """Joins the rows of all sheets into the tree of one job.

    Parameters
    ----------
    reader
        Where faults are noted.
    tables
        The rows of every sheet, by its name.
    """

    def __init__(self, reader: SheetReader, tables: dict[str, Table]) -> None:
        self.reader, self.tables = reader, tables
        site = self._settings(SITE)
        if "first_day" in site.bad:
            site.values["first_day"] = earliest_day(tables.values()) or site.values["first_day"]
        zone = site.values.get("time_zone", "")
        first_day = site.values["first_day"]
        self.cells = FieldCells(reader, Clock(first_day, zone if zone in known_time_zones() else "UTC"))
        self.stations = self._names("station", STATIONS)
        self.people = self._names("person", PEOPLE)
        self.items = self._names("item", DIVE_WORK, SURFACE_WORK)
        self.duties = self._known_duties()
        self.certificates = Names("certificate")

    def job(self) -> Job | None:
        """The job; None, with faults noted, when the models refuse it."""
        try:
            return Job.model_validate(self._tree())
        except ValidationError as refused:
            for error in refused.errors(include_url=False):
                place = self.cells.place_of(error["loc"])
                self.reader.fault(place, str(error["input"])[:80], error["msg"], "This is not allowed here.")
        return None

    def cross(self, job: Job) -> None:
        """Note what contradicts what, leaving out all that rests on a cell that has its own fault."""
        for contradiction in cross_contradictions(job, says_in(self.reader.units or UnitSystem.FEET)):
            if not any(self.cells.in_doubt(path) for path in contradiction.paths):
                place = self.cells.place_of(contradiction.path)
                self.reader.fault(place, contradiction.found, contradiction.allowed, contradiction.sentence)

    def _tree(self) -> Tree:
        """Everything as plain values, by the names of the models' fields."""
        people = self._people()
        dive_items, surface_items = self._items()
        return {
            "site": self.cells.part(self._settings(SITE), ("site",)),
            "stations": self._parts(STATIONS, ("stations",)),
            "people": people,
            "dive_items": dive_items,
            "surface_items": surface_items,
            "water_windows": self._water_windows(),
            "tide_marks": self._tide_marks(),
            "outfits": self._parts(OUTFITS, ("outfits",)),
            "air": {
                **self.cells.part(self._settings(AIR), ("air",)),
                "compressors": self._parts(COMPRESSORS, ("air", "compressors")),
                "banks": self._parts(BANKS, ("air", "banks")),
                "tanks": self._parts(TANKS, ("air", "tanks")),
            },
            "rules": self._rules(),
            "gates": self._gates(),
            "pins": self._pins(),
        }

    def _settings(self, sheet: JobSheet) -> Row:
        return self.tables[sheet.name].rows[0]

    def _names(self, what: str, *sheets: JobSheet) -> Names:
        tables = [self.tables[sheet.name] for sheet in sheets]
        names = (row.values["name"] for t in tables for row in t.rows if "name" not in row.bad)
        return Names(what, names, complete=all(t.whole for t in tables))

    def _known_duties(self) -> Names:
        """Spellings of duties: the built-in ones first, then those of crews; more are added as they come."""
        duties = Names("duty", BUILT_IN_DUTIES)
        for row in self.tables[SURFACE_WORK.name].rows:
            for need in row.values.get("crew", ()):
                duties.add(need.duty)
            if "crew" in row.bad:
                self.cells.bad.add(("surface_items",))
        return duties

    def _table(self, sheet: JobSheet, path: Path) -> Table:
        table = self.tables[sheet.name]
        self.cells.places[path] = table.first_cell
        if not table.whole:
            self.cells.bad.add(path)
        return table

    def _parts(self, sheet: JobSheet, path: Path) -> list[Tree]:
        """The rows of a sheet whose columns are the fields of its model."""
        rows = self._table(sheet, path).rows
        return [self.cells.part(row, (*path, i)) for i, row in enumerate(rows)]

    def _owned(
        self, sheet: JobSheet, field: str, owners: Owners, known: Names
    ) -> Iterator[tuple[Row, Tree, Path]]:
        """Rows that belong to something of another sheet, with that thing's tree and path."""
        by_name = {fold(tree["name"]): (tree, path) for tree, path in reversed(owners)}
        for row in self.tables[sheet.name].rows:
            name = self.cells.name(row, field, known)
            if name is not None and fold(name) in by_name:
                yield row, *by_name[fold(name)]

    def _spans(self, sheet: JobSheet, field: str, into: str, owners: Owners, known: Names) -> None:
        for row, tree, path in self._owned(sheet, field, owners, known):
            span = self.cells.span(row, (*path, into, len(tree[into])))
            if span is not None:
                tree[into].append(span)

    def _people(self) -> list[Tree]:
        owners: Owners = []
        for i, row in enumerate(self._table(PEOPLE, ("people",)).rows):
            path: Path = ("people", i)
            lists: dict[str, list[Tree]] = {
                name: [] for name in ("certificates", "past_dives", "past_work", "available")
            }
            duties = [self.duties.add(duty) for duty in row.values.get("duties", ())]
            tree = self.cells.part(
                row,
                path,
                duties=duties,
                last_duty_end_min=self._moment(
                    row,
                    "last_duty",
                    "the time at which the last duty ended, or a blank day",
                    "The last duty has a day but no time.",
                    self.cells.clock.day_of(-1),
                ),
                arrived_min=self._moment(
                    row,
                    "arrived",
                    "the day and the time of arrival at altitude, or both blank",
                    "The arrival at altitude has only one of day and time.",
                ),
                **lists,
            )
            if "depth_rating_fsw" in row.bad:
                # what the cell should say is not known, so nothing is held against the person's rating
                tree["depth_rating_fsw"] = PEOPLE.bounds(PEOPLE.column("depth_rating_fsw")).high
            owners.append((tree, path))
        for row, tree, path in self._owned(CERTIFICATES, "person", owners, self.people):
            part = self.cells.part(row, (*path, "certificates", len(tree["certificates"])))
            tree["certificates"].append({**part, "name": self.certificates.add(part["name"])})
        for row, tree, path in self._owned(PAST_DIVES, "person", owners, self.people):
            minute = self.cells.minute(row, "day", "from")
            if minute is not None:
                here = (*path, "past_dives", len(tree["past_dives"]))
                tree["past_dives"].append(self.cells.part(row, here, surfaced_min=minute))
        self._spans(HOURS_WORKED, "person", "past_work", owners, self.people)
        self._spans(ON_SITE, "person", "available", owners, self.people)
        return [tree for tree, _ in owners]

    def _moment(
        self, row: Row, of: str, allowed: str, sentence: str, default_day: date | None = None
    ) -> int | None:
        """The job minute of a day cell and a time cell, with a fault where only one of two is filled in."""
        both = (day, at) = (f"{of}_day", f"{of}_time")
        given = [field for field in both if field in row.values]
        if at in given and (day in given or default_day is not None):
            return self.cells.minute(row, day, at, default_day)
        for field in both:
            if given and field not in given and field not in row.bad:
                self.reader.fault(row.where(field), "", allowed, sentence)
        return None

    def _items(self) -> tuple[list[Tree], list[Tree]]:
        sheets = (("dive_items", DIVE_WORK), ("surface_items", SURFACE_WORK))
        owners: Owners = [
            (self._item(row, (top, i)), (top, i))
            for top, sheet in sheets
            for i, row in enumerate(self._table(sheet, (top,)).rows)
        ]
        self._spans(WINDOWS, "item", "windows", owners, self.items)
        for row, tree, path in self._owned(ORDER, "item", owners, self.items):
            other = self.cells.name(row, "after", self.items)
            if other is not None:
                here = (*path, "after", len(tree["after"]))
                part = self.cells.part(row, here)
                tree["after"].append({**part, "item": other})
                self.cells.note((*here, "item"), row, "after")
        for row, tree, path in self._owned(NOT_TOGETHER, "item", owners, self.items):
            other = self.cells.name(row, "other", self.items)
            if other is not None:
                self.cells.note((*path, "not_together_with", len(tree["not_together_with"])), row, "other")
                tree["not_together_with"].append(other)
        dives = [tree for tree, path in owners if path[0] == "dive_items"]
        return dives, [tree for tree, path in owners if path[0] == "surface_items"]

    def _item(self, row: Row, path: Path) -> Tree:
        more: dict[str, Any] = {"windows": [], "after": [], "not_together_with": []}
        more["station"] = self.cells.name(row, "station", self.stations)
        if row.sheet is SURFACE_WORK:
            crew = row.values.get("crew", ())
            more["crew"] = [{"duty": self.duties.add(need.duty), "count": need.count} for need in crew]
            for j in range(len(crew)):
                self.cells.note((*path, "crew", j), row, "crew")
        else:
            wanted = row.values.get("certificates", ())
            more["certificates"] = [self.certificates.add(name) for name in wanted]
        return self.cells.part(row, path, **more)

    def _water_windows(self) -> list[Tree]:
        trees: list[Tree] = []
        for row in self._table(WATER_WINDOWS, ("water_windows",)).rows:
            path: Path = ("water_windows", len(trees))
            stations = self.cells.names(row, "stations", self.stations)
            span = self.cells.span(row, path)
            if span is not None:
                trees.append(self.cells.part(row, path, stations=stations, **span))
        return trees

    def _tide_marks(self) -> list[Tree]:
        trees: list[Tree] = []
        for row in self._table(TIDE, ("tide_marks",)).rows:
            minute = self.cells.minute(row, "day", "from")
            if minute is not None:
                high = row.values["high"] == HIGH_LOW[0]
                trees.append(self.cells.part(row, ("tide_marks", len(trees)), minute=minute, high=high))
        return trees

    def _gates(self) -> list[Tree]:
        trees: list[Tree] = []
        for row in self._table(GATES, ("gates",)).rows:
            path: Path = ("gates", len(trees))
            items = self.cells.names(row, "items", self.items)
            ends = self.cells.ends(row)
            if items:
                # without an item that is known it would gate nothing: its cell has its fault
                trees.append(self.cells.part(row, path, items=items, **ends))
        return trees

    def _pins(self) -> list[Tree]:
        trees: list[Tree] = []
        kinds = (("item", self.items), ("person", self.people), ("station", self.stations))
        for row in self._table(PINS, ("pins",)).rows:
            path: Path = ("pins", len(trees))
            more: dict[str, Any] = {field: self.cells.name(row, field, known) for field, known in kinds}
            if "duty" in row.values:
                more["duty"] = self.duties.add(row.values["duty"])
            trees.append(self.cells.part(row, path, **more, **self.cells.ends(row)))
        return trees

    def _rules(self) -> Tree:
        row = self._settings(RULES)
        tree = self.cells.part(row, ("rules",))
        defaults = CrewRules().priority_weights
        weights = []
        for i in range(PRIORITIES):
            field = weight_field(i + 1)
            weights.append(row.values.get(field, defaults[i]))
            self.cells.note(("rules", "priority_weights", i), row, field)
        tree["priority_weights"] = weights
        tree["bench_steps"] = self._parts(BENCH_STEPS, ("rules", "bench_steps"))
        for step in tree["bench_steps"]:
            if "signed_by" in step:
                step["signed_by"] = self.duties.add(step["signed_by"])
        tree["minima"] = self._duty_rows(CREW_MINIMA, ("rules", "minima"), "duty")
        if not tree["minima"] and self.tables[CREW_MINIMA.name].whole:
            tree["minima"] = self._least_team(row)
        pairs = self._duty_rows(DUTY_PAIRS, ("rules", "pairs"), "duty", "with_duty")
        if self.tables[DUTY_PAIRS.name].there:
            tree["pairs"] = pairs
        tree["duty_certificates"] = self._duty_rows(DUTY_CERTIFICATES, ("rules", "duty_certificates"), "duty")
        for held in tree["duty_certificates"]:
            held["certificate"] = self.certificates.add(held["certificate"])
        return tree

    def _duty_rows(self, sheet: JobSheet, path: Path, *fields: str) -> list[Tree]:
        trees: list[Tree] = []
        for row in self._table(sheet, path).rows:
            if all(field in row.values for field in fields):
                duties = {field: self.duties.add(row.values[field]) for field in fields}
                trees.append(self.cells.part(row, (*path, len(trees)), **duties))
        return trees

    def _least_team(self, row: Row) -> list[Tree]:
        """The crew rows of the least team that the sheet Rules names, for a sheet without rows."""
        typed = str(row.values.get("preset", DEFAULT_PRESET))
        for name, preset in PRESETS.items():
            if fold(name) == fold(typed):
                return [dict(minimum) for minimum in preset.minima]
        near = closest(typed, PRESETS)
        self.reader.fault(
            row.where("preset"),
            typed,
            listed(PRESETS),
            f"The sheet {CREW_MINIMA.name} has no rows, and there is no least team called {typed}."
            + (f" Did you mean {near}?" if near else ""),
        )
        return [dict(minimum) for minimum in PRESETS[DEFAULT_PRESET].minima]


_CELL = re.compile(r"(?P<sheet>.*)!(?P<column>[A-Z]+)(?P<row>\d+)")
#: Gives a job its high and low waters; raises `InputFaults` where they cannot be read.
Waters = Callable[[Job], Sequence[TideMark]]
#: Takes a sentence about what was opened otherwise than it stands in the file.
Told = Callable[[str], object]


def read_job(
    source: Source,
    *,
    waters: Waters | None = None,
    told: Told | None = None,
    came_from: Told | None = None,
    apart: bool = False,
) -> Job:
    """Read a job workbook.

    Parameters
    ----------
    source
        Path, bytes, or open binary file of an .xlsx workbook.
    waters
        High and low waters from elsewhere, in place of those of the sheet Tide.
    told
        Is given a sentence for each value of a workbook of an earlier version that is opened as another.
    came_from
        Is given what was read and what was not, and which file it was: to be shown always.
    apart
        Open the file in a process of its own, with an end to its time and memory (`planner.workbook.apart`):
        for files that others made.

    Raises
    ------
    InputFaults
        With every fault that was found, in the order of the sheets: the cell, what was found, what is
        allowed, and one plain sentence.
    """
    book = (open_apart if apart else open_book)(source)
    return job_of_book(book, waters=waters, told=told, came_from=came_from)


def job_of_book(
    book: OpenedBook,
    *,
    waters: Waters | None = None,
    told: Told | None = None,
    came_from: Told | None = None,
) -> Job:
    """The job that an opened workbook makes; parameters and faults as in `read_job`."""
    job = job_of_sheets(book.sheets, waters=waters, told=told)
    if came_from is not None:
        came_from(sheets_read(book.name, book.sheets, book.sha256))
    return job


def job_of_sheets(
    raws: Iterable[RawSheet],
    units: UnitSystem | None = None,
    *,
    waters: Waters | None = None,
    told: Told | None = None,
) -> Job:
    """The job that a workbook's sheets make, wherever their cells come from (a file, a screen).

    Parameters
    ----------
    units
        Units of the headings and of what is told, where they are not those that the sheet Site names for the
        job's own workbook. None: as the sheet Site says.
    waters, told
        As in `read_job`.

    Raises
    ------
    InputFaults
        As `read_job`.
    """
    sheets = {fold(raw.name): raw for raw in raws}
    own = workbook_units(SITE, sheets.get(fold(SITE.name)))
    reader = SheetReader(units or own, own)
    misspelt_sheets(reader, sheets)
    tables = {
        sheet.name: (reader.settings if sheet.settings else reader.table)(sheet, sheets.get(fold(sheet.name)))
        for sheet in JOB_SHEETS
    }
    builder = JobBuilder(reader, tables)
    job = builder.job()
    if job is not None and waters is not None:
        try:
            job = job.replace(tide_marks=waters(job))
        except InputFaults as found:
            reader.faults.extend(found.faults)
            builder.cells.bad.add(("tide_marks",))
    if job is not None:
        builder.cross(job)
    if reader.faults or job is None:
        raise InputFaults(sorted(reader.faults, key=_by_place))
    if told is not None:
        for sentence in (*reader.told, *taken_as(job, tables)):
            told(sentence)
    return job


def _by_place(fault: Fault) -> tuple[int, int, int, str]:
    """Sheets in their order, then cells from top to bottom; what stands in no sheet comes first."""
    match = _CELL.fullmatch(fault.where)
    names = [sheet.name for sheet in JOB_SHEETS]
    sheet = match["sheet"] if match else fault.where
    order = names.index(sheet) if sheet in names else -1
    if match is None:
        return order, 0, 0, ""
    return order, int(match["row"]), len(match["column"]), match["column"]

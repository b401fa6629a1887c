"""A job workbook read into a `Job`, or every fault in it together."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date
from typing import Any

from pydantic import ValidationError

from planner.errors import Fault, InputFaults
from planner.file_limits import Source
from planner.job.base import Clock
from planner.job.contradiction import Path, known_time_zones
from planner.job.crew_rules import CrewRules
from planner.job.cross_checks import cross_contradictions
from planner.job.duties import BUILT_IN_DUTIES
from planner.job.job import Job
from planner.job.names import did_you_mean, fold, listed
from planner.job.presets import DEFAULT_PRESET, PRESETS
from planner.job.site import TideMark
from planner.job.units import UnitSystem
from planner.workbook.apart import open_apart
from planner.workbook.columns import DAY_AND_TIME, CellKind, JobColumn, JobSheet, says_in
from planner.workbook.field_cells import FieldCells, Names, Tree
from planner.workbook.job_sheets import (
    CERTIFICATES,
    CREW_MINIMA,
    DIVE_WORK,
    DUTY_PAIRS,
    HOURS_WORKED,
    JOB_SHEETS,
    NOT_TOGETHER,
    ON_SITE,
    ORDER,
    PAST_DIVES,
    PEOPLE,
    PRIORITIES,
    RULES,
    SITE,
    STATIONS,
    SURFACE_WORK,
    WINDOWS,
    weight_field,
)
from planner.workbook.opening import OpenedBook, RawSheet, open_book
from planner.workbook.sheet_reader import Row, SheetReader, SheetRows, workbook_units
from planner.workbook.unsaid import misspelt_sheets, sheets_read, taken_as


def earliest_day(tables: Iterable[SheetRows]) -> date | None:
    """The first day that any row names; stands in for a first day that is missing."""
    days = [d for t in tables for row in t.rows if isinstance(d := row.values.get("day"), date)]
    return min(days, default=None)


#: Things that rows of other sheets belong to, with their places in the job.
Owners = list[tuple[Tree, Path]]


class JobBuilder:
    """Joins the rows of all sheets, by their names, into the tree of one job; its reader notes the faults."""

    def __init__(self, reader: SheetReader, tables: dict[str, SheetRows]) -> None:
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
        tree: Tree = {"people": people, "dive_items": dive_items, "surface_items": surface_items}
        # a part of the job comes before what stands in it
        for sheet in sorted(JOB_SHEETS, key=lambda sheet: sheet.path.count(".")):
            if not sheet.owner and sheet.path not in tree:
                *inside, field = path = sheet.path.split(".")
                part = (
                    self.cells.part(self._settings(sheet), (*path,)) if sheet.settings else self._list(sheet)
                )
                (tree[inside[0]] if inside else tree)[field] = part
        self._complete_rules(tree["rules"])
        return tree

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

    def _rows(self, sheet: JobSheet) -> list[Row]:
        """The rows of a sheet; what rests on a list that is not whole is in doubt."""
        table, path = self.tables[sheet.name], tuple(sheet.path.split("."))
        self.cells.places[path] = table.first_cell
        if not table.whole:
            self.cells.bad.add(path)
        return table.rows

    def _list(self, sheet: JobSheet) -> list[Tree]:
        """What the rows of a sheet become, less those that lack what they cannot be without."""
        path, trees = sheet.path.split("."), list[Tree]()
        for row in self._rows(sheet):
            trees += self._part(row, (*path, len(trees)))
        return trees

    def _part(self, row: Row, path: Path, **more: Any) -> list[Tree]:
        """What a row becomes, with its names as they were first spelled and its times as job minutes.

        Nothing where a name or a time that it cannot be without is not known; that cell has its fault.
        ``more`` stands in place of what its cells say.
        """
        fields = row.sheet.model.model_fields
        found: dict[str, Any] = {}
        for column in row.sheet.columns:
            if column.field in fields and column.field not in more:
                found |= self._named(row, column)
        moments = [field for field in DAY_AND_TIME if field in fields and field not in more]
        if "start_min" in moments:
            found |= self.cells.ends(row)
        else:
            found |= {field: self.cells.minute(row, *DAY_AND_TIME[field]) for field in moments}
        if any(fields[name].is_required() and value in (None, ()) for name, value in found.items()):
            return []
        return [self.cells.part(row, path, **found, **more)]

    def _named(self, row: Row, column: JobColumn) -> Tree:
        """The field of a column that says a name, or one of two words for yes and no."""
        field, value = column.field, row.values.get(column.field)
        if column.kind is CellKind.CHOICE and row.sheet.model.model_fields[field].annotation is bool:
            return {field: value == column.choices[0]}
        known = {"people": self.people, "items": self.items, "stations": self.stations}.get(column.refers)
        if known is not None and column.kind is CellKind.NAMES:
            return {field: self.cells.names(row, field, known)}
        if known is not None:
            return {field: self.cells.name(row, field, known)}
        spelled = {"duties": self.duties, "certificates": self.certificates}.get(column.refers)
        if spelled is None or (value is None and not row.sheet.needs(column)):
            return {}
        if column.kind is CellKind.NAMES:
            return {field: tuple(spelled.add(name) for name in value or ())}
        return {field: None if value is None else spelled.add(value)}

    def _owned(self, sheet: JobSheet, owners: Owners, known: Names) -> Iterator[tuple[Row, list[Any], Path]]:
        """Rows that belong to something of another sheet, each with the list and the place it goes to."""
        field = sheet.path.split(".")[-1]
        by_name = {fold(tree["name"]): (tree, path) for tree, path in reversed(owners)}
        for row in self.tables[sheet.name].rows:
            name = self.cells.name(row, sheet.owner, known)
            if name is not None and fold(name) in by_name:
                tree, path = by_name[fold(name)]
                yield row, tree[field], (*path, field, len(tree[field]))

    def _people(self) -> list[Tree]:
        owners: Owners = []
        for i, row in enumerate(self._rows(PEOPLE)):
            path: Path = ("people", i)
            lists: dict[str, list[Tree]] = {
                name: [] for name in ("certificates", "past_dives", "past_work", "available")
            }
            [tree] = self._part(
                row,
                path,
                duties=[self.duties.add(duty) for duty in row.values.get("duties", ())],
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
        for sheet in (CERTIFICATES, PAST_DIVES, HOURS_WORKED, ON_SITE):
            for row, into, path in self._owned(sheet, owners, self.people):
                into += self._part(row, path)
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
        owners: Owners = [
            (self._item(row, (sheet.path, i)), (sheet.path, i))
            for sheet in (DIVE_WORK, SURFACE_WORK)
            for i, row in enumerate(self._rows(sheet))
        ]
        for row, into, path in self._owned(WINDOWS, owners, self.items):
            into += self._part(row, path)
        for row, into, path in self._owned(ORDER, owners, self.items):
            other = self.cells.name(row, "after", self.items)
            if other is not None:
                into += self._part(row, path, item=other)
                self.cells.note((*path, "item"), row, "after")
        for row, into, path in self._owned(NOT_TOGETHER, owners, self.items):
            other = self.cells.name(row, "other", self.items)
            if other is not None:
                self.cells.note(path, row, "other")
                into.append(other)
        dives = [tree for tree, path in owners if path[0] == "dive_items"]
        return dives, [tree for tree, path in owners if path[0] == "surface_items"]

    def _item(self, row: Row, path: Path) -> Tree:
        more: dict[str, Any] = {"windows": [], "after": [], "not_together_with": []}
        if row.sheet is SURFACE_WORK:
            crew = row.values.get("crew", ())
            more["crew"] = [{"duty": self.duties.add(need.duty), "count": need.count} for need in crew]
            for j in range(len(crew)):
                self.cells.note((*path, "crew", j), row, "crew")
        return self._part(row, path, **more)[0]

    def _complete_rules(self, tree: Tree) -> None:
        """Put in what the sheets of rules say otherwise than by a row each."""
        row = self._settings(RULES)
        weights = list(CrewRules().priority_weights)
        for i in range(PRIORITIES):
            weights[i] = row.values.get(weight_field(i + 1), weights[i])
            self.cells.note(("rules", "priority_weights", i), row, weight_field(i + 1))
        tree["priority_weights"] = weights
        if not tree["minima"] and self.tables[CREW_MINIMA.name].whole:
            tree["minima"] = self._least_team(row)
        if not self.tables[DUTY_PAIRS.name].there:
            del tree["pairs"]

    def _least_team(self, row: Row) -> list[Tree]:
        """The crew rows of the least team that the sheet Rules names, for a sheet without rows."""
        typed = str(row.values.get("preset", DEFAULT_PRESET))
        for name, preset in PRESETS.items():
            if fold(name) == fold(typed):
                return [dict(minimum) for minimum in preset.minima]
        lacks = f"The sheet {CREW_MINIMA.name} has no rows, and there is no least team called {typed}."
        meant = did_you_mean(typed, PRESETS)
        self.reader.fault(row.where("preset"), typed, listed(PRESETS), f"{lacks}{meant}")
        return [dict(minimum) for minimum in PRESETS[DEFAULT_PRESET].minima]


_CELL = re.compile(r"(?P<sheet>.*)!(?P<column>[A-Z]+)(?P<row>\d+)")
#: Gives a job its high and low waters; raises `InputFaults` where they cannot be read.
Waters = Callable[[Job], Sequence[TideMark]]
#: Takes a sentence about what was opened otherwise than it stands in the file.
Told = Callable[[str], object]


def read_job(
    source: Source, *, told: Told | None = None, came_from: Told | None = None, apart: bool = False
) -> Job:
    """Read a job workbook.

    Parameters
    ----------
    source
        Path, bytes, or open binary file of an .xlsx workbook.
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
    return job_of_book(book, told=told, came_from=came_from)


def job_of_book(
    book: OpenedBook,
    *,
    waters: Waters | None = None,
    told: Told | None = None,
    came_from: Told | None = None,
) -> Job:
    """The job that an opened workbook makes; faults, ``told`` and ``came_from`` as in `read_job`.

    Parameters
    ----------
    waters
        High and low waters from elsewhere, in place of those of the sheet Tide.
    """
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
        As in `job_of_book`.

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

"""A job workbook read into a `Job`, or every fault in it together."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from openpyxl.utils import column_index_from_string
from pydantic import ValidationError

from planner.errors import Fault, InputFaults
from planner.job.base import Clock, Span
from planner.job.contradiction import Path, known_time_zones
from planner.job.crew_rules import OUT_OF_DRESS, CrewRules
from planner.job.cross_checks import cross_contradictions
from planner.job.duties import BUILT_IN_DUTIES
from planner.job.job import Job
from planner.job.names import closest, fold, listed, unknown_name
from planner.job.presets import DEFAULT_PRESET, PRESETS
from planner.job.site import Policy, TideMark, UnitSystem
from planner.workbook.cells import WallTime
from planner.workbook.columns import JobSheet, bounds_of, says_in
from planner.workbook.job_sheets import (
    AIR,
    BANKS,
    BENCH_STEPS,
    CERTIFICATES,
    COMPRESSORS,
    CREW_MINIMA,
    DIVE_WORK,
    DUTY_PAIRS,
    HIGH_LOW,
    HOURS_WORKED,
    JOB_SHEETS,
    LISTS_SHEET,
    NOT_TOGETHER,
    ON_SITE,
    ORDER,
    OUTFITS,
    PAST_DIVES,
    PEOPLE,
    PINS,
    PRIORITIES,
    README_SHEET,
    RULES,
    SITE,
    STATIONS,
    SURFACE_WORK,
    TANKS,
    TIDE,
    WATER_WINDOWS,
    WINDOWS,
    weight_field,
)
from planner.workbook.opening import RawSheet, Source, open_sheets
from planner.workbook.sheet_reader import Row, SheetReader, Table, workbook_units

Tree = dict[str, Any]
_JOB_MINUTES = bounds_of(Span.model_fields["start_min"])


class Names:
    """The names of one kind. ``complete``: they could all be read, so a name not among them is unknown."""

    def __init__(self, what: str, names: Iterable[str] = (), *, complete: bool = True) -> None:
        self.what, self.complete = what, complete
        self._spelled: dict[str, str] = {}
        for name in names:
            self.add(name)

    def add(self, name: str) -> str:
        """The first spelling of a name, which is this one when it is new."""
        return self._spelled.setdefault(fold(name), name)

    def get(self, name: str) -> str | None:
        """The spelling of a name, or None when it is not among them."""
        return self._spelled.get(fold(name))

    @property
    def all(self) -> tuple[str, ...]:
        """Every name as first spelled."""
        return tuple(self._spelled.values())


class FieldCells:
    """The fields of the job with the cell that each came from, and those that could not be read.

    Parameters
    ----------
    reader
        Where faults are noted.
    clock
        Turns wall times into job minutes.
    """

    def __init__(self, reader: SheetReader, clock: Clock) -> None:
        self.reader, self.clock = reader, clock
        self.places: dict[Path, str] = {}
        self.bad: set[Path] = set()

    def part(self, row: Row, path: Path, **more: Any) -> Tree:
        """The fields of a row's model as plain values, each with its cell; ``more`` stands in their place."""
        model = row.sheet.model
        self.places[path] = row.place
        tree: Tree = {}
        for column in row.sheet.columns:
            if column.field in model.model_fields:
                self.note((*path, column.field), row, column.field)
                if column.field in row.values:
                    value = row.values[column.field]
                    tree[column.field] = value.wall if isinstance(value, WallTime) else value
        return {**tree, **more}

    def note(self, path: Path, row: Row, field: str) -> None:
        """Remember the cell of a path, and whether it is in doubt."""
        self.places[path] = row.where(field)
        if field in row.bad:
            self.bad.add(path)

    def name(self, row: Row, field: str, known: Names) -> str | None:
        """The thing that a cell names; None, with a fault, when there is no such thing."""
        typed = row.values.get(field)
        if typed is None or not isinstance(typed, str):
            return None
        return self._resolve(row, field, typed, known)

    def names(self, row: Row, field: str, known: Names) -> tuple[str, ...]:
        """The things that a cell names, with a fault for each that does not exist."""
        typed = row.values.get(field, ())
        found = (self._resolve(row, field, one, known) for one in typed)
        return tuple(one for one in found if one is not None)

    def _resolve(self, row: Row, field: str, typed: str, known: Names) -> str | None:
        found = known.get(typed)
        if found is None:
            row.bad.add(field)
            if known.complete:
                allowed, sentence = unknown_name(known.what, typed, known.all)
                self.reader.fault(row.where(field), typed, allowed, sentence)
        return found

    def minute(
        self, row: Row, day_field: str, time_field: str, default_day: date | None = None
    ) -> int | None:
        """The job minute of a day cell and a time cell; None, with a fault noted, when there is none."""
        wall = row.values.get(time_field)
        if day_field in row.bad or time_field in row.bad or not isinstance(wall, WallTime):
            return None
        day = row.values.get(day_field)
        if wall.day is not None and day is not None and wall.day != day:
            self._doubt(row, time_field, wall.day.isoformat(), day.isoformat(), "carries another day")
            return None
        day = wall.day or day or default_day or self.clock.first_day
        moment = datetime.combine(day, wall.wall)
        if wall.end_of_day:
            moment += timedelta(days=1)
        try:
            minute = self.clock.minute(moment)
        except OverflowError:
            minute = None
        if minute is None or not _JOB_MINUTES.hold(minute):
            self._doubt(
                row,
                day_field if day_field in row.values else time_field,
                day.isoformat(),
                f"within two weeks of {self.clock.first_day.isoformat()}",
                "is too far from the job's first day",
            )
            return None
        if moment.tzinfo is None and self.clock.at(minute).replace(tzinfo=None) != moment:
            self._doubt(
                row,
                time_field,
                f"{wall.wall:%H:%M}",
                "a time that the clock shows that day",
                "does not exist on that day: the clocks are set forward past it",
            )
            return None
        return minute

    def _doubt(self, row: Row, field: str, found: str, allowed: str, trouble: str) -> None:
        row.bad.add(field)
        title = row.sheet.column(field).title
        self.reader.fault(row.where(field), found, allowed, f"{title} {trouble}.")

    def ends(self, row: Row) -> tuple[int | None, int | None]:
        """Start and end of a row's stretch of time; None for one that is blank or could not be read."""
        start = self.minute(row, "day", "from")
        wall = row.values.get("from")
        same_day = row.values.get("day") or (wall.day if isinstance(wall, WallTime) else None)
        # without its day a stretch cannot be placed at all
        return start, None if "day" in row.bad else self.minute(row, "until_day", "until", same_day)

    def span(self, row: Row, path: Path) -> Tree | None:
        """Start and end of a row's stretch of time; None when either could not be read."""
        start, end = self.ends(row)
        self.places[path] = row.place
        self.note((*path, "start_min"), row, "from")
        self.note((*path, "end_min"), row, "until")
        if start is None or end is None:
            return None
        return {"start_min": start, "end_min": end}

    def place_of(self, path: Path) -> str:
        """The cell behind a path, or behind the nearest thing around it."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.places:
                return self.places[path[:length]]
        return "workbook"

    def in_doubt(self, path: Path) -> bool:
        """Whether a path, or anything around it, could not be read."""
        return any(path[:length] in self.bad for length in range(1, len(path) + 1))


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
                last_duty_end_min=self._last_duty(row),
                arrived_min=self._arrived(row),
                **lists,
            )
            if "depth_rating_fsw" in row.bad:
                # what the cell should say is not known, so nothing is held against the person's rating
                tree["depth_rating_fsw"] = PEOPLE.bounds(PEOPLE.column("depth_rating_fsw")).high
            self.cells.note((*path, "last_duty_end_min"), row, "last_duty_time")
            self.cells.note((*path, "arrived_min"), row, "arrived_time")
            owners.append((tree, path))
        for row, tree, path in self._owned(CERTIFICATES, "person", owners, self.people):
            part = self.cells.part(row, (*path, "certificates", len(tree["certificates"])))
            tree["certificates"].append({**part, "name": self.certificates.add(part["name"])})
        for row, tree, path in self._owned(PAST_DIVES, "person", owners, self.people):
            minute = self.cells.minute(row, "day", "from")
            if minute is not None:
                here = (*path, "past_dives", len(tree["past_dives"]))
                tree["past_dives"].append(self.cells.part(row, here, surfaced_min=minute))
                self.cells.note((*here, "surfaced_min"), row, "from")
        self._spans(HOURS_WORKED, "person", "past_work", owners, self.people)
        self._spans(ON_SITE, "person", "available", owners, self.people)
        return [tree for tree, _ in owners]

    def _last_duty(self, row: Row) -> int | None:
        if "last_duty_time" in row.values:
            day_before = self.cells.clock.day_of(-1)
            return self.cells.minute(row, "last_duty_day", "last_duty_time", day_before)
        if "last_duty_day" in row.values and "last_duty_time" not in row.bad:
            self.reader.fault(
                row.where("last_duty_time"),
                "",
                "the time at which the last duty ended, or a blank day",
                "The last duty has a day but no time.",
            )
        return None

    def _arrived(self, row: Row) -> int | None:
        given = [field for field in ("arrived_day", "arrived_time") if field in row.values]
        if len(given) == 2:
            return self.cells.minute(row, "arrived_day", "arrived_time")
        for field in ("arrived_day", "arrived_time"):
            if given and field not in given and field not in row.bad:
                self.reader.fault(
                    row.where(field),
                    "",
                    "the day and the time of arrival at altitude, or both blank",
                    "The arrival at altitude has only one of day and time.",
                )
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

    def _pins(self) -> list[Tree]:
        trees: list[Tree] = []
        kinds = (("item", self.items), ("person", self.people), ("station", self.stations))
        for row in self._table(PINS, ("pins",)).rows:
            path: Path = ("pins", len(trees))
            more: dict[str, Any] = {field: self.cells.name(row, field, known) for field, known in kinds}
            if "duty" in row.values:
                more["duty"] = self.duties.add(row.values["duty"])
            more["start_min"], more["end_min"] = self.cells.ends(row)
            trees.append(self.cells.part(row, path, **more))
            self.cells.note((*path, "start_min"), row, "from")
            self.cells.note((*path, "end_min"), row, "until")
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
#: How alike a tab's name must be to that of a missing sheet to be taken for a slip of the pen.
_SHEET_LIKENESS = 0.75


#: Gives a job its high and low waters; raises `InputFaults` where they cannot be read.
Waters = Callable[[Job], Sequence[TideMark]]
#: Takes a sentence about what was opened otherwise than it stands in the file.
Told = Callable[[str], object]


def read_job(source: Source, *, waters: Waters | None = None, told: Told | None = None) -> Job:
    """Read a job workbook.

    Parameters
    ----------
    source
        Path, bytes, or open binary file of an .xlsx workbook.
    waters
        High and low waters from elsewhere, in place of those of the sheet Tide.
    told
        Is given a sentence for each value of a workbook of an earlier version that is opened as another.

    Raises
    ------
    InputFaults
        With every fault that was found, in the order of the sheets: the cell, what was found, what is
        allowed, and one plain sentence.
    """
    return job_of_sheets(open_sheets(source), waters=waters, told=told)


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
    reader = SheetReader(units or workbook_units(SITE, sheets.get(fold(SITE.name))))
    _misspelt_sheets(reader, sheets)
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
        rules, air = tables[RULES.name].rows[0], tables[AIR.name].rows[0]
        for sentence in (*reader.told, *_of_surface_decompression(job, rules), *_of_the_reserve(job, air)):
            told(sentence)
    return job


def _of_surface_decompression(job: Job, rules: Row) -> Iterator[str]:
    """What is taken where a job decompresses in the chamber and does not say how soon a diver is in it."""
    unsaid = [gear for gear, field in OUT_OF_DRESS.items() if field not in rules.cells]
    if unsaid and job.site.policy is Policy.SURFACE_DECOMPRESSION:
        taken = ", ".join(f"{job.rules.out_of_dress_min(gear)} min in {gear.value}" for gear in unsaid)
        yield (
            "The workbook does not say how long a diver takes out of dress for the chamber: taken as "
            f"{taken} (from memory). With the way to the chamber it must fit into the five minutes of "
            "surface decompression, or the item is left over: measure it and fill it in on the sheet Rules."
        )


def _of_the_reserve(job: Job, air: Row) -> Iterator[str]:
    """What the reserve is judged by where a job has an air plant and does not say."""
    plant = job.air
    if (plant.compressors or plant.banks) and "reserve_minutes_at_depth" not in air.cells:
        yield (
            "The workbook does not say how long the reserve carries everyone at depth: it is opened with "
            f"{plant.reserve_minutes_at_depth} min at depth and {plant.emergency_acfm:g} acfm a person. Fill "
            f"it in on the sheet {AIR.name}."
        )


def _misspelt_sheets(reader: SheetReader, sheets: dict[str, RawSheet]) -> None:
    """A tab that looks like a sheet that is missing; other tabs are the user's own."""
    known = {fold(README_SHEET), fold(LISTS_SHEET), *(fold(s.name) for s in JOB_SHEETS)}
    missing = {fold(s.name): s.name for s in JOB_SHEETS if fold(s.name) not in sheets}
    for key, raw in sheets.items():
        near = [] if key in known else difflib.get_close_matches(key, missing, 1, _SHEET_LIKENESS)
        if near:
            meant = missing[near[0]]
            reader.fault(
                raw.name, raw.name, meant, f"{raw.name} is not a sheet of a job. Did you mean {meant}?"
            )


def _by_place(fault: Fault) -> tuple[int, int, int]:
    """Sheets in their order, then cells from top to bottom; what stands in no sheet comes first."""
    match = _CELL.fullmatch(fault.where)
    names = [sheet.name for sheet in JOB_SHEETS]
    sheet = match["sheet"] if match else fault.where
    order = names.index(sheet) if sheet in names else -1
    if match is None:
        return order, 0, 0
    return order, int(match["row"]), column_index_from_string(match["column"])

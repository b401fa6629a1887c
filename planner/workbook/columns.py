"""How the job workbook is described: sheets, columns, what a cell holds, and the units of its figures.

The template, the reader, the writer and the page in the documents all work from this one description.
Limits and defaults are not repeated here: they are read from the fields of the job's models.

A metric workbook's figures are turned into those of a job by `planner.job.units`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from operator import attrgetter
from typing import Any, get_args

from pydantic.fields import FieldInfo

from planner.job import UnitSystem
from planner.job.base import Part
from planner.job.contradiction import Says
from planner.job.crew_rules import OlderValue
from planner.job.units import DEPTH, PRESSURE, Measure

#: Longest text that one cell holds (ECMA-376 leaves it open; spreadsheet programs stop here).
LONGEST_TEXT = 32_767


class CellKind(StrEnum):
    """What a cell holds, in the words of the documents."""

    NAME = "name"
    TEXT = "text"
    NAMES = "names, split by semicolons"
    CREW = "duties with numbers, split by semicolons"
    WHOLE = "whole number"
    NUMBER = "number"
    YES_NO = "yes or no"
    CHOICE = "one of a list"
    DATE = "date"
    CLOCK = "time of day"
    MOMENT = "date and time"


Example = str | int | float | bool | date | None


@dataclass(frozen=True)
class JobColumn:
    """One column of a sheet, or one row of a sheet that lists settings."""

    title: str
    """Heading without its unit."""
    field: str
    """Field of the model that it fills; a name of its own where several cells fill one field."""
    help: str
    """One line for the person who fills it in."""
    example: Example = None
    """A value of the inside unit, or the text to show."""
    unit: str = ""
    """A unit that is the same in both systems, such as ``min``."""
    measure: Measure | None = None
    """A quantity whose unit depends on the workbook's units."""
    choices: tuple[str, ...] = ()
    """The values of the drop-down; for `CellKind.CHOICE` these are all that is allowed."""
    refers: str = ""
    """Whose names it holds: ``people``, ``items``, ``stations``, ``duties`` or ``certificates``."""
    required: bool | None = None
    """None: as the model says."""
    default: str = ""
    """What a blank cell means, in words, where the model alone does not say it."""
    width: float = 14
    """Width in characters."""
    source: str = ""
    """Where the shipped value comes from (rules only)."""
    limits_of: str = ""
    """Field of the model whose limits hold, where ``field`` is a name of its own."""
    kind: CellKind = CellKind.TEXT
    """What a cell holds."""

    def whole_in(self, units: UnitSystem) -> bool:
        """Whether it takes whole numbers in that system (a depth of 18.3 m is not one)."""
        return self.kind is CellKind.WHOLE and (self.measure is None or units is UnitSystem.FEET)

    def unit_in(self, units: UnitSystem) -> str:
        """The unit in that system; blank for a column without one."""
        return self.measure.unit(units) if self.measure else self.unit

    def heading(self, units: UnitSystem) -> str:
        """Title and unit, as printed at the head of the column."""
        unit = self.unit_in(units)
        return f"{self.title} ({unit})" if unit else self.title


#: Fields of the models that a day and a time of day make together, and the columns of the two.
DAY_AND_TIME = {
    "start_min": ("day", "from"),
    "end_min": ("until_day", "until"),
    "minute": ("day", "from"),
    "surfaced_min": ("day", "from"),
    "last_duty_end_min": ("last_duty_day", "last_duty_time"),
    "arrived_min": ("arrived_day", "arrived_time"),
}


@dataclass(frozen=True)
class Bounds:
    """What a model's field allows. ``low_open``/``high_open``: the limit itself is not allowed."""

    low: float | None = None
    high: float | None = None
    low_open: bool = False
    high_open: bool = False
    longest: int = LONGEST_TEXT

    def hold(self, value: float) -> bool:
        """Whether a number is inside."""
        if self.low is not None and (value < self.low or (self.low_open and value == self.low)):
            return False
        return self.high is None or value < self.high or (not self.high_open and value == self.high)


@dataclass(frozen=True)
class JobSheet:
    name: str
    """Its tab."""
    purpose: str
    """One or two sentences for the person who fills it in."""
    row_is: str
    """What one row stands for."""
    columns: tuple[JobColumn, ...]
    """Its columns; for ``settings`` its rows."""
    model: type[Part]
    """Part of the job that one row, or all settings together, become."""
    path: str
    """Where its rows stand in the job: ``stations``, ``air.banks``; of an `owner` ``people.certificates``."""
    owner: str = ""
    """The column that names what a row belongs to."""
    settings: bool = False
    """One setting a row (label, value, unit) in place of one thing a row."""
    required: bool = False
    """The workbook cannot do without it."""
    missing: str = "none"
    """What a workbook without it means."""
    older: tuple[OlderValue, ...] = ()
    """Settings: values that workbooks of an earlier version may hold, and what stands for them today."""

    def parts_of(self, job: Any) -> Iterator[tuple[str, Any]]:
        """What of a job (or of anything with that part of one) its rows are, each with its owner's name."""
        if self.owner:
            things, field = self.path.split(".")
            yield from (
                (thing.name, part) for thing in getattr(job, things) for part in getattr(thing, field)
            )
        else:
            found = attrgetter(self.path)(job)
            yield from (("", part) for part in ((found,) if self.settings else found))

    def column(self, field: str) -> JobColumn:
        """The column that fills a field. KeyError when there is none."""
        for column in self.columns:
            if column.field == field:
                return column
        raise KeyError(f"{self.name} has no column for {field}")

    def needs(self, column: JobColumn) -> bool:
        """Whether a cell of the column may not be blank."""
        if column.required is not None:
            return column.required
        info = self.model.model_fields.get(column.field)
        return info.is_required() if info else False

    def bounds(self, column: JobColumn) -> Bounds:
        """What the model allows in the column."""
        info = self.model.model_fields.get(column.limits_of or column.field)
        return bounds_of(info) if info else Bounds()

    def range_in(self, column: JobColumn, units: UnitSystem) -> tuple[float | None, float | None]:
        """Least and most that the model allows in the column, in that system."""
        bounds = self.bounds(column)
        low, high = bounds.low, bounds.high
        return column.measure.range(low, high, units) if column.measure else (low, high)

    def blank_means(self, column: JobColumn, units: UnitSystem = UnitSystem.FEET) -> str:
        """What a blank cell means, in words; blank when nothing needs saying."""
        if column.default or self.needs(column):
            return column.default
        info = self.model.model_fields.get(column.field)
        value = info.default if info else None
        return "" if value is None or isinstance(value, tuple | frozenset) else shown(value, column, units)


def bounds_of(info: FieldInfo) -> Bounds:
    """Read the limits of a model's field, also from inside ``X | None`` and ``frozenset[X]``."""
    said: dict[str, Any] = {}
    for mark in (*info.metadata, *_inner_marks(info.annotation)):
        for limit in ("ge", "gt", "le", "lt", "min_length", "max_length"):
            if (value := getattr(mark, limit, None)) is not None:
                said[limit] = value
    return Bounds(
        said.get("gt", said.get("ge")),
        said.get("lt", said.get("le")),
        "gt" in said,
        "lt" in said,
        said.get("max_length", LONGEST_TEXT),
    )


def _inner_marks(annotation: Any) -> Iterator[object]:
    for mark in getattr(annotation, "__metadata__", ()):
        yield from mark.metadata if isinstance(mark, FieldInfo) else (mark,)
    for inner in get_args(annotation):
        yield from _inner_marks(inner)


def shown(value: object, column: JobColumn, units: UnitSystem = UnitSystem.FEET) -> str:
    """A value of the model as its cell would show it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        if column.kind is CellKind.CHOICE and column.choices:
            return column.choices[0] if value else column.choices[1]
        return "yes" if value else "no"
    if isinstance(value, int | float):
        typed = column.measure.typed(value, units) if column.measure else value
        return plain(typed)
    if hasattr(value, "strftime") and column.kind is CellKind.CLOCK:
        return str(value.strftime("%H:%M"))
    return str(value)


def plain(number: float) -> str:
    """A number without a trailing ``.0``: ``30``, ``30.5``."""
    return str(int(number)) if abs(number) < 1e15 and number == int(number) else repr(number)


def says_in(units: UnitSystem) -> Says:
    """How contradictions say figures in these units: as a workbook in them holds the same figures."""
    return Says(
        lambda depth_fsw: f"{DEPTH.typed(depth_fsw, units):g} {DEPTH.unit(units)}",
        lambda pressure_psi: f"{PRESSURE.typed(pressure_psi, units):g} {PRESSURE.unit(units)}",
    )

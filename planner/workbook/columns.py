"""How the job workbook is described: sheets, columns, what a cell holds, and the units of its figures.

The template, the reader, the writer and the page in the documents all work from this one description.
Limits and defaults are not repeated here: they are read from the fields of the job's models.

Inside the program a job is in fsw, psi gauge, cubic feet, scfm and degrees Fahrenheit. A metric workbook is
turned into those at the edge, rounded to the safe side: work is never taken as shallower, a store of air
never as larger, a need for air never as smaller than what was typed. A diver's rating and the greatest
depth round the same way as the depth of the work, so that a rating of 30 m covers work at 30 m.

Factors: 1 ft = 0.3048 m, 1 psi = 6.894757 kPa, 1 cu ft = 28.316847 l, 1 US gal = 3.785412 l
(NIST SP 811, appendix B); °F = 1.8 °C + 32 by definition.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import Enum, StrEnum
from functools import partial
from typing import Any, get_args

import annotated_types
from pydantic import StringConstraints
from pydantic.fields import FieldInfo

from planner.job import UnitSystem
from planner.job.base import Part
from planner.job.contradiction import Says
from planner.job.crew_rules import OlderValue
from planner.job.units import KPA_PER_PSI, LITRES_PER_CUBIC_FOOT, METRES_PER_FOOT

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
class Column:
    """One column of a sheet, or one row of a sheet that lists settings.

    Parameters
    ----------
    title
        Heading without its unit.
    field
        Field of the model that it fills; a name of its own where several cells fill one field.
    help
        One line for the person who fills it in.
    example
        A value of the inside unit, or the text to show.
    unit
        A unit that is the same in both systems, such as ``min``.
    measure
        A quantity whose unit depends on the workbook's units.
    choices
        The values of the drop-down; for `CellKind.CHOICE` these are all that is allowed.
    refers
        Whose names it holds: ``people``, ``items``, ``stations``, ``duties`` or ``certificates``.
    required
        None: as the model says.
    default
        What a blank cell means, in words, where the model alone does not say it.
    width
        Width in characters.
    source
        Where the shipped value comes from (rules only).
    limits_of
        Field of the model whose limits hold, where ``field`` is a name of its own.
    kind
        What a cell holds.
    """

    title: str
    field: str
    help: str
    example: Example = None
    unit: str = ""
    measure: Measure | None = None
    choices: tuple[str, ...] = ()
    refers: str = ""
    required: bool | None = None
    default: str = ""
    width: float = 14
    source: str = ""
    limits_of: str = ""
    kind: CellKind = CellKind.TEXT

    def unit_in(self, units: UnitSystem) -> str:
        """The unit in that system; blank for a column without one."""
        return self.measure.unit(units) if self.measure else self.unit

    def heading(self, units: UnitSystem) -> str:
        """Title and unit, as printed at the head of the column."""
        unit = self.unit_in(units)
        return f"{self.title} ({unit})" if unit else self.title


# one shape of column each: what a line of the description begins with
name = partial(Column, kind=CellKind.NAME)
text = partial(Column, kind=CellKind.TEXT)
names = partial(Column, kind=CellKind.NAMES)
crew = partial(Column, kind=CellKind.CREW)
whole = partial(Column, kind=CellKind.WHOLE)
minutes = partial(Column, kind=CellKind.WHOLE, unit="min")
number = partial(Column, kind=CellKind.NUMBER)
yes_no = partial(Column, kind=CellKind.YES_NO)
choice = partial(Column, kind=CellKind.CHOICE)
day = partial(Column, kind=CellKind.DATE)
clock = partial(Column, kind=CellKind.CLOCK)
moment = partial(Column, kind=CellKind.MOMENT)


@dataclass(frozen=True)
class Bounds:
    """What a model's field allows. ``low_open``/``high_open``: the limit itself is not allowed."""

    low: float | None = None
    high: float | None = None
    low_open: bool = False
    high_open: bool = False
    shortest: int = 0
    longest: int = LONGEST_TEXT

    def hold(self, value: float) -> bool:
        """Whether a number is inside."""
        if self.low is not None and (value < self.low or (self.low_open and value == self.low)):
            return False
        return self.high is None or value < self.high or (not self.high_open and value == self.high)


@dataclass(frozen=True)
class JobSheet:
    """One sheet of the job workbook.

    Parameters
    ----------
    name
        Its tab.
    purpose
        One or two sentences for the person who fills it in.
    row_is
        What one row stands for.
    columns
        Its columns; for ``settings`` its rows.
    model
        Part of the job that one row, or all settings together, become.
    settings
        One setting a row (label, value, unit) in place of one thing a row.
    required
        The workbook cannot do without it.
    missing
        What a workbook without it means.
    older
        Settings: values that workbooks of an earlier version may hold, and what stands for them today.
    """

    name: str
    purpose: str
    row_is: str
    columns: tuple[Column, ...]
    model: type[Part]
    settings: bool = False
    required: bool = False
    missing: str = "none"
    older: tuple[OlderValue, ...] = ()

    def column(self, field: str) -> Column:
        """The column that fills a field. KeyError when there is none."""
        for column in self.columns:
            if column.field == field:
                return column
        raise KeyError(f"{self.name} has no column for {field}")

    def needs(self, column: Column) -> bool:
        """Whether a cell of the column may not be blank."""
        if column.required is not None:
            return column.required
        info = self.model.model_fields.get(column.field)
        return info.is_required() if info else False

    def bounds(self, column: Column) -> Bounds:
        """What the model allows in the column."""
        info = self.model.model_fields.get(column.limits_of or column.field)
        return bounds_of(info) if info else Bounds()

    def blank_means(self, column: Column, units: UnitSystem = UnitSystem.FEET) -> str:
        """What a blank cell means, in words; blank when nothing needs saying."""
        if column.default or self.needs(column):
            return column.default
        info = self.model.model_fields.get(column.field)
        value = info.default if info else None
        return "" if value is None or isinstance(value, tuple | frozenset) else shown(value, column, units)


def bounds_of(info: FieldInfo) -> Bounds:
    """Read the limits of a model's field, also from inside ``X | None`` and ``frozenset[X]``."""
    low: object = None
    high: object = None
    low_open = high_open = False
    shortest, longest = 0, LONGEST_TEXT
    for mark in (*info.metadata, *_inner_marks(info.annotation)):
        if isinstance(mark, annotated_types.Ge):
            low = mark.ge
        elif isinstance(mark, annotated_types.Gt):
            low, low_open = mark.gt, True
        elif isinstance(mark, annotated_types.Le):
            high = mark.le
        elif isinstance(mark, annotated_types.Lt):
            high, high_open = mark.lt, True
        elif isinstance(mark, annotated_types.MinLen):
            shortest = mark.min_length
        elif isinstance(mark, annotated_types.MaxLen):
            longest = mark.max_length
        elif isinstance(mark, StringConstraints):
            shortest = mark.min_length or 0
            longest = mark.max_length or LONGEST_TEXT
    return Bounds(_number(low), _number(high), low_open, high_open, shortest, longest)


def _inner_marks(annotation: Any) -> Iterator[object]:
    for mark in getattr(annotation, "__metadata__", ()):
        yield from mark.metadata if isinstance(mark, FieldInfo) else (mark,)
    for inner in get_args(annotation):
        yield from _inner_marks(inner)


def _number(limit: object) -> float | None:
    return limit if isinstance(limit, int | float) else None


def shown(value: object, column: Column, units: UnitSystem = UnitSystem.FEET) -> str:
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
    return str(int(number)) if number == int(number) and abs(number) < 1e15 else repr(number)


LITRES_PER_US_GALLON = 3.785412
#: Slack for floating-point dust, in steps of the grid; far below anything that a gauge can show.
_DUST = 1e-9


class Toward(Enum):
    """Which way a converted figure is rounded."""

    MORE = "more"
    LESS = "less"
    NEAREST = "nearest"


@dataclass(frozen=True)
class Measure:
    """One kind of quantity with its unit in both systems.

    Parameters
    ----------
    feet, metric
        Unit as printed in a heading.
    per_metric
        How many of the inside unit one metric unit is.
    toward
        The safe side.
    steps
        Steps of the grid in one inside unit: 1 whole units, 10 tenths. Figures typed in the inside unit are
        not touched.
    offset
        Added after the factor (temperatures).
    """

    feet: str
    metric: str
    per_metric: float
    toward: Toward
    steps: int = 1
    offset: float = 0.0

    def unit(self, units: UnitSystem) -> str:
        """The unit that a heading prints."""
        return self.metric if units is UnitSystem.METRIC else self.feet

    def inside(self, typed: float, units: UnitSystem) -> float:
        """The inside value of a typed figure, rounded to the safe side when it was metric."""
        if units is not UnitSystem.METRIC:
            return typed
        steps = (typed * self.per_metric + self.offset) * self.steps
        if self.toward is Toward.MORE:
            whole = math.ceil(steps - _DUST)
        elif self.toward is Toward.LESS:
            whole = math.floor(steps + _DUST)
        else:
            whole = round(steps)
        return whole if self.steps == 1 else whole / self.steps

    def typed(self, value: float, units: UnitSystem) -> float:
        """The shortest figure to write so that it reads back as ``value``; of several the nearest.

        A value that lies between two steps of the grid is written in full and reads back one step to the
        safe side.
        """
        if units is not UnitSystem.METRIC:
            return value
        exact = (value - self.offset) / self.per_metric
        for digits in range(7):
            grid = 10**digits
            near = round(exact, digits)
            for short in (near, math.floor(exact * grid) / grid, math.ceil(exact * grid) / grid):
                if self.inside(short, units) == value:
                    return int(short) if short == int(short) else short
        return exact

    def range(
        self, low: float | None, high: float | None, units: UnitSystem
    ) -> tuple[float | None, float | None]:
        """Limits of the inside value as limits of what may be typed, shrunk to hundredths."""
        if units is not UnitSystem.METRIC:
            return low, high
        return (
            None if low is None else math.floor((low - self.offset) / self.per_metric * 100 + _DUST) / 100,
            None if high is None else math.floor((high - self.offset) / self.per_metric * 100 + _DUST) / 100,
        )


_FEET_PER_METRE = 1 / METRES_PER_FOOT
_PSI_PER_BAR = 100 / KPA_PER_PSI

DEPTH = Measure("fsw", "m", _FEET_PER_METRE, Toward.MORE)
#: A depth past which something more is asked: the shallower reading is the safe one.
DEPTH_TRIGGER = Measure("fsw", "m", _FEET_PER_METRE, Toward.LESS)
DESCENT_RATE = Measure("fsw/min", "m/min", _FEET_PER_METRE, Toward.LESS)
ALTITUDE = Measure("ft", "m", _FEET_PER_METRE, Toward.MORE)
TIDE_LEVEL = Measure("ft", "m", _FEET_PER_METRE, Toward.NEAREST, 100)
#: A length that is needed, and one that is there.
REACH = Measure("ft", "m", _FEET_PER_METRE, Toward.MORE)
LENGTH = Measure("ft", "m", _FEET_PER_METRE, Toward.LESS)
#: A pressure that is there, and one that is needed or kept back.
PRESSURE = Measure("psi", "bar", _PSI_PER_BAR, Toward.LESS, 10)
PRESSURE_KEPT = Measure("psi", "bar", _PSI_PER_BAR, Toward.MORE, 10)
VOLUME = Measure("cu ft", "litres", 1 / LITRES_PER_CUBIC_FOOT, Toward.LESS, 1000)
FLOW = Measure("scfm", "litres/min free air", 1 / LITRES_PER_CUBIC_FOOT, Toward.LESS, 1000)
FLOW_NEEDED = Measure("scfm", "litres/min free air", 1 / LITRES_PER_CUBIC_FOOT, Toward.MORE, 1000)
FLOW_AT_DEPTH = Measure("acfm", "litres/min at depth", 1 / LITRES_PER_CUBIC_FOOT, Toward.MORE, 1000)
FUEL = Measure("US gal/h", "litres/h", 1 / LITRES_PER_US_GALLON, Toward.MORE, 1000)
WATER_TEMPERATURE = Measure("°F", "°C", 1.8, Toward.NEAREST, 10, 32.0)
AIR_TEMPERATURE = Measure("°F", "°C", 1.8, Toward.MORE, 10, 32.0)


def says_in(units: UnitSystem) -> Says:
    """How contradictions say figures in these units: as a workbook in them holds the same figures."""
    return Says(
        lambda depth_fsw: f"{DEPTH.typed(depth_fsw, units):g} {DEPTH.unit(units)}",
        lambda pressure_psi: f"{PRESSURE.typed(pressure_psi, units):g} {PRESSURE.unit(units)}",
    )

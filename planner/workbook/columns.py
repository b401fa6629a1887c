"""How the job workbook is described: one `Sheet` of `Column` values for each sheet.

The template, the reader, the writer and the page in the documents all work from this one description.
Limits and defaults are not repeated here: they are read from the fields of the job's models.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any, get_args

import annotated_types
from pydantic import StringConstraints
from pydantic.fields import FieldInfo

from planner.job.base import Part
from planner.job.words import UnitSystem
from planner.workbook.measures import Measure

#: Longest text that one cell holds (ECMA-376 leaves it open; spreadsheet programs stop here).
LONGEST_TEXT = 32_767


class Kind(StrEnum):
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
    kind
        What a cell holds.
    help
        One line for the person who fills it in.
    example
        A value of the inside unit, or the text to show.
    unit
        A unit that is the same in both systems, such as ``min``.
    measure
        A quantity whose unit depends on the workbook's units.
    choices
        The values of the drop-down; for `Kind.CHOICE` these are all that is allowed.
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
    """

    title: str
    field: str
    kind: Kind
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

    def unit_in(self, units: UnitSystem) -> str:
        """The unit in that system; blank for a column without one."""
        return self.measure.unit(units) if self.measure else self.unit

    def heading(self, units: UnitSystem) -> str:
        """Title and unit, as printed at the head of the column."""
        unit = self.unit_in(units)
        return f"{self.title} ({unit})" if unit else self.title


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
class Sheet:
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
    """

    name: str
    purpose: str
    row_is: str
    columns: tuple[Column, ...]
    model: type[Part]
    settings: bool = False
    required: bool = False
    missing: str = "none"

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
        if column.kind is Kind.CHOICE and column.choices:
            return column.choices[0] if value else column.choices[1]
        return "yes" if value else "no"
    if isinstance(value, int | float):
        typed = column.measure.typed(value, units) if column.measure else value
        return plain(typed)
    if hasattr(value, "strftime") and column.kind is Kind.CLOCK:
        return str(value.strftime("%H:%M"))
    return str(value)


def plain(number: float) -> str:
    """A number without a trailing ``.0``: ``30``, ``30.5``."""
    return str(int(number)) if number == int(number) and abs(number) < 1e15 else repr(number)

"""Figures with the units they were typed in: what lets a table on the screen be shown in either units.

A figure is never rewritten by being shown in other units. What stands in the job is kept as the inside
figure, what was typed as it was typed; both are converted by the workbook's own `Measure`, to the safe side,
when they are shown or read.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.job import Job, UnitSystem
from planner.workbook.columns import Column, Kind, Measure, Sheet
from planner.workbook.job_writer import job_rows
from planner.workbook.layout import CellValue, RowValues


@dataclass(frozen=True)
class Figure:
    """A figure and the units it was typed in; one of the job's own is in the inside units, feet."""

    value: float
    units: UnitSystem

    def inside(self, measure: Measure) -> float:
        """The inside value, rounded to the safe side where the figure is metric."""
        return measure.inside(self.value, self.units)

    def shown(self, measure: Measure, units: UnitSystem) -> float:
        """The figure to show: as typed in its own units, else the shortest that reads back the same."""
        return self.value if units is self.units else measure.typed(self.inside(measure), units)

    def settled(self, column: Column, units: UnitSystem) -> Figure:
        """The figure as a job in these units keeps it: on the grid that its own workbook can write."""
        if units is not UnitSystem.METRIC or self.units is units or column.kind is not Kind.NUMBER:
            return self
        assert column.measure is not None
        value = column.measure.inside(column.measure.typed(self.value, units), units)
        return Figure(value, self.units)


#: What a cell of an edit holds: figures of a measured column with their units, all else as the cell has it.
Cell = CellValue | Figure
Cells = Mapping[str, Cell]


def own_cells(sheet: Sheet, job: Job) -> list[dict[str, Cell]]:
    """The rows of a sheet as they are in the job, to the last digit."""
    return [with_units(sheet, row, UnitSystem.FEET) for row in job_rows(job, UnitSystem.FEET)[sheet.name]]


def with_units(sheet: Sheet, row: Cells, units: UnitSystem) -> dict[str, Cell]:
    """The row with its measured figures marked as typed in these units; those marked already stay."""
    measured = {c.field for c in sheet.columns if c.measure is not None}
    return {
        field: Figure(value, units)
        if field in measured and isinstance(value, int | float) and not isinstance(value, bool)
        else value
        for field, value in row.items()
    }


def shown_row(sheet: Sheet, row: Cells, units: UnitSystem) -> dict[str, CellValue]:
    """The row's cells as they are shown in these units."""
    return {c.field: shown_cell(c, row.get(c.field), units) for c in sheet.columns}


def shown_cell(column: Column, cell: Cell, units: UnitSystem) -> CellValue:
    """One cell as it is shown in these units."""
    if not isinstance(cell, Figure):
        return cell
    assert column.measure is not None
    return cell.shown(column.measure, units)


def typed_row(sheet: Sheet, shown: RowValues, units: UnitSystem, before: Sequence[Cells]) -> dict[str, Cell]:
    """A row as it stands on the screen, each figure with the units it was typed in.

    Parameters
    ----------
    shown
        The cells as shown, by field.
    units
        Units of the screen.
    before
        What the row was shown from, the latest first. A cell that still shows what one of them does was not
        touched, and keeps its figure.
    """
    row: dict[str, Cell] = dict(shown)
    for column in sheet.columns:
        value = shown.get(column.field)
        if column.measure is None or not isinstance(value, int | float):
            continue
        known = (old.get(column.field) for old in before)
        row[column.field] = next(
            (f for f in known if isinstance(f, Figure) and f.shown(column.measure, units) == value),
            Figure(value, units),
        )
    return row


def held_text(sheet: Sheet, row: Cells, units: UnitSystem, own: Cells | None) -> str:
    """The row's figures that were typed in the other units, as the text of a table's hidden column."""
    held = {
        c.field: [cell.value, cell.units.value]
        for c in sheet.columns
        if isinstance(cell := row.get(c.field), Figure)
        and cell.units is not units
        and (own is None or cell != own.get(c.field))
    }
    return json.dumps(held) if held else ""


def held_cells(text: object) -> dict[str, Cell]:
    """The figures that `held_text` wrote down."""
    if not isinstance(text, str) or not text:
        return {}
    return {field: Figure(value, UnitSystem(units)) for field, (value, units) in json.loads(text).items()}

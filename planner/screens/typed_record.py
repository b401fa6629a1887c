"""What is typed and not yet part of a job, for the record of a desk: tables, settings, a faulty workbook."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import astuple
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from planner.errors import Fault
from planner.job import Job, UnitSystem
from planner.screens.edits import Edits

if TYPE_CHECKING:
    # Tables, and pandas with them, are loaded when there is one in the record.
    from planner.screens.mending import Mending
    from planner.screens.sheet_edit import Edit
    from planner.workbook.opening import RawSheet


def faults_in(kept: Sequence[Sequence[str]]) -> tuple[Fault, ...]:
    """Faults of a record."""
    return tuple(Fault(*(str(part) for part in parts)) for parts in kept)


# ---------------------------------------------------------------------- values of cells


def _value_out(value: object) -> Any:
    """A cell's value for JSON; kinds that JSON does not know go under a letter of their own."""
    if isinstance(value, datetime):
        return {"dt": value.isoformat()}
    if isinstance(value, date):
        return {"d": value.isoformat()}
    if isinstance(value, time):
        return {"t": value.isoformat()}
    if isinstance(value, timedelta):
        return {"s": value.total_seconds()}
    return value


def _value_in(value: Any) -> Any:
    if not isinstance(value, dict):
        return value
    [(letter, kept)] = value.items()
    if letter == "s":
        return timedelta(seconds=kept)
    if letter == "dt":
        return datetime.fromisoformat(kept)
    return date.fromisoformat(kept) if letter == "d" else time.fromisoformat(kept)


# ---------------------------------------------------------------------- what is typed and not applied


def edits_out(edits: Edits, job: Job) -> dict[str, Any]:
    """What is typed into the sheets and not applied, for a record."""
    if not edits.typed:
        return {}
    from planner.screens.figures import Figure
    from planner.screens.sheet_edit import SHEETS, typed_cells

    def out(cell: object) -> Any:
        # A figure goes with the units it was typed in.
        return {"f": [cell.value, cell.units.value]} if isinstance(cell, Figure) else _value_out(cell)

    return {
        name: {"set": {field: out(value) for field, value in edit.items()}}
        if isinstance(edit, Mapping)
        else {
            "rows": [
                [number, [out(row[c.field]) for c in SHEETS[name].columns]]
                for number, row in typed_cells(name, edit, job, edits.units)
            ]
        }
        for name, edit in edits.typed.items()
    }


def edits_in(kept: dict[str, Any], job: Job, units: UnitSystem) -> dict[str, Edit]:
    """What was typed, out of a record, to be shown in these units."""
    if not kept:
        return {}
    from planner.screens.figures import Figure, with_units
    from planner.screens.sheet_edit import SHEETS, table_of_cells

    def cell_in(kept: Any) -> Any:
        if isinstance(kept, dict) and "f" in kept:
            value, typed_in = kept["f"]
            return Figure(value, UnitSystem(typed_in))
        return _value_in(kept)

    def row_in(name: str, cells: Sequence[Any]) -> Mapping[str, Any]:
        row = {c.field: cell_in(cell) for c, cell in zip(SHEETS[name].columns, cells, strict=True)}
        return with_units(SHEETS[name], row, units)

    return {
        name: {field: cell_in(value) for field, value in edit["set"].items()}
        if "set" in edit
        else table_of_cells(name, [(n, row_in(name, cells)) for n, cells in edit["rows"]], job, units)
        for name, edit in kept.items()
    }


# ---------------------------------------------------------------------- a workbook that is being mended


def mending_out(mending: Mending) -> dict[str, Any]:
    """A workbook that is being mended, cell by cell, for a record."""
    return {
        "file": mending.file,
        "begun": mending.begun,
        "round": mending.round,
        "edited": sorted(mending.edited),
        "faults": [astuple(fault) for fault in mending.faults],
        "sheets": [[raw.name, _cells_out(raw)] for raw in mending.sheets],
    }


def _cells_out(raw: RawSheet) -> list[Any]:
    return [
        [number, [[column, _value_out(cell.content), cell.trouble] for column, cell in cells.items()]]
        for number, cells in raw.rows.items()
    ]


def mending_in(kept: dict[str, Any]) -> Mending:
    """The workbook that was being mended, out of a record."""
    from planner.screens.mending import Mending
    from planner.workbook.opening import RawCell, RawSheet

    sheets = [
        RawSheet(
            name,
            {
                int(number): {int(c): RawCell(_value_in(content), trouble) for c, content, trouble in cells}
                for number, cells in rows
            },
        )
        for name, rows in kept["sheets"]
    ]
    return Mending(
        kept["file"],
        sheets,
        faults_in(kept["faults"]),
        begun=bool(kept["begun"]),
        round=int(kept["round"]) + 1,
        edited=set(kept["edited"]),
    )

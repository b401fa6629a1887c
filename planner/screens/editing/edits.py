"""What is typed and not yet taken over, kept on the desk so that leaving a page loses nothing.

`EditedSheets` is what every editor of sheets keeps: what was wrong when they were last read, and the tables
that the page's editors started from. `Edits` are the sheets of the open job; a workbook with faults is
`planner.screens.editing.mending.Mending`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from planner.errors import Fault, InputFaults
from planner.job import Job, UnitSystem

if TYPE_CHECKING:
    # The workbook's reader and pandas are loaded by the first page that edits: the first page of all is
    # up sooner without them.
    import pandas as pd

    from planner.screens.editing.sheets import Edit
    from planner.workbook.columns import JobSheet
    from planner.workbook.layout import CellValue

#: Column of a table on the screen that says what is wrong in a row.
FAULT = "_fault"


@dataclass
class EditedSheets:
    """Sheets that are edited as tables on a page, with what is wrong in them."""

    faults: tuple[Fault, ...] = ()
    """What was wrong when the sheets were last read."""
    round: int = 0
    """Part of widget keys: goes up when the widgets must forget what they hold."""
    changes: int = 0
    """Goes up with every change, so that whoever keeps the edits knows that there is something to keep."""
    _bases: dict[str, tuple[pd.DataFrame, Any]] = field(default_factory=dict)
    """By sheet, the table that an editor started from, which stays the same object while the editor is on the
    page, and the rows it was made of."""

    def begin_anew(self, faults: tuple[Fault, ...] = ()) -> None:
        """Have the tables on the page begin anew, with what is wrong told beside their rows."""
        self.faults = faults
        self._bases.clear()
        self.changes += 1
        self.round += 1


def with_faults(table: pd.DataFrame, rows: Iterable[object], told: Mapping[Any, list[str]]) -> pd.DataFrame:
    """The table with a column that says beside each row what is wrong in it, where something is; ``rows``:
    what each row of the table is called in ``told``."""
    if not told:
        return table
    return table.assign(**{FAULT: [" ".join(told.get(row, [])) for row in rows]})


@dataclass
class Edits(EditedSheets):
    """What differs from the open job, by sheet, and what was wrong with it when it was last applied."""

    typed: dict[str, Edit] = field(default_factory=dict)
    units: UnitSystem = UnitSystem.FEET
    """Units in which the tables and fields are shown, and in which `faults` are told."""
    puts: dict[str, int] = field(default_factory=dict)
    """By sheet, how often its rows came from elsewhere."""

    def base(self, sheet: JobSheet, job: Job, *, fresh: bool) -> pd.DataFrame:
        """The table that an editor starts from; ``fresh``: it is new on the page, and starts from what was
        typed before, if anything."""
        from planner.screens.editing.sheets import own_rows, table_of

        if fresh or sheet.name not in self._bases:
            kept = self.typed.get(sheet.name)
            rows = kept if isinstance(kept, tuple) else own_rows(sheet, job)
            told: dict[int, list[str]] = {}
            for row, title, fault in self.faults_at(sheet):
                if row is not None:
                    told.setdefault(row, []).append(f"{title}: {fault.sentence}")
            joined = {row: ["; ".join(sentences)] for row, sentences in told.items()}
            table = with_faults(table_of(sheet, rows, self.units), range(len(rows)), joined)
            self._bases[sheet.name] = table, rows
        return self._bases[sheet.name][0]

    def keep_table(self, sheet: JobSheet, job: Job, table: pd.DataFrame) -> None:
        """Remember a table as typed; forget it when it is as in the job."""
        from planner.screens.editing.sheets import own_rows, typed_rows

        own = own_rows(sheet, job)
        rows = typed_rows(sheet, table, self._bases[sheet.name][1], own, self.units)
        self._keep(sheet, rows, as_in_job=rows == own)

    def put(self, sheet: JobSheet, rows: Edit) -> None:
        """Take rows that came from elsewhere as if they were typed; only that sheet's table begins anew."""
        here = [fault for _, _, fault in self.faults_at(sheet)]
        self.faults = tuple(fault for fault in self.faults if fault not in here)
        self.typed[sheet.name] = rows
        self._bases.pop(sheet.name, None)
        self.puts[sheet.name] = self.puts.get(sheet.name, 0) + 1
        self.changes += 1

    def mark(self, sheet: JobSheet) -> str:
        """Part of the key of a sheet's table: another one when the table must forget what it holds."""
        puts = self.puts.get(sheet.name, 0)
        return f"{self.round}_{puts}" if puts else str(self.round)

    def settings(self, sheet: JobSheet, job: Job) -> dict[str, CellValue]:
        """The settings as typed, or as in the job, in the units shown."""
        from planner.screens.editing.sheets import own_rows, shown_cell

        kept = self.typed.get(sheet.name)
        cells = {**own_rows(sheet, job)[0].cells, **(kept if isinstance(kept, Mapping) else {})}
        return {name: shown_cell(sheet.column(name), cell, self.units) for name, cell in cells.items()}

    def keep_settings(self, sheet: JobSheet, job: Job, values: Mapping[str, CellValue]) -> None:
        """Remember settings as typed; forget them when they are as in the job."""
        from planner.screens.editing.sheets import own_rows, typed_settings

        kept = self.typed.get(sheet.name)
        before = kept if isinstance(kept, Mapping) else None
        changed = typed_settings(sheet, values, own_rows(sheet, job)[0].cells, self.units, before)
        self._keep(sheet, changed, as_in_job=not changed)

    def _keep(self, sheet: JobSheet, edit: Edit, *, as_in_job: bool) -> None:
        if as_in_job:
            self.changes += self.typed.pop(sheet.name, None) is not None
        elif self.typed.get(sheet.name) != edit:
            self.typed[sheet.name] = edit
            self.changes += 1

    def show_in(self, units: UnitSystem, job: Job | None) -> None:
        """Show tables and fields in other units; what was typed is kept, each figure as it was typed.

        What was wrong is told again in the new units.
        """
        if units is self.units:
            return
        faults: tuple[Fault, ...] = ()
        if job is not None and self.faults:
            from planner.screens.editing.sheets import edited_job

            try:
                edited_job(job, self.typed, units=units)
            except InputFaults as found:
                faults = found.faults
        self.units = units
        self.begin_anew(faults)

    def clear(self) -> None:
        """Forget everything typed and every fault."""
        self.typed.clear()
        self.begin_anew()

    def faults_at(self, sheet: JobSheet) -> list[tuple[int | None, str, Fault]]:
        """Faults of one sheet: row of the table (None for none), title of the column, the fault."""
        from planner.screens.editing.sheets import place_in_table

        placed = [(place_in_table(fault), fault) for fault in self.faults]
        return [(row, title, fault) for (name, row, title), fault in placed if name == sheet.name]

    def sheets_with_faults(self) -> set[str]:
        from planner.screens.editing.sheets import place_of

        return {place_of(fault).sheet for fault in self.faults}

"""Edits that a user has typed but not yet applied: kept on the desk, so that leaving a page loses nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

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
class Edits:
    """What differs from the job, by sheet, and what was wrong with it when it was last applied."""

    typed: dict[str, Edit] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()
    units: UnitSystem = UnitSystem.FEET
    """Units in which the tables and fields are shown, and in which `typed` and `faults` are."""
    round: int = 0
    """Part of widget keys: goes up when the widgets must forget what they hold."""
    changes: int = 0
    """Goes up with every change, so that whoever keeps the edits knows that there is something to keep."""
    _bases: dict[str, pd.DataFrame] = field(default_factory=dict)

    def base(self, sheet: JobSheet, job: Job, *, fresh: bool) -> pd.DataFrame:
        """The table that an editor starts from; it stays the same object while the editor is on the page.

        Parameters
        ----------
        fresh
            The editor is new on the page: start from what was typed before, if anything.
        """
        from planner.screens.editing.sheets import table_of

        if fresh or sheet.name not in self._bases:
            kept = self.typed.get(sheet.name)
            base = table_of(sheet, job, self.units) if kept is None or isinstance(kept, Mapping) else kept
            self._bases[sheet.name] = self._with_faults(sheet, base.reset_index(drop=True))
        return self._bases[sheet.name]

    def _with_faults(self, sheet: JobSheet, base: pd.DataFrame) -> pd.DataFrame:
        """The table with a column that says beside each row what is wrong in it."""
        told: dict[int, list[str]] = {}
        for row, title, fault in self.faults_at(sheet):
            if row is not None:
                told.setdefault(row, []).append(f"{title}: {fault.sentence}")
        if not told:
            return base
        return base.assign(**{FAULT: ["; ".join(told.get(i, [])) for i in range(len(base))]})

    def keep_table(self, sheet: JobSheet, job: Job, frame: pd.DataFrame) -> None:
        """Remember a table as typed; forget it when it is as in the job."""
        own = frame.drop(columns=FAULT, errors="ignore").reset_index(drop=True)
        before = self.typed.get(sheet.name)
        if self._is_own(sheet, job, own):
            self._forget(sheet)
        elif before is None or isinstance(before, Mapping) or not own.equals(before):
            self.typed[sheet.name] = own
            self.changes += 1

    def _is_own(self, sheet: JobSheet, job: Job, frame: pd.DataFrame) -> bool:
        """Whether a table is as in the job, also in the figures that were typed in the other units."""
        from planner.screens.editing.sheets import HELD, own_cells, table_of, typed_cells

        if not frame.drop(columns=HELD, errors="ignore").equals(table_of(sheet, job, self.units)):
            return False
        typed = typed_cells(sheet.name, frame, job, self.units) if HELD in frame.columns else []
        return not typed or [row for _, row in typed] == own_cells(sheet, job)

    def settings(self, sheet: JobSheet, job: Job) -> dict[str, CellValue]:
        """The settings as typed, or as in the job, in the units shown."""
        from planner.screens.editing.sheets import settings_of, shown_cell

        kept = self.typed.get(sheet.name)
        own = settings_of(sheet, job, self.units)
        if not isinstance(kept, Mapping):
            return own
        return {**own, **{f: shown_cell(sheet.column(f), cell, self.units) for f, cell in kept.items()}}

    def keep_settings(self, sheet: JobSheet, job: Job, values: Mapping[str, CellValue]) -> None:
        """Remember settings as typed; forget them when they are as in the job."""
        from planner.screens.editing.sheets import typed_settings

        kept = self.typed.get(sheet.name)
        before = kept if isinstance(kept, Mapping) else None
        changed = typed_settings(sheet, values, job, self.units, before)
        if not changed:
            self._forget(sheet)
        elif not isinstance(kept, Mapping) or dict(kept) != changed:
            self.typed[sheet.name] = changed
            self.changes += 1

    def _forget(self, sheet: JobSheet) -> None:
        if self.typed.pop(sheet.name, None) is not None:
            self.changes += 1

    def show_in(self, units: UnitSystem, job: Job | None) -> None:
        """Show tables and fields in other units; what was typed is kept, each figure as it was typed.

        What was wrong is told again in the new units.
        """
        if units is self.units:
            return
        if job is not None and self.typed:
            from planner.screens.editing.sheets import edited_job, in_units

            self.typed = in_units(self.typed, job, self.units, units)
            if self.faults:
                try:
                    edited_job(job, self.typed, units=units)
                except InputFaults as found:
                    self.faults = found.faults
                else:
                    self.faults = ()
        self.units = units
        self._bases.clear()
        self.changes += 1
        self.round += 1

    def clear(self) -> None:
        """Forget everything typed and every fault."""
        self.changes += 1
        self.typed.clear()
        self.faults = ()
        self._bases.clear()
        self.round += 1

    def refuse(self, faults: tuple[Fault, ...]) -> None:
        """Keep what was typed, with what is wrong with it."""
        self.faults = faults
        self._bases.clear()
        self.changes += 1
        self.round += 1

    def faults_at(self, sheet: JobSheet) -> list[tuple[int | None, str, Fault]]:
        """Faults of one sheet: row of the table (None for none), title of the column, the fault."""
        from planner.screens.editing.sheets import place_of

        placed = [(place_of(fault), fault) for fault in self.faults]
        return [(row, title, fault) for (name, row, title), fault in placed if name == sheet.name]

    def sheets_with_faults(self) -> set[str]:
        """Names of the sheets that have faults."""
        from planner.screens.editing.sheets import place_of

        return {place_of(fault)[0] for fault in self.faults}

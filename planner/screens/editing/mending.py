"""A workbook with faults, put right on the screen: its sheets as they were in the file, to be read again.

The file's own cells are what is edited and what the workbook's own reader reads again, so there is one set of
rules and one set of sentences. A cell that nobody touches goes back as the very thing that the file held.
Nothing of Streamlit is used in here.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass, field
from io import BytesIO

import pandas as pd
from openpyxl.utils import column_index_from_string, get_column_letter

from planner.errors import Fault, InputFaults
from planner.job import Job, UnitSystem
from planner.job.names import fold
from planner.screens.editing.edits import FAULT, EditedSheets, with_faults
from planner.screens.editing.sheets import ROW, FaultPlace, heading_cells, place_of, setting_cells
from planner.workbook.apart import open_apart
from planner.workbook.cells import found_text
from planner.workbook.job_reader import job_of_sheets
from planner.workbook.job_sheets import JOB_SHEETS, NEVER_READ, SHEET_OF, SITE
from planner.workbook.opening import RawCell, RawSheet
from planner.workbook.sheet_reader import heading_row, workbook_units


def cell_text(cell: RawCell | None) -> str:
    """A cell as it is shown and typed: text as it stands, anything else as the faults write it."""
    if cell is None:
        return ""
    return cell.content if isinstance(cell.content, str) else found_text(cell.content)


_MEANT = re.compile(r"Did you mean (.+?)\?")


def meant_by(fault: Fault) -> str:
    """What the reader takes to be meant by what it found in a cell; blank where it does not know."""
    found = _MEANT.search(fault.sentence)
    return found[1] if found else ""


@dataclass(kw_only=True)
class Mending(EditedSheets):
    """A workbook that could not be opened, with its cells as they now are and what is wrong with them."""

    file: str
    """Its name."""
    sheets: list[RawSheet]
    """Its sheets, cell by cell."""
    begun: bool = False
    """Whether the user has chosen to mend it here."""
    edited: set[str] = field(default_factory=set)
    """Sheets that were edited since they were last read."""

    def begin(self) -> None:
        self.begun = True
        self.changes += 1

    # ------------------------------------------------------------------ the sheets

    def raw(self, name: str) -> RawSheet | None:
        """The sheet of that name, however its tab is written."""
        return next((raw for raw in self.sheets if fold(raw.name) == fold(name)), None)

    @property
    def job_sheets(self) -> list[str]:
        """Tabs that are sheets of a job, as written in the file, in the order of the job's sheets."""
        order = list(SHEET_OF)
        known = [raw.name for raw in self.sheets if fold(raw.name) in order]
        return sorted(known, key=lambda name: order.index(fold(name)))

    def faults_of(self, name: str) -> list[tuple[FaultPlace, Fault]]:
        """Faults that stand on that sheet."""
        placed = [(place_of(fault), fault) for fault in self.faults]
        return [(place, fault) for place, fault in placed if fold(place.sheet) == fold(name)]

    @property
    def elsewhere(self) -> list[Fault]:
        """Faults of no sheet that can be shown: of a sheet that is not there, or of the whole workbook."""
        shown = {fold(name) for name in self.job_sheets}
        return [fault for fault in self.faults if fold(place_of(fault).sheet) not in shown]

    # ------------------------------------------------------------------ one sheet as a table

    def base(self, name: str, *, fresh: bool) -> pd.DataFrame:
        """The table that an editor starts from.

        One column of texts for each column of the file, by its letter, and `ROW`; `FAULT` where the sheet has
        faults. Rows above the headings are left out, and the headings too unless there is a fault in them.

        Parameters
        ----------
        fresh
            The editor is new on the page: start from the cells as they now are.
        """
        if fresh or name not in self._bases:
            raw = self._known(name)
            as_it_was = RawSheet(raw.name, {number: dict(cells) for number, cells in raw.rows.items()})
            self._bases[name] = self._table(raw), as_it_was
        return self._bases[name][0]

    def _table(self, raw: RawSheet) -> pd.DataFrame:
        numbers = self.shown_rows(raw)
        letters = self.letters(raw)
        table = pd.DataFrame({ROW: pd.Series(numbers, dtype="Int64")})
        for index, letter in letters.items():
            cells = [cell_text(raw.rows[number].get(index)) for number in numbers]
            table[letter] = pd.Series(cells, dtype="object")
        told: dict[int, list[str]] = {}
        for place, fault in self.faults_of(raw.name):
            if place.row is not None:
                sentence = f"{place.cell}: {fault.sentence} Allowed: {fault.allowed}."
                told.setdefault(place.row, []).append(sentence)
        return with_faults(table, numbers, told)

    def shown_rows(self, raw: RawSheet) -> list[int]:
        """Rows of the file that the table of a sheet shows."""
        head = heading_row(SHEET_OF[fold(raw.name)], raw)
        bad = {place.row for place, _ in self.faults_of(raw.name)}
        first = 1 if head is None else head if head in bad else head + 1
        return [number for number in sorted(raw.rows) if number >= first]

    def letters(self, raw: RawSheet) -> dict[int, str]:
        """Columns of the file that the table shows, and an empty one for each column that is lacking."""
        filled = {index for cells in raw.rows.values() for index in cells}
        last = max((i for n in self.shown_rows(raw) for i in raw.rows[n]), default=1)
        head = heading_row(SHEET_OF[fold(raw.name)], raw)
        if head is not None:
            lacking = sum(f.found == "no such column" for _, f in self.faults_of(raw.name))
            last = max(last, *raw.rows[head]) + lacking
        return {index: get_column_letter(index) for index in range(1, (last if filled else 1) + 1)}

    def headings(self, name: str) -> dict[str, str]:
        """What stands at the head of each column, by its letter; blank where nothing does."""
        raw = self._known(name)
        head = heading_row(SHEET_OF[fold(name)], raw)
        cells = {} if head is None else raw.rows[head]
        return {letter: cell_text(cells.get(index)) for index, letter in self.letters(raw).items()}

    def keep_table(self, name: str, edited: pd.DataFrame) -> None:
        """Take the cells of a table as edited. A cell that shows what it showed stays what the file held."""
        base, before = self._bases[name]
        letters = {column_index_from_string(c): c for c in base.columns if c not in (ROW, FAULT)}
        shown = {int(number) for number in base[ROW]}
        rows = {number: cells for number, cells in before.rows.items() if number not in shown}
        following = max(before.rows, default=0) + 1
        columns = list(letters.values())
        for number, *texts in edited[[ROW, *columns]].itertuples(index=False, name=None):
            held: dict[int, RawCell] = {}
            if pd.isna(number):
                number, following = following, following + 1
            else:
                held = before.rows[int(number)]
            cells = dict(held)
            for index, value in zip(letters, texts, strict=True):
                text = value if isinstance(value, str) else ""
                if text == cell_text(held.get(index)):
                    continue
                cells.pop(index, None)
                if text.strip():
                    cells[index] = RawCell(text)
            if cells:
                rows[int(number)] = cells
        raw = self._known(name)
        if rows != raw.rows:
            raw.rows = rows
            self.edited.add(raw.name)
            self.changes += 1

    # ------------------------------------------------------------------ a whole sheet

    @property
    def lacking(self) -> list[str]:
        """Sheets that a job cannot do without and that the file does not have, under no name at all."""
        meant = set(self.misspelt.values())
        return [s.name for s in JOB_SHEETS if s.required and self.raw(s.name) is None and s.name not in meant]

    @property
    def misspelt(self) -> dict[str, str]:
        """Tabs that the reader takes for a slip of the pen, and the sheet that is meant."""
        tabs = {raw.name for raw in self.sheets} - set(self.job_sheets)
        return {f.where: f.allowed for f in self.faults if f.where in tabs and fold(f.allowed) in SHEET_OF}

    def without_headings(self, name: str) -> bool:
        """Whether a sheet has no row of headings, so that nothing in it can be read."""
        raw = self._known(name)
        sheet = SHEET_OF[fold(name)]
        return heading_row(sheet, raw) is None and bool(raw.rows or sheet.required)

    def add_sheet(self, name: str) -> None:
        """Add an empty sheet with its headings, and look at the whole again."""
        raw = RawSheet(name)
        self.sheets.append(raw)
        self._put_headings(raw)

    def rename_sheet(self, tab: str, meant: str) -> None:
        """Take a tab for the sheet that is meant, and look at the whole again."""
        for raw in self.sheets:
            if raw.name == tab:
                raw.name = meant
        self.read_again()

    def put_headings(self, name: str) -> None:
        """Put the sheet's headings above what stands in it, and look at the whole again."""
        self._put_headings(self._known(name))

    def _put_headings(self, raw: RawSheet) -> None:
        sheet = SHEET_OF[fold(raw.name)]
        units = workbook_units(SITE, self.raw(SITE.name)) or UnitSystem.FEET
        rows = {number + 1: cells for number, cells in raw.rows.items()}
        if sheet.settings and not rows:
            rows = {n: setting_cells(c, None, units) for n, c in enumerate(sheet.columns, start=2)}
        raw.rows = {1: heading_cells(sheet, units), **rows}
        self.read_again()

    def take_meant(self, place: FaultPlace, fault: Fault) -> None:
        """Put into a cell what its fault says was meant, in place of what was found; its fault is gone."""
        raw = self._known(place.sheet)
        assert place.row is not None and place.column is not None
        held = cell_text(raw.rows.get(place.row, {}).get(place.column))
        told = held.replace(fault.found, meant_by(fault)) if fault.found in held else meant_by(fault)
        raw.rows.setdefault(place.row, {})[place.column] = RawCell(told)
        self.edited.add(raw.name)
        self.begin_anew(tuple(other for other in self.faults if other is not fault))

    # ------------------------------------------------------------------ reading it again

    def read_again(self) -> Job | None:
        """The job that the sheets now make; None, with the faults that are left, when they make none."""
        self.edited.clear()
        try:
            job = job_of_sheets(self.sheets)
        except InputFaults as found:
            self.begin_anew(found.faults)
            return None
        self.begin_anew()
        return job

    def _known(self, name: str) -> RawSheet:
        raw = self.raw(name)
        if raw is None:
            raise KeyError(name)
        return raw


def mendable(file: str, data: bytes, faults: Sequence[Fault]) -> Mending | None:
    """The workbook ready to be mended; None when it cannot be opened as a workbook at all."""
    try:
        sheets = open_apart(data).sheets
    except InputFaults:
        return None
    # without the cells of sheets that the reader never looks into
    kept = [RawSheet(raw.name) if fold(raw.name) in NEVER_READ else raw for raw in sheets]
    mending = Mending(file=file, sheets=kept, faults=tuple(faults))
    return mending if mending.job_sheets or mending.misspelt else None


def macros_note(file: str, data: bytes) -> str:
    """What to tell of a workbook with macros, whatever its name ends in; blank for one without.

    The part that holds them is called ``vbaProject.bin`` (as openpyxl, which keeps it on request, names it).
    """
    try:
        with zipfile.ZipFile(BytesIO(data)) as box:
            macros = any(name.lower().endswith("vbaproject.bin") for name in box.namelist())
    except zipfile.BadZipFile:
        return ""
    if not macros:
        return ""
    return f"{file} holds macros. They were not run and are not kept: only what stands in its cells was read."

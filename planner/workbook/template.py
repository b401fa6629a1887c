"""The empty job workbook: headings, help, drop-downs and checks on every sheet, shipped rules filled in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from openpyxl import Workbook
from openpyxl.cell.cell import Cell
from openpyxl.utils import get_column_letter

from planner.files import Target, save_workbook
from planner.job.air_plant import AirPlant
from planner.job.crew_rules import CrewRules
from planner.job.words import UnitSystem
from planner.workbook.columns_gear import AIR
from planner.workbook.columns_site import SITE
from planner.workbook.job_layout import SUBJECT, Common, RowValues, lay_out, lines_in, set_up_page
from planner.workbook.job_rows import rule_rows, settings_row
from planner.workbook.job_sheets import JOB_SHEETS, README_SHEET
from planner.workbook.style import PALE, Look, dress, new_book, write

HOW_TO: tuple[str, ...] = (
    "This workbook describes one job. Fill in the sheets, save it as .xlsx and give it to the planner, which "
    "reads it all and lists every fault with its sheet and cell.",
    "One thing a row, under the headings. Blank rows are passed over. Grey headings and grey settings must "
    "be filled in; the line above a heading says what a blank means.",
    "Names join the sheets: a person, item, station or outfit is called the same everywhere. Capitals and "
    "extra blanks do not matter.",
    "Several names in one cell are split by semicolons: diver; tender. A crew gives the number after each "
    "duty: rigger 2; crane operator 1.",
    "Dates are cells of a date, or text such as 2027-03-16. Times are local and written 07:00 or 0700. "
    "Minutes are whole.",
    "Do not change the headings, the units in them or the names of the sheets. Sheets of your own are not "
    "read.",
    "The cells hold figures, not live links: a formula is read by the value that was saved with it.",
)


def write_template(target: Target, units: UnitSystem = UnitSystem.FEET) -> None:
    """Write an empty job workbook.

    Parameters
    ----------
    target
        Path or open binary file.
    units
        Units of its headings.

    Raises
    ------
    OSError
        When the place cannot be written.
    """
    site: dict[str, object] = {
        c.field: info.default
        for c in SITE.columns
        if not (info := SITE.model.model_fields[c.field]).is_required()
    }
    site["units"] = units
    rows: dict[str, Sequence[RowValues]] = {
        SITE.name: [settings_row(SITE, site, units)],
        AIR.name: [settings_row(AIR, dict(AirPlant()), units)],
        **rule_rows(CrewRules(), units),
    }
    save_workbook(job_book(rows, units, "Job workbook"), target)


def job_book(rows: Mapping[str, Sequence[RowValues]], units: UnitSystem, title: str) -> Workbook:
    """A job workbook with these rows by sheet name (figures as typed in these units)."""
    book = new_book(title)
    _read_me(book, units)
    common = Common(book)
    for sheet in JOB_SHEETS:
        lay_out(book, sheet, units, rows.get(sheet.name, ()), common)
    book.move_sheet(common.sheet, len(JOB_SHEETS))
    book.active = 0
    return book


def _read_me(book: Workbook, units: UnitSystem) -> None:
    ws = book.create_sheet(README_SHEET)
    ws.sheet_view.showGridLines = False
    widths = (20.0, 76.0, 30.0)
    for index, width in enumerate(widths, start=1):
        ws.column_dimensions[get_column_letter(index)].width = width
    row = 1

    def line(texts: Sequence[str], look: Look, height: float, *, joined: bool = False) -> None:
        nonlocal row
        if joined:
            ws.merge_cells(start_row=row, start_column=1, end_row=row, end_column=len(widths))
        for index, text in enumerate(texts, start=1):
            cell = ws.cell(row, index)
            if isinstance(cell, Cell):
                write(cell, text)
                dress(cell, look)
        ws.row_dimensions[row].height = height
        row += 1

    text = Look(size=10, wrap=True, down="top")
    line(("Job workbook for a diving team",), Look(size=17, bold=True), 26, joined=True)
    line((SUBJECT,), Look(size=9, bold=True, wrap=True, edges="tb", heavy="tb"), 28, joined=True)
    line((f"Units of this workbook: {units}.",), text.but(bold=True), 20, joined=True)
    for sentence in HOW_TO:
        line((sentence,), text, 13.5 * lines_in(sentence, sum(widths), 10) + 3, joined=True)
    line(("",), text, 8)
    head = Look(size=9, bold=True, edges="lrtb", heavy="b", fill=PALE)
    line(("Sheet", "What stands in it", "Without it"), head, 16)
    for sheet in JOB_SHEETS:
        without = "must be filled in" if sheet.required else sheet.missing
        cells = text.but(size=9.5, edges="lrtb")
        line((sheet.name, sheet.purpose, without), cells, 13 * lines_in(sheet.purpose, widths[1], 9.5) + 3)
        link = ws.cell(row - 1, 1)
        link.hyperlink = f"#'{sheet.name}'!A1"
        if isinstance(link, Cell):
            dress(link, cells.but(bold=True))
    set_up_page(ws, f"A1:C{row - 1}", titles=None, landscape=False)

"""How a sheet of the job workbook is laid out: headings, help, drop-downs, checks in the cells, print set-up.

The template and the writer of a job share it, so both look and read alike.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Literal

from openpyxl import Workbook
from openpyxl.cell.cell import Cell
from openpyxl.styles.cell_style import StyleArray
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from planner import CAUTION
from planner.job import UnitSystem
from planner.job.duties import BUILT_IN_DUTIES
from planner.workbook.columns import CellKind, JobColumn, JobSheet, plain, shown
from planner.workbook.job_sheets import LISTS_SHEET, MEANING, SETTING, SOURCE, UNIT, VALUE
from planner.workbook.style import PALE, SOFT, Look, dress_alike, paper_named, put_on_paper, write

SUBJECT = f"{CAUTION} Subject to local regulations."
CAUTION_ROW, TITLE_ROW, PURPOSE_ROW = 1, 2, 3
#: Rows of a sheet that lists things, and of one that lists settings.
HELP_ROW, HEADING_ROW, FIRST_ROW = 4, 5, 6
SETTINGS_HEADING_ROW, FIRST_SETTING_ROW = 4, 5
#: How many rows get drop-downs and checks, and how many are ruled when a sheet is empty.
CHECKED_ROWS, RULED_ROWS = 300, 12
LEAST_WIDTH = 96.0
PLAIN_WIDTH = 9.0
#: Earliest date that a date cell takes: 2000-01-01 as the day number of the 1900 date system.
EARLIEST_DAY = 36_526

CellValue = str | int | float | date | None
RowValues = Mapping[str, CellValue]

_HEADING = Look(size=9, bold=True, wrap=True, down="center", edges="lrtb", heavy="b")
_NEEDED = _HEADING.but(fill=PALE)
_HELP = Look(size=8, ink=SOFT, wrap=True, down="bottom")
_BODY = Look(size=10, wrap=True, down="center", edges="lrtb")
_MIDDLE = _BODY.but(across="center")
#: Looks of cells by what they hold. Names and texts are kept as text, and so are times: one typed as 0700
#: stays 0700 and does not become the number 700.
_LOOKS = {
    CellKind.DATE: _MIDDLE.but(number_format="yyyy-mm-dd"),
    **dict.fromkeys((CellKind.CLOCK, CellKind.MOMENT), _MIDDLE.but(number_format="@")),
    **dict.fromkeys((CellKind.WHOLE, CellKind.NUMBER, CellKind.YES_NO), _MIDDLE),
    CellKind.CHOICE: _BODY,
    **dict.fromkeys(
        (CellKind.NAME, CellKind.TEXT, CellKind.NAMES, CellKind.CREW), _BODY.but(number_format="@")
    ),
}


class Common:
    """What the sheets of one workbook share: the hidden sheet of drop-down entries, and looks made once."""

    def __init__(self, book: Workbook) -> None:
        self.sheet = book.create_sheet(LISTS_SHEET)
        self.sheet.sheet_state = "hidden"
        self._places: dict[tuple[str, ...], str] = {}
        self._dressed: dict[Look, StyleArray] = {}

    def place(self, entries: tuple[str, ...]) -> str:
        """The range that holds these entries."""
        if entries not in self._places:
            column = len(self._places) + 1
            letter = get_column_letter(column)
            for row, entry in enumerate(entries, start=1):
                cell = self.sheet.cell(row, column)
                if isinstance(cell, Cell):
                    write(cell, entry)
            self._places[entries] = f"{LISTS_SHEET}!${letter}$1:${letter}${len(entries)}"
        return self._places[entries]

    def put(self, ws: Worksheet, row: int, column: int, value: CellValue, look: Look) -> None:
        """Write a value with a look; a text stays text whatever it begins with."""
        cell = ws.cell(row, column)
        if not isinstance(cell, Cell):
            return
        dress_alike(cell, look, self._dressed)
        write(cell, value)


def advice(sheet: JobSheet, column: JobColumn, units: UnitSystem) -> str:
    """The help of a column with its example and what a blank means."""
    parts = [column.help]
    example = shown(column.example, column, units)
    if example and not sheet.settings:
        parts.append(f"E.g. {example}.")
    blank = sheet.blank_means(column, units)
    if sheet.needs(column):
        parts.append("Needed.")
    elif blank:
        parts.append(f"Blank: {blank}.")
    return " ".join(parts)


def lay_out(
    book: Workbook, sheet: JobSheet, units: UnitSystem, rows: Sequence[RowValues], common: Common
) -> Worksheet:
    """Add one sheet with these rows (figures as typed in these units) to a workbook.

    For a sheet of settings there is one row, of field and value.
    """
    ws: Worksheet = book.create_sheet(sheet.name)
    ws.sheet_view.showGridLines = False
    if sheet.settings:
        _lay_out_settings(ws, sheet, units, rows[0] if rows else {}, common)
    else:
        _lay_out_table(ws, sheet, units, rows, common)
    return ws


def _lay_out_table(
    ws: Worksheet, sheet: JobSheet, units: UnitSystem, rows: Sequence[RowValues], common: Common
) -> None:
    widths = [column.width for column in sheet.columns]
    span = len(widths)
    for index, column in enumerate(sheet.columns, start=1):
        common.put(ws, HELP_ROW, index, advice(sheet, column, units), _HELP)
        common.put(
            ws, HEADING_ROW, index, column.heading(units), _NEEDED if sheet.needs(column) else _HEADING
        )
        letter = get_column_letter(index)
        ws.column_dimensions[letter].width = column.width
        _check(
            ws,
            sheet,
            column,
            units,
            f"{letter}{FIRST_ROW}:{letter}{FIRST_ROW + max(CHECKED_ROWS, len(rows) + 100) - 1}",
            common,
        )
    while sum(widths) < LEAST_WIDTH:
        widths.append(PLAIN_WIDTH)
        ws.column_dimensions[get_column_letter(len(widths))].width = PLAIN_WIDTH
    _head(ws, sheet, widths, common)
    ws.row_dimensions[HELP_ROW].height = 11.0 * max(
        lines_in(advice(sheet, c, units), c.width, _HELP.size) for c in sheet.columns
    )
    ws.row_dimensions[HEADING_ROW].height = 4 + 12 * max(
        lines_in(c.heading(units), c.width * 0.9, _HEADING.size) for c in sheet.columns
    )
    last = FIRST_ROW + max(RULED_ROWS, len(rows) + 3) - 1
    for number in range(FIRST_ROW, last + 1):
        values = rows[number - FIRST_ROW] if number - FIRST_ROW < len(rows) else {}
        for index, column in enumerate(sheet.columns, start=1):
            common.put(ws, number, index, values.get(column.field), _LOOKS[column.kind])
        tallest = max(lines_in(str(values.get(c.field) or ""), c.width, _BODY.size) for c in sheet.columns)
        ws.row_dimensions[number].height = max(16, 13.2 * tallest + 2)
    for index, column in enumerate(sheet.columns, start=1):
        # Rows below the ruled ones keep the format of their column.
        ws.column_dimensions[get_column_letter(index)].number_format = _LOOKS[column.kind].number_format
    ws.freeze_panes = f"{'B' if span > 1 else 'A'}{FIRST_ROW}"
    set_up_page(
        ws,
        f"A1:{get_column_letter(len(widths))}{last}",
        titles=f"{CAUTION_ROW}:{HEADING_ROW}",
        landscape=True,
    )


def _lay_out_settings(
    ws: Worksheet, sheet: JobSheet, units: UnitSystem, values: RowValues, common: Common
) -> None:
    headings = [(SETTING, 34.0), (VALUE, 34.0), (UNIT, 18.0), (MEANING, 58.0)]
    if any(column.source for column in sheet.columns):
        headings.append((SOURCE, 48.0))
    for index, (heading, width) in enumerate(headings, start=1):
        common.put(ws, SETTINGS_HEADING_ROW, index, heading, _HEADING)
        ws.column_dimensions[get_column_letter(index)].width = width
    _head(ws, sheet, [width for _, width in headings], common)
    ws.row_dimensions[SETTINGS_HEADING_ROW].height = 16
    for number, column in enumerate(sheet.columns, start=FIRST_SETTING_ROW):
        look = _BODY.but(bold=True, fill=PALE) if sheet.needs(column) else _BODY
        common.put(ws, number, 1, column.title, look)
        common.put(ws, number, 2, values.get(column.field), _LOOKS[column.kind].but(across="left"))
        common.put(ws, number, 3, column.unit_in(units), _BODY)
        text = advice(sheet, column, units)
        common.put(ws, number, 4, text, _BODY)
        if column.source:
            common.put(ws, number, 5, column.source, _BODY)
        tallest = max(
            lines_in(str(values.get(column.field) or ""), 34.0, _BODY.size),
            lines_in(text, 58.0, _BODY.size),
            lines_in(column.source, 48.0, _BODY.size),
        )
        ws.row_dimensions[number].height = max(15, 13.5 * tallest)
        _check(ws, sheet, column, units, f"B{number}", common)
    ws.freeze_panes = f"B{FIRST_SETTING_ROW}"
    last = FIRST_SETTING_ROW + len(sheet.columns) - 1
    set_up_page(
        ws,
        f"A1:{get_column_letter(len(headings))}{last}",
        titles=f"{CAUTION_ROW}:{SETTINGS_HEADING_ROW}",
        landscape=len(headings) > 4,
    )


def _head(ws: Worksheet, sheet: JobSheet, widths: Sequence[float], common: Common) -> None:
    lines = (
        (CAUTION_ROW, SUBJECT, Look(size=8, bold=True, wrap=True), 11.5),
        (TITLE_ROW, sheet.name, Look(size=15, bold=True, down="bottom"), 22),
        (PURPOSE_ROW, sheet.purpose, Look(size=9.5, wrap=True, down="top"), 13.5),
    )
    for row, text, look, height in lines:
        ws.merge_cells(start_row=row, start_column=1, end_row=row, end_column=len(widths))
        common.put(ws, row, 1, text, look)
        needed = lines_in(text, sum(widths), look.size)
        ws.row_dimensions[row].height = height * needed + 2


def set_up_page(ws: Worksheet, print_area: str, *, titles: str | None, landscape: bool) -> None:
    """A4, one page wide, the caution and the page's number in the foot."""
    put_on_paper(ws, print_area, f"{SUBJECT} · {ws.title}", paper_named("A4"), landscape=landscape)
    ws.page_margins.left = ws.page_margins.right = 0.4
    ws.page_margins.top, ws.page_margins.bottom = 0.4, 0.6
    ws.print_title_rows = titles


def lines_in(text: str, width: float, size: float) -> int:
    """Lines that a text of this size takes in a column this wide, broken between words.

    A column's width counts digits of 10-point type; a letter of running text is a little narrower.
    """
    room = max(1, int((width - 1) * 10 / size * 1.08))
    lines = 0
    for part in text.split("\n"):
        lines, used = lines + 1, 0
        for word in part.split():
            used = used + 1 + len(word) if used else len(word)
            if used > room:
                broken, rest = divmod(len(word), room)
                lines, used = lines + max(1, broken), rest or len(word)
    return lines


def _check(
    ws: Worksheet, sheet: JobSheet, column: JobColumn, units: UnitSystem, cells: str, common: Common
) -> None:
    """Give cells the drop-down or the check that the column asks for, and its help as a prompt."""
    rule = _rule(sheet, column, units, common)
    rule.allow_blank = True
    rule.promptTitle = column.title[:32]
    rule.prompt = advice(sheet, column, units)[:255]
    rule.showInputMessage = True
    rule.add(cells)
    ws.add_data_validation(rule)


def _rule(sheet: JobSheet, column: JobColumn, units: UnitSystem, common: Common) -> DataValidation:
    if column.kind is CellKind.YES_NO:
        return _list(common.place(("yes", "no")), firm=True)
    if column.kind is CellKind.CHOICE:
        return _list(common.place(tuple(str(c) for c in column.choices)), firm=True)
    if column.kind is CellKind.NAME and column.refers == "duties":
        return _list(common.place(BUILT_IN_DUTIES), firm=False)
    if column.kind is CellKind.NAME and column.refers in ("people", "stations"):
        tab = "People" if column.refers == "people" else "Stations"
        return _list(f"{tab}!$A${FIRST_ROW}:$A${FIRST_ROW + CHECKED_ROWS - 1}", firm=False)
    if column.choices:
        return _list(common.place(column.choices), firm=False)
    if column.kind in (CellKind.WHOLE, CellKind.NUMBER):
        return _number_rule(sheet, column, units)
    if column.kind is CellKind.DATE:
        return _firm(
            DataValidation(type="date", operator="greaterThanOrEqual", formula1=str(EARLIEST_DAY)),
            "A date such as 2027-03-16.",
        )
    if column.kind is CellKind.NAME:
        longest = sheet.bounds(column).longest
        return _firm(
            DataValidation(type="textLength", operator="between", formula1="1", formula2=str(longest)),
            f"A name of up to {longest} letters.",
        )
    return DataValidation()


def _number_rule(sheet: JobSheet, column: JobColumn, units: UnitSystem) -> DataValidation:
    low, high = sheet.range_in(column, units)
    whole = column.whole_in(units)
    kind: Literal["whole", "decimal"] = "whole" if whole else "decimal"
    if low is None and high is None:
        return DataValidation(
            type="decimal", operator="between", formula1="-1000000000", formula2="1000000000"
        )
    if high is None:
        told = f"{plain(low or 0)} or more"
        rule = DataValidation(type=kind, operator="greaterThanOrEqual", formula1=plain(low or 0))
    else:
        told = f"{plain(low or 0)} to {plain(high)}"
        rule = DataValidation(type=kind, operator="between", formula1=plain(low or 0), formula2=plain(high))
    unit = column.unit_in(units)
    return _firm(rule, f"A {'whole number' if whole else 'number'}, {told}{' ' + unit if unit else ''}.")


def _list(place: str, *, firm: bool) -> DataValidation:
    rule = DataValidation(type="list", formula1=place)
    if firm:
        return _firm(rule, "Choose one from the list.")
    rule.showErrorMessage = False
    return rule


def _firm(rule: DataValidation, told: str) -> DataValidation:
    rule.showErrorMessage = True
    rule.errorStyle = "stop"
    rule.errorTitle = "Not allowed here"
    rule.error = told
    return rule

"""How every printed sheet looks: type, rules, page set-up, and the one door by which text enters a cell.

Colour on a sheet means a duty and nothing else, so everything here is black, white and grey. A text that
a user typed is always written as text: it can never become a formula.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from typing import Any, Final

from openpyxl import Workbook
from openpyxl.cell import MergedCell
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE, Cell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.styles.cell_style import StyleArray
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.cell_range import CellRange
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from planner import CAUTION
from planner.files import Reckoned
from planner.workbook.letters import CELL_EDGES_MM, MM_PER_INCH, POINTS_PER_MM, text_width_mm

FONT = "Arial"
INK, SOFT, RULE, PALE, MIST = "#1A1A1A", "#555555", "#9A9A9A", "#E9E9E9", "#F5F5F5"

#: Width of one digit of the workbook's base type (Arial 10) at 96 dots an inch; a column width counts these.
#: LibreOffice measures 7.4; a program that rounds it to 7 prints a sheet 5 % narrower, never wider.
_DIGIT_PX = 7.4
#: Least size in points to which the line of facts under a head is shrunk; a longer one takes two lines.
_FACTS_LEAST = 6.7
#: What sums of heights may be off by.
_HAIR_POINTS = 0.01
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")


@dataclass(frozen=True)
class Paper:
    """A sheet of paper, upright, in millimetres, with the code that a workbook names it by."""

    name: str
    code: int
    width_mm: float
    height_mm: float


#: ISO 216 A4 and ANSI/ASME Y14.1 A (Letter); codes from ECMA-376 part 1, §18.3.1.63 ``paperSize``.
PAPERS: Final[dict[str, Paper]] = {
    "A4": Paper("A4", 9, 210.0, 297.0),
    "Letter": Paper("Letter", 1, 215.9, 279.4),
}

#: Margins in millimetres that office printers can print within on both papers.
SIDE_MM, TOP_MM, BOTTOM_MM, FOOT_MM = 10.0, 10.0, 14.0, 6.0


@dataclass(frozen=True)
class Page:
    """A paper lying or standing, and the room inside its margins in millimetres."""

    paper: Paper
    landscape: bool

    @property
    def width_mm(self) -> float:
        full = self.paper.height_mm if self.landscape else self.paper.width_mm
        return full - 2 * SIDE_MM

    @property
    def height_mm(self) -> float:
        full = self.paper.width_mm if self.landscape else self.paper.height_mm
        return full - TOP_MM - BOTTOM_MM


def paper_named(name: str) -> Paper:
    """The paper of that name (``A4`` or ``Letter``, in any case).

    Raises
    ------
    ValueError
        For any other name.
    """
    for known, paper in PAPERS.items():
        if known.casefold() == name.casefold():
            return paper
    raise ValueError(f"{name!r} is not a paper this program prints on; it is one of {', '.join(PAPERS)}")


@dataclass(frozen=True)
class Look:
    """How one cell looks. ``edges`` names its ruled sides: any of ``l``, ``r``, ``t``, ``b``."""

    size: float = 9
    bold: bool = False
    italic: bool = False
    ink: str = INK
    fill: str | None = None
    across: str = "left"
    down: str = "center"
    wrap: bool = False
    shrink: bool = False
    edges: str = ""
    heavy: str = ""
    """Sides ruled with a heavier line."""
    number_format: str = "General"
    indent: int = 0

    def but(self, **changes: object) -> Look:
        """The same look with some things changed."""
        return replace(self, **changes)  # type: ignore[arg-type]


TEXT = Look()
SMALL = Look(size=7.5, ink=SOFT)
HEAD = Look(size=7.5, bold=True, ink=SOFT, edges="b", heavy="b", wrap=True, down="bottom")
VALUE = Look(across="center", edges="b")
CLOCK = Look(across="center", edges="b", number_format="hh:mm")
LENGTH = Look(across="center", edges="b", number_format="[h]:mm")

Value = str | int | float | date | timedelta | None


@dataclass
class Sheet:
    """One worksheet being written, top to bottom. Rows and columns count from 1."""

    ws: Worksheet
    page: Page
    widths_mm: tuple[float, ...]
    reckoned: dict[str, Reckoned] = field(default_factory=dict)
    """What the sheet's formulas come to, by cell."""
    title_rows: int = 0
    one_page: bool = False
    """Squeezed onto one page, where what is over is little."""
    last_row: int = 0
    """The last row that is printed, once the page is set up."""
    _heights: dict[int, float] = field(default_factory=dict)
    _page_from: int = 1
    _dressed: dict[Look, StyleArray] = field(default_factory=dict)
    """Looks its workbook already has, so that a cell that repeats one is cheap."""

    @property
    def columns(self) -> int:
        return len(self.widths_mm)

    def width_mm(self, column: int, wide: int = 1) -> float:
        """Width of a run of columns."""
        return sum(self.widths_mm[column - 1 : column - 1 + wide])

    def put(self, row: int, column: int, value: Value, look: Look = TEXT, *, wide: int = 1) -> None:
        """Write a value; ``wide`` joins it over several columns."""
        if wide < 1:
            # no column is left for it
            return
        cell = self.ws.cell(row, column)
        dress_alike(cell, look if wide == 1 else _part_of(look, True, False), self._dressed)
        if wide > 1:
            self._join(row, column, look, wide)
        if isinstance(cell, Cell):
            write(cell, value)

    def _join(self, row: int, column: int, look: Look, wide: int) -> None:
        """Join cells of a row to its first, each with its part of the look.

        openpyxl's own way asks each joined block whether it holds the new one, and works out borders that are
        drawn over here: two fifths of the time that a watchbill took to write.
        """
        last = column + wide - 1
        self.ws.merged_cells.ranges.add(CellRange(min_row=row, min_col=column, max_row=row, max_col=last))
        parts = [_part_of(look, False, False)] * min(1, wide - 2) + [_part_of(look, False, True)]
        styles = [style_of(part, self.ws, self._dressed) for part in parts]
        for at in range(column + 1, last + 1):
            # nothing is written into it, so that those of one look can have one style
            joined = self.ws._cells[row, at] = MergedCell(self.ws, row, at)
            joined._style = styles[-1 if at == last else 0]  # type: ignore[attr-defined]

    def put_formula(self, row: int, column: int, text: str, value: Reckoned) -> None:
        """Write one of the program's own formulas into a cell that has its look, with what it comes to."""
        cell = self.ws.cell(row, column)
        cell.value = text
        self.reckoned[cell.coordinate] = value

    def number(self, row: int, column: int) -> float | Decimal:
        """The number in a cell, or what its formula comes to; 0 in a cell without one."""
        cell = self.ws.cell(row, column)
        found = self.reckoned.get(cell.coordinate, cell.value)
        return found if isinstance(found, int | float | Decimal) else 0

    def tall(self, row: int, points: float) -> None:
        """Set a row's height in points."""
        self.ws.row_dimensions[row].height = points
        self._heights[row] = points

    def height_mm(self, first_row: int, last_row: int) -> float:
        """Height of a run of rows; 15 points for rows that were never set."""
        points = sum(self._heights.get(r, 15.0) for r in range(first_row, last_row + 1))
        return points / POINTS_PER_MM

    def break_after(self, row: int) -> None:
        """Begin a new printed page after this row."""
        self.ws.row_breaks.append(Break(id=row))
        self._page_from = row + 1

    def keep_together(self, first_row: int, last_row: int) -> None:
        """Begin a new printed page before a run of rows that would be cut in two; before any above, too, that
        is over its page."""
        for row in range(self._page_from, first_row):
            if self.room_points(row + 1) < -_HAIR_POINTS:
                self.break_after(row - 1)
        if first_row > self._page_from and self.room_points(last_row + 1) < 0:
            self.break_after(first_row - 1)

    @property
    def page_points(self) -> float:
        """Room of a page under the rows that are repeated on each."""
        return (self.page.height_mm - self.height_mm(1, self.title_rows)) * POINTS_PER_MM

    def room_points(self, row: int) -> float:
        """What is free of the present page from a row on; below 0 how far the rows before it reach over."""
        first = max(self._page_from, self.title_rows + 1)
        return self.page_points - self.height_mm(first, row - 1) * POINTS_PER_MM

    def pages(self) -> int:
        """How many pages a sheet that is set up prints on, none of it made smaller to fit the paper."""
        breaks = {found.id for found in self.ws.row_breaks.brk}
        pages, free = 1, self.page_points
        for row in range(self.title_rows + 1, self.last_row + 1):
            tall = self.height_mm(row, row) * POINTS_PER_MM
            if row - 1 in breaks or tall > free + _HAIR_POINTS:
                pages, free = pages + 1, self.page_points
            free -= tall
        return 1 if self.one_page else pages


@cache
def _part_of(look: Look, left: bool, right: bool) -> Look:
    """The look of a joined cell that is the first, or the last, of its row: only outer sides are ruled."""
    keep = {"t": True, "b": True, "l": left, "r": right}
    return look.but(
        edges="".join(e for e in look.edges if keep[e]), heavy="".join(e for e in look.heavy if keep[e])
    )


def write(cell: Cell, value: Value) -> None:
    """Put a value in a cell; a text stays text whatever it begins with."""
    if value is None:
        return
    if not isinstance(value, str):
        kept = cell.number_format
        cell.value = value
        if kept != "General":
            cell.number_format = kept
        return
    text = ILLEGAL_CHARACTERS_RE.sub("", value)
    cell.value = text
    cell.data_type = "s"
    if text.startswith(_FORMULA_STARTS):
        cell.quotePrefix = True


def dress(cell: Cell | MergedCell, look: Look) -> None:
    cell.font = Font(name=FONT, size=look.size, bold=look.bold, italic=look.italic, color=_rgb(look.ink))
    cell.alignment = Alignment(
        horizontal=look.across,
        vertical=look.down,
        wrap_text=look.wrap,
        shrink_to_fit=look.shrink and not look.wrap,
        indent=look.indent,
    )
    if look.fill:
        cell.fill = PatternFill("solid", start_color=_rgb(look.fill), end_color=_rgb(look.fill))
    if look.edges or look.heavy:
        cell.border = Border(
            left=_side("l", look), right=_side("r", look), top=_side("t", look), bottom=_side("b", look)
        )
    if look.number_format != "General":
        cell.number_format = look.number_format


def dress_alike(cell: Cell | MergedCell, look: Look, known: dict[Look, StyleArray]) -> None:
    """Give a cell a look that others of its workbook have: many times faster than a style of its own."""
    # what is written into the cell may change its style: that of the look stays as it is; the library's stubs
    # know the style of neither kind of cell
    cell._style = copy(style_of(look, cell.parent, known))  # type: ignore[union-attr]


def style_of(look: Look, ws: Any, known: dict[Look, StyleArray]) -> StyleArray:
    """A look as its workbook keeps it: looked up, or made and remembered."""
    found = known.get(look)
    if found is None:
        model = MergedCell(ws, 1, 1)
        dress(model, look)
        found = known[look] = model._style  # type: ignore[attr-defined]
    return found


def _side(which: str, look: Look) -> Side:
    if which in look.heavy:
        return Side(style="medium", color=_rgb(INK))
    if which in look.edges:
        return Side(style="thin", color=_rgb(RULE))
    return Side()


def _rgb(colour_hex: str) -> str:
    return "FF" + colour_hex.removeprefix("#")


class Book(Workbook):
    """A workbook that knows what its formulas come to: ``reckoned``, by sheet and cell."""

    def __init__(self) -> None:
        super().__init__()
        self.reckoned: dict[str, dict[str, Reckoned]] = {}
        self.dressed: dict[Look, StyleArray] = {}
        """Looks that some cell of it has, as its sheets name them."""


def new_book(title: str) -> Book:
    """An empty workbook whose base type is the sheets' own."""
    book = Book()
    book.remove(book.worksheets[0])
    base = next(style for style in book._named_styles if style.name == "Normal")  # type: ignore[attr-defined]
    base.font = Font(name=FONT, size=10)
    book.properties.creator = "diving-team-planner"
    book.properties.title = ILLEGAL_CHARACTERS_RE.sub("", title)
    return book


def new_sheet(book: Book, name: str, page: Page, widths_mm: Sequence[float]) -> Sheet:
    """A worksheet whose columns, in these proportions, fill the page from margin to margin."""
    ws = book.create_sheet(name)
    stretch = page.width_mm / sum(widths_mm)
    full = tuple(width * stretch for width in widths_mm)
    for index, width in enumerate(full, start=1):
        pixels = width / MM_PER_INCH * 96
        ws.column_dimensions[get_column_letter(index)].width = pixels / _DIGIT_PX
    ws.sheet_view.showGridLines = False
    ws.sheet_format.defaultRowHeight = 15
    ws.sheet_format.customHeight = True
    return Sheet(ws, page, full, book.reckoned.setdefault(ws.title, {}), _dressed=book.dressed)


def write_head(sheet: Sheet, title: str, job_name: str, facts: str) -> int:
    """The head of a sheet: title, job, one line of facts, the caution, a gap. Returns the next free row."""
    whole = sheet.page.width_mm
    half = next(n for n in range(1, sheet.columns + 1) if sheet.width_mm(1, n) >= whole * 0.45)
    big, right = Look(size=17, bold=True, down="bottom"), sheet.columns - half
    if sheet.width_mm(half + 1, right) < whole * 0.35:
        sheet.put(1, 1, f"{title} · {job_name}", big.but(shrink=True), wide=sheet.columns)
    else:
        sheet.put(1, 1, title, big, wide=half)
        name = Look(size=12, bold=True, across="right", down="bottom", shrink=True)
        sheet.put(1, half + 1, job_name, name, wide=right)
    sheet.tall(1, 25)
    two = text_width_mm(facts, _FACTS_LEAST) > whole - CELL_EDGES_MM
    look = Look(size=7.5, ink=SOFT, wrap=True) if two else Look(size=8.5, ink=SOFT, shrink=True)
    sheet.put(2, 1, facts, look, wide=sheet.columns)
    sheet.tall(2, 22 if two else 14)
    sheet.put(
        3,
        1,
        CAUTION,
        Look(size=8, bold=True, edges="tb", heavy="tb", across="left", shrink=True),
        wide=sheet.columns,
    )
    sheet.tall(3, 15)
    sheet.tall(4, 6)
    sheet.title_rows = 4
    return 5


def set_up_page(sheet: Sheet, last_row: int) -> None:
    """Page set-up: one page wide, the head on each page, the caution and the page number in its foot.

    As many pages tall as needed; one where the sheet was squeezed (`Sheet.one_page`).
    """
    ws, page, sheet.last_row = sheet.ws, sheet.page, last_row
    area, foot = f"A1:{get_column_letter(sheet.columns)}{last_row}", f"{CAUTION}   {ws.title}"
    put_on_paper(ws, area, foot, page.paper, landscape=page.landscape, size=7 if page.landscape else 6)
    ws.page_setup.fitToHeight = 1 if sheet.one_page else 0
    ws.page_margins.left = ws.page_margins.right = SIDE_MM / MM_PER_INCH
    ws.page_margins.top = TOP_MM / MM_PER_INCH
    ws.page_margins.bottom = BOTTOM_MM / MM_PER_INCH
    ws.page_margins.header = 5 / MM_PER_INCH
    ws.page_margins.footer = FOOT_MM / MM_PER_INCH
    ws.print_options.horizontalCentered = True
    ws.print_title_rows = f"1:{sheet.title_rows}"


def put_on_paper(
    ws: Worksheet, area: str, foot: str, paper: Paper, *, landscape: bool, size: int = 7
) -> None:
    """A sheet one page wide, as many tall as needed, with words and the page's number in its foot."""
    ws.page_setup.paperSize = paper.code
    ws.page_setup.orientation = "landscape" if landscape else "portrait"
    ws.page_setup.fitToWidth = 1
    ws.page_setup.fitToHeight = 0
    ws.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    ws.print_area = area
    centre = ws.oddFooter.center  # type: ignore[union-attr]
    centre.text = f"{foot} · page &P of &N"
    centre.size = size
    centre.font = f"{FONT},Regular"

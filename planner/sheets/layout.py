"""How every printed workbook is laid out: its paper and heads, tables as lists of columns, lines, words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Generic, TypeVar

from openpyxl.utils import get_column_letter

from planner.files import Reckoned
from planner.job.base import Clock
from planner.workbook.letters import CELL_EDGES_MM, lines_needed, text_width_mm
from planner.workbook.style import (
    HEAD,
    SMALL,
    SOFT,
    VALUE,
    Book,
    Look,
    Page,
    Paper,
    Sheet,
    Value,
    new_book,
    new_sheet,
    paper_named,
    set_up_page,
    write_head,
)

#: Height of a line of type over its size, and what a row has above and below its lines, in points.
LINE, AROUND = 1.25, 4.0
#: Least part of its size, and least size in points, to which type is made smaller to fit a cell; longer words
#: take further lines.
LEAST_SHRUNK, LEAST_POINTS = 0.8, 6.7

Row = TypeVar("Row")


@dataclass(frozen=True)
class Formula:
    """A formula of the program's own, never a user's text, and what it comes to.

    ``{row}`` stands for the number of its row, ``{above}`` for the one before.
    """

    text: str
    value: Reckoned


CellValue = Value | Decimal | Formula
#: A value, how many columns it takes, and its look.
Cell = tuple[CellValue, int, Look]


@dataclass(frozen=True)
class PrintedBook:
    """A workbook being written, with what all its sheets share."""

    book: Book
    """The workbook."""
    paper: Paper
    """What every sheet is printed on."""
    subject: str
    """The job's name, at the right of every head."""
    facts: str
    """The line under every head."""
    sheets: list[PrintedSheet] = field(default_factory=list)
    """Those that have been begun."""

    def sheet(
        self,
        name: str,
        widths: Sequence[float],
        *,
        landscape: bool = False,
        title: str = "",
        facts: str = "",
    ) -> PrintedSheet:
        """A new sheet with its head.

        Parameters
        ----------
        name
            Name of the sheet; its title as well where none is given.
        widths
            Proportions of its columns.
        facts
            Another line under the head.
        """
        begun = new_sheet(self.book, name, Page(self.paper, landscape), widths)
        sheet = PrintedSheet(**vars(begun))
        self.sheets.append(sheet)
        sheet.row = write_head(sheet, title or name, self.subject, facts or self.facts)
        return sheet

    def listed(
        self, name: str, table: Table[Row], rows: Iterable[Row], *, title: str = "", frozen: str = "A"
    ) -> PrintedSheet:
        """A sheet lying down that is one table, its headings on each page and, with the columns before
        ``frozen``, in view."""
        sheet = self.sheet(name, table.widths, landscape=True, title=title)
        sheet.heads(table, on_each_page=True)
        sheet.freeze(frozen)
        sheet.rows(table, rows)
        return sheet


def printed_book(title: str, paper: str, subject: str, facts: str) -> PrintedBook:
    """An empty workbook for a paper, ``A4`` or ``Letter``.

    Raises
    ------
    ValueError
        For another paper.
    """
    return PrintedBook(new_book(title), paper_named(paper), subject, facts)


def facts_words(*facts: str) -> str:
    """The line under a head: facts apart by points, those that are blank left out."""
    return " · ".join(fact for fact in facts if fact)


def unused_name(words: str, taken: set[str]) -> str:
    """A sheet's name of at most 31 letters that no sheet so far has; it is taken from then on."""
    name, number = words[:31], 2
    while name.casefold() in taken:
        tail = f" {number}"
        name, number = words[: 31 - len(tail)] + tail, number + 1
    taken.add(name.casefold())
    return name


def made_words(clock: Clock, made_at: datetime | None) -> str:
    """``made 2026-03-02 21:04``: now when no time is given; one without a zone is the site's local time."""
    made = made_at or datetime.now(tz=clock.zone)
    made = made.astimezone(clock.zone) if made.tzinfo else made
    return f"made {made:%Y-%m-%d %H:%M}"


def wall(clock: Clock, minute: int) -> datetime:
    """Local wall time of a minute without its zone, as a spreadsheet keeps it."""
    return clock.at(minute).replace(tzinfo=None)


@dataclass
class PrintedSheet(Sheet):
    """A sheet that is written downwards: each thing goes to the next free row."""

    row: int = 1
    """The next free row."""

    def freeze(self, column: str = "A") -> None:
        """Keep the rows that are printed on each page, and the columns before this one, in view."""
        self.ws.freeze_panes = f"{column}{self.title_rows + 1}"

    def end(self) -> None:
        """Set the page up, down to the last row that is written."""
        set_up_page(self, self.row - 1)

    @property
    def room(self) -> float:
        """What is free of the present page, in points; below 0 how far it is over."""
        return self.room_points(self.row)

    def new_page(self) -> None:
        """Begin a new printed page with the next row."""
        self.break_after(self.row - 1)

    @contextmanager
    def together(self) -> Iterator[None]:
        """Keep what the block writes on one printed page."""
        first = self.row
        yield
        self.keep_together(first, self.row - 1)

    def gap(self, points: float = 15) -> None:
        """A blank row."""
        self.tall(self.row, points)
        self.row += 1

    def points_for(self, text: str, column: int, wide: int, look: Look) -> float:
        """Height of a row in which a wrapped text has all its lines."""
        room = self.width_mm(column, wide) - 3 * look.indent
        lines = lines_needed(text, room, look.size, bold=look.bold)
        return LINE * look.size * lines + AROUND

    def _or_wrapped(self, text: str, column: int, wide: int, look: Look) -> Look:
        """The look of a text shrunk to its cell: wrapped, where that would make it too small to read."""
        size = max(look.size * LEAST_SHRUNK, min(look.size, LEAST_POINTS))
        room = self.width_mm(column, wide) - 3 * look.indent - CELL_EDGES_MM
        return (
            look.but(wrap=True) if look.shrink and text_width_mm(text, size, bold=look.bold) > room else look
        )

    def line(self, cells: Iterable[Cell], points: float = 15) -> None:
        """One row of cells side by side, at least so tall."""
        row, column = self.row, 1
        for value, wide, look in cells:
            if isinstance(value, Decimal | Formula):
                self.put(row, column, None, look, wide=wide)
                if isinstance(value, Formula):
                    text = value.text.replace("{row}", str(row)).replace("{above}", str(row - 1))
                    self.put_formula(row, column, text, value.value)
                else:
                    self.ws.cell(row, column).value = value
            else:
                look = self._or_wrapped(value, column, wide, look) if isinstance(value, str) else look
                self.put(row, column, value, look, wide=wide)
            if look.wrap and isinstance(value, str):
                points = max(points, self.points_for(value, column, wide, look))
            column += wide
        self.gap(points)

    def across(self, value: CellValue, look: Look, points: float = 15) -> None:
        """One cell from margin to margin."""
        self.line([(value, self.columns, look)], points)

    def words(self, words: str, look: Look = SMALL, points: float = 0) -> None:
        """Words from margin to margin, on as many lines as they need."""
        self.across(words, look.but(wrap=True, down="top"), points)

    def side_by_side(self, texts: Sequence[str], look: Look, *, across: int = 2, apart: int = 0) -> None:
        """Texts side by side, so many across the sheet, so many of its columns apart, read downwards."""
        down, wide = -(-len(texts) // across), self.columns // across - apart
        for line in range(down):
            cells: list[Cell] = []
            for text in texts[line::down]:
                cells += [(text, wide, look.but(wrap=True)), *([(None, apart, look)] if apart else [])]
            self.line(cells, 0)

    def figures(
        self, figures: Sequence[tuple[str, str]], edges: Sequence[int], size: float = 13, points: float = 18
    ) -> None:
        """A strip of figures, each under its small label and up to the next column of ``edges``."""
        for (label, value), first, after in zip(figures, edges, edges[1:], strict=False):
            self.put(self.row, first, label, Look(size=7.5, ink=SOFT, shrink=True), wide=after - first)
            big = Look(size=size, bold=True, shrink=True)
            self.put(self.row + 1, first, value, big, wide=after - first)
        self.gap(11)
        self.gap(points)

    def signatures(self, words: Sequence[str], above: float = 22, parts: Sequence[float] = ()) -> None:
        """Lines to sign on, side by side, with so much room above them.

        ``parts``: where the second and further ones begin, as parts of the width; in equal parts where not
        said.
        """
        starts = [0, *(parts or (n / len(words) for n in range(1, len(words)))), 1]
        edges = [1 + int(self.columns * start) for start in starts]
        self.gap(above)
        look = Look(size=7.5, ink=SOFT, down="top", edges="t")
        for word, first, after in zip(words, edges, edges[1:], strict=False):
            self.put(self.row, first, word, look, wide=max(1, after - first - 1))
        self.gap(12)

    def heads(self, table: Table[Row], *, on_each_page: bool = False) -> None:
        heads = []
        for column in table.columns:
            look = HEAD.but(size=table.head_size, across=column.look.across, indent=column.look.indent)
            heads.append((column.head, table.wide(column), look))
        self.line(heads, table.heads_points)
        if on_each_page:
            self.title_rows = self.row - 1

    def rows(self, table: Table[Row], ones: Iterable[Row]) -> None:
        """The rows of a table, each as tall as its wrapped words."""
        for one in ones:
            cells = [(table.wide(c), *c.cell(one)) for c in table.columns]
            self.line([(value, wide, look) for wide, value, look in cells], table.points)

    def totals(self, table: Table[Row], first: int, label: str, points: float = 16) -> None:
        """A row of totals under the rows of a table from ``first`` on."""
        cells: list[Cell] = []
        at = 1
        for column in table.columns:
            letter, wide = get_column_letter(at), table.wide(column)
            look = column.look.but(bold=True, heavy="t", edges="", wrap=False)
            value: CellValue = None
            if column.total:
                known = [self.number(r, at) for r in range(first, self.row)]
                sums = max(known, default=0) if column.total == "MAX" else sum(known)
                value = Formula(f"={column.total}({letter}{first}:{letter}{self.row - 1})", sums)
            cells.append((value if cells else label, wide, look))
            at += wide
        self.line(cells, points)


@dataclass(frozen=True)
class Column(Generic[Row]):
    head: str
    """Its heading, aligned as its cells are."""
    width: float
    """Part of the sheet's width, or columns of the sheet it takes (`Table.laid_on`)."""
    value: Callable[[Row], CellValue]
    """What stands in a row's cell."""
    look: Look = VALUE
    """Look of the cells."""
    but: Callable[[Row], dict[str, object]] | None = None
    """What is different in the look of a row's cell."""
    total: str = ""
    """What a row of totals says of the column: ``SUM``, ``MAX``, or nothing."""

    def cell(self, row: Row) -> tuple[CellValue, Look]:
        return self.value(row), self.look.but(**self.but(row)) if self.but else self.look


@dataclass(frozen=True)
class Table(Generic[Row]):
    columns: tuple[Column[Row], ...]
    """From left to right."""
    heads_points: float = 14
    points: float = 15
    """Least heights of the headings and of a row; wrapped words make a row taller."""
    head_size: float = HEAD.size
    """Type size of the headings, in points."""
    laid_on: int = 0
    """Columns of the sheet to one unit of a column's width; 0 where the table's columns are the sheet's."""

    @property
    def widths(self) -> list[float]:
        """Widths for a sheet of this table's own."""
        return [c.width for c in self.columns]

    def wide(self, column: Column[Row]) -> int:
        """Columns of the sheet that one of the table's takes."""
        return int(column.width) * self.laid_on or 1

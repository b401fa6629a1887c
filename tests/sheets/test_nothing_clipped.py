"""Every text of watchbill and hours stands whole in its cell: all sheets of all samples, on both papers.

Measured with the font that LibreOffice prints in: a wrapped text has all its lines within the height of its
rows and no word broken, one on a single line ends within its columns or over empty ones beside it.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from functools import cache
from typing import NamedTuple

import pytest
from openpyxl import load_workbook
from openpyxl.cell.cell import Cell
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet
from watchbill_reading import MADE

from planner.files import write_whole
from planner.hours.pay_rules import EXAMPLE_RULES
from planner.hours.timesheets import timesheets
from planner.hours.worked import from_plan
from planner.sheets.hours_book import hours_book
from planner.sheets.watchbill import write_watchbill
from planner.workbook.letters import MM_PER_INCH
from planner.workbook.style import PAPERS
from tests.world.office import printed
from tests.world.sample_plans import SAMPLES, planned
from tests.world.typeset import LINE, set_lines, set_width_mm

pytestmark = pytest.mark.paper

#: A digit of the workbook's base type at 96 dots an inch, as LibreOffice counts the width of columns by it.
_DIGIT_MM = 7.4 / 96 * MM_PER_INCH
#: What LibreOffice keeps free on either side of a text, and for each step of an indent, in millimetres.
_EDGE_MM, _INDENT_MM = 0.35, 3.0
#: The gap under the last line of a text, which may lie outside its row, in points for a size of 1; it and the
#: rounding of a row's height.
_UNDER, _HAIR_POINTS = 0.035, 0.6


class _Place(NamedTuple):
    """A cell or a joined block: first and last row and column."""

    top: int
    bottom: int
    left: int
    right: int


def _book(sample: str, paper: str, kind: str) -> io.BytesIO:
    job, plan = planned(sample)
    store = io.BytesIO()
    if kind == "hours":
        write_whole(hours_book(timesheets([from_plan(plan, job)], EXAMPLE_RULES), paper=paper), store)
    else:
        write_watchbill(plan, job, store, paper=paper, made_at=MADE)
    return store


@cache
def _width_mm(ws: Worksheet, left: int, right: int) -> float:
    widths = (ws.column_dimensions[get_column_letter(n)].width for n in range(left, right + 1))
    return sum(widths) * _DIGIT_MM


def _texts(ws: Worksheet) -> Iterator[tuple[Cell, _Place]]:
    """The cells with a text, each with the block it is joined to."""
    joined = {
        (block.min_row, block.min_col): _Place(block.min_row, block.max_row, block.min_col, block.max_col)
        for block in ws.merged_cells.ranges
    }
    for row in ws.iter_rows():
        for cell in row:
            if isinstance(cell.value, str) and cell.value.strip() and cell.data_type != "f":
                alone = _Place(cell.row, cell.row, cell.column, cell.column)
                yield cell, joined.get((cell.row, cell.column), alone)


def _spills_to(ws: Worksheet, place: _Place) -> int:
    """The last column over which a text that is not joined may run: empty cells on its right."""
    last = place.right
    while place.left == place.right and last < ws.max_column and ws.cell(place.top, last + 1).value is None:
        last += 1
    return last


def _clipped(ws: Worksheet) -> list[str]:
    """Texts that do not stand whole, each with its cell and what is wrong."""
    found = []
    for cell, place in _texts(ws):
        size, bold, at = float(cell.font.sz), bool(cell.font.b), cell.alignment
        room = _width_mm(ws, place.left, place.right) - 2 * _EDGE_MM - _INDENT_MM * (at.indent or 0)
        height = sum(ws.row_dimensions[r].height or 15 for r in range(place.top, place.bottom + 1))
        text = str(cell.value)
        wrong = ""
        if at.wrap_text:
            lines, broken = set_lines(text, room, size, bold)
            if lines * size * LINE - size * _UNDER > height + _HAIR_POINTS:
                wrong = f"{lines} lines of {size:g} pt in {height:.1f} pt"
            elif broken:
                wrong = f"{broken!r} is broken"
        elif not at.shrink_to_fit:
            room += _width_mm(ws, place.left, _spills_to(ws, place)) - _width_mm(ws, place.left, place.right)
            if set_width_mm(text, size, bold) > room:
                wrong = f"{set_width_mm(text, size, bold):.1f} mm in {room:.1f} mm"
        if not wrong and size * LINE - size * _UNDER > height + _HAIR_POINTS:
            wrong = f"{size:g} pt in {height:.1f} pt"
        if wrong:
            found.append(f"{ws.title}!{cell.coordinate} {text[:60]!r}: {wrong}")
    return found


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kind", ["watchbill", "hours"])
@pytest.mark.parametrize("sample", SAMPLES)
def test_no_text_is_clipped(sample: str, kind: str, paper: str) -> None:
    """Names, words, reasons: nothing ends at the edge of its cell."""
    book = load_workbook(_book(sample, paper, kind))
    assert [line for ws in book for line in _clipped(ws)] == []


@pytest.mark.parametrize("sample", SAMPLES)
def test_no_figure_is_too_wide_for_its_cell(sample: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    """A spreadsheet prints ``###`` where a number or a time does not fit."""
    path = tmp_path_factory.mktemp("hours") / "hours.xlsx"
    path.write_bytes(_book(sample, "A4", "hours").getvalue())
    assert all("##" not in page.extract_text() for page in printed(path).pages)


def test_a_clipped_text_is_found() -> None:
    """A line more than a row has room for, a word wider than its cell, and a name over a full neighbour."""
    ws = load_workbook(_book("small heavy dress", "A4", "hours"))["Rest"]
    assert _clipped(ws) == []
    wide = next(cell for cell, _ in _texts(ws) if cell.alignment.wrap_text)
    wide.value = f"{wide.value} {'and so on ' * 60}"
    assert len(_clipped(ws)) == 1

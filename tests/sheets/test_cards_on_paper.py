"""Cards on both papers: none goes over to a page with a few lines, every box has room for a hand."""

from __future__ import annotations

import io

import pytest
from openpyxl import load_workbook

from planner.sheets.watchbill import write_watchbill
from planner.workbook.letters import MM_PER_INCH, POINTS_PER_MM
from tests.page_counts import pages
from tests.world.sample_plans import SAMPLES, planned

#: Two or three letters by hand with a pencil: a box of 9 by 12 mm, as measured on paper.
LEAST_BOX_MM = (9.0, 11.5)


@pytest.mark.parametrize("sample", SAMPLES)
def test_letter_takes_no_more_pages_of_cards_than_a4(sample: str) -> None:
    """Letter is 18 mm shorter; a standby's card in a light helmet once went over by two rows."""
    assert pages(sample, "Letter", "cards") == pages(sample, "A4", "cards")


@pytest.mark.parametrize("sheet", ["Dressing cards", "Inspection"])
def test_a_box_has_room_for_initials(sheet: str) -> None:
    """Every ruled empty box, as tall and as wide as its joined cells."""
    job, plan = planned("three day outfall")
    file = io.BytesIO()
    write_watchbill(plan, job, file, paper="Letter", sheets=[sheet])
    ws = load_workbook(file)[sheet]
    boxes = [
        cell
        for row in ws.iter_rows()
        for cell in row
        if cell.value is None
        and all(getattr(cell.border, side).style for side in ("left", "right", "top", "bottom"))
    ]
    assert len(boxes) > 20
    for box in boxes:
        tall = ws.row_dimensions[box.row].height / POINTS_PER_MM
        # a digit of the base type is 7.4 pixels wide (planner.workbook.style)
        wide = ws.column_dimensions[box.column_letter].width * 7.4 / 96 * MM_PER_INCH
        assert tall >= LEAST_BOX_MM[0] and wide >= LEAST_BOX_MM[1], (box.coordinate, tall, wide)

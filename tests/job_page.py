"""The page about the job workbook, as Markdown, made from the description of its sheets."""

from __future__ import annotations

from collections.abc import Iterable

from planner.file_limits import MOST_FILE_BYTES, MOST_ROWS, MOST_UNPACKED_BYTES
from planner.job import UnitSystem
from planner.job.duties import BUILT_IN_DUTIES
from planner.workbook.cells import allowed_in
from planner.workbook.columns import CellKind, JobColumn, JobSheet, shown
from planner.workbook.job_sheets import JOB_SHEETS
from planner.workbook.job_writer import HOW_TO
from planner.workbook.layout import SUBJECT

_LIST_KINDS = {CellKind.NAMES: "names", CellKind.CREW: "duties with numbers"}


_OPENING = """
One `.xlsx` file describes one job: the site and its day, the people, the work, the water, the gear, the
air plant and the rules. `python -m planner template OUT.xlsx` writes an empty one in feet, `python -m
planner template OUT.xlsx --units metric` one in metres, bar and litres. This page is made from the
description of the sheets by `python -m tests.make_pages`; a test asserts that it is
current.
"""
_TIMES = """
- Times of day may be text (`0700`, `07:00`), time cells or date-and-time cells, to the whole minute. In
the night on which the clocks are set back, a time that comes twice takes its offset: `01:30+00:00`.
"""
_METRIC = """
- Figures in metres, bar and litres are turned into fsw, psi and cubic feet once, on reading, rounded to
the safe side: work is never taken as shallower, a store of air never as larger, a need for air never as
smaller. A diver's rating and the greatest depth round like the depth of the work, so a rating of 30 m
covers work at 30 m. Screens, sheets, log and the workbook that is written again tell the figure as it was
typed, a depth with its feet of sea water beside it: 9 m (30 fsw).
"""
_DUTIES = f"""
- Built-in duties: {", ".join(BUILT_IN_DUTIES)}. Any other duty becomes known by standing in the crew of
a surface item, or in a crew row together with a person who holds it.
"""
_REFUSED = f"""
Reading lists all faults together, each with its sheet and cell, what was found and what is allowed.
Besides single cells it looks for names that stand twice or refer to nothing, times that end before they
start, items that wait for one another in a circle, certificates and medicals that expired before the
first day, outfits whose numbers disagree, banks above their working pressure, and units in a heading
that are not the workbook's. A file that is not an .xlsx workbook is refused in one sentence; so is one
larger than {MOST_FILE_BYTES // 2**20} MB, one that unpacks to more than {MOST_UNPACKED_BYTES // 2**20}
MB, or one with a sheet of more than {MOST_ROWS} rows. Macros are never run.
"""
_NAMES_OF = {
    "people": "a name from the sheet People",
    "stations": "a name from the sheet Stations",
    "items": "the name of an item",
    "duties": "a duty",
}


def job_workbook_page() -> str:
    """The text of ``docs/job-workbook.md``."""
    lines = [
        "# The job workbook",
        "",
        SUBJECT,
        "",
        _flow(_OPENING),
        "",
        "## How it is filled in",
        "",
        *(f"- {sentence}" for sentence in HOW_TO),
        *(_flow(paragraph) for paragraph in (_TIMES, _METRIC, _DUTIES)),
        "",
        "## What is refused",
        "",
        _flow(_REFUSED),
        "",
        "## The sheets",
    ]
    for sheet in JOB_SHEETS:
        lines += ["", f"### {sheet.name}", "", sheet.purpose, "", _absence(sheet), ""]
        lines += _columns(sheet)
    return "\n".join(lines) + "\n"


def _flow(text: str) -> str:
    """One paragraph on one line."""
    return " ".join(text.split())


def _absence(sheet: JobSheet) -> str:
    if sheet.settings:
        first = "Its rows are settings with a value and a unit."
    else:
        first = f"One row is one {sheet.row_is}."
    if sheet.required:
        return f"{first} The sheet must be there."
    return f"{first} Without the sheet: {sheet.missing}."


def _columns(sheet: JobSheet) -> Iterable[str]:
    metric = any(c.measure and c.measure.feet != c.measure.metric for c in sheet.columns)
    heads = ["setting" if sheet.settings else "column", "what stands in it", "allowed", "blank", "example"]
    if metric:
        heads.insert(1, "in metric")
    yield "| " + " | ".join(heads) + " |"
    yield "| " + " | ".join("---" for _ in heads) + " |"
    for column in sheet.columns:
        cells = [
            column.heading(UnitSystem.FEET),
            column.help,
            _allowed(sheet, column),
            "must be filled in" if sheet.needs(column) else sheet.blank_means(column) or "nothing",
            shown(column.example, column),
        ]
        if metric:
            cells.insert(1, column.unit_in(UnitSystem.METRIC) if column.measure else "")
        yield "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _allowed(sheet: JobSheet, column: JobColumn) -> str:
    if column.kind in _LIST_KINDS:
        return f"{_LIST_KINDS[column.kind]}, split by semicolons"
    if column.kind is CellKind.NAME:
        return _NAMES_OF.get(column.refers, "a name, up to 60 letters")
    if column.kind is CellKind.TEXT:
        longest = sheet.bounds(column).longest
        return f"text, up to {longest} letters" if longest < 1000 else "text"
    if column.kind in (CellKind.CLOCK, CellKind.DATE, CellKind.MOMENT):
        return str(column.kind)
    return allowed_in(sheet, column, UnitSystem.FEET)

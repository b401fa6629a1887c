"""A job written as a workbook, and the empty workbook with the shipped rules filled in."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from types import SimpleNamespace
from typing import Any, cast

from openpyxl import Workbook
from openpyxl.utils import get_column_letter

from planner.errors import Fault, InputFaults
from planner.files import Target, write_whole
from planner.job import UnitSystem
from planner.job.air_plant import AirPlant
from planner.job.base import Clock, Part
from planner.job.crew_rules import NEW_JOB_RULES
from planner.job.duties import duty_rank
from planner.job.job import Job
from planner.job.site import TideMark
from planner.job.units import Measure
from planner.workbook.columns import DAY_AND_TIME, CellKind, JobColumn, JobSheet
from planner.workbook.job_sheets import (
    JOB_SHEETS,
    NOT_TOGETHER,
    ORDER,
    README_SHEET,
    RULES,
    SITE,
    weight_field,
)
from planner.workbook.layout import SUBJECT, CellValue, Common, RowValues, lay_out, lines_in, set_up_page
from planner.workbook.style import PALE, Look, new_book

_NEEDS_QUOTES = re.compile(r'[;"\r\n]')
#: First year that a spreadsheet's date cells hold without doubt (the 1900 date system has a false leap day).
_FIRST_DATE_CELL_YEAR = 1901


def join_names(names: Iterable[str]) -> str:
    """Names in one cell, split by semicolons; one that holds a semicolon itself stands in quotes."""
    return "; ".join('"' + n.replace('"', '""') + '"' if _NEEDS_QUOTES.search(n) else n for n in names)


def in_duty_order(duties: Iterable[str]) -> list[str]:
    """Built-in duties in their rank, then the others by name."""
    return sorted(duties, key=duty_rank)


#: Makes a cell's figure of a measure, the inside value, and what was typed where that is kept.
Figures = Callable[[Measure, float, float | None], Any]


def figures_in(units: UnitSystem) -> Figures:
    """Figures as a workbook in these units holds them: in feet the inside ones, to the last digit."""
    return lambda measure, value, typed: measure.typed(value, units, typed)


def cell_value(column: JobColumn, value: object, figures: Figures, typed: float | None = None) -> CellValue:
    """One value of a model as its cell holds it."""
    if value is None or value == "":
        return None
    if isinstance(value, bool):
        yes, no = column.choices if column.kind is CellKind.CHOICE else ("yes", "no")
        return yes if value else no
    if isinstance(value, int | float):
        return figures(column.measure, value, typed) if column.measure else value
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, date):
        return value if value.year >= _FIRST_DATE_CELL_YEAR else value.isoformat()
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if isinstance(value, frozenset):
        return join_names(in_duty_order(value)) or None
    if isinstance(value, tuple):
        crew = column.kind is CellKind.CREW
        return join_names(f"{need.duty} {need.count}" if crew else need for need in value) or None
    return str(value)


def part_row(
    sheet: JobSheet,
    part: Part | Mapping[str, object] | str,
    figures: Figures,
    clock: Clock,
    **more: CellValue,
) -> RowValues:
    """One row, or the settings of a sheet, from the fields of a model: its times by a clock, with what is not
    one of its fields. A part that is a name has none."""
    fields: dict[str, Any] = {} if isinstance(part, str) else dict(part)
    typed: dict[str, float] = dict(fields.get("typed", ()))
    own = {
        c.field: cell_value(c, fields.get(c.field), figures, typed.get(c.field))
        for c in sheet.columns
        if c.field not in more
    }
    return {**own, **time_cells(clock, fields), **more}


def wall_time(clock: Clock, minute: int) -> tuple[date, str]:
    """Day and time of a job minute; with its offset on a night when that time of day comes twice."""
    moment = clock.at(minute)
    day, wall = moment.date(), moment.time()
    if clock.minute_on(day, wall.replace(fold=0)) == minute:
        return day, f"{wall:%H:%M}"
    return day, moment.isoformat(timespec="minutes").partition("T")[2]


def time_cells(clock: Clock, fields: Mapping[str, Any]) -> dict[str, CellValue]:
    """Day and time of each of a model's times; the day of an end only where it is not that of the start."""
    cells: dict[str, CellValue] = {}
    for field, (day, at) in DAY_AND_TIME.items():
        if fields.get(field) is not None:
            cells[day], cells[at] = wall_time(clock, fields[field])
    first, last = cells.get("day"), cells.get("until_day")
    if isinstance(first, date) and isinstance(last, date):
        forward = fields["end_min"] > fields["start_min"]
        if forward and last == first + timedelta(days=1) and cells["until"] == "00:00":
            last, cells["until"] = first, "24:00"
        cells["until_day"] = None if last == first else last
    return cells


def sheet_rows(sheet: JobSheet, job: Any, clock: Clock, figures: Figures) -> list[RowValues]:
    """The rows of one sheet, from a job or from anything with that part of one."""
    return [
        part_row(sheet, part, figures, clock, **_beside(sheet, owner, part))
        for owner, part in sheet.parts_of(job)
    ]


def _beside(sheet: JobSheet, owner: str, part: Any) -> dict[str, Any]:
    """Cells of a row that are no fields of its model: its owner, and what another field of it says."""
    cells = {sheet.owner: owner} if sheet.owner else {}
    if sheet is ORDER:
        return {**cells, "after": part.item}
    if sheet is NOT_TOGETHER:
        return {**cells, "other": part}
    if sheet is RULES:
        return {weight_field(n): weight for n, weight in enumerate(part.priority_weights, start=1)}
    return cells


def job_rows(job: Job, figures: Figures | None = None) -> dict[str, Sequence[RowValues]]:
    """All rows of a job's workbook, by sheet name; figures in the job's own units where none are asked."""
    figures = figures or figures_in(job.site.units)
    return {sheet.name: sheet_rows(sheet, job, job.clock, figures) for sheet in JOB_SHEETS}


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


def write_template(
    target: Target,
    units: UnitSystem = UnitSystem.FEET,
    *,
    site: Mapping[str, object] | None = None,
    tide: Sequence[TideMark] = (),
) -> None:
    """Write an empty job workbook.

    Parameters
    ----------
    target
        Path or open binary file.
    units
        Units of its headings.
    site
        Settings of the site that are known already, by the fields of `planner.job.Site`.
    tide
        High and low waters for the sheet Tide, in minutes from midnight of the site's first day.

    Raises
    ------
    OSError
        When the place cannot be written.
    """
    settings: dict[str, object] = {
        c.field: info.default
        for c in SITE.columns
        if not (info := SITE.model.model_fields[c.field]).is_required()
    }
    settings |= {field: value for field, value in (site or {}).items() if value is not None}
    settings["units"] = units
    clock = Clock(cast(date, settings.get("first_day", date.min)), str(settings.get("time_zone") or "UTC"))
    known = SimpleNamespace(air=AirPlant(), rules=NEW_JOB_RULES, tide_marks=tide)
    rows: dict[str, Sequence[RowValues]] = {SITE.name: [part_row(SITE, settings, figures_in(units), clock)]}
    for sheet in JOB_SHEETS:
        if hasattr(known, sheet.path.split(".")[0]):
            rows[sheet.name] = sheet_rows(sheet, known, clock, figures_in(units))
    write_whole(job_book(rows, units, "Job workbook"), target)


def job_book(rows: Mapping[str, Sequence[RowValues]], units: UnitSystem, title: str) -> Workbook:
    """A job workbook with these rows by sheet name (figures as typed in these units)."""
    book = new_book(title)
    common = Common(book)
    _read_me(book, units, common)
    for sheet in JOB_SHEETS:
        lay_out(book, sheet, units, rows.get(sheet.name, ()), common)
    book.move_sheet(common.sheet, len(JOB_SHEETS) + 1)
    book.active = 0
    return book


def _read_me(book: Workbook, units: UnitSystem, common: Common) -> None:
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
            common.put(ws, row, index, text, look)
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
        ws.cell(row - 1, 1).hyperlink = f"#'{sheet.name}'!A1"
        common.put(ws, row - 1, 1, sheet.name, cells.but(bold=True))
    set_up_page(ws, f"A1:C{row - 1}", titles=None, landscape=False)
    # one page, a little smaller where its lines are too many
    ws.page_setup.fitToHeight = 1


#: Control characters that a cell may hold.
_ALLOWED_CONTROLS = frozenset("\n\t")


def write_job(job: Job, target: Target) -> None:
    """Write a job as a workbook in the job's own units.

    What it writes reads back as an equal job. In a metric workbook a figure that lies between two steps of
    the conversion (0.1 psi, 0.001 cu ft) reads back one step to the safe side. Spreadsheets keep fifteen
    significant digits of a figure.

    Raises
    ------
    InputFaults
        When the job holds something that a workbook cannot say: text with control characters, or a blank
        where a blank cell means something else.
    OSError
        When the place cannot be written.
    """
    faults = list(_unsayable(job))
    if faults:
        raise InputFaults(faults)
    write_whole(job_book(job_rows(job), job.site.units, job.site.name), target)


def _unsayable(job: Job) -> Iterator[Fault]:
    for where, text in _texts(job.model_dump(mode="python"), ""):
        if any(_unprintable(letter) for letter in text):
            yield Fault(
                where,
                ascii(text)[:80],
                "letters, digits, signs and blanks",
                "This text holds a control character that a workbook cannot keep.",
            )
    if not job.rules.minima:
        yield Fault(
            "rules: minima",
            "",
            "one row or more; 0 in a row where none is wanted",
            "A workbook without crew rows means the built-in ones; it cannot say that no crew is asked for.",
        )
    for sheet in JOB_SHEETS:
        for number, (_, part) in enumerate(sheet.parts_of(job), start=1):
            for column in sheet.columns:
                info = sheet.model.model_fields.get(column.field)
                blank = column.kind is CellKind.TEXT and getattr(part, column.field, None) == ""
                if info and blank and (sheet.needs(column) or info.default != ""):
                    yield Fault(
                        f"{sheet.name} {getattr(part, 'name', number)}: {column.title}",
                        "",
                        "a text",
                        "This text is blank, and a blank cell means something else in a workbook.",
                    )


def _texts(value: object, where: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, str):
        yield where, value
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _texts(inner, f"{where}: {key}" if where else str(key))
    elif isinstance(value, tuple | frozenset | list):
        for index, inner in enumerate(value, start=1):
            yield from _texts(inner, f"{where} {index}")


def _unprintable(letter: str) -> bool:
    if letter in _ALLOWED_CONTROLS:
        return False
    return unicodedata.category(letter) in ("Cc", "Cs") or ord(letter) & 0xFFFE == 0xFFFE

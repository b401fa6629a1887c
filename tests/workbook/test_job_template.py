"""The empty workbook: headings, help, drop-downs, checks, print set-up; what reading it asks for."""

from __future__ import annotations

import io
from pathlib import Path

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from planner import CAUTION
from planner.job import Job, UnitSystem
from planner.job.crew_rules import NEW_JOB_RULES
from planner.workbook.columns import CellKind
from planner.workbook.job_reader import read_job
from planner.workbook.job_sheets import (
    DIVE_WORK,
    JOB_SHEETS,
    LISTS_SHEET,
    PEOPLE,
    README_SHEET,
    SITE,
    STATIONS,
)
from planner.workbook.job_writer import write_template
from planner.workbook.layout import FIRST_ROW, HEADING_ROW
from tests.workbook.job_files import cell, changed, faults_in


def template(units: UnitSystem = UnitSystem.FEET) -> bytes:
    """The empty workbook."""
    out = io.BytesIO()
    write_template(out, units)
    return out.getvalue()


@pytest.fixture(scope="module", params=list(UnitSystem), ids=["feet", "metric"])
def units(request: pytest.FixtureRequest) -> UnitSystem:
    """Both unit systems."""
    chosen: UnitSystem = request.param
    return chosen


@pytest.fixture(scope="module")
def book(units: UnitSystem) -> openpyxl.Workbook:
    """The empty workbook, opened."""
    return openpyxl.load_workbook(io.BytesIO(template(units)))


def _rules_at(ws: Worksheet, address: str) -> list[object]:
    return [rule for rule in ws.data_validations.dataValidation if address in rule.cells]


def test_every_sheet_is_there_in_order(book: openpyxl.Workbook) -> None:
    """The sheet that explains the others first, the hidden entries of the drop-downs last."""
    assert book.sheetnames == [README_SHEET, *(s.name for s in JOB_SHEETS), LISTS_SHEET]
    assert book[LISTS_SHEET].sheet_state == "hidden"
    told = {c.value for row in book[README_SHEET].iter_rows() for c in row}
    assert {s.name for s in JOB_SHEETS} <= told


def test_the_caution_is_on_every_sheet_and_every_page(book: openpyxl.Workbook) -> None:
    """People can get hurt: no sheet goes without it, nor its printed foot."""
    for name in book.sheetnames[:-1]:
        texts = [str(c.value) for row in book[name].iter_rows(max_row=3) for c in row if c.value]
        assert any(CAUTION in text and "Subject to local regulations" in text for text in texts), name
        assert CAUTION in (book[name].oddFooter.center.text or ""), name


def test_every_column_has_its_heading_help_and_prompt(book: openpyxl.Workbook, units: UnitSystem) -> None:
    """Headings carry the unit of the chosen system; each cell below prompts with the help."""
    for sheet in JOB_SHEETS:
        ws = book[sheet.name]
        for index, column in enumerate(sheet.columns, start=1):
            if sheet.settings:
                address = cell(sheet, column.field)
                row = int(address[1:])
                assert ws.cell(row, 1).value == column.title
                assert (ws.cell(row, 3).value or "") == column.unit_in(units)
            else:
                address = cell(sheet, column.field)
                assert ws.cell(HEADING_ROW, index).value == column.heading(units)
                assert column.help in str(ws.cell(HEADING_ROW - 1, index).value)
            (rule,) = _rules_at(ws, address)
            assert column.help in rule.prompt or len(rule.prompt) == 255


def test_choices_drop_down_and_numbers_are_checked(book: openpyxl.Workbook, units: UnitSystem) -> None:
    """A list for every choice and yes/no, limits for every number that the model bounds."""
    for sheet in JOB_SHEETS:
        ws = book[sheet.name]
        for column in sheet.columns:
            (rule,) = _rules_at(ws, cell(sheet, column.field))
            if column.kind in (CellKind.CHOICE, CellKind.YES_NO):
                area = rule.formula1.removeprefix(f"{LISTS_SHEET}!").replace("$", "")
                entries = [row[0].value for row in book[LISTS_SHEET][area]]
                wanted = [str(c) for c in column.choices] or ["yes", "no"]
                assert (rule.type, entries, rule.errorStyle) == ("list", wanted, "stop")
            elif column.kind in (CellKind.WHOLE, CellKind.NUMBER) and sheet.bounds(column).high is not None:
                assert rule.type in ("whole", "decimal")
                assert rule.operator == "between"
                assert rule.showErrorMessage
            elif column.kind is CellKind.DATE:
                assert rule.type == "date"


def test_a_depth_is_checked_in_the_units_of_the_workbook() -> None:
    """220 fsw is 67.06 m (1 ft = 0.3048 m: NIST SP 811); the check stops at 67.05."""
    for units, high in ((UnitSystem.FEET, "220"), (UnitSystem.METRIC, "67.05")):
        ws = openpyxl.load_workbook(io.BytesIO(template(units)))["Dive work"]
        (rule,) = _rules_at(ws, cell(DIVE_WORK, "depth_fsw", 50))
        assert rule.formula2 == high


def test_sheets_print_on_one_page_width_with_their_headings(book: openpyxl.Workbook) -> None:
    """Frozen headings on screen, repeated headings on paper, fit to the width."""
    for sheet in JOB_SHEETS:
        ws = book[sheet.name]
        assert ws.freeze_panes
        assert ws.page_setup.fitToWidth == 1
        assert ws.sheet_properties.pageSetUpPr.fitToPage
        assert ws.print_title_rows
        assert ws.print_area


def test_reading_the_empty_workbook_lists_what_is_missing(units: UnitSystem) -> None:
    """The needed settings, and that there is no station, no person, no work; nothing else."""
    told = {f.where: f.sentence for f in faults_in(template(units))}
    assert told == {
        f"Site!{cell(SITE, 'name')}": "Job name must be filled in.",
        f"Site!{cell(SITE, 'first_day')}": "First day must be filled in.",
        f"Site!{cell(SITE, 'time_zone')}": "Time zone must be filled in.",
        f"Stations!A{FIRST_ROW}": "Diving needs a station, and the job has none.",
        f"People!A{FIRST_ROW}": "The job has nobody to do it.",
        f"Dive work!A{FIRST_ROW}": "The job has no work to plan.",
    }


def test_a_template_filled_in_by_hand_reads_as_typed(units: UnitSystem) -> None:
    """The least that makes a job, typed into the cells; everything else is as shipped."""

    def fill(book: openpyxl.Workbook) -> None:
        for sheet, field, value in (
            (SITE, "name", "Hand-made job"),
            (SITE, "first_day", "2027-03-16"),
            (SITE, "time_zone", "Europe/Lisbon"),
            (SITE, "daylight_only", "No"),
            (STATIONS, "name", "Quay"),
            (PEOPLE, "name", "Anneke Zielińska"),
            (PEOPLE, "duties", "Diver;tender"),
            (PEOPLE, "depth_rating_fsw", 30),
            (DIVE_WORK, "name", "Anodes"),
            (DIVE_WORK, "depth_fsw", 30),
            (DIVE_WORK, "bottom_work_min", 40),
        ):
            book[sheet.name][cell(sheet, field)] = value

    job = read_job(changed(template(units), fill))
    assert isinstance(job, Job)
    # 30 m are 98.4 ft, taken as 99 for the work and for the rating alike
    depth = 30 if units is UnitSystem.FEET else 99
    assert (job.dive_items[0].depth_fsw, job.people[0].depth_rating_fsw) == (depth, depth)
    assert job.people[0].duties == {"diver", "tender"}
    assert job.rules == NEW_JOB_RULES
    assert job.site.units is units


def test_writing_to_a_place_that_is_not_there_raises(tmp_path: Path) -> None:
    """The command turns it into a sentence."""
    with pytest.raises(OSError, match="No such file"):
        write_template(tmp_path / "no" / "folder.xlsx")

"""The description of the workbook: complete against the job's models, and the page made from it."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.job import (
    AirPlant,
    Bank,
    BenchStep,
    Certificate,
    Compressor,
    CrewMinimum,
    CrewNeed,
    CrewRules,
    DiveItem,
    DutyCertificate,
    DutyPair,
    Gate,
    Job,
    Outfit,
    PastDive,
    Person,
    Pin,
    Site,
    Station,
    SurfaceItem,
    TideMark,
    UnitSystem,
    VolumeTank,
    WaterWindow,
    WorkSpell,
)
from planner.job.base import Part
from planner.job.units import Measured
from planner.job.work import After
from planner.workbook.columns import CellKind, JobSheet
from planner.workbook.job_sheets import JOB_SHEETS
from tests.job_page import job_workbook_page

#: Fields that several cells, or rows of another sheet, fill together, and what fills them.
ELSEWHERE: dict[type[Part], dict[str, str]] = {
    Person: {
        "certificates": "Certificates",
        "available": "On site",
        "past_dives": "Past dives",
        "past_work": "Hours worked",
        "last_duty_end_min": "People",
        "arrived_min": "People",
    },
    PastDive: {"surfaced_min": "Past dives"},
    WorkSpell: {"start_min": "Hours worked", "end_min": "Hours worked"},
    WaterWindow: {"start_min": "Water windows", "end_min": "Water windows"},
    TideMark: {"minute": "Tide"},
    DiveItem: {"windows": "Windows", "after": "Order", "not_together_with": "Not together"},
    SurfaceItem: {"windows": "Windows", "after": "Order", "not_together_with": "Not together"},
    After: {"item": "Order"},
    Gate: {"start_min": "Gates", "end_min": "Gates"},
    Pin: {"start_min": "Pins", "end_min": "Pins"},
    AirPlant: {"compressors": "Compressors", "banks": "Banks", "tanks": "Volume tanks"},
    CrewRules: {
        "minima": "Crew minima",
        "pairs": "Duty pairs",
        "duty_certificates": "Duty certificates",
        "bench_steps": "Bench steps",
        "priority_weights": "Rules",
    },
}
#: What only the rest of a running day has, where a log stands beside its job (`planner.log.replan`): no
#: workbook is written of such a job. Tomorrow's is, and reads back as it was (`tests/log/test_tomorrow.py`).
RUNNING_DAY: dict[type[Part], set[str]] = {
    Person: {"briefed_until_min"},
    Outfit: {"worn_until_min"},
    Job: {"blocks_done", "blocks_due"},
}
PARTS: tuple[type[Part], ...] = (
    Site,
    Station,
    Person,
    Certificate,
    PastDive,
    WorkSpell,
    DiveItem,
    SurfaceItem,
    After,
    Gate,
    Pin,
    WaterWindow,
    TideMark,
    Outfit,
    AirPlant,
    Compressor,
    Bank,
    VolumeTank,
    CrewMinimum,
    DutyCertificate,
    DutyPair,
    CrewRules,
    BenchStep,
)


@pytest.mark.parametrize("part", PARTS)
def test_every_field_of_the_job_has_a_column(part: type[Part]) -> None:
    """A field that is added to a model without a column would be lost in a workbook."""
    fields = {c.field for s in JOB_SHEETS if s.model is part for c in s.columns}
    elsewhere = ELSEWHERE.get(part, {})
    as_typed = set(Measured.model_fields) if issubclass(part, Measured) else set()
    assert set(part.model_fields) - fields - set(elsewhere) - as_typed == RUNNING_DAY.get(part, set())
    names = {s.name for s in JOB_SHEETS}
    assert set(elsewhere.values()) <= names


def test_a_part_with_figures_of_a_measure_keeps_what_was_typed() -> None:
    """A column in feet or metres fills a part that can hold the metric figure as it was typed."""
    for sheet in JOB_SHEETS:
        if any(c.measure for c in sheet.columns):
            assert issubclass(sheet.model, Measured), sheet.name


def test_every_part_of_the_job_has_a_sheet() -> None:
    """What a Job holds is all among the parts above."""
    held = {"site", "stations", "people", "dive_items", "surface_items", "water_windows"}
    held |= {"gates", "tide_marks", "outfits", "air", "rules", "pins"}
    assert set(Job.model_fields) == held | RUNNING_DAY[Job]
    assert {s.model for s in JOB_SHEETS} >= set(PARTS) - {CrewNeed}


@pytest.mark.parametrize("sheet", JOB_SHEETS, ids=lambda s: s.name)
def test_titles_are_plain_and_told_apart(sheet: JobSheet) -> None:
    """No title twice on a sheet, none with brackets (they hold the unit); help in one line."""
    titles = [c.title.casefold() for c in sheet.columns]
    assert len(set(titles)) == len(titles)
    assert len({c.field for c in sheet.columns}) == len(titles)
    for column in sheet.columns:
        assert "_" not in column.title
        assert "(" not in column.title
        assert column.help.endswith(".")
        assert "\n" not in column.help
        if column.kind is CellKind.CHOICE:
            assert column.choices


def test_limits_come_from_the_models() -> None:
    """The columns repeat no limit: 220 fsw and the 60 letters of a name are read from the fields."""
    dive_work = next(s for s in JOB_SHEETS if s.name == "Dive work")
    assert dive_work.bounds(dive_work.column("depth_fsw")).high == 220
    assert dive_work.bounds(dive_work.column("station")).longest == 60
    banks = next(s for s in JOB_SHEETS if s.name == "Banks")
    assert banks.bounds(banks.column("floodable_cuft_each")).low_open
    with pytest.raises(KeyError):
        banks.column("colour")


def test_every_figure_with_a_quantity_says_its_unit() -> None:
    """A number in a column that ends in a unit's name has that unit, or its metric one, in the heading."""
    endings = {"_fsw": "fsw", "_psi": "psi", "_cuft": "cu ft", "_scfm": "scfm", "_min": "min", "_ft": "ft"}
    for sheet in JOB_SHEETS:
        for column in sheet.columns:
            for ending, unit in endings.items():
                if column.field.endswith(ending) and not column.field.endswith("_per_min"):
                    assert column.unit_in(UnitSystem.FEET) == unit, (sheet.name, column.title)


def test_the_page_about_the_workbook_is_current() -> None:
    """docs/job-workbook.md is what the description says; remake it with `job_workbook_page`."""
    page = Path(__file__).parents[2] / "docs" / "job-workbook.md"
    assert page.read_text(encoding="utf-8") == job_workbook_page()


def test_the_page_names_every_sheet_and_column() -> None:
    """Nothing of the workbook goes undocumented."""
    page = job_workbook_page()
    for sheet in JOB_SHEETS:
        assert f"### {sheet.name}\n" in page
        for column in sheet.columns:
            assert f"| {column.heading(UnitSystem.FEET)} |" in page

"""The sheets of the job workbook, in the order of their tabs, each with the model that its rows become.

What they are stands in ``job_tabs.csv`` beside, one a line: tab, what one row stands for, where its rows
stand in the job, what the sheet is for, the column that names what a row belongs to, whether it lists
settings, whether a workbook needs it, and what one without it means.

Their columns stand in ``job_columns.csv``, one a line: sheet, heading, field of the model, what a
cell holds, unit (or the name of a `Measure` of `planner.job.units`), an example, the words to choose from
where the field is no enumeration, whose names it holds, whether it must be filled in where the model does
not say it, width in characters, a line of help, and what a blank cell means. Those of the sheet Rules are
the limits of `planner.check.limits`.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import get_args

from planner.check.limits import LIMITS, Limit
from planner.job import units
from planner.job.air_plant import AirPlant, Bank, Compressor, VolumeTank
from planner.job.base import Part, Span
from planner.job.crew_rules import OLDER_VALUES, CrewRules, OlderValue
from planner.job.duties import CrewMinimum, DutyCertificate, DutyPair
from planner.job.gear import BenchStep, Outfit
from planner.job.names import fold
from planner.job.people import Certificate, PastDive, Person, WorkSpell
from planner.job.pins import Pin
from planner.job.presets import PRESETS
from planner.job.site import Site, Station, TideMark, WaterWindow
from planner.job.work import After, DiveItem, Gate, Item, SurfaceItem
from planner.workbook.columns import CellKind, Example, JobColumn, JobSheet

README_SHEET = "Read me"
#: Holds the entries of the drop-downs; hidden, never read.
LISTS_SHEET = "Lists"

#: Headings of a sheet that lists settings.
SETTING, VALUE, UNIT, MEANING, SOURCE = "Setting", "Value", "Unit", "What it means", "Source"

#: How an example of a kind of cell is read; of any other kind it is a text.
_EXAMPLES: dict[CellKind, Callable[[str], Example]] = {
    CellKind.WHOLE: int,
    CellKind.NUMBER: float,
    CellKind.YES_NO: "yes".__eq__,
    CellKind.DATE: date.fromisoformat,
}


def _column(said: dict[str, str], model: type[Part]) -> JobColumn:
    """A line of the table of columns."""
    kind, measure = CellKind[said["holds"].upper()], getattr(units, said["unit"] or "-", None)
    info = model.model_fields.get(said["field"])
    of_field = [] if info is None else [info.annotation, *get_args(info.annotation)]
    words = next((of for of in of_field if isinstance(of, type) and issubclass(of, StrEnum)), ())
    choices: tuple[str, ...] = tuple(words) if kind is CellKind.CHOICE else ()
    choices = tuple(said["choices"].split("; ")) if said["choices"] else choices
    example: Example = _EXAMPLES.get(kind, str)(said["example"]) if said["example"] else None
    return JobColumn(
        said["heading"],
        said["field"],
        said["help"],
        example == choices[0] if bool in of_field and choices else example,
        unit="" if measure else said["unit"],
        measure=measure,
        choices=choices,
        refers=said["names_of"],
        required={"yes": True, "no": False}.get(said["needed"]),
        default=said["blank"],
        width=float(said["width"] or JobColumn.width),
        kind=kind,
    )


def _lines(table: str) -> list[dict[str, str]]:
    with (Path(__file__).parent / table).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


_TABS, _COLUMNS = {said["sheet"]: said for said in _lines("job_tabs.csv")}, _lines("job_columns.csv")


_MADE: list[JobSheet] = []


def _sheet(
    name: str, model: type[Part], columns: tuple[JobColumn, ...] = (), older: tuple[OlderValue, ...] = ()
) -> JobSheet:
    """A sheet as the tables say it; with the columns given here where there are any."""
    said = _TABS[name]
    sheet = JobSheet(
        name,
        said["purpose"],
        said["row_is"],
        columns or tuple(_column(column, model) for column in _COLUMNS if column["sheet"] == name),
        model,
        said["path"],
        said["owner"],
        said["settings"] == "yes",
        said["required"] == "yes",
        said["missing"] or JobSheet.missing,
        older,
    )
    _MADE.append(sheet)
    return sheet


PRIORITIES = 5


def weight_field(priority: int) -> str:
    """Name of the setting that holds the weight of a priority."""
    return f"weight_{priority}"


_RULE_MEASURES: dict[str, units.Measure] = {
    "greatest_depth_fsw": units.DEPTH,
    "chamber_trigger_fsw": units.DEPTH_TRIGGER,
    "bailout_deeper_than_fsw": units.DEPTH_TRIGGER,
    "stage_deeper_than_fsw": units.DEPTH_TRIGGER,
    "along_bottom_ft_per_min": units.PACE,
    "descent_fsw_per_min": units.DESCENT_RATE,
    "cold_water_f": units.WATER_TEMPERATURE,
}


def _rule_row(limit: Limit) -> JobColumn:
    row = JobColumn(limit.label, limit.field, limit.sentence, source=limit.source, kind=CellKind.WHOLE)
    default = CrewRules.model_fields[limit.field].default
    if limit.field == "preset":
        told = f"{limit.sentence} Its rows stand on the sheet Crew minima."
        return replace(row, kind=CellKind.TEXT, help=told, example=default, choices=tuple(PRESETS))
    if isinstance(default, bool):
        return replace(row, kind=CellKind.YES_NO, example=default)
    if isinstance(default, StrEnum):
        return replace(row, kind=CellKind.CHOICE, example=default.value, choices=tuple(type(default)))
    if isinstance(default, tuple):
        named = "; ".join(default)
        return replace(row, kind=CellKind.NAMES, example=named, default=named)
    measure = _RULE_MEASURES.get(limit.field)
    return replace(row, example=default, unit="" if measure else limit.unit, measure=measure)


def _weight_row(limit: Limit, priority: int) -> JobColumn:
    weight = CrewRules().priority_weights[priority - 1]
    return JobColumn(
        f"Weight of priority {priority}",
        weight_field(priority),
        limit.sentence,
        weight,
        unit="weight",
        required=False,
        default=str(weight),
        source=limit.source,
        limits_of=limit.field,
        kind=CellKind.WHOLE,
    )


SITE = _sheet("Site", Site)
STATIONS = _sheet("Stations", Station)
PEOPLE = _sheet("People", Person)
CERTIFICATES = _sheet("Certificates", Certificate)
PAST_DIVES = _sheet("Past dives", PastDive)
HOURS_WORKED = _sheet("Hours worked", WorkSpell)
ON_SITE = _sheet("On site", Span)
DIVE_WORK = _sheet("Dive work", DiveItem)
SURFACE_WORK = _sheet("Surface work", SurfaceItem)
WINDOWS = _sheet("Windows", Span)
ORDER = _sheet("Order", After)
NOT_TOGETHER = _sheet("Not together", Item)
GATES = _sheet("Gates", Gate)
PINS = _sheet("Pins", Pin)
WATER_WINDOWS = _sheet("Water windows", WaterWindow)
TIDE = _sheet("Tide", TideMark)
OUTFITS = _sheet("Outfits", Outfit)
AIR = _sheet("Air", AirPlant)
COMPRESSORS = _sheet("Compressors", Compressor)
BANKS = _sheet("Banks", Bank)
TANKS = _sheet("Volume tanks", VolumeTank)
CREW_MINIMA = _sheet("Crew minima", CrewMinimum)
DUTY_PAIRS = _sheet("Duty pairs", DutyPair)
DUTY_CERTIFICATES = _sheet("Duty certificates", DutyCertificate)
RULES = _sheet(
    "Rules",
    CrewRules,
    (
        *(_rule_row(limit) for field, limit in LIMITS.items() if field != "priority_weights"),
        *(_weight_row(LIMITS["priority_weights"], priority) for priority in range(1, PRIORITIES + 1)),
    ),
    OLDER_VALUES,
)
BENCH_STEPS = _sheet("Bench steps", BenchStep)

JOB_SHEETS: tuple[JobSheet, ...] = tuple(_MADE)

#: The sheets by their names as they are compared, and the other tabs of a job workbook.
SHEET_OF: dict[str, JobSheet] = {fold(sheet.name): sheet for sheet in JOB_SHEETS}
NEVER_READ = frozenset({fold(README_SHEET), fold(LISTS_SHEET)})

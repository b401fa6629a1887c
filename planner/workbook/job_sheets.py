"""The sheets of the job workbook, in the order of their tabs: what each is for, and which part of a job its
rows become.

Their columns stand in ``job_columns.csv`` beside, one a line: sheet, heading, field of the model, what a
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
from typing import Any, get_args

from planner.check.limits import LIMITS, Limit
from planner.job import units
from planner.job.air_plant import AirPlant, Bank, Compressor, VolumeTank
from planner.job.base import Part, Span
from planner.job.crew_rules import OLDER_VALUES, CrewRules
from planner.job.duties import CrewMinimum, DutyCertificate, DutyPair
from planner.job.gear import BenchStep, Outfit
from planner.job.names import fold
from planner.job.people import Certificate, PastDive, Person, WorkSpell
from planner.job.pins import Pin
from planner.job.presets import PRESETS
from planner.job.site import Site, Station, TideMark, WaterWindow
from planner.job.work import After, DiveItem, Gate, Item, SurfaceItem
from planner.workbook.columns import CellKind, Column, Example, JobSheet

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


def _column(said: dict[str, str], model: type[Part]) -> Column:
    """A line of the table of columns."""
    kind, measure = CellKind[said["holds"].upper()], getattr(units, said["unit"] or "-", None)
    info = model.model_fields.get(said["field"])
    of_field = [] if info is None else [info.annotation, *get_args(info.annotation)]
    words = next((of for of in of_field if isinstance(of, type) and issubclass(of, StrEnum)), ())
    choices: tuple[str, ...] = tuple(words) if kind is CellKind.CHOICE else ()
    choices = tuple(said["choices"].split("; ")) if said["choices"] else choices
    example: Example = _EXAMPLES.get(kind, str)(said["example"]) if said["example"] else None
    return Column(
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
        width=float(said["width"] or Column.width),
        kind=kind,
    )


with (Path(__file__).parent / "job_columns.csv").open(encoding="utf-8", newline="") as _table:
    _SAID = list(csv.DictReader(_table))


_TABS: list[JobSheet] = []


def _sheet(name: str, row_is: str, model: type[Part], path: str, purpose: str, **more: Any) -> JobSheet:
    """The next sheet, with the columns that the table has for it where no others are given."""
    columns = tuple(_column(said, model) for said in _SAID if said["sheet"] == name)
    sheet = JobSheet(name, purpose, row_is, **{"columns": columns, "model": model, "path": path, **more})
    _TABS.append(sheet)
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


def _rule_row(limit: Limit) -> Column:
    row = Column(limit.label, limit.field, limit.sentence, source=limit.source, kind=CellKind.WHOLE)
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


def _weight_row(limit: Limit, priority: int) -> Column:
    weight = CrewRules().priority_weights[priority - 1]
    return Column(
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


SITE = _sheet(
    "Site",
    "setting",
    Site,
    "site",
    "The place, the day and the ways up that are allowed. One setting a row: fill in the Value column.",
    settings=True,
    required=True,
)
STATIONS = _sheet(
    "Stations",
    "station",
    Station,
    "stations",
    "The dive stations: one crew's place each, with at most one dive in the water at a time.",
    required=True,
)
PEOPLE = _sheet(
    "People",
    "person",
    Person,
    "people",
    "Everyone who can be posted. A diver may stand by and stand at an entry too; a tender may tend the "
    "standby diver.",
    required=True,
)
CERTIFICATES = _sheet(
    "Certificates",
    "certificate of one person",
    Certificate,
    "people.certificates",
    "Certificates that items or duties ask for, one a row.",
    owner="person",
)
PAST_DIVES = _sheet(
    "Past dives",
    "dive already made",
    PastDive,
    "people.past_dives",
    "Dives before this job that may still leave nitrogen in the diver. Enter every dive for which the "
    "surface interval table has not yet cleared the diver. A dive made by other tables than the job's is "
    "entered once the diver is clean by those, or not at all: groups of two sets do not compare.",
    owner="person",
)
HOURS_WORKED = _sheet(
    "Hours worked",
    "stretch of work already done",
    WorkSpell,
    "people.past_work",
    "Stretches of work before this job, for the rest rules, one a row.",
    owner="person",
)
ON_SITE = _sheet(
    "On site",
    "stretch of one person's hours",
    Span,
    "people.available",
    "Hours for which a person is there, one stretch a row. Who has no row here is there all day.",
    owner="person",
)
DIVE_WORK = _sheet(
    "Dive work",
    "dive item",
    DiveItem,
    "dive_items",
    "Work under water, one item a row. Minutes of work count from reach bottom to leave bottom.",
)
SURFACE_WORK = _sheet(
    "Surface work",
    "surface item",
    SurfaceItem,
    "surface_items",
    "Work above water, one item a row, done in one go by a crew that stays for all of it.",
)
WINDOWS = _sheet(
    "Windows",
    "stretch in which one item may be worked",
    Span,
    "items.windows",
    "Times within which an item may be worked, one stretch a row. An item without a row may be worked at "
    "any time of the day.",
    owner="item",
)
ORDER = _sheet(
    "Order",
    "pair in order",
    After,
    "items.after",
    "An item that starts only when another is completely done, one pair a row.",
    owner="item",
)
NOT_TOGETHER = _sheet(
    "Not together",
    "pair that is kept apart",
    Item,
    "items.not_together_with",
    "Two items that are never worked at the same time, one pair a row.",
    owner="item",
)
GATES = _sheet(
    "Gates",
    "isolation, permit or hazard, held by one person over one stretch",
    Gate,
    "gates",
    "Isolations, permits and hazards that gate work: intake stopped and tagged out, propeller locked, "
    "crane held, hot work permit, differential pressure, current under its limit. Items are worked only "
    "while all of theirs are held. Several rows of one gate are several stretches, or holders. A row "
    "without times is confirmed by hand before the dive.",
)
PINS = _sheet(
    "Pins",
    "settled thing",
    Pin,
    "pins",
    "What is settled already and every plan must keep, one thing a row. 'starts' needs an item and a "
    "time; 'dives' an item and a person, station, time or bottom time; 'stays up' a person; 'holds' a "
    "person, a duty and an item; 'away' a person, a start and an end; 'briefed' a time, and a person "
    "where it is not for everybody on site then. The day's standing work (Setting up, Inspecting and "
    "connecting, Compressors warming up, Striking, Cleaning and stowing) starts, and is held, like an "
    "item.",
)
WATER_WINDOWS = _sheet(
    "Water windows",
    "stretch of slack water",
    WaterWindow,
    "water_windows",
    "Stretches of slack water. Items marked 'needs slack' are dived in these only, and in the slack that "
    "the sheets Site and Tide give.",
)
TIDE = _sheet(
    "Tide",
    "high or low water",
    TideMark,
    "tide_marks",
    "High and low waters from your tide table, in turn. They give the curve beside the watchbill, the "
    "depth of items that follow the tide, and slack water where the sheet Site gives its length.",
)
OUTFITS = _sheet(
    "Outfits",
    "outfit",
    Outfit,
    "outfits",
    "One matched outfit a row. In heavy dress the helmet, breastplate and straps carry one number.",
)
AIR = _sheet(
    "Air",
    "setting",
    AirPlant,
    "air",
    "What holds for the whole air plant. One setting a row: fill in the Value column.",
    settings=True,
)
COMPRESSORS = _sheet(
    "Compressors",
    "compressor",
    Compressor,
    "air.compressors",
    "Low-pressure compressors that feed the air console, one a row.",
)
BANKS = _sheet(
    "Banks",
    "bank",
    Bank,
    "air.banks",
    "High-pressure cylinders on one manifold, one bank a row.",
)
TANKS = _sheet(
    "Volume tanks",
    "volume tank",
    VolumeTank,
    "air.tanks",
    "Receivers between the compressors and the air console, one a row.",
)
CREW_MINIMA = _sheet(
    "Crew minima",
    "demand for one duty",
    CrewMinimum,
    "rules.minima",
    "Least crew of a dive. A row asks for its number when all its conditions hold; of several rows for "
    "one duty the largest number counts. A sheet without rows means the least team named on the sheet "
    "Rules.",
    missing="the least team named on the sheet Rules",
)
DUTY_PAIRS = _sheet(
    "Duty pairs",
    "pair of duties",
    DutyPair,
    "rules.pairs",
    "Two duties that one person may hold at once on one station. A sheet without rows allows no pair.",
    missing="the built-in pair (air console with log keeper)",
)
DUTY_CERTIFICATES = _sheet(
    "Duty certificates",
    "certificate of a duty",
    DutyCertificate,
    "rules.duty_certificates",
    "Certificates that whoever holds a duty must have, valid on the day, one a row: first aid, a "
    "supervisor's or a chamber operator's papers. What a diver needs, a standby diver needs too.",
)
RULES = _sheet(
    "Rules",
    "limit",
    CrewRules,
    "rules",
    "The limits that the plan keeps to, one a row. Sources are beside them; subject to local regulations.",
    settings=True,
    missing="the built-in limits",
    older=OLDER_VALUES,
    columns=(
        *(_rule_row(limit) for field, limit in LIMITS.items() if field != "priority_weights"),
        *(_weight_row(LIMITS["priority_weights"], priority) for priority in range(1, PRIORITIES + 1)),
    ),
)
BENCH_STEPS = _sheet(
    "Bench steps",
    "step",
    BenchStep,
    "rules.bench_steps",
    "Your own inspection and dressing steps. Each list of each kind of dress that has rows here stands in "
    "place of the built-in one; leave the sheet empty to use the built-in lists.",
    missing="the built-in lists",
)

JOB_SHEETS: tuple[JobSheet, ...] = tuple(_TABS)

#: The sheets by their names as they are compared, and the other tabs of a job workbook.
SHEET_OF: dict[str, JobSheet] = {fold(sheet.name): sheet for sheet in JOB_SHEETS}
NEVER_READ = frozenset({fold(README_SHEET), fold(LISTS_SHEET)})

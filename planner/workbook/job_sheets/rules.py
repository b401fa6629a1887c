"""What the plan keeps to: least crews, pairs of duties, certificates of duties, and the limits."""

from __future__ import annotations

from dataclasses import replace
from enum import StrEnum

from planner.check.limits import LIMITS, Limit
from planner.job.crew_rules import OLDER_VALUES, CrewRules
from planner.job.duties import CrewMinimum, DutyCertificate, DutyPair
from planner.job.gear import Gear
from planner.job.presets import PRESETS
from planner.job.units import DEPTH, DEPTH_TRIGGER, DESCENT_RATE, PACE, WATER_TEMPERATURE, Measure
from planner.workbook.columns import CellKind, Column, JobSheet, choice, moment, name, text, whole, yes_no

PRIORITIES = 5

_SOURCE = text("Source", "source", "Where it comes from.", "common practice", width=34)


def weight_field(priority: int) -> str:
    """Name of the setting that holds the weight of a priority."""
    return f"weight_{priority}"


CREW_MINIMA = JobSheet(
    name="Crew minima",
    purpose="Least crew of a dive. A row asks for its number when all its conditions hold; of several rows "
    "for one duty the largest number counts. A sheet without rows means the least team named on the "
    "sheet Rules.",
    row_is="demand for one duty",
    model=CrewMinimum,
    path="rules.minima",
    missing="the least team named on the sheet Rules",
    columns=(
        name("Duty", "duty", "Built-in or your own.", "tender", refers="duties", width=20),
        whole("Number", "count", "How many people.", 2, unit="people", width=10),
        yes_no(
            "For each diver", "per_diver", "For each diver in the water; no: for the station.", True, width=9
        ),
        choice(
            "Only in",
            "gear",
            "Only in this kind of dress.",
            "heavy dress",
            choices=tuple(Gear),
            default="any",
            width=12,
        ),
        whole(
            "Only deeper than",
            "deeper_than_fsw",
            "Only for deeper dives than this.",
            100,
            measure=DEPTH_TRIGGER,
            default="any depth",
            width=10,
        ),
        yes_no("Only outside no-stop", "decompression", "Only outside the no-stop limits.", False, width=11),
        yes_no("Only enclosed", "enclosed_space", "Only in enclosed spaces.", False, width=10),
        text("Source", "source", "Regulation, or: common practice.", "common practice", width=50),
        text("Changed by", "changed_by", "Who changed the row.", "Ana Reyes", width=16),
        moment("Changed at", "changed_at", "When.", "2027-03-15T19:40", width=17),
    ),
)

DUTY_PAIRS = JobSheet(
    name="Duty pairs",
    purpose="Two duties that one person may hold at once on one station. A sheet without rows allows "
    "no pair.",
    row_is="pair of duties",
    model=DutyPair,
    path="rules.pairs",
    missing="the built-in pair (air console with log keeper)",
    columns=(
        name("Duty", "duty", "One of the two.", "air console", refers="duties", width=24),
        name("With duty", "with_duty", "The other one.", "log keeper", refers="duties", width=24),
        _SOURCE,
    ),
)

DUTY_CERTIFICATES = JobSheet(
    name="Duty certificates",
    purpose="Certificates that whoever holds a duty must have, valid on the day, one a row: first aid, a "
    "supervisor's or a chamber operator's papers. What a diver needs, a standby diver needs too.",
    row_is="certificate of a duty",
    model=DutyCertificate,
    path="rules.duty_certificates",
    columns=(
        name("Duty", "duty", "Built-in or your own.", "supervisor", refers="duties", width=24),
        name(
            "Certificate",
            "certificate",
            "The same words as on the sheet Certificates.",
            "first aid",
            refers="certificates",
            width=30,
        ),
        _SOURCE,
    ),
)

_RULE_MEASURES: dict[str, Measure] = {
    "greatest_depth_fsw": DEPTH,
    "chamber_trigger_fsw": DEPTH_TRIGGER,
    "bailout_deeper_than_fsw": DEPTH_TRIGGER,
    "stage_deeper_than_fsw": DEPTH_TRIGGER,
    "along_bottom_ft_per_min": PACE,
    "descent_fsw_per_min": DESCENT_RATE,
    "cold_water_f": WATER_TEMPERATURE,
}


def _rule_row(limit: Limit) -> Column:
    row = whole(limit.label, limit.field, limit.sentence, source=limit.source)
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
    return whole(
        f"Weight of priority {priority}",
        weight_field(priority),
        limit.sentence,
        weight,
        unit="weight",
        required=False,
        default=str(weight),
        source=limit.source,
        limits_of=limit.field,
    )


RULES = JobSheet(
    name="Rules",
    purpose="The limits that the plan keeps to, one a row. Sources are beside them; subject to local "
    "regulations.",
    row_is="limit",
    model=CrewRules,
    path="rules",
    settings=True,
    missing="the built-in limits",
    older=OLDER_VALUES,
    columns=(
        *(_rule_row(limit) for field, limit in LIMITS.items() if field != "priority_weights"),
        *(_weight_row(LIMITS["priority_weights"], priority) for priority in range(1, PRIORITIES + 1)),
    ),
)

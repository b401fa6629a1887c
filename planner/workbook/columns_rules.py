"""The rules that a crew may edit: Crew minima, Duty pairs, Rules."""

from __future__ import annotations

from planner.job.crew_rules import CrewMinimum, CrewRules, DutyPair
from planner.job.words import Gear
from planner.rules.limits import LIMITS, Limit
from planner.rules.presets import PRESETS
from planner.workbook.columns import Column, Kind, Sheet
from planner.workbook.measures import DEPTH, DEPTH_TRIGGER, DESCENT_RATE, Measure

PRIORITIES = 5


def weight_field(priority: int) -> str:
    """Name of the setting that holds the weight of a priority."""
    return f"weight_{priority}"


CREW_MINIMA = Sheet(
    name="Crew minima",
    purpose="Least crew of a dive. A row asks for its number when all its conditions hold; of several rows "
    "for one duty the largest number counts. A sheet without rows means the least team named on the "
    "sheet Rules.",
    row_is="demand for one duty",
    model=CrewMinimum,
    missing="the least team named on the sheet Rules",
    columns=(
        Column("Duty", "duty", Kind.NAME, "Built-in or your own.", "tender", refers="duties", width=20),
        Column("Number", "count", Kind.WHOLE, "How many people.", 2, unit="people", width=10),
        Column(
            "For each diver",
            "per_diver",
            Kind.YES_NO,
            "For each diver in the water; no: for the station.",
            True,
            width=9,
        ),
        Column(
            "Only in",
            "gear",
            Kind.CHOICE,
            "Only in this kind of dress.",
            "heavy dress",
            choices=tuple(Gear),
            default="any",
            width=12,
        ),
        Column(
            "Only deeper than",
            "deeper_than_fsw",
            Kind.WHOLE,
            "Only for deeper dives than this.",
            100,
            measure=DEPTH_TRIGGER,
            default="any depth",
            width=10,
        ),
        Column(
            "Only outside no-stop",
            "decompression",
            Kind.YES_NO,
            "Only outside the no-stop limits.",
            False,
            width=11,
        ),
        Column("Only enclosed", "enclosed_space", Kind.YES_NO, "Only in enclosed spaces.", False, width=10),
        Column(
            "Source", "source", Kind.TEXT, "Regulation, or: common practice.", "common practice", width=50
        ),
        Column("Changed by", "changed_by", Kind.TEXT, "Who changed the row.", "Ana Reyes", width=16),
        Column("Changed at", "changed_at", Kind.MOMENT, "When.", "2027-03-15T19:40", width=17),
    ),
)

DUTY_PAIRS = Sheet(
    name="Duty pairs",
    purpose="Two duties that one person may hold at once on one station. A sheet without rows allows "
    "no pair.",
    row_is="pair of duties",
    model=DutyPair,
    missing="the built-in pair (air console with log keeper)",
    columns=(
        Column("Duty", "duty", Kind.NAME, "One of the two.", "air console", refers="duties", width=24),
        Column(
            "With duty", "with_duty", Kind.NAME, "The other one.", "log keeper", refers="duties", width=24
        ),
        Column("Source", "source", Kind.TEXT, "Where it comes from.", "common practice", width=34),
    ),
)

_RULE_MEASURES: dict[str, Measure] = {
    "greatest_depth_fsw": DEPTH,
    "chamber_trigger_fsw": DEPTH_TRIGGER,
    "descent_fsw_per_min": DESCENT_RATE,
}


def _rule_row(limit: Limit) -> Column:
    measure = _RULE_MEASURES.get(limit.field)
    default = CrewRules.model_fields[limit.field].default
    if limit.field == "preset":
        return Column(
            limit.label,
            limit.field,
            Kind.TEXT,
            f"{limit.sentence} Its rows stand on the sheet Crew minima.",
            default,
            choices=tuple(PRESETS),
            source=limit.source,
        )
    return Column(
        limit.label,
        limit.field,
        Kind.WHOLE,
        limit.sentence,
        default,
        unit="" if measure else limit.unit,
        measure=measure,
        source=limit.source,
    )


def _weight_row(limit: Limit, priority: int) -> Column:
    weight = CrewRules().priority_weights[priority - 1]
    return Column(
        f"Weight of priority {priority}",
        weight_field(priority),
        Kind.WHOLE,
        limit.sentence,
        weight,
        unit="weight",
        required=False,
        default=str(weight),
        source=limit.source,
        limits_of=limit.field,
    )


RULES = Sheet(
    name="Rules",
    purpose="The limits that the plan keeps to, one a row. Sources are beside them; subject to local "
    "regulations.",
    row_is="limit",
    model=CrewRules,
    settings=True,
    missing="the built-in limits",
    columns=(
        *(_rule_row(limit) for name, limit in LIMITS.items() if name != "priority_weights"),
        *(_weight_row(LIMITS["priority_weights"], priority) for priority in range(1, PRIORITIES + 1)),
    ),
)

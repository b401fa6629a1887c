"""What is looked at before a watchbill is issued: subjects of planning, first aid, manual, emergency card.

The nine subjects are those of 29 CFR 1910.421(d), the card that of (b), first aid that of (c), the manual
that of 1910.420(a), in our own words and compared with public copies on 29 and 30 November 2026; the
regulation itself decides.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from pydantic import TypeAdapter

from planner.job import UnitSystem
from planner.job.job import Job
from planner.plan.model import Plan
from planner.plan.unchecked import asked_beside_planning
from planner.words.measures import altitude_words, count_words, water_words

SOURCE = "29 CFR 1910.421(d); first aid 1910.421(c), manual 1910.420(a); subject to local regulations"
CARD_SOURCE = "29 CFR 1910.421(b); subject to local regulations"


@dataclass(frozen=True)
class PlanningItem:
    """One subject of planning, or what must be at hand at the dive location."""

    id: str
    """Stable name, kept with the issued watchbill when ticked."""
    subject: str
    """The subject in plain words."""
    covered: str = ""
    """What the plan says of it and where; blank when it says nothing."""
    to_tick: str = ""
    """What a person must settle; blank when the plan covers all of it."""
    plant: bool | None = None
    """Whether it is told only of a job with, or without, a source of air; None: of every job."""

    @property
    def needs_tick(self) -> bool:
        return bool(self.to_tick)


@dataclass(frozen=True)
class CardLine:
    """One line of the emergency card. ``filled`` is blank where it is missing."""

    id: str
    label: str
    filled: str

    @property
    def missing(self) -> bool:
        return not self.filled.strip()


#: The lines of the card, in the order in which they are read out.
CARD_LABELS: dict[str, str] = {
    "chamber": "Decompression chamber: place, telephone, who works it",
    "hospital": "Hospital: place, telephone",
    "physician": "Diving physician: name, telephone",
    "transport": "Transport: ambulance, boat or aircraft, telephone",
    "rescue": "Rescue coordination centre: telephone, channel",
}


_SUBJECTS = TypeAdapter(tuple[PlanningItem, ...]).validate_python(
    tomllib.loads(Path(__file__).with_name("planning_subjects.toml").read_text(encoding="utf-8"))["subject"]
)


def planning_items(job: Job, plan: Plan, units: UnitSystem | None = None) -> tuple[PlanningItem, ...]:
    """The nine subjects of planning, first aid and manual, each covered by the plan (where) or to be ticked;
    in the job's units or in these."""
    site = job.site
    sources = len(job.air.compressors) + len(job.air.banks)
    minutes_away = site.chamber_minutes_away
    units = units or site.units
    away = {None: "no chamber in reach", 0: "chamber at the location"}
    figures = {
        "gear": " and ".join(sorted({i.gear.value for i in job.dive_items})) or "no dive",
        "sources": count_words(sources, "source"),
        "temperature": "no water temperature given"
        if site.water_temp_f is None
        else f"water {water_words(site, units)}",
        "divers": count_words(len({d.person for dive in plan.dives for d in dive.divers}), "diver"),
        "repeated": sum(1 for dive in plan.dives for d in dive.divers if d.group_before is not None),
        "stops": sum(any(d.schedule.decompression for d in dive.divers) for dive in plan.dives),
        "altitude": altitude_words(site.altitude_ft, units),
        "chamber": away.get(minutes_away, f"chamber {minutes_away} min away"),
    }
    return tuple(
        replace(item, covered=item.covered.format_map(figures), to_tick=item.to_tick.format_map(figures))
        for item in _SUBJECTS
        if item.plant in (None, sources > 0)
    )


def all_to_tick(job: Job, plan: Plan, units: UnitSystem | None = None) -> tuple[tuple[str, str], ...]:
    """Id and sentence of everything that a person ticks before issuing, each thing once: planning, then what
    of the unchecked no subject of planning asks for."""
    items = planning_items(job, plan, units)
    own = [(item.id, f"{item.subject}: {item.to_tick}") for item in items if item.needs_tick]
    own += [(f"unchecked-{n}", line) for n, line in enumerate(asked_beside_planning(job, plan), start=1)]
    return tuple(own)


def emergency_card(filled: Mapping[str, str]) -> tuple[CardLine, ...]:
    """The emergency card from what the user has typed; a line that is not there is missing."""
    return tuple(CardLine(name, label, filled.get(name, "").strip()) for name, label in CARD_LABELS.items())


def card_lacks(filled: Mapping[str, str]) -> str:
    """Why a watchbill cannot be issued with this card, in a sentence; blank when nothing is missing on it."""
    missing = [line.label.partition(":")[0].lower() for line in emergency_card(filled) if line.missing]
    return f"The emergency card lacks: {', '.join(missing)}." if missing else ""

"""What is looked at before a watchbill is issued: nine subjects of planning, emergency card, what changes.

The list of subjects is that of 29 CFR 1910.421(d), restated from memory; the regulation itself decides.
"""

from __future__ import annotations

import tomllib
from collections.abc import Container, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from pydantic import TypeAdapter

from planner.job.job import Job
from planner.plan.model import Plan
from planner.plan.unchecked import unchecked

SOURCE = "29 CFR 1910.421(d), the list from memory; subject to local regulations"
CARD_SOURCE = "29 CFR 1910.421(b), from memory; subject to local regulations"


@dataclass(frozen=True)
class PlanningItem:
    """One subject of planning.

    Parameters
    ----------
    id
        Stable name, kept with the issued watchbill when ticked.
    subject
        The subject in plain words.
    covered
        What the plan says of it and where; blank when it says nothing.
    to_tick
        What a person must settle; blank when the plan covers all of it.
    plant
        Whether it is told only of a job with, or without, a source of air; None: of every job.
    """

    id: str
    subject: str
    covered: str = ""
    to_tick: str = ""
    plant: bool | None = None

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


def planning_items(job: Job, plan: Plan) -> tuple[PlanningItem, ...]:
    """The nine subjects, each covered by the plan (where) or to be ticked."""
    site = job.site
    sources = len(job.air.compressors) + len(job.air.banks)
    minutes_away = site.chamber_minutes_away
    away = {None: "no chamber in reach", 0: "chamber at the location"}
    figures = {
        "gear": " and ".join(sorted({i.gear.value for i in job.dive_items})) or "no dive",
        "sources": _count(sources, "source"),
        "temperature": "no water temperature given"
        if site.water_temp_f is None
        else f"water {site.water_temp_f:g} °F",
        "divers": _count(len({d.person for dive in plan.dives for d in dive.divers}), "diver"),
        "repeated": sum(1 for dive in plan.dives for d in dive.divers if d.group_before is not None),
        "stops": sum(any(d.schedule.decompression for d in dive.divers) for dive in plan.dives),
        "altitude": f"{site.altitude_ft:,}",
        "chamber": away.get(minutes_away, f"chamber {minutes_away} min away"),
    }
    return tuple(
        replace(item, covered=item.covered.format_map(figures), to_tick=item.to_tick.format_map(figures))
        for item in _SUBJECTS
        if item.plant in (None, sources > 0)
    )


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def all_to_tick(job: Job, plan: Plan) -> tuple[tuple[str, str], ...]:
    """Id and sentence of everything that a person ticks before issuing: planning, then the unchecked."""
    own = [
        (item.id, f"{item.subject}: {item.to_tick}") for item in planning_items(job, plan) if item.needs_tick
    ]
    own += [(f"unchecked-{n}", line) for n, line in enumerate(unchecked(job, plan), start=1)]
    return tuple(own)


def emergency_card(filled: Mapping[str, str]) -> tuple[CardLine, ...]:
    """The emergency card from what the user has typed; a line that is not there is missing."""
    return tuple(CardLine(name, label, filled.get(name, "").strip()) for name, label in CARD_LABELS.items())


@dataclass(frozen=True)
class Change:
    """What changes for one person, or in one item's planned minutes.

    ``was`` and ``now`` are the lines that differ, in order of time; what stays the same is not told.
    """

    who: str
    was: tuple[str, ...]
    now: tuple[str, ...]


def changes(
    old: Plan, new: Plan, job: Job, from_min: int = -(10**6), made: Container[str] = ()
) -> tuple[Change, ...]:
    """What is different for each person from a minute on, by name; people without a change are left out.

    A duty counts as the same when person, duty, item and times agree; numbers of dives and who else takes
    part do not matter.

    Parameters
    ----------
    from_min
        Duties that ended by then are past.
    made
        Dives that were made or are in the water: what happened is no change of the plan.
    """
    people = sorted({s.person for s in (*old.duties, *new.duties)})
    found = []
    for person in people:
        before, after = _lines(old, person, job, from_min, made), _lines(new, person, job, from_min, made)
        was = tuple(line for line in before if line not in after)
        now = tuple(line for line in after if line not in before)
        if was or now:
            found.append(Change(person, was, now))
    return tuple(found)


def work_changes(old: Plan, new: Plan, job: Job) -> tuple[Change, ...]:
    """Items whose planned minutes of the day are different, in the order of the job."""
    found = []
    for item in job.items:
        was, now = old.worked_min(item.name), new.worked_min(item.name)
        if was != now:
            found.append(Change(item.name, (f"{was} min",), (f"{now} min",)))
    return tuple(found)


def _lines(plan: Plan, person: str, job: Job, from_min: int, made: Container[str]) -> list[str]:
    at = job.clock.hhmm
    own = (s for s in plan.duties_of(person) if s.end_min > from_min and s.dive not in made)
    lines = [
        f"{at(s.start_min)} to {at(s.end_min)} {s.duty}, {s.item}{f', outfit {s.outfit}' if s.outfit else ''}"
        for s in own
    ]
    return list(dict.fromkeys(lines))

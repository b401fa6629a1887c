"""Duties: one record for each built-in duty, and everything that follows from the records.

A duty is added by adding its record to ``duties.toml`` beside: its rule, its colour and letters on the
watchbill, its row in the crew rules, its place in lists, drop-downs and hours all come from there. A job may
use duties of its own besides; they have no record, are held like a station's duty, and come last in every
list.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import Annotated

from pydantic import Field, TypeAdapter

from planner.job.base import Name, Part
from planner.job.bounds import DEEPEST_SHORT_FSW
from planner.job.gear import Gear
from planner.job.units import Measured

DIVER = "diver"
SUPERVISOR = "supervisor"
TENDER = "tender"
STANDBY = "standby diver"
STANDBY_TENDER = "standby's tender"
CONSOLE = "air console"
LOG_KEEPER = "log keeper"
CHAMBER_OPERATOR = "chamber operator"
ENTRY_DIVER = "diver at the entry"
BRIEFING = "briefing"


class CrewMinimum(Measured):
    """``count`` people in ``duty`` for a dive that meets every condition given.

    ``per_diver``: the count is for each diver in the water; otherwise for the dive's station.
    A blank condition always holds. When several rows of one duty hold, the largest count is asked.
    """

    duty: Name
    count: Annotated[int, Field(ge=0, le=10)]
    per_diver: bool = False
    gear: Gear | None = None
    deeper_than_fsw: Annotated[int, Field(ge=0, le=DEEPEST_SHORT_FSW)] | None = None
    decompression: bool = False
    """Holds only for dives outside the no-stop limits."""
    enclosed_space: bool = False
    """Holds only for enclosed spaces."""
    source: str
    changed_by: str = ""
    changed_at: datetime | None = None


class DutyPair(Part):
    """Two duties that one person may hold at once, on one station."""

    duty: Name
    with_duty: Name
    source: str = "common practice"


class DutyCertificate(Part):
    """A certificate that whoever holds a duty must have; of one duty there may be several."""

    duty: Name
    certificate: Name
    source: str = "common practice"


class HeldAt(StrEnum):
    """Where a duty is held."""

    WATER = "in the water"
    READY = "in dress on deck"
    """Dressed and ready to go down: like a diver its holder has no second duty."""
    DECK = "on deck"


class HeldOver(StrEnum):
    """From when to when a duty is held for one dive."""

    DRESSING = "bench"
    """Dressing starts until undressed (a diver: until out of the chamber where that is later)."""
    STATION = "watch"
    """The station's crew: dressing starts until reach surface. Where one diver dresses while another is in
    the water on the same station, the holder for the dive in the water covers both until that diver has
    reached the surface; only then may the duty change hands."""
    CHAMBER = "chamber"
    """Leave surface until the watch by the chamber is over."""


class PaidAs(StrEnum):
    """What the time in a duty counts as beside hours worked."""

    HOURS = "hours"
    STANDING_BY = "standing by"
    ENCLOSED = "in an enclosed space"
    CHAMBER = "by the chamber"


@dataclass(frozen=True)
class CrewRule:
    """The rule that asks for people in a duty; fields as in a rule of the check."""

    id: str
    sentence: str
    source: str
    regulation: bool
    """Law, rather than common practice."""
    limits: tuple[str, ...] = ("minima",)
    """Fields of the crew rules that set it."""


@dataclass(frozen=True)
class Duty:
    """One built-in duty."""

    name: str
    """The trade's word."""
    letters: str
    """Printed in the watchbill's grid."""
    fill_hex: str
    """Colour on the watchbill and in charts; `planner.charts.palette` names the schemes they are from."""
    rank: int
    """Place in every list of duties. Where two are held at once, a minute is counted under the first."""
    place: HeldAt
    held_over: HeldOver
    rule: CrewRule | None = None
    """What asks for the duty on a dive; None for the diver, of whom each item says how many."""
    qualified_by: str | None = None
    """A duty whose holders may hold this one too (common practice)."""
    leads: bool = False
    """Hand-over in mid-dive takes the job's longer time: he leads the dive or holds the diver's line."""
    paid_as: PaidAs = PaidAs.HOURS
    minima: tuple[CrewMinimum, ...] = ()
    """The rows of a job's crew rules where it has none of its own."""
    with_duties: tuple[str, ...] = ()
    """Other duties that its holder may have at the same time unless the job says otherwise."""
    everybody: bool = False
    """It is nobody's post: anybody may have it, and nobody is asked for as such."""


def _records() -> tuple[Duty, ...]:
    said = tomllib.loads(Path(__file__).with_name("duties.toml").read_text(encoding="utf-8"))["duty"]
    for duty in said:
        duty["minima"] = [{"duty": duty["name"], **row} for row in duty.get("minima", ())]
    return TypeAdapter(tuple[Duty, ...]).validate_python(said)


#: Every built-in duty, in the order of the crew rules.
DUTIES: tuple[Duty, ...] = _records()

DUTY_OF: dict[str, Duty] = {duty.name: duty for duty in sorted(DUTIES, key=lambda duty: duty.rank)}

#: Names of the built-in duties that somebody is posted to, in their rank.
BUILT_IN_DUTIES: tuple[str, ...] = tuple(name for name, duty in DUTY_OF.items() if not duty.everybody)

#: Duties held in the water.
WATER_DUTIES: frozenset[str] = frozenset(d.name for d in DUTIES if d.place is HeldAt.WATER)

#: Duties held in dress, by people rated for the depth who have no second duty: in the water or ready to go.
DRESSED_DUTIES: frozenset[str] = frozenset(d.name for d in DUTIES if d.place is not HeldAt.DECK)

#: Letters printed in the watchbill's grid; custom duties get their own first letters.
DUTY_LETTERS: dict[str, str] = {duty.name: duty.letters for duty in DUTY_OF.values()}

#: Duties of a station that ask for unbroken attention all through a dive: whoever holds one is relieved.
WATCH_DUTIES: frozenset[str] = frozenset({SUPERVISOR, CONSOLE, LOG_KEEPER})

DEFAULT_MINIMA: tuple[CrewMinimum, ...] = tuple(row for duty in DUTIES for row in duty.minima)

DEFAULT_PAIRS: tuple[DutyPair, ...] = tuple(
    DutyPair(duty=duty.name, with_duty=other) for duty in DUTIES for other in duty.with_duties
)


def duty_rank(duty: str) -> tuple[int, str]:
    """A key to sort duties by: the built-in ones by rank, then a job's own by name."""
    record = DUTY_OF.get(duty)
    return (len(DUTIES) + 1, duty) if record is None else (record.rank, duty)


def duty_qualifies(held: frozenset[str] | set[str], duty: str) -> bool:
    """Whether a person who may hold ``held`` may be posted to ``duty``.

    A standby diver and a diver at the entry are divers; a standby's tender is a tender
    (common practice). Every other duty must be listed by name.
    """
    record = DUTY_OF.get(duty)
    return duty in held or (record is not None and (record.everybody or record.qualified_by in held))


def qualifying(duty: str) -> frozenset[str]:
    """The duty and the one that it is qualified by: a standby diver must be all that a diver is."""
    record = DUTY_OF.get(duty)
    return frozenset({duty, duty if record is None else record.qualified_by or duty})


def held_over(duty: str) -> HeldOver:
    """From when to when a duty is held for one dive."""
    return DUTY_OF[duty].held_over if duty in DUTY_OF else HeldOver.STATION


def paid_as(duty: str) -> PaidAs:
    """What the time in a duty counts as beside hours worked."""
    return DUTY_OF[duty].paid_as if duty in DUTY_OF else PaidAs.HOURS


def crew_rule_of(duty: str) -> str:
    """Id of the rule that asks for people in this duty on a dive; ``crew-other`` for a job's own duty."""
    record = DUTY_OF.get(duty)
    return record.rule.id if record is not None and record.rule is not None else "crew-other"

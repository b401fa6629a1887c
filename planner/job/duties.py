"""Duties: one record for each built-in duty, and everything that follows from the records.

A duty is added by adding its record to `DUTIES`: its rule, its colour and letters on the watchbill, its row
in the crew rules, its place in lists, drop-downs and hours all come from there. A job may use duties of its
own besides; they have no record, are held like a station's duty, and come last in every list.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Annotated, Any

from pydantic import Field

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

OSHA_410C = "29 CFR 1910.410(c); one a station: common practice"
OSHA_425C1 = "continuously tended: 29 CFR 1910.425(c)(1)"


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


def _least(duty: str, *, source: str, count: int = 1, **when: Any) -> CrewMinimum:
    return CrewMinimum(duty=duty, count=count, source=source, **when)


#: Every built-in duty, in the order of the crew rules. Tenders share blue, standby stands out, those in the
#: water are dark.
DUTIES: tuple[Duty, ...] = (
    Duty(
        SUPERVISOR,
        "SU",
        "#EEDD88",  # light yellow
        1,
        HeldAt.DECK,
        HeldOver.STATION,
        CrewRule(
            "crew-supervisor",
            "Every dive has its supervisors on the station from dressing until the divers have surfaced.",
            OSHA_410C,
            regulation=True,
        ),
        leads=True,
        minima=(_least(SUPERVISOR, source=OSHA_410C),),
    ),
    Duty(
        TENDER,
        "T",
        "#99DDFF",  # light cyan
        5,
        HeldAt.DECK,
        HeldOver.DRESSING,
        CrewRule(
            "crew-tenders",
            "Every diver in the water has his tenders from dressing until undressed.",
            f"{OSHA_425C1}; two a diver in heavy dress, one in a light helmet: common practice",
            regulation=True,
        ),
        leads=True,
        minima=(
            _least(
                TENDER,
                count=2,
                per_diver=True,
                gear=Gear.HEAVY,
                source=f"two dress, tend and undress one diver: common practice; {OSHA_425C1}",
            ),
            _least(TENDER, per_diver=True, gear=Gear.LIGHT, source=f"common practice; {OSHA_425C1}"),
        ),
    ),
    Duty(
        STANDBY,
        "SB",
        "#EE8866",  # light orange
        4,
        HeldAt.READY,
        HeldOver.STATION,
        CrewRule(
            "crew-standby",
            "A standby diver is on the station for as long as anyone is in the water.",
            "common practice; law deeper than 100 fsw or outside the no-stop limits: 29 CFR "
            "1910.425(c)(4)(ii)",
            regulation=True,
        ),
        qualified_by=DIVER,
        paid_as=PaidAs.STANDING_BY,
        minima=(
            _least(
                STANDBY,
                source="whenever anyone is in the water: common practice; law deeper than 100 fsw or outside "
                "no-stop limits: 29 CFR 1910.425(c)(4)(ii)",
            ),
        ),
    ),
    Duty(
        STANDBY_TENDER,
        "ST",
        "#77AADD",  # light blue
        6,
        HeldAt.DECK,
        HeldOver.STATION,
        CrewRule(
            "crew-standby-tender",
            "The standby diver has a tender.",
            "common practice; five-person team: HSE L104 (2014)",
            regulation=False,
        ),
        qualified_by=TENDER,
        minima=(_least(STANDBY_TENDER, source="common practice; five-person team: HSE L104 (2014)"),),
    ),
    Duty(
        CONSOLE,
        "AC",
        "#44BB99",  # light mint
        7,
        HeldAt.DECK,
        HeldOver.STATION,
        CrewRule(
            "crew-console",
            "The air console is manned from dressing until the divers have surfaced.",
            "common practice",
            regulation=False,
        ),
        minima=(_least(CONSOLE, source="common practice"),),
        with_duties=(LOG_KEEPER,),
    ),
    Duty(
        LOG_KEEPER,
        "LK",
        "#BBCC33",  # light pear
        8,
        HeldAt.DECK,
        HeldOver.STATION,
        CrewRule(
            "crew-log-keeper",
            "A log keeper keeps the record of every dive.",
            "depth and time kept for each diver: 29 CFR 1910.422(e); a person for it, who may hold the "
            "console: common practice",
            regulation=False,
        ),
        minima=(_least(LOG_KEEPER, source="common practice; held together with the console"),),
    ),
    Duty(
        CHAMBER_OPERATOR,
        "CH",
        "#FFAABB",  # light pink
        9,
        HeldAt.DECK,
        HeldOver.CHAMBER,
        CrewRule(
            "crew-chamber-operator",
            "A dive deeper than the trigger or outside the no-stop limits has at least one chamber operator, "
            "whatever the crew rows say, from leaving the surface until the end of the watch by the chamber.",
            "until at least 1 h after the dive: 29 CFR 1910.423(c)(6)",
            regulation=True,
            limits=("minima", "chamber_trigger_fsw", "chamber_watch_min"),
        ),
        paid_as=PaidAs.CHAMBER,
        minima=(
            _least(
                CHAMBER_OPERATOR, decompression=True, source="until 1 h after the dive: 29 CFR 1910.423(c)(6)"
            ),
            _least(
                CHAMBER_OPERATOR,
                deeper_than_fsw=100,
                source="until 1 h after the dive: 29 CFR 1910.423(c)(6)",
            ),
        ),
    ),
    Duty(
        ENTRY_DIVER,
        "DE",
        "#882255",  # muted wine
        3,
        HeldAt.WATER,
        HeldOver.DRESSING,
        CrewRule(
            "crew-entry-diver",
            "In an enclosed space another diver is stationed under water at the entry.",
            "29 CFR 1910.425(c)(2); 46 CFR 197.432(d)",
            regulation=True,
        ),
        qualified_by=DIVER,
        paid_as=PaidAs.ENCLOSED,
        minima=(
            _least(
                ENTRY_DIVER,
                enclosed_space=True,
                source="stationed at the entry under water: 29 CFR 1910.425(c)(2)",
            ),
        ),
    ),
    Duty(
        DIVER,
        "D",
        "#332288",  # muted indigo
        2,
        HeldAt.WATER,
        HeldOver.DRESSING,
    ),
    Duty(
        BRIEFING,
        "BR",
        "#FFFFFF",  # white of the high-contrast scheme: letters alone
        10,
        HeldAt.DECK,
        HeldOver.STATION,
        everybody=True,
    ),
)

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

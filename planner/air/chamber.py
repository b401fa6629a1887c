"""The chamber's gas: what a day's dives ask of its two supplies of air and of its oxygen.

A dive that needs the chamber at hand (deeper than the job's trigger, or outside the no-stop limits) asks each
supply to bring both locks to 165 fsw once and to ventilate them for the hour after the dive. A dive whose
divers decompress in it asks for more: both locks to 50 fsw, ventilation as long as they are in, and oxygen
for the table's periods. Divers rest in there and nobody tends them inside; a treatment is not planned here.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from planner.air.flow import FSW_PER_ATMOSPHERE, scfm_at
from planner.air.supply import ROUNDING
from planner.job import AirPlant, DiveItem, Job
from planner.plan.finding import Finding
from planner.plan.model import Plan
from planner.tables.gauge import greatest_depth_fsw
from planner.tables.schedule import CHAMBER_FIRST_FSW, NO_STOP, OXYGEN, TableSchedule, chamber_legs
from planner.words.measures import own_depth_words

#: Depth to which each supply brings both locks, fsw, and the hour of ventilation after it, scf: 70.4 scfm.
#: Source: U.S. Navy Diving Manual (Revision 4) 22-4.1, secondary supply of a recompression chamber.
READY_FSW = 165
READY_VENTILATION_SCF = 70.4 * 60

#: Ventilation at chamber pressure, acfm for each diver at rest: on air, or with his oxygen dumped overboard;
#: and on oxygen that stays in the chamber. Source: U.S. Navy Diving Manual (Revision 4, Change A) 22-5.4.1,
#: which asks for the second only where no dump is fitted; compared with a public copy, 29 Nov 2026.
AT_REST_ACFM, ON_OXYGEN_ACFM = 2.0, 12.5

CHAMBER_SOURCE = (
    "primary and secondary for the dive and one hour after: 46 CFR 197.340(a)(3), (b)(4); both locks once to "
    "165 fsw and an hour of 70.4 scfm, ventilation 2 and 12.5 acfm a diver: U.S. Navy Diving Manual, Rev 4, "
    "22-4.1 and 22-5.4.1; 0.3 acfm of oxygen a mask: the same manual, from memory"
)


@dataclass(frozen=True)
class ChamberUse:
    """What one dive asks of the chamber."""

    dive: str
    """Its id."""
    day: date
    """Calendar day on which the surface is left."""
    periods: tuple[float, ...]
    """Oxygen periods of each diver who decompresses in the chamber; empty where it stands ready only."""


@dataclass(frozen=True)
class ChamberDay:
    """What a calendar day's dives ask for, in scf."""

    day: date
    dives: tuple[str, ...]
    """The day, and the ids of the dives that need the chamber."""
    primary_scf: float
    """Ready for a treatment, and every decompression of the day."""
    secondary_scf: float
    """Ready for a treatment, and the largest of the day's decompressions."""
    oxygen_scf: float
    """All periods of the day."""


def needs_chamber(job: Job, depth_fsw: int, schedule: TableSchedule) -> bool:
    """Whether a dive to a depth with this way up needs the chamber at hand."""
    deep = greatest_depth_fsw(job.site, depth_fsw) > job.rules.chamber_trigger_fsw
    return deep or schedule.way_up != NO_STOP


def locks_scf(plant: AirPlant, depth_fsw: float) -> float:
    """Air that brings both locks to a depth once, scf; 0 where their volumes are not given."""
    locks = (plant.chamber_inner_cuft or 0.0) + (plant.chamber_outer_cuft or 0.0)
    return locks * depth_fsw / FSW_PER_ATMOSPHERE


def ready_scf(plant: AirPlant) -> float:
    """Air that each supply holds for the hour after a dive, scf."""
    return locks_scf(plant, READY_FSW) + READY_VENTILATION_SCF


def pressing_scf(plant: AirPlant) -> float:
    """Air that brings both locks to the chamber's first depth, once for all divers of a dive, scf."""
    return locks_scf(plant, CHAMBER_FIRST_FSW)


def ventilation_scf(plant: AirPlant, periods: float) -> float:
    """Air that ventilates the chamber for one diver from 50 fsw until he is out, scf."""
    kept = AT_REST_ACFM if plant.chamber_oxygen_dumped else ON_OXYGEN_ACFM
    return sum(
        leg.seconds
        / 60
        * scfm_at(kept if leg.gas == OXYGEN else AT_REST_ACFM, (leg.start_fsw + leg.end_fsw) / 2)
        for leg in chamber_legs(periods)
    )


def oxygen_scf(plant: AirPlant, periods: float) -> float:
    """Oxygen that one diver breathes by mask in the chamber, scf."""
    return sum(
        leg.seconds / 60 * scfm_at(plant.chamber_mask_acfm, (leg.start_fsw + leg.end_fsw) / 2)
        for leg in chamber_legs(periods)
        if leg.gas == OXYGEN
    )


def decompression_scf(plant: AirPlant, periods: Iterable[float]) -> float:
    """Air for the divers of one dive who decompress in the chamber together, scf; 0 for nobody."""
    own = [ventilation_scf(plant, one) for one in periods]
    return pressing_scf(plant) + sum(own) if own else 0.0


def chamber_days(plant: AirPlant, uses: Iterable[ChamberUse]) -> tuple[ChamberDay, ...]:
    """What the dives that need the chamber ask for, by calendar day."""
    by_day: dict[date, list[ChamberUse]] = defaultdict(list)
    for use in uses:
        by_day[use.day].append(use)
    ready = ready_scf(plant)
    days = []
    for day in sorted(by_day):
        air = [decompression_scf(plant, use.periods) for use in by_day[day]]
        oxygen = sum(oxygen_scf(plant, one) for use in by_day[day] for one in use.periods)
        dives = tuple(use.dive for use in by_day[day])
        days.append(ChamberDay(day, dives, ready + sum(air), ready + max(air), oxygen))
    return tuple(days)


def plan_uses(plan: Plan, job: Job) -> tuple[ChamberUse, ...]:
    """What the dives of a plan ask of the chamber, by the schedules that stand in it."""
    return tuple(
        ChamberUse(
            dive.id,
            job.clock.day_of(dive.leave_surface_min),
            tuple(d.schedule.chamber_periods for d in dive.divers if d.schedule.chamber_periods),
        )
        for dive in plan.dives
        if any(needs_chamber(job, dive.depth_fsw, d.schedule) for d in dive.divers)
    )


def short_words(plant: AirPlant, needed: ChamberDay) -> str | None:
    """What the chamber's gas lacks for a day, in words; None where it is enough or is not given."""
    air = (
        ("primary air", needed.primary_scf, plant.chamber_primary_scf),
        ("secondary air", needed.secondary_scf, plant.chamber_secondary_scf),
    )
    oxygen = ("oxygen", needed.oxygen_scf, plant.chamber_oxygen_scf)
    said = [
        f"{asked:.0f} scf of {name}, {held:.0f} scf are on hand"
        for name, asked, held in (*(air if plant.chamber_air_given else ()), oxygen)
        if held is not None and asked > held + ROUNDING
    ]
    return f"the chamber needs {'; '.join(said)}" if said else None


def item_chamber_finding(job: Job, item: DiveItem, schedule: TableSchedule) -> Finding | None:
    """Why the chamber's gas keeps a way up of an item from being dived even alone, by one diver."""
    if not needs_chamber(job, item.depth_fsw, schedule):
        return None
    periods = (schedule.chamber_periods,) if schedule.chamber_periods else ()
    (needed,) = chamber_days(job.air, [ChamberUse(item.name, job.site.first_day, periods)])
    short = short_words(job.air, needed)
    if short is None:
        return None
    return Finding(
        "chamber-gas", f"{item.name} at {own_depth_words(item, job.site.units)}: {short}.", item.name
    )

"""Carried bailout: the pressure that a bottle must show before a dive, and the minutes that it gives.

Minutes at depth, then the way up to the first stop, or to the surface where there is none: mean depth,
minutes rounded up. What is left in the bottle must still reach the diver at that stop. U.S. Navy Diving
Manual 8-2.2.1: the gas, its formula for the pressure, and three minutes at depth in its example.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from planner.air.flow import PSI_PER_FSW, Leg, acfm_of, ascent_legs, diver_scfm, scfm_at
from planner.air.supply import ATMOSPHERE_PSI
from planner.job import DiveItem, Gear, Job, Outfit
from planner.plan.model import Dive, Plan
from planner.tables.gauge import greatest_depth_fsw
from planner.tables.schedule import NO_STOP, TableSchedule

#: Pressure over the bottom that the first stage of a bottle's regulator is set to at least, psi.
#: Source: U.S. Navy Diving Manual 8-2.2.1.
FIRST_STAGE_PSI = 135.0

BAILOUT_SOURCE = (
    "bailout bottle: gas / floodable volume × 14.7 + 135 + 0.445 × first stop; minutes at depth, then to the "
    "first stop at mean depth: U.S. Navy Diving Manual 8-2.2.1"
)


def bailout_scf(acfm: float, depth_fsw: int, minutes: int, up: Leg | None) -> float:
    """Gas of one diver on his bottle, scf.

    Parameters
    ----------
    acfm
        Flow at depth.
    depth_fsw, minutes
        Depth of the dive and minutes that he stays there.
    up
        His way to the first stop or the surface; None where he is there.
    """
    at_depth = scfm_at(acfm, depth_fsw) * minutes
    return at_depth if up is None else at_depth + scfm_at(acfm, up.mean_fsw) * up.minutes


def bottle_psi(scf: float, floodable_cuft: float, first_stop_fsw: int) -> float:
    """Pressure that a bottle must show to give so much gas by the first stop, psi gauge."""
    return scf / floodable_cuft * ATMOSPHERE_PSI + FIRST_STAGE_PSI + PSI_PER_FSW * first_stop_fsw


def bottle_minutes(job: Job, outfit: Outfit, depth_fsw: int) -> float:
    """Minutes at a depth that an outfit's bottle gives at the pressure it shows; 0 without a bottle."""
    if not outfit.carries_bailout:
        return 0.0
    usable_psi = (outfit.bailout_psi or 0.0) - FIRST_STAGE_PSI - PSI_PER_FSW * depth_fsw
    scf = max(0.0, usable_psi) * (outfit.bailout_cuft or 0.0) / ATMOSPHERE_PSI
    return scf / diver_scfm(job.air, outfit.kind, depth_fsw)


def first_leg(depth_fsw: int, schedule: TableSchedule) -> Leg | None:
    """The way from the bottom to the first stop, or to the surface; None when the first stop is there."""
    leg = next(iter(ascent_legs(depth_fsw, schedule)), None)
    return None if leg is None or leg.to_fsw == leg.from_fsw else leg


def needed_psi(
    job: Job, outfit: Outfit, depth_fsw: int, schedules: Iterable[TableSchedule]
) -> tuple[float, ...]:
    """Pressure that the outfit's bottle must show for each way up, psi gauge; empty without a bottle."""
    if outfit.bailout_cuft is None:
        return ()
    legs = [first_leg(depth_fsw, schedule) for schedule in schedules]
    acfm, minutes = acfm_of(job.air, outfit.kind), job.rules.bailout_min
    return tuple(
        bottle_psi(
            bailout_scf(acfm, depth_fsw, minutes, leg),
            outfit.bailout_cuft,
            depth_fsw if leg is None else leg.to_fsw,
        )
        for leg in legs
    )


def asks_for_bailout(job: Job, item: DiveItem, depth_fsw: int, *, decompression: bool) -> bool:
    """Whether the divers of a dive carry a bottle by the job's rules.

    In a light helmet, deeper than the job's depth for it, outside the no-stop limits, or where there is no
    straight way up.

    Parameters
    ----------
    depth_fsw
        Depth as read; the corrections of the gauge are added.
    decompression
        Whether the dive is outside the no-stop limits.
    """
    rules = job.rules
    if not rules.bailout_min or item.gear is not Gear.LIGHT:
        return False
    deep = greatest_depth_fsw(job.site, depth_fsw) > rules.bailout_deeper_than_fsw
    return deep or decompression or item.enclosed_space


@dataclass(frozen=True)
class BottleCarried:
    """A bottle on one wearer of a dive."""

    dive: str
    depth_fsw: int
    person: str
    outfit: Outfit
    """Who on which dive, in which outfit."""
    asked: bool
    """Whether the rules of the job ask for a bottle on this dive."""
    needed_psi: float | None
    """Pressure that it must show; None where the outfit has no bottle."""
    minutes_at_depth: float
    """Minutes at the depth of the dive that it gives at the pressure it shows."""


def bottles_carried(plan: Plan, job: Job, dive: Dive) -> tuple[BottleCarried, ...]:
    """Who carries which bottle on a dive, standby divers too; empty where none is asked for or worn."""
    worn = [(d.person, d.outfit) for d in dive.divers]
    worn += [(s.person, s.outfit) for s in plan.duties if s.dive == dive.id and s.outfit]
    schedules = [d.schedule for d in dive.divers]
    outside = any(s.way_up != NO_STOP for s in schedules)
    asked = asks_for_bailout(job, job.dive_item(dive.item), dive.depth_fsw, decompression=outside)
    known = {o.name: o for o in job.outfits}
    found = []
    for person, name in dict.fromkeys(worn):
        outfit = known.get(name or "")
        if outfit is not None and (asked or outfit.carries_bailout):
            needed = max(needed_psi(job, outfit, dive.depth_fsw, schedules), default=None)
            minutes = bottle_minutes(job, outfit, dive.depth_fsw)
            found.append(BottleCarried(dive.id, dive.depth_fsw, person, outfit, asked, needed, minutes))
    return tuple(found)

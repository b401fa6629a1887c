"""Flow and pressure that a diver needs at depth, and his depth through a dive.

Two formulas: flow at depth turned into standard flow, and the pressure that the manifold must hold. At
altitude both stay as they are for sea level, which asks for a little more air than is needed (the safe
side). Of a dive, the way down and the bottom count as the bottom depth from leave surface to leave bottom;
each leg of the way up counts at its deeper end for demand, and at its mean depth for the gas of an ascent.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.job import AirPlant, DiveItem, Gear, Job
from planner.plan.model import Dive
from planner.tables.schedule import TableSchedule

#: Feet of sea water that weigh as much as the atmosphere.
#: Source: flow formula of the U.S. Navy Diving Manual, scfm = acfm × (D + 33)/33.
FSW_PER_ATMOSPHERE = 33.0

#: Least flow of a free-flow helmet at any depth, acfm. Source: 29 CFR 1910.430(h).
FREE_FLOW_LEAST_ACFM = 4.5

#: Pressure of the sea water, psi a foot. Source: U.S. Navy Diving Manual, air supply formulas.
PSI_PER_FSW = 0.445

#: Pressure over the bottom for a demand helmet: to this depth, fsw, this many psi.
#: Source: U.S. Navy Diving Manual (rows to 60, 130 and 190 fsw).
OVERBOTTOM_PSI: tuple[tuple[int, float], ...] = ((60, 90.0), (130, 135.0), (190, 165.0))

#: Pressure over the bottom for a light helmet that flows freely, psi: the top of the 50 to 100 psi that
#: is common practice.
FREE_FLOW_OVERBOTTOM_PSI = 100.0

#: Manifold pressure of a heavy free-flow set: up to this much hose, ft, psi a foot of depth.
#: Source: U.S. Army TM 5-4220-225-14: 0.50 D + 42 with 300 ft of hose, 0.62 D + 42 with 600 ft.
HEAVY_SLOPE_PSI: tuple[tuple[int, float], ...] = ((300, 0.50), (600, 0.62))
HEAVY_OFFSET_PSI = 42.0

FLOW_SOURCE = "flow at the surface for a flow at depth: formula of the U.S. Navy Diving Manual"
DEMAND_SOURCE = "demand helmet, flow at depth: 1.4 acfm: U.S. Navy Diving Manual"
FREE_FLOW_SOURCE = "free-flow helmet, flow at depth: 4.5 acfm at least: 29 CFR 1910.430(h); 6 for hard work"
EMERGENCY_SOURCE = (
    "on the reserve free flow, more than 8 acfm: U.S. Navy Diving Manual 8-2.2.2; minutes at depth, then the "
    "way up at mean depth: its emergency gas example, 8-2.2.1"
)
DEMAND_PRESSURE_SOURCE = "manifold, demand helmet: 0.445 D + overbottom pressure: U.S. Navy Diving Manual"
HEAVY_PRESSURE_SOURCE = (
    "manifold, heavy dress: 0.50 D + 42 psi with 300 ft of hose, 0.62 D + 42 with 600: U.S. Army TM "
    "5-4220-225-14"
)
FREE_FLOW_PRESSURE_SOURCE = "manifold, free-flow light helmet: 0.445 D + 100 psi: common practice, 50 to 100"


def scfm_at(acfm: float, depth_fsw: float) -> float:
    """Standard flow for a flow at depth: ``acfm × (D + 33)/33``.

    Raises
    ------
    ValueError
        For a negative flow or depth.
    """
    if acfm < 0 or depth_fsw < 0:
        raise ValueError(f"flow {acfm} acfm and depth {depth_fsw} fsw may not be negative")
    return acfm * (depth_fsw + FSW_PER_ATMOSPHERE) / FSW_PER_ATMOSPHERE


def acfm_of(plant: AirPlant, gear: Gear) -> float:
    """Flow at depth planned for one diver in this kind of gear, acfm.

    A free-flow helmet is never planned under 4.5 acfm, whatever the plant's own value says.
    """
    if gear is Gear.HEAVY:
        return max(plant.heavy_acfm, FREE_FLOW_LEAST_ACFM)
    return max(plant.light_acfm, FREE_FLOW_LEAST_ACFM) if plant.light_free_flow else plant.light_acfm


def diver_scfm(plant: AirPlant, gear: Gear, depth_fsw: float) -> float:
    """Standard flow for one diver in this kind of gear at this depth, scfm."""
    return scfm_at(acfm_of(plant, gear), depth_fsw)


def emergency_scfm(plant: AirPlant, gear: Gear, depth_fsw: float) -> float:
    """Standard flow for one person on the reserve, scfm: free flow, or the gear's own flow if larger."""
    return scfm_at(max(plant.emergency_acfm, acfm_of(plant, gear)), depth_fsw)


def demand_manifold_psi(depth_fsw: float) -> float:
    """Manifold pressure of a demand helmet, psi gauge.

    Past 190 fsw, where the source has no row, the last row's 165 psi over the bottom is used.
    """
    over = next((psi for limit, psi in OVERBOTTOM_PSI if depth_fsw <= limit), OVERBOTTOM_PSI[-1][1])
    return PSI_PER_FSW * depth_fsw + over


def heavy_manifold_psi(depth_fsw: float, hose_ft: int = 0) -> float:
    """Manifold pressure of a heavy free-flow set, psi gauge.

    Parameters
    ----------
    hose_ft
        Length of the hose; between the two lengths of the source the longer one counts, and so it does
        when the length is not known (0). Past 600 ft the source's slope for 600 ft goes on growing by
        its own 0.12 psi a foot of depth for each further 300 ft: an extension of ours, not published.
    """
    (short_ft, short_slope), (long_ft, long_slope) = HEAVY_SLOPE_PSI
    if 0 < hose_ft <= short_ft:
        slope = short_slope
    elif hose_ft <= long_ft:
        slope = long_slope
    else:
        slope = long_slope + (long_slope - short_slope) * (hose_ft - long_ft) / (long_ft - short_ft)
    return slope * depth_fsw + HEAVY_OFFSET_PSI


def manifold_psi(plant: AirPlant, gear: Gear, depth_fsw: float, hose_ft: int = 0) -> float:
    """Pressure that the manifold must hold for one diver, psi gauge."""
    if gear is Gear.HEAVY:
        return heavy_manifold_psi(depth_fsw, hose_ft)
    if plant.light_free_flow:
        return PSI_PER_FSW * depth_fsw + FREE_FLOW_OVERBOTTOM_PSI
    return demand_manifold_psi(depth_fsw)


def item_manifold_psi(job: Job, item: DiveItem) -> float:
    """Manifold pressure that the item needs whichever outfit of its gear kind is worn, psi gauge."""
    hoses_ft = [o.umbilical_length_ft for o in job.outfits if o.kind is item.gear]
    return max(manifold_psi(job.air, item.gear, item.depth_fsw, length) for length in hoses_ft or [0])


#: Air is on in the helmet this long before leave surface (air heard, telephone tried both ways, exhaust
#: set, faceplate) and after reach surface until the helmet is off. Common practice, from memory.
AIR_ON_BEFORE_MIN = 5
AIR_ON_AFTER_MIN = 2


@dataclass(frozen=True)
class Leg:
    """A stretch of the profile, ``start_min`` up to ``end_min`` in job minutes."""

    start_min: int
    end_min: int
    from_fsw: int
    to_fsw: int

    @property
    def minutes(self) -> int:
        return self.end_min - self.start_min

    @property
    def deepest_fsw(self) -> int:
        return max(self.from_fsw, self.to_fsw)

    @property
    def mean_fsw(self) -> float:
        return (self.from_fsw + self.to_fsw) / 2


def ascent_legs(depth_fsw: int, schedule: TableSchedule, start_min: int = 0) -> tuple[Leg, ...]:
    """The way up from leave bottom at ``start_min`` to the surface.

    A stop is at the depth at which the diver is held, which at altitude is less than the table's, rounded up.
    Minutes of each part are rounded up; when the parts together are longer than the schedule's ascent
    they are kept (more air). Way between two stops is part of the next stop, as in the tables; what the
    schedule's ascent has over (air breaks of oxygen stops) is spent at the last stop. Surface
    decompression ends here at the surface; the chamber has its own gas (`planner.air.chamber`). Oxygen stops
    count as air, so that the plant can carry them when the oxygen fails.
    """
    legs: list[Leg] = []
    now, here = start_min, depth_fsw
    end = start_min + math.ceil(schedule.water_ascent_s / 60)
    travel = math.ceil(schedule.time_to_first_stop_s / 60)
    for stop in schedule.stops:
        if stop.minutes == 0:
            continue
        held = math.ceil(stop.held_fsw)
        if travel:
            legs.append(Leg(now, now + travel, here, held))
            now, travel = now + travel, 0
        legs.append(Leg(now, now + stop.minutes, held, held))
        now, here = now + stop.minutes, held
    up = math.ceil(here / schedule.ascent_fsw_per_min - 1e-9)
    spare = end - now - up
    if spare > 0 and here < depth_fsw:
        legs.append(Leg(now, now + spare, here, here))
        now += spare
    if here:
        legs.append(Leg(now, now + up, here, 0))
        now, here = now + up, 0
    if now < end:
        legs.append(Leg(now, end, here, 0))
    return tuple(legs)


def dive_legs(dive: Dive) -> tuple[Leg, ...]:
    """The whole dive: bottom depth from leave surface to leave bottom, then the longest way up of its divers.

    Legs end at the dive's own reach surface or later.
    """
    bottom = Leg(dive.leave_surface_min, dive.leave_bottom_min, dive.depth_fsw, dive.depth_fsw)
    ways = [ascent_legs(dive.depth_fsw, d.schedule, dive.leave_bottom_min) for d in dive.divers]
    up = max(ways, key=_length, default=())
    legs = [bottom, *up]
    last = legs[-1].end_min
    if last < dive.reach_surface_min:
        legs.append(Leg(last, dive.reach_surface_min, legs[-1].to_fsw, 0))
    return tuple(leg for leg in legs if leg.minutes > 0)


def _length(legs: tuple[Leg, ...]) -> tuple[int, float]:
    minutes = sum(leg.minutes for leg in legs)
    return minutes, sum(leg.minutes * leg.mean_fsw for leg in legs)

"""The depth of a dive through time, as legs, for counting air.

The way down and the bottom count as the bottom depth from leave surface to leave bottom; each leg of the
way up counts at its deeper end for demand, and at its mean depth for the gas of an ascent.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.plan.model import Dive
from planner.tables.schedule import TableSchedule

#: Air is on in the helmet this long before leave surface (air heard, telephone tried both ways, exhaust
#: set, faceplate) and after reach surface until the helmet is off. Common practice, from memory.
AIR_ON_BEFORE_MIN = 5
AIR_ON_AFTER_MIN = 2

#: Ascent between stops, fsw a minute. Source: U.S. Navy Diving Manual.
ASCENT_FSW_PER_MIN = 30


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

    Minutes of each part are rounded up; when the parts together are longer than the schedule's ascent
    they are kept (more air). Way between two stops is part of the next stop, as in the tables; what the
    schedule's ascent has over (air breaks of oxygen stops) is spent at the last stop. Surface
    decompression ends here at the surface; air for the chamber is counted nowhere. Oxygen stops count as
    air, so that the plant can carry them when the oxygen fails.
    """
    legs: list[Leg] = []
    now, here = start_min, depth_fsw
    end = start_min + math.ceil(schedule.water_ascent_s / 60)
    travel = math.ceil(schedule.time_to_first_stop_s / 60)
    for stop in schedule.stops:
        if stop.minutes == 0:
            continue
        if travel:
            legs.append(Leg(now, now + travel, here, stop.depth_fsw))
            now, travel = now + travel, 0
        legs.append(Leg(now, now + stop.minutes, stop.depth_fsw, stop.depth_fsw))
        now, here = now + stop.minutes, stop.depth_fsw
    up = math.ceil(here / ASCENT_FSW_PER_MIN)
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

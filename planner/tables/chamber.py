"""Surface decompression on oxygen: from the last water stop into the chamber and out again.

Partly seen in copies of the U.S. Navy Diving Manual, partly from memory, so a person must compare it with
the official procedure: 5 minutes from 40 fsw to 50 fsw in the chamber; a period is 30 min of oxygen, the
first one 15 min at 50 and 15 min at 40 fsw, half a period 15 min at 50 fsw; 5 min of air between periods.
From memory only: compression in 30 s; the move from 50 to 40 fsw belongs to the time at 40 fsw; the last
ascent at 30 fsw a minute; without a 40 fsw stop the interval counts from passing 40 fsw, or from leave bottom
where the dive is shallower.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.errors import TableRefusal
from planner.tables.schedule import AIR, ASCENT_S_PER_FSW, OXYGEN

LEAVES_WATER_FROM_FSW = 40
SURFACE_INTERVAL_S = 300
COMPRESSION_S = 30
FIRST_FSW, NEXT_FSW = 50, 40
HALF_PERIOD_S, BREAK_S = 15 * 60, 5 * 60
MOST_PERIODS = 4
"""More periods need other depths (from memory); no schedule that may be planned has them."""


@dataclass(frozen=True)
class ChamberLeg:
    """One stretch in the chamber, seconds and fsw."""

    seconds: int
    start_fsw: int
    end_fsw: int
    gas: str


def to_chamber_s(leaves_fsw: int) -> int:
    """Seconds from leaving ``leaves_fsw`` (last stop, or the bottom) to 50 fsw in the chamber."""
    return max(0, leaves_fsw - LEAVES_WATER_FROM_FSW) * ASCENT_S_PER_FSW + SURFACE_INTERVAL_S


def on_deck_s(leaves_fsw: int) -> int:
    """Seconds between reaching the surface and the start of compression."""
    swim_up_s = min(leaves_fsw, LEAVES_WATER_FROM_FSW) * ASCENT_S_PER_FSW
    return SURFACE_INTERVAL_S - COMPRESSION_S - swim_up_s


def chamber_legs(periods: float) -> tuple[ChamberLeg, ...]:
    """What happens in the chamber once it is at 50 fsw.

    Parameters
    ----------
    periods
        Oxygen periods of table 9-9, in halves.

    Raises
    ------
    TableRefusal
        More periods than this program lays out.
    """
    if not 0.5 <= periods <= MOST_PERIODS:
        raise TableRefusal(f"Surface decompression with {periods:g} chamber periods is not planned here.")
    legs = [ChamberLeg(HALF_PERIOD_S, FIRST_FSW, FIRST_FSW, OXYGEN)]
    depth = FIRST_FSW
    for half in range(1, round(periods * 2)):
        if half == 1:
            move_s = (FIRST_FSW - NEXT_FSW) * ASCENT_S_PER_FSW
            legs.append(ChamberLeg(move_s, FIRST_FSW, NEXT_FSW, OXYGEN))
            legs.append(ChamberLeg(HALF_PERIOD_S - move_s, NEXT_FSW, NEXT_FSW, OXYGEN))
            depth = NEXT_FSW
            continue
        if half % 2 == 0:
            legs.append(ChamberLeg(BREAK_S, depth, depth, AIR))
        legs.append(ChamberLeg(HALF_PERIOD_S, depth, depth, OXYGEN))
    legs.append(ChamberLeg(depth * ASCENT_S_PER_FSW, depth, 0, AIR))
    return tuple(legs)


def chamber_s(periods: float) -> int:
    """Seconds from 50 fsw in the chamber until the diver is out of pressure."""
    return sum(leg.seconds for leg in chamber_legs(periods))

"""The chamber's gas as integers for the model and the first plan: thousandths of a scf, rounded up as a need.

What stands ready for a treatment is taken off the supplies here; an item whose way up passes even that is
left out of the problem (`planner.air.chamber.item_chamber_finding`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from planner.air.chamber import oxygen_scf, pressing_scf, ready_scf, ventilation_scf
from planner.job import AirPlant

#: Parts of a scf.
PARTS = 1000


@dataclass(frozen=True)
class ChamberGas:
    """What decompressions in the chamber take, and what the day and one dive have for them.

    Parameters
    ----------
    pressing
        Air of each supply for bringing the locks to pressure, once a dive.
    air, oxygen
        By oxygen periods, for each diver.
    primary, secondary, oxygen_held
        Air for all dives of a day, air for one dive, oxygen for all dives of a day; None: not counted.
    """

    pressing: int
    air: dict[float, int]
    oxygen: dict[float, int]
    primary: int | None
    secondary: int | None
    oxygen_held: int | None

    def taken(self, periods: Sequence[float]) -> int:
        """Air for the divers of one dive."""
        return self.pressing + sum(self.air[p] for p in periods) if periods else 0

    def holds(self, dives: Iterable[Sequence[float]]) -> bool:
        """Whether the gas is enough for a day's dives, each told by its divers' periods."""
        told = list(dives)
        air = [self.taken(periods) for periods in told]
        oxygen = sum(self.oxygen[p] for periods in told for p in periods)
        return (
            (self.primary is None or sum(air) <= self.primary)
            and (self.secondary is None or max(air, default=0) <= self.secondary)
            and (self.oxygen_held is None or oxygen <= self.oxygen_held)
        )


def chamber_gas(plant: AirPlant, periods: Iterable[float]) -> ChamberGas | None:
    """The gas for the oxygen periods that any way up asks for; None where none does or nothing is counted."""
    asked = sorted({p for p in periods if p})
    if not asked or not (plant.chamber_air_given or plant.chamber_oxygen_scf is not None):
        return None
    counted = plant.chamber_air_given
    return ChamberGas(
        pressing=math.ceil(PARTS * pressing_scf(plant)),
        air={p: math.ceil(PARTS * ventilation_scf(plant, p)) for p in asked},
        oxygen={p: math.ceil(PARTS * oxygen_scf(plant, p)) for p in asked},
        primary=_left(plant.chamber_primary_scf, ready_scf(plant)) if counted else None,
        secondary=_left(plant.chamber_secondary_scf, ready_scf(plant)) if counted else None,
        oxygen_held=_left(plant.chamber_oxygen_scf, 0.0),
    )


def _left(held_scf: float | None, ready: float) -> int | None:
    return None if held_scf is None else math.floor(PARTS * (held_scf - ready))

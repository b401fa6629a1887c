"""Units at the edge: the figures that a user in metres, bar and litres types and reads, and what a job keeps.

Inside the program a job is in fsw, psi gauge, cubic feet, scfm, degrees Fahrenheit and minutes. Metric
figures are turned into those, rounded to the safe side: work is never taken as shallower, a store of air
never as larger, a need for air never as smaller than what was typed. A diver's rating and the greatest depth
round the same way as the depth of the work, so that a rating of 30 m covers work at 30 m. A depth in metres
is taken as a length in feet, which is never shallower than the pressure unit fsw.

Factors: 1 ft = 0.3048 m, 1 psi = 6.894757 kPa, 1 cu ft = 28.316847 l, 1 US gal = 3.785412 l
(NIST SP 811, appendix B); °F = 1.8 °C + 32 by definition.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum, StrEnum
from typing import Annotated, Self

from pydantic import AllowInfNan, model_validator

from planner.job.base import Part

METRES_PER_FOOT = 0.3048
KPA_PER_PSI = 6.894757
LITRES_PER_CUBIC_FOOT = 28.316847
LITRES_PER_US_GALLON = 3.785412
#: Slack for floating-point dust, in steps of the grid; far below anything that a gauge can show.
_DUST = 1e-9


class UnitSystem(StrEnum):
    FEET = "fsw, psi, cu ft"
    METRIC = "metres, bar, litres"


def metres_from_fsw(depth_fsw: float) -> float:
    """Depth in metres to 0.1 m, rounded up, for showing a depth that was reached or that the tables print."""
    return math.ceil(depth_fsw * METRES_PER_FOOT * 10 - _DUST) / 10


def bar_from_psi(pressure_psi: float) -> float:
    """Gauge pressure in bar, rounded down to 0.1."""
    return math.floor(pressure_psi * KPA_PER_PSI / 100 * 10 + _DUST) / 10


def litres_from_cubic_feet(volume_cuft: float) -> float:
    """Volume in litres to 0.1."""
    return round(volume_cuft * LITRES_PER_CUBIC_FOOT, 1)


class Toward(Enum):
    """Which way a converted figure is rounded."""

    MORE = "more"
    LESS = "less"
    NEAREST = "nearest"


@dataclass(frozen=True)
class Measure:
    """One kind of quantity with its unit in both systems."""

    feet: str
    metric: str
    """Unit as printed in a heading."""
    per_metric: float
    """How many of the inside unit one metric unit is."""
    toward: Toward
    """The safe side."""
    steps: int = 1
    """Steps of the grid in one inside unit: 1 whole units, 10 tenths. Figures typed in the inside unit are
    not touched."""
    offset: float = 0.0
    """Added after the factor (temperatures)."""

    def unit(self, units: UnitSystem) -> str:
        """The unit that a heading prints."""
        return self.metric if units is UnitSystem.METRIC else self.feet

    def inside(self, typed: float, units: UnitSystem) -> float:
        """The inside value of a typed figure, rounded to the safe side when it was metric."""
        if units is not UnitSystem.METRIC:
            return typed
        steps = (typed * self.per_metric + self.offset) * self.steps
        if self.toward is Toward.MORE:
            whole = math.ceil(steps - _DUST)
        elif self.toward is Toward.LESS:
            whole = math.floor(steps + _DUST)
        else:
            whole = round(steps)
        return whole if self.steps == 1 else whole / self.steps

    def typed(self, value: float, units: UnitSystem, kept: float | None = None) -> float:
        """The figure to write so that it reads back as ``value``: the one that was typed, if it was ``kept``
        and still does; else the shortest, of several the nearest.

        A value that lies between two steps of the grid is written in full and reads back one step to the
        safe side.
        """
        if units is not UnitSystem.METRIC:
            return value
        if kept is not None and self.inside(kept, units) == value:
            return int(kept) if kept == int(kept) else kept
        exact = (value - self.offset) / self.per_metric
        for digits in range(7):
            grid = 10**digits
            near = round(exact, digits)
            for short in (near, math.floor(exact * grid) / grid, math.ceil(exact * grid) / grid):
                if self.inside(short, units) == value:
                    return int(short) if short == int(short) else short
        return exact

    def range(
        self, low: float | None, high: float | None, units: UnitSystem
    ) -> tuple[float | None, float | None]:
        """Limits of the inside value as limits of what may be typed, shrunk to hundredths."""
        if units is not UnitSystem.METRIC:
            return low, high
        return (
            None if low is None else math.floor((low - self.offset) / self.per_metric * 100 + _DUST) / 100,
            None if high is None else math.floor((high - self.offset) / self.per_metric * 100 + _DUST) / 100,
        )


_FEET_PER_METRE = 1 / METRES_PER_FOOT
_PSI_PER_BAR = 100 / KPA_PER_PSI

DEPTH = Measure("fsw", "m", _FEET_PER_METRE, Toward.MORE)
#: A depth past which something more is asked: the shallower reading is the safe one.
DEPTH_TRIGGER = Measure("fsw", "m", _FEET_PER_METRE, Toward.LESS)
DESCENT_RATE = Measure("fsw/min", "m/min", _FEET_PER_METRE, Toward.LESS)
#: How fast somebody gets along: the slower is the safe side.
PACE = Measure("ft/min", "m/min", _FEET_PER_METRE, Toward.LESS)
ALTITUDE = Measure("ft", "m", _FEET_PER_METRE, Toward.MORE)
TIDE_LEVEL = Measure("ft", "m", _FEET_PER_METRE, Toward.NEAREST, 100)
#: A length that is needed, and one that is there.
REACH = Measure("ft", "m", _FEET_PER_METRE, Toward.MORE)
LENGTH = Measure("ft", "m", _FEET_PER_METRE, Toward.LESS)
#: A pressure that is there, and one that is needed or kept back.
PRESSURE = Measure("psi", "bar", _PSI_PER_BAR, Toward.LESS, 10)
PRESSURE_KEPT = Measure("psi", "bar", _PSI_PER_BAR, Toward.MORE, 10)
VOLUME = Measure("cu ft", "litres", 1 / LITRES_PER_CUBIC_FOOT, Toward.LESS, 1000)
FLOW = Measure("scfm", "litres/min free air", 1 / LITRES_PER_CUBIC_FOOT, Toward.LESS, 1000)
FLOW_NEEDED = Measure("scfm", "litres/min free air", 1 / LITRES_PER_CUBIC_FOOT, Toward.MORE, 1000)
FLOW_AT_DEPTH = Measure("acfm", "litres/min at depth", 1 / LITRES_PER_CUBIC_FOOT, Toward.MORE, 1000)
FUEL = Measure("US gal/h", "litres/h", 1 / LITRES_PER_US_GALLON, Toward.MORE, 1000)
WATER_TEMPERATURE = Measure("°F", "°C", 1.8, Toward.NEAREST, 10, 32.0)
AIR_TEMPERATURE = Measure("°F", "°C", 1.8, Toward.MORE, 10, 32.0)


class Measured(Part):
    """A part of a job with figures that may be typed in metric units.

    ``typed`` keeps, by field, a metric figure as it was typed. In a metric job the inside value tells that
    alone, as long as it is the shortest of those that make the value; 9.1 m is kept, since 9 m is 30 fsw
    too. A figure whose value has changed since says nothing.
    """

    typed: tuple[tuple[str, Annotated[float, AllowInfNan(False)]], ...] = ()

    @model_validator(mode="after")
    def _typed_into_fields_of_its_own(self) -> Self:
        unknown = [field for field, _ in self.typed if field not in type(self).model_fields]
        if unknown:
            raise ValueError(f"there is no figure called {', '.join(unknown)}")
        return self

    def metric_as_typed(self, field: str, measure: Measure, job_in: UnitSystem) -> float | None:
        """The metric figure as it was typed, in a job in these units; None for one that was not."""
        value, kept = getattr(self, field), dict(self.typed).get(field)
        if kept is not None and measure.inside(kept, UnitSystem.METRIC) != value:
            kept = None
        if value is None or (kept is None and job_in is not UnitSystem.METRIC):
            return None
        return measure.typed(value, UnitSystem.METRIC, kept)

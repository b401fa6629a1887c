"""What delivers the air. Pressures in psi gauge, volumes in cubic feet, flow in scfm."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from planner.job.base import Name
from planner.job.units import Measured


class AirRole(StrEnum):
    """Whether a source feeds the primary or the reserve supply."""

    PRIMARY = "primary"
    RESERVE = "reserve"


class AirSource(Measured):
    """What every source of air has: a name, a role, and what it cannot work without."""

    name: Name
    role: AirRole = AirRole.PRIMARY
    on_line: bool = True
    """Open to the air console, so that it delivers at once; a source that is not counts for nothing."""
    relies_on: str = ""
    """What it cannot work without (an engine, a generator, a manifold), split by commas.

    Two sources that name the same thing fail together, so one is no reserve for the other.
    """

    @property
    def needs(self) -> frozenset[str]:
        """The things of ``relies_on``, in lower case."""
        return frozenset(part.strip().casefold() for part in self.relies_on.split(",") if part.strip())


class Compressor(AirSource):
    """A low-pressure compressor feeding the air console through the volume tank."""

    delivered_scfm: Annotated[float, Field(gt=0, le=2000)]
    discharge_psi: Annotated[float, Field(gt=0, le=500)]
    hours_run: Annotated[float, Field(ge=0, le=200_000)] = 0.0
    service_at_hours: Annotated[float, Field(gt=0, le=200_000)] | None = None
    warm_up_min: Annotated[int, Field(ge=0, le=120)] = 15
    fuel_gal_per_hour: Annotated[float, Field(ge=0, le=100)] = 0.0
    """Fuel at full load."""
    air_tested_on: date | None = None
    measured_here: bool = False
    """The delivery was measured at this site and temperature: it is not derated again."""
    rated_inlet_temp_f: Annotated[float, Field(ge=0, le=140)] = 68.0
    """Inlet air temperature that the delivery is rated at."""
    load_factor: Annotated[float, Field(gt=0, le=1)] = 1.0
    """Part of the delivery that the machine may be asked for hour after hour."""
    unloaded_fuel_part: Annotated[float, Field(ge=0, le=1)] = 1.0
    """Fuel when running without load, as a part of the fuel at full load (1: the same)."""
    standby_min: Annotated[int, Field(ge=0, le=1440)] = 0
    """Minutes a day it runs besides the dives and the warm-up (tests, drills, turning over)."""


class Bank(AirSource):
    """High-pressure cylinders on one manifold."""

    role: AirRole = AirRole.RESERVE
    bottles: Annotated[int, Field(ge=1, le=200)]
    floodable_cuft_each: Annotated[float, Field(gt=0, le=50)]
    pressure_psi: Annotated[float, Field(ge=0, le=10_000)]
    working_pressure_psi: Annotated[float, Field(gt=0, le=10_000)]
    regulator_min_psi: Annotated[float, Field(ge=0, le=2000)] = 220.0
    recharge_scfm: Annotated[float, Field(ge=0, le=500)] = 0.0
    """Flow of the compressor that charges it; 0 when there is none on site."""
    recharged_by: str = ""
    """Which compressor that is."""


class VolumeTank(AirSource):
    """The receiver between the compressors and the air console."""

    volume_cuft: Annotated[float, Field(gt=0, le=2000)]
    pressure_psi: Annotated[float, Field(gt=0, le=500)]
    least_psi: Annotated[float, Field(ge=0, le=500)] = 0.0
    """Pressure over the manifold pressure that stays in the tank."""
    working_pressure_psi: Annotated[float, Field(gt=0, le=500)] | None = None


class AirPlant(Measured):
    """All air sources of the job."""

    compressors: tuple[Compressor, ...] = ()
    banks: tuple[Bank, ...] = ()
    tanks: tuple[VolumeTank, ...] = ()
    gauges_tested_on: date | None = None
    inlet_temp_f: Annotated[float, Field(ge=-40, le=140)] | None = None
    """Warmest air that the compressors will draw in; None: as rated."""
    heavy_acfm: Annotated[float, Field(ge=4.5, le=30)] = 6.0
    """Flow planned for a heavy free-flow helmet, at depth. Never under 4.5: 29 CFR 1910.430(h)."""
    light_acfm: Annotated[float, Field(ge=1.4, le=30)] = 1.4
    """Flow planned for a light helmet, at depth."""
    light_free_flow: bool = False
    """The light helmets are free-flow, so 4.5 acfm is the least for them too."""
    reserve_minutes_at_depth: Annotated[int, Field(ge=0, le=60)] = 10
    """Minutes at depth that the reserve carries before the way up: a diver caught, another sent to him.

    The default is common practice; the emergency gas example of the U.S. Navy Diving Manual (8-2.2.1) has 3.
    """
    emergency_acfm: Annotated[float, Field(ge=1.4, le=30)] = 8.0
    """Flow at depth of each person on the reserve, free flow; the gear's own flow where that is larger.

    More than 8 acfm in free flow: U.S. Navy Diving Manual 8-2.2.2.
    """
    chamber_inner_cuft: Annotated[float, Field(gt=0, le=5000)] | None = None
    chamber_outer_cuft: Annotated[float, Field(ge=0, le=5000)] | None = None
    """Volume of the chamber's locks; with both and both supplies of air its air is counted."""
    chamber_primary_scf: Annotated[float, Field(ge=0, le=1_000_000)] | None = None
    chamber_secondary_scf: Annotated[float, Field(ge=0, le=1_000_000)] | None = None
    """Usable air of each of the chamber's supplies at the start of each day."""
    chamber_oxygen_scf: Annotated[float, Field(ge=0, le=100_000)] | None = None
    """Usable oxygen of the chamber at the start of each day; None: not counted."""
    chamber_oxygen_dumped: bool = False
    """The masks' oxygen is dumped overboard, so less ventilation is needed."""
    chamber_mask_acfm: Annotated[float, Field(gt=0, le=3)] = 0.3
    """Oxygen of one diver at rest by mask, at chamber pressure. U.S. Navy Diving Manual, from memory."""

    @property
    def chamber_air_given(self) -> bool:
        """Whether the chamber's volumes and both supplies of its air are known."""
        known = (
            self.chamber_inner_cuft,
            self.chamber_outer_cuft,
            self.chamber_primary_scf,
            self.chamber_secondary_scf,
        )
        return None not in known

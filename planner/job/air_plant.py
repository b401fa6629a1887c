"""What delivers the air. Pressures in psi gauge, volumes in cubic feet, flow in scfm."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from pydantic import Field

from planner.job.base import Name, Part
from planner.job.words import AirRole


class Compressor(Part):
    """A low-pressure compressor feeding the air console through the volume tank."""

    name: Name
    role: AirRole = AirRole.PRIMARY
    delivered_scfm: Annotated[float, Field(gt=0, le=2000)]
    discharge_psi: Annotated[float, Field(gt=0, le=500)]
    hours_run: Annotated[float, Field(ge=0, le=200_000)] = 0.0
    service_at_hours: Annotated[float, Field(gt=0, le=200_000)] | None = None
    warm_up_min: Annotated[int, Field(ge=0, le=120)] = 15
    fuel_gal_per_hour: Annotated[float, Field(ge=0, le=100)] = 0.0
    air_tested_on: date | None = None


class Bank(Part):
    """High-pressure cylinders on one manifold."""

    name: Name
    role: AirRole = AirRole.RESERVE
    bottles: Annotated[int, Field(ge=1, le=200)]
    floodable_cuft_each: Annotated[float, Field(gt=0, le=50)]
    pressure_psi: Annotated[float, Field(ge=0, le=10_000)]
    working_pressure_psi: Annotated[float, Field(gt=0, le=10_000)]
    regulator_min_psi: Annotated[float, Field(ge=0, le=2000)] = 220.0


class VolumeTank(Part):
    name: Name
    volume_cuft: Annotated[float, Field(gt=0, le=2000)]
    pressure_psi: Annotated[float, Field(gt=0, le=500)]


class AirPlant(Part):
    """All air sources of the job."""

    compressors: tuple[Compressor, ...] = ()
    banks: tuple[Bank, ...] = ()
    tanks: tuple[VolumeTank, ...] = ()
    gauges_tested_on: date | None = None

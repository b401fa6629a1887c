"""Where and when: the site, its water, its stations."""

from __future__ import annotations

from datetime import date, time
from enum import StrEnum
from typing import Annotated

from pydantic import Field

from planner.job.base import Name, Span
from planner.job.units import Measured, UnitSystem
from planner.table_sets import DEFAULT_ID, TableSet, table_set


class Water(StrEnum):
    SALT = "salt"
    FRESH = "fresh"


class Policy(StrEnum):
    """Which ways up a job allows."""

    NO_STOP = "no-stop only"
    IN_WATER_STOPS = "in-water stops"
    SURFACE_DECOMPRESSION = "surface decompression on oxygen"


class DepthGauge(StrEnum):
    """What the gauges that read a dive's depth take as zero."""

    CORRECTED = "corrected for altitude"
    FIXED = "fixed one-atmosphere reference"


class Station(Measured):
    """A dive side: one crew's place, with at most one dive in the water at a time."""

    name: Name
    in_water_stage: bool = False
    """Whether a stage takes divers down from it."""
    spare_hose_length_ft: Annotated[int, Field(ge=0, le=2000)] = 0
    """Spare breathing-gas hose ready for the standby diver; 0: none."""
    spare_hose_no: str = ""
    spare_hose_tested_on: date | None = None


class WaterWindow(Span):
    """A stretch in which items that need slack water may have people down, typed in or from a tide table."""

    stations: tuple[Name, ...] = ()
    """Stations it holds for; empty means all."""
    label: str = "slack"


#: Highest level that a tide table may give, in feet above its datum; the lowest is as far below.
HIGHEST_TIDE_FT = 60


class TideMark(Measured):
    """One high or low water."""

    minute: int
    level_ft: Annotated[float, Field(ge=-HIGHEST_TIDE_FT, le=HIGHEST_TIDE_FT)]
    high: bool


class Site(Measured):
    """The jobsite and its days.

    ``policy`` says which ways up are allowed; ``in_water_stop_max_min`` is the longest total of stops that
    the policy *in-water stops* allows. ``chamber_minutes_away`` is 0 with a chamber at the dive location,
    None with none in reach.
    """

    name: Name
    first_day: date
    days: Annotated[int, Field(ge=1, le=7)] = 1
    day_start: time = time(7, 0)
    day_end: time = time(19, 0)
    early_enough: time | None = None
    """Of two plans that are done by then on the last day none finishes better; None: earlier always is."""
    time_zone: str
    latitude_deg: Annotated[float, Field(ge=-90, le=90)] | None = None
    longitude_deg: Annotated[float, Field(ge=-180, le=180)] | None = None
    altitude_ft: Annotated[int, Field(ge=0, le=10_000)] = 0
    water: Water = Water.SALT
    water_temp_f: Annotated[float, Field(ge=28, le=104)] | None = None
    daylight_only: bool = True
    stations_at_once: Annotated[int, Field(ge=1, le=8)] = 8
    chamber_minutes_away: Annotated[int, Field(ge=0, le=1440)] | None = None
    chamber_places: Annotated[int, Field(ge=1, le=8)] = 1
    """How many dives' divers may decompress in the chamber at once: one unless the job says more."""
    table_set: Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{1,39}$")] = DEFAULT_ID
    """The set of decompression tables that the job is planned by, by its id."""
    policy: Policy = Policy.NO_STOP
    in_water_stop_max_min: Annotated[int, Field(ge=0, le=120)] = 0
    oxygen_in_water: bool = False
    margin_min: Annotated[int, Field(ge=0, le=30)] = 0
    """Plan to at most the table's limit less this many minutes."""
    next_longer_row: bool = False
    """Arduous or cold: enter the next longer schedule (common practice)."""
    pneumofathometer_correction: bool = False
    depth_gauge: DepthGauge = DepthGauge.CORRECTED
    """Above sea level a gauge with a fixed one-atmosphere reference reads too shallow."""
    slack_offset_min: Annotated[int, Field(ge=-360, le=360)] = 0
    """Middle of slack water after each high and low water of the tide table (negative: before it)."""
    slack_length_min: Annotated[int, Field(ge=0, le=360)] = 0
    """How long slack water lasts around each; 0: no slack windows are made from the tide table."""
    units: UnitSystem = UnitSystem.FEET

    @property
    def tables(self) -> TableSet:
        """The set of tables that ``table_set`` names.

        Raises
        ------
        SetRefused, InputFaults
            There is no such set here, or it is not sound.
        """
        return table_set(self.table_set)

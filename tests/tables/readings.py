"""Ways to read the tables that several tests share."""

from __future__ import annotations

from planner.job import Policy
from planner.table_sets import table_set
from planner.tables import ExposureOptions

NAVY = table_set()


ANY_STOPS = 100_000

CLEAN_TO_Z: tuple[str | None, ...] = (None, *NAVY.groups)

NO_STOP = ExposureOptions()
ON_AIR = ExposureOptions(policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=ANY_STOPS)
ON_OXYGEN = ExposureOptions(
    policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=ANY_STOPS, oxygen_in_water=True
)
IN_CHAMBER = ExposureOptions(policy=Policy.SURFACE_DECOMPRESSION)

WAYS_UP = {"air": ON_AIR, "air and oxygen": ON_OXYGEN, "surface decompression": IN_CHAMBER}

"""A row of the decompression tables as the rest of the program sees it."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from planner.job.base import Part


class Stop(Part):
    """One decompression stop in the water."""

    depth_fsw: Annotated[int, Field(ge=0, le=220)]
    minutes: Annotated[int, Field(ge=0)]
    gas: str = "air"


class TableSchedule(Part):
    """The row of the tables a dive is planned by.

    ``ascent_s`` is the table's total ascent in seconds (for surface decompression: from leave bottom to
    the end of the last chamber period).
    """

    table: str
    """Numbers of the tables used, for example ``9-7, 9-8``."""
    way_up: str
    """``no-stop``, ``air``, ``air and oxygen`` or ``surface decompression``."""
    depth_fsw: int
    time_min: int
    """Bottom time of the row; for a no-stop row the no-stop limit."""
    stops: tuple[Stop, ...] = ()
    time_to_first_stop_s: int = 0
    ascent_s: int
    chamber_periods: float = 0.0
    notes: tuple[str, ...] = ()

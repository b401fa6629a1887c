"""What a job is given: its parts as they were filled in, its days and its clock."""

from __future__ import annotations

from functools import cached_property

from pydantic import ConfigDict

from planner.job.air_plant import AirPlant
from planner.job.base import MINUTES_A_DAY, Clock, Part, Span
from planner.job.crew_rules import CrewRules
from planner.job.gear import Outfit
from planner.job.people import Person
from planner.job.pins import Pin
from planner.job.site import Site, Station, TideMark, WaterWindow
from planner.job.work import DiveItem, Gate, SurfaceItem


class DueBlock(Part):
    """A closing block of a running day (`planner.job.standing`) that is still to be done."""

    key: str
    from_min: int


class GivenJob(Part):
    """The data of a job; what follows from them is asked of `planner.job.job.Job`."""

    model_config = ConfigDict(frozen=True, extra="forbid", ignored_types=(cached_property,))

    site: Site
    stations: tuple[Station, ...]
    people: tuple[Person, ...]
    dive_items: tuple[DiveItem, ...] = ()
    surface_items: tuple[SurfaceItem, ...] = ()
    gates: tuple[Gate, ...] = ()
    water_windows: tuple[WaterWindow, ...] = ()
    tide_marks: tuple[TideMark, ...] = ()
    outfits: tuple[Outfit, ...] = ()
    air: AirPlant = AirPlant()
    rules: CrewRules = CrewRules()
    pins: tuple[Pin, ...] = ()
    blocks_done: tuple[str, ...] = ()
    """Standing work of a running day that has been done (`StandingItem.key`): not planned again."""
    blocks_due: tuple[DueBlock, ...] = ()
    """Closing work of a running day that is still to be done for dives that are over."""

    @cached_property
    def clock(self) -> Clock:
        return Clock(self.site.first_day, self.site.time_zone)

    @cached_property
    def day_windows(self) -> tuple[Span, ...]:
        """The working window of each day, job minutes; one that ends before it starts runs past midnight."""
        spans = []
        for index in range(self.site.days):
            midnight_day = self.clock.day_of(self.clock.day_start(index) + 60)
            start = self.clock.minute_on(midnight_day, self.site.day_start)
            end = self.clock.minute_on(midnight_day, self.site.day_end)
            if end <= start:
                end += MINUTES_A_DAY
            spans.append(Span(start_min=start, end_min=end))
        return tuple(spans)

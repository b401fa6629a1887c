"""The whole job, and the questions that everything above asks of it."""

from __future__ import annotations

from functools import cached_property

from pydantic import ConfigDict

from planner.job.air_plant import AirPlant
from planner.job.base import MINUTES_A_DAY, Clock, Part, Span
from planner.job.crew_rules import CrewRules
from planner.job.duties import BUILT_IN_DUTIES
from planner.job.gear import Outfit
from planner.job.people import Person
from planner.job.pins import Pin
from planner.job.site import Site, Station, TideMark, WaterWindow
from planner.job.work import DiveItem, Item, SurfaceItem


class Job(Part):
    """Everything a day's plan is made from. Built by `planner.workbook` or from JSON; see `cross_faults`."""

    model_config = ConfigDict(frozen=True, extra="forbid", ignored_types=(cached_property,))

    site: Site
    stations: tuple[Station, ...]
    people: tuple[Person, ...]
    dive_items: tuple[DiveItem, ...] = ()
    surface_items: tuple[SurfaceItem, ...] = ()
    water_windows: tuple[WaterWindow, ...] = ()
    tide_marks: tuple[TideMark, ...] = ()
    outfits: tuple[Outfit, ...] = ()
    air: AirPlant = AirPlant()
    rules: CrewRules = CrewRules()
    pins: tuple[Pin, ...] = ()

    def __repr__(self) -> str:
        return (
            f"Job({self.site.name!r}, {self.site.first_day.isoformat()}, {self.site.days} day(s), "
            f"{len(self.people)} people, {len(self.dive_items)} dive item(s), "
            f"{len(self.surface_items)} surface item(s))"
        )

    __str__ = __repr__

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

    @property
    def items(self) -> tuple[Item, ...]:
        return (*self.dive_items, *self.surface_items)

    @cached_property
    def duties(self) -> tuple[str, ...]:
        """Every duty of the job: the built-in ones, then those that surface items or people bring in."""
        own: dict[str, None] = {}
        for item in self.surface_items:
            for need in item.crew:
                own.setdefault(need.duty)
        return (*BUILT_IN_DUTIES, *(d for d in own if d not in BUILT_IN_DUTIES))

    def person(self, name: str) -> Person:
        """The person of that name. KeyError when there is none."""
        return self._by_name("people")[name]  # type: ignore[return-value]

    def item(self, name: str) -> Item:
        return self._by_name("items")[name]  # type: ignore[return-value]

    def dive_item(self, name: str) -> DiveItem:
        found = self.item(name)
        if not isinstance(found, DiveItem):
            raise KeyError(name)
        return found

    def outfit(self, name: str) -> Outfit:
        return self._by_name("outfits")[name]  # type: ignore[return-value]

    def available(self, person: Person) -> tuple[Span, ...]:
        """Hours of a person within the day windows, in order."""
        if not person.available:
            return self.day_windows
        spans = []
        for own in person.available:
            for day in self.day_windows:
                start, end = max(own.start_min, day.start_min), min(own.end_min, day.end_min)
                if start < end:
                    spans.append(Span(start_min=start, end_min=end))
        return tuple(sorted(spans, key=lambda s: s.start_min))

    @cached_property
    def _names(self) -> dict[str, dict[str, Part]]:
        return {
            "people": {p.name: p for p in self.people},
            "items": {i.name: i for i in self.items},
            "outfits": {o.name: o for o in self.outfits},
        }

    def _by_name(self, kind: str) -> dict[str, Part]:
        return self._names[kind]

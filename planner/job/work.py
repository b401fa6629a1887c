"""What has to be done: dive items and surface items."""

from __future__ import annotations

from abc import abstractmethod
from typing import Annotated

from pydantic import Field

from planner.job.base import JobMinute, Name, Part, Span
from planner.job.bounds import DEEPEST_SHORT_FSW
from planner.job.gear import Gear
from planner.job.units import Measured

Priority = Annotated[int, Field(ge=1, le=5)]


class After(Part):
    """This item starts only when another has ended, ``lag_min`` minutes later or more."""

    item: Name
    lag_min: Annotated[int, Field(ge=0, le=10_080)] = 0


class Item(Part):
    """What dive items and surface items share. Priority 1 is the most pressing, 5 the least."""

    name: Name
    priority: Priority = 3
    windows: tuple[Span, ...] = ()
    """When it may be worked (people in the water, or the surface task itself); empty means any time."""
    after: tuple[After, ...] = ()
    not_together_with: tuple[Name, ...] = ()
    station: Name | None = None

    @property
    @abstractmethod
    def needed_min(self) -> int:
        """Minutes of work that the item needs, on the bottom or above water."""


class DiveItem(Item, Measured):
    """Work under water.

    ``bottom_work_min`` is the working time on the bottom that the item needs (from reach bottom to leave
    bottom), with ``divers`` people working together. A splittable item may be spread over several dives,
    each with at least ``least_useful_min`` of work.
    """

    depth_fsw: Annotated[int, Field(ge=1, le=DEEPEST_SHORT_FSW)]
    bottom_work_min: Annotated[int, Field(ge=1, le=2000)]
    divers: Annotated[int, Field(ge=1, le=4)] = 1
    splittable: bool = True
    least_useful_min: Annotated[int, Field(ge=1, le=1000)] = 10
    same_diver: bool = False
    """The same diver (or team) is preferred on all its dives: he knows the work from the dive before."""
    in_one_go: bool = False
    """Its dives are preferred one right after another: tools and rigging are made ready once."""
    gear: Gear = Gear.HEAVY
    certificates: frozenset[Name] = frozenset()
    enclosed_space: bool = False
    arduous_or_cold: bool = False
    needs_slack: bool = False
    in_the_dark: bool = False
    """May be dived between sunset and sunrise although the site dives by daylight only."""
    depth_follows_tide: bool = False
    """``depth_fsw`` is the charted depth (at the tide table's datum), and the tide is added to it."""
    longest_bottom_min: Annotated[int, Field(ge=1, le=1440)] | None = None
    """Longest bottom time of a dive on it; None: as the crew rules say."""
    longest_in_dress_min: Annotated[int, Field(ge=1, le=1440)] | None = None
    """Longest time from the start of dressing to undressed; None: as the crew rules say."""
    tool_air_scfm: Annotated[float, Field(ge=0, le=500)] = 0.0
    reach_ft: Annotated[int, Field(ge=0, le=1000)] = 0
    """Horizontal distance from the station to the work."""
    margin_wanted_min: Annotated[int, Field(ge=0, le=60)] | None = None
    """Minutes in hand that its dives should have; None: as many as the job's."""

    @property
    def needed_min(self) -> int:
        return self.bottom_work_min


class CrewNeed(Part):
    duty: Name
    count: Annotated[int, Field(ge=1, le=20)] = 1


class Gate(Measured):
    """An isolation, a permit or a hazard that must be held while people are in the water for some items.

    Several rows of one ``what`` are one gate: held now by one person, then by another, or in several
    stretches. A row without times is for a person to confirm before the dive.
    """

    what: Name
    items: Annotated[tuple[Name, ...], Field(min_length=1)]
    """Items that are worked only while it is held."""
    held_by: str = ""
    """Who holds the key, the tag or the permit; need not be of the team."""
    start_min: JobMinute | None = None
    end_min: JobMinute | None = None
    hazard_distance_ft: Annotated[int, Field(ge=1, le=2000)] | None = None
    """From the station to the intake or propeller, where hoses must be too short to reach it."""
    note: str = ""

    @property
    def span(self) -> Span | None:
        """When it is held; None where that is to be confirmed."""
        if self.start_min is None or self.end_min is None:
            return None
        return Span(start_min=self.start_min, end_min=self.end_min)


class SurfaceItem(Item):
    """Work above water, done in one go by a crew that stays for the whole of it."""

    duration_min: Annotated[int, Field(ge=1, le=1440)]
    crew: tuple[CrewNeed, ...]

    @property
    def needed_min(self) -> int:
        return self.duration_min

"""A schedule between the search and the finished plan: who dives and stands by when."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class DraftDive:
    """One dive. Times are job minutes; ``watch_start_min`` is when the station duties begin for it."""

    work: int
    """Index into `Problem.dives`."""
    station: str
    dress_start_min: int
    leave_surface_min: int
    bottom_time_min: int
    reach_surface_min: int
    undressed_min: int
    watch_start_min: int
    seats: tuple[tuple[str, str], ...]
    """Person and duty of each one in the water."""
    standby: tuple[str, ...]
    deco: bool = False
    """Outside the no-stop limits."""
    out_of_chamber_min: int | None = None
    """When the last diver is out of the chamber; None without one."""
    standby_from_min: int | None = None
    standby_to_min: int | None = None
    """The standby diver's duty with his dressing and undressing; None where the job does not ask for them."""
    comes_dressed: bool = False
    """The standby diver goes on from an earlier dive in dress."""
    stays_dressed: bool = False
    """The standby diver goes on to a later dive in dress."""

    @property
    def standing(self) -> tuple[int, int]:
        """From when to when the standby diver is on duty."""
        start = self.watch_start_min if self.standby_from_min is None else self.standby_from_min
        return start, self.reach_surface_min if self.standby_to_min is None else self.standby_to_min

    @property
    def out_min(self) -> int:
        """When the last diver is out of pressure."""
        return self.reach_surface_min if self.out_of_chamber_min is None else self.out_of_chamber_min


@dataclass(frozen=True)
class DraftTask:
    """One surface item. ``task`` is an index into `Problem.tasks`."""

    task: int
    start_min: int


@dataclass(frozen=True)
class Draft:
    """Dives in the order of leaving the surface, and surface tasks."""

    dives: tuple[DraftDive, ...]
    tasks: tuple[DraftTask, ...]


@dataclass(frozen=True)
class NamedSpell:
    """A support duty with its holder. Exactly one of ``dive`` and ``task`` is an index into the draft."""

    person: str
    duty: str
    start_min: int
    end_min: int
    dive: int | None = None
    task: int | None = None


@dataclass(frozen=True)
class Crew:
    """Who holds every support duty, and which outfit every diver and standby wears."""

    spells: tuple[NamedSpell, ...]
    outfits: dict[tuple[int, str], str]
    """(index of the dive in the draft, person) → outfit."""
    overtime_min: int

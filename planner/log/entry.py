"""One entry of the day log, and the log as it stands after corrections. Times are job minutes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from functools import cached_property
from typing import Annotated

from pydantic import Field

from planner.job.base import JobMinute, Name, Part


class Kind(StrEnum):
    """What an entry is about."""

    LEAVE_SURFACE = "leave surface"
    REACH_BOTTOM = "reach bottom"
    LEAVE_BOTTOM = "leave bottom"
    REACH_SURFACE = "reach surface"
    DEPTH = "depth"
    TOOK_OVER = "took over"
    AIR_READING = "air reading"
    ITEM_DONE = "item done"
    DELAY = "delay"
    DEFECT = "defect"
    SICK = "sick"
    NOTE = "note"
    TAKEN_BACK = "taken back"
    """A correction that puts nothing in place of the entry it names."""


#: The four times of a dive, in the order in which they come.
DIVE_TIMES: tuple[Kind, ...] = (
    Kind.LEAVE_SURFACE,
    Kind.REACH_BOTTOM,
    Kind.LEAVE_BOTTOM,
    Kind.REACH_SURFACE,
)

#: Kinds that speak of one dive.
OF_A_DIVE = frozenset({*DIVE_TIMES, Kind.DEPTH})

Text = Annotated[str, Field(max_length=500)]


class Entry(Part):
    """What happened, when, to whom. Which fields a kind needs is judged in `planner.log.judge`."""

    kind: Kind
    at_min: JobMinute
    """When it happened."""
    dive: str | None = None
    """Id of the dive: the plan's, or a new one for a dive that was not planned."""
    station: str | None = None
    """Station of a dive that was not planned."""
    people: tuple[Name, ...] = ()
    """Leave surface: who is in the water, where not those of the plan. Sick, took over: the person."""
    outfits: tuple[str, ...] = ()
    """Leave surface: the outfits of ``people``, in their order."""
    item: str | None = None
    duty: str | None = None
    depth_fsw: Annotated[int, Field(ge=1, le=1000)] | None = None
    thing: str | None = None
    """The outfit, compressor, bank or tank that a defect or a reading is about."""
    pressure_psi: Annotated[float, Field(ge=0, le=10_000)] | None = None
    hours_run: Annotated[float, Field(ge=0, le=200_000)] | None = None
    minutes: Annotated[int, Field(ge=0, le=1440)] | None = None
    """Delay: how long. Item done: minutes worked on it, where not those of the dives."""
    text: Text = ""


@dataclass(frozen=True)
class Written:
    """An entry as it stands in the store: with its number, who wrote it, when, and what it corrects."""

    number: int
    entry: Entry
    written_at: datetime
    written_by: str
    corrects: int | None = None


@dataclass(frozen=True)
class DayLog:
    """All entries of a job's day, in the order of writing."""

    written: tuple[Written, ...] = ()

    @cached_property
    def standing(self) -> tuple[Written, ...]:
        """Entries that hold: not corrected by a later one, in the order in which things happened."""
        corrected = {w.corrects for w in self.written if w.corrects is not None}
        holds = (w for w in self.written if w.number not in corrected and w.entry.kind is not Kind.TAKEN_BACK)
        return tuple(sorted(holds, key=lambda w: (w.entry.at_min, _rank(w.entry.kind), w.number)))

    @cached_property
    def entries(self) -> tuple[Entry, ...]:
        """What holds, in the order in which it happened."""
        return tuple(w.entry for w in self.standing)

    def of_kind(self, kind: Kind) -> tuple[Entry, ...]:
        return tuple(e for e in self.entries if e.kind is kind)

    def of_dive(self, dive: str) -> tuple[Entry, ...]:
        return tuple(e for e in self.entries if e.dive == dive)

    def numbered(self, number: int) -> Written | None:
        """The entry of that number; None when there is none."""
        return next((w for w in self.written if w.number == number), None)

    def corrected_by(self, number: int) -> Written | None:
        """The entry that stands in for that one; None when it holds."""
        return next((w for w in self.written if w.corrects == number), None)

    def without(self, number: int) -> DayLog:
        """The log as if that entry had not been written (to judge what would stand in for it)."""
        return DayLog(tuple(w for w in self.written if w.number != number))

    def with_entry(self, entry: Entry) -> DayLog:
        """The log with one more entry, for a look ahead; nothing is stored."""
        last = max((w.number for w in self.written), default=0)
        now = self.written[-1].written_at if self.written else datetime.min
        return DayLog((*self.written, Written(last + 1, entry, now, "")))


def _rank(kind: Kind) -> int:
    """Order of entries of the same minute: the times of a dive as they come, everything else after."""
    return DIVE_TIMES.index(kind) if kind in DIVE_TIMES else len(DIVE_TIMES)

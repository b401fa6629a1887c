"""What every part of a job is made of: names, minutes and the clock, frozen data that round-trips as JSON.

Inside the program a time is an int: minutes since local midnight at the start of the job's first day. They
are elapsed minutes, so a night on which the clocks change is an hour shorter or longer, as it is for the
people who work it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone
from functools import cached_property, lru_cache
from typing import Annotated, Any, Self
from zoneinfo import ZoneInfo

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

MINUTES_A_DAY = 1440

_CLOCK = re.compile(r"^\s*(\d{1,2}):?(\d{2})(?::\d{2})?\s*$")
_WALL = re.compile(r"^\s*(\d{1,2}:?\d{2})([+-])(\d{2}):(\d{2})\s*$", re.ASCII)


def parse_clock(text: str) -> time:
    """Read ``0700``, ``7:00`` or ``07:00``.

    Raises
    ------
    ValueError
        When the text is none of these or not a time of day.
    """
    found = _CLOCK.match(text)
    if not found:
        raise ValueError(f"{text!r} is not a time of day such as 0700 or 07:00")
    return time(int(found.group(1)), int(found.group(2)))


def parse_wall(text: str) -> time:
    """Read what `Clock.hhmm` prints: a time of day, or one with its offset from UTC, ``02:25+01:00``.

    Raises
    ------
    ValueError
        As `parse_clock` does.
    """
    found = _WALL.match(text)
    if not found:
        return parse_clock(text)
    away = timedelta(hours=int(found.group(3)), minutes=int(found.group(4)))
    zone = timezone(-away if found.group(2) == "-" else away)
    return parse_clock(found.group(1)).replace(tzinfo=zone)


@dataclass(frozen=True)
class Clock:
    """Turns job minutes into aware datetimes and back."""

    first_day: date
    """Local calendar day whose midnight is minute 0."""
    time_zone: str
    """IANA name, for example ``Europe/Lisbon``."""

    @cached_property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.time_zone)

    @cached_property
    def origin(self) -> datetime:
        return datetime.combine(self.first_day, time(0), tzinfo=self.zone).astimezone(UTC)

    def at(self, minute: int) -> datetime:
        """Aware local datetime of a job minute."""
        return _moment(self, minute)

    def minute(self, moment: datetime) -> int:
        """Job minute of a datetime; a naive one is taken as local wall time."""
        aware = moment if moment.tzinfo else moment.replace(tzinfo=self.zone)
        return int((aware.astimezone(UTC) - self.origin).total_seconds() // 60)

    def minute_on(self, day: date, wall: time) -> int:
        """Job minute of a wall time on a calendar day."""
        return self.minute(datetime.combine(day, wall))

    def day_of(self, minute: int) -> date:
        return self.at(minute).date()

    def day_start(self, day_index: int) -> int:
        """Job minute of local midnight at the start of the job's day ``day_index`` (0 the first)."""
        return self.minute_on(self.first_day + timedelta(days=day_index), time(0))

    def hhmm(self, minute: int, *, with_day: bool = False) -> str:
        """``07:30`` for print; with the day as ``Tue 07:30`` where asked.

        On the night on which the clocks are set back a time that comes for the second time has its offset,
        ``02:25+01:00``, as a job workbook takes it (`parse_wall`).
        """
        moment = self.at(minute)
        words = moment.strftime("%a %H:%M" if with_day else "%H:%M")
        return words + moment.isoformat()[-6:] if moment.fold else words


@lru_cache(maxsize=20_000)  # two weeks of minutes: a check asks for the same ones hundreds of times
def _moment(clock: Clock, minute: int) -> datetime:
    return (clock.origin + timedelta(minutes=minute)).astimezone(clock.zone)


LONGEST_NAME = 60
#: A name that a person typed: trimmed, any alphabet.
Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=LONGEST_NAME)]

#: Job minutes (see `planner.job.base`): from a week before the job to two weeks after its start.
JobMinute = Annotated[int, Field(ge=-14 * MINUTES_A_DAY, le=15 * MINUTES_A_DAY)]


class Part(BaseModel):
    """Base of the job's and the plan's data: immutable, no unknown fields."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    def replace(self, **changes: Any) -> Self:
        """A changed copy, validated again."""
        # Fields only: cached properties also live in the instance's dict.
        fields = {name: getattr(self, name) for name in type(self).model_fields}
        return type(self).model_validate({**fields, **changes})


#: Fields of a job's and a plan's parts that are moments, and move when the part does.
MOMENTS = frozenset(
    {
        "dress_start_min",
        "leave_surface_min",
        "reach_bottom_min",
        "leave_bottom_min",
        "reach_surface_min",
        "undressed_min",
        "out_of_chamber_min",
        "start_min",
        "end_min",
    }
)


class Timed(Part):
    """A part with a place in time: its `MOMENTS`."""

    def later(self, by_min: int) -> Self:
        """The same moved by some minutes, under 0 for earlier."""
        moments = {name: getattr(self, name) for name in type(self).model_fields if name in MOMENTS}
        return self.replace(**{name: at + by_min for name, at in moments.items() if at is not None})


class Span(Timed):
    """A stretch of time, ``start_min`` up to ``end_min`` (not included), in job minutes."""

    start_min: JobMinute
    end_min: JobMinute

    def covers(self, start_min: int, end_min: int) -> bool:
        return self.start_min <= start_min and end_min <= self.end_min

    def overlaps(self, start_min: int, end_min: int) -> bool:
        return self.start_min < end_min and start_min < self.end_min


def joined(stretches: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Stretches (start, end) in order, those that touch or overlap made one."""
    found: list[tuple[int, int]] = []
    for start, end in sorted(stretches):
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((start, end))
    return found

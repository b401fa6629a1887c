"""Pins: what a person has settled already, and every plan of the job must keep."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

from pydantic import Field

from planner.job.base import JobMinute, Name, Part
from planner.job.bounds import LONGEST_BOTTOM_MIN, LONGEST_FREE_MIN


class PinKind(StrEnum):
    """What a pin settles."""

    STARTS = "starts"
    """The item's first dive leaves the surface (its task, or a block of standing work, starts) from
    ``start_min`` to ``end_min``."""
    DIVES = "dives"
    """At least one dive on the item has all that is given: the person among its working divers, the station,
    leave surface from ``start_min`` to ``end_min``, the bottom time, the minutes kept free behind it."""
    STAYS_UP = "stays up"
    """The person is never in the water for the item; without an item, for none."""
    HOLDS = "holds"
    """On every dive (or the surface task or block) of the item that is planned, the person holds the duty."""
    AWAY = "away"
    """The person has no duty from ``start_min`` to ``end_min``."""
    BRIEFED = "briefed"
    """Whoever has a duty in the stretch on site that holds ``start_min`` is briefed from then; or the person
    given alone."""

    KEEPS_FREE = "keeps free"
    """Behind every dive of the item its station stays free for ``free_min``, in case the dive overruns."""


class Pin(Part):
    """One thing settled.

    ``start_min`` and ``end_min`` are the first and the last minute allowed, both taken in (for ``away``: the
    stretch between them). A missing ``end_min`` is the same minute as ``start_min``.
    """

    kind: PinKind
    item: Name | None = None
    person: Name | None = None
    duty: Name | None = None
    station: Name | None = None
    start_min: JobMinute | None = None
    end_min: JobMinute | None = None
    bottom_time_min: Annotated[int, Field(ge=1, le=LONGEST_BOTTOM_MIN)] | None = None
    free_min: Annotated[int, Field(ge=1, le=LONGEST_FREE_MIN)] | None = None
    """Beyond the turnaround, from reach surface on: no dive leaves the surface and no work begins at the
    station, and the working day goes on for as long."""
    note: str = ""
    """Why, and by whom, for the watchbill."""

    @property
    def window(self) -> tuple[int, int] | None:
        """First and last minute allowed, both taken in; None where any time will do."""
        if self.start_min is None:
            return None
        return self.start_min, self.start_min if self.end_min is None else self.end_min

    def allows(self, minute: int) -> bool:
        """Whether a start at this minute is inside the pin's window."""
        window = self.window
        return window is None or window[0] <= minute <= window[1]


#: What each kind of pin must give, and what else it may give; anything more means nothing.
MUST_GIVE: dict[PinKind, frozenset[str]] = {
    PinKind.STARTS: frozenset({"item", "start_min"}),
    PinKind.DIVES: frozenset({"item"}),
    PinKind.STAYS_UP: frozenset({"person"}),
    PinKind.HOLDS: frozenset({"person", "duty", "item"}),
    PinKind.AWAY: frozenset({"person", "start_min", "end_min"}),
    PinKind.BRIEFED: frozenset({"start_min"}),
    PinKind.KEEPS_FREE: frozenset({"item", "free_min"}),
}
MAY_GIVE: dict[PinKind, frozenset[str]] = {
    PinKind.STARTS: frozenset({"end_min"}),
    PinKind.DIVES: frozenset({"person", "station", "start_min", "end_min", "bottom_time_min", "free_min"}),
    PinKind.STAYS_UP: frozenset({"item"}),
    PinKind.HOLDS: frozenset(),
    PinKind.AWAY: frozenset(),
    PinKind.BRIEFED: frozenset({"person"}),
    PinKind.KEEPS_FREE: frozenset(),
}

"""A press too many held back: gloves press twice, and a second press is another event of the same dive.

Pure: what is held back is told by the log and the moment of the press, whoever wrote what is there.
The two spans are this program's own choice, tried with presses 0.25 s apart; no source asks for them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from planner.log.day_log import IN_ORDER, DayLog, Kind, Written

#: After an event of a dive its next one is dead for so long, seconds.
DEAD_S = 2.0

#: Two events of a dive within so long are asked back, seconds.
ASKED_BACK_S = 60.0

#: So long an entry just made can be taken back by the large button, seconds.
UNDO_S = 5.0


@dataclass(frozen=True)
class TooSoon:
    """Why a press does not count yet."""

    last: Written
    """The entry that was written just before."""
    since_s: float
    """Seconds since it was written."""

    @property
    def dead(self) -> bool:
        """Whether nobody can mean it; else it is asked back."""
        return self.since_s < DEAD_S

    def asks(self, kind: Kind) -> str:
        """The question: ``Leave bottom logged 12 s ago: reach surface now, really?``."""
        return f"{self._last} logged {self.since_s:.0f} s ago: {kind} now, really?"

    def refuses(self, kind: Kind) -> str:
        """What a press that nobody can mean is answered with."""
        gone = f"{self._last} was logged {self.since_s:.1f} s before"
        return f"Not logged: {kind}. {gone}; press again if it is so."

    @property
    def _last(self) -> str:
        return str(self.last.entry.kind).capitalize()


def just_written(log: DayLog, dive: str | None, now: datetime, within_s: float) -> TooSoon | None:
    """The last time of that dive that was written, where that was within so many seconds before now.

    An entry that was taken back since is passed over. None for what is no time of a dive.
    """
    own = (w for w in log.standing if w.entry.dive == dive and w.entry.kind in IN_ORDER)
    last = max(own, key=lambda w: w.number, default=None)
    if dive is None or last is None:
        return None
    since_s = (now - last.written_at).total_seconds()
    return TooSoon(last, since_s) if 0 <= since_s < within_s else None


def too_soon(log: DayLog, kind: Kind, dive: str | None, now: datetime) -> TooSoon | None:
    """What holds a press of that kind back at this moment; None when it counts.

    A time of a dive is held back by the one before. An undo is held back by another undo alone: the second
    press of two would take back one entry more.
    """
    if kind in IN_ORDER:
        return just_written(log, dive, now, ASKED_BACK_S)
    if kind is not Kind.TAKEN_BACK or not log.written or log.written[-1].entry.kind is not kind:
        return None
    since_s = (now - log.written[-1].written_at).total_seconds()
    return TooSoon(log.written[-1], since_s) if 0 <= since_s < DEAD_S else None

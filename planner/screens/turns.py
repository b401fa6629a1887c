"""Whose turn it is at the machine's cores: searches of all tabs, first come, first served.

Searches that share cores all come late. So many go at once as have cores of their own; the rest wait in line
and are told their place. A comparison gives way after the cases in hand and stands in line again. The replan
of a running day goes to the front, and waits for nobody longer than a few seconds: people are in the water.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager

from planner.cores import cores_here
from planner.errors import PlannerError

#: Seconds of a search that others wait for, at least.
LEAST_S = 10.0

#: Seconds that the replan of a running day waits at most; then it shares the cores.
URGENT_WAIT_S = 3.0

#: Seconds between two looks of a page at what goes on beside it, with one search on the machine; at most.
LOOK_S, LOOK_SELDOM_S = 0.7, 4.0

#: Seconds between two looks of one who waits at whether he has been asked to stop.
_STOPPED_S = 0.2


class NoTurn(PlannerError):
    """The work was stopped while it waited in line."""


class Turn:
    """One search in line or at work.

    Parameters
    ----------
    cores
        How many it uses.
    limit_s
        How long it may take, seconds; None where that is not known.
    urgent
        Whether it goes before all others, and begins after `URGENT_WAIT_S` at most.
    """

    def __init__(self, cores: int, limit_s: float | None = None, *, urgent: bool = False) -> None:
        self.cores, self.limit_s, self.urgent = cores, limit_s, urgent
        self.joined: float | None = None
        self.began: float | None = None

    @property
    def left_s(self) -> float | None:
        """Seconds that it may still take; None where that is not known."""
        if self.limit_s is None:
            return None
        gone = 0.0 if self.began is None else time.monotonic() - self.began
        return max(0.0, self.limit_s - gone)


class Line:
    """The line before the cores of one machine."""

    def __init__(self, cores: int) -> None:
        self.cores = cores
        self._changed = threading.Condition()
        self._waiting: list[Turn] = []
        self._at_work: list[Turn] = []

    def join(self, turn: Turn) -> None:
        """Stand in line: at its end, or behind the last who is urgent too."""
        with self._changed:
            turn.joined, turn.began = time.monotonic(), None
            urgent = sum(t.urgent for t in self._waiting)
            self._waiting.insert(urgent if turn.urgent else len(self._waiting), turn)

    @contextmanager
    def come(
        self, turn: Turn, stop: threading.Event, told: Callable[[str], object] = lambda words: None
    ) -> Iterator[None]:
        """Wait for the turn of one who stands in line, have it for the block, and make room for the next.

        ``told`` is called with `words` as they change while it waits, and with none when its turn has come.

        A search for which others wait shares its time with them: its limit by so many as there are, but
        `LEAST_S` at least.

        Raises
        ------
        NoTurn
            It was asked to stop before.
        """
        with self._changed:
            try:
                heard = ""
                while not self._may_begin(turn):
                    if stop.is_set():
                        raise NoTurn("It was stopped before its turn came.")
                    if (words := self.words(turn)) != heard:
                        told(heard := words)
                    self._changed.wait(_STOPPED_S)
                if heard:
                    told("")
            finally:
                self._waiting.remove(turn)
                self._changed.notify_all()
            if turn.limit_s is not None and self._waiting:
                shared_s = turn.limit_s / (1 + len(self._waiting))
                turn.limit_s = min(turn.limit_s, max(LEAST_S, shared_s))
            turn.began = time.monotonic()
            self._at_work.append(turn)
        try:
            yield
        finally:
            with self._changed:
                self._at_work.remove(turn)
                self._changed.notify_all()

    @contextmanager
    def part(self, turn: Turn, stop: threading.Event) -> Iterator[Callable[[], bool] | None]:
        """One turn of work that gives way between its parts: what it gives says whether somebody waits.

        None where it was asked to stop before its turn came.
        """
        self.join(turn)
        with ExitStack() as held:
            try:
                held.enter_context(self.come(turn, stop))
            except NoTurn:
                yield None
            else:
                yield lambda: bool(self._waiting)

    def _may_begin(self, turn: Turn) -> bool:
        # one that asks for more cores than there are has them all
        taken = sum(t.cores for t in self._at_work)
        room = not self._at_work or taken + turn.cores <= self.cores
        if turn.urgent and turn.joined is not None:
            room = room or time.monotonic() - turn.joined >= URGENT_WAIT_S
        return room and self._waiting[0] is turn

    def words(self, turn: Turn) -> str:
        """``… In line: 3 before this one, its turn comes in 65 s or sooner.``; blank when it has come."""
        with self._changed:
            if turn not in self._waiting:
                return ""
            before = self._waiting[: self._waiting.index(turn)]
            all_left_s = [t.left_s for t in (*self._at_work, *before)]
        known_s = [left_s for left_s in all_left_s if left_s is not None]
        within = (
            f", its turn comes in {sum(known_s):.0f} s or sooner" if len(known_s) == len(all_left_s) else ""
        )
        who = f"{len(before)} before this one" if before else "next"
        return f"The machine's cores are taken. In line: {who}{within}."

    def look_every_s(self) -> float:
        """Seconds between two looks of a page at its search: longer, the more searches there are."""
        with self._changed:
            searches = len(self._waiting) + len(self._at_work)
        return min(LOOK_SELDOM_S, LOOK_S * max(1, searches))


#: The one line of this server.
LINE = Line(cores_here())

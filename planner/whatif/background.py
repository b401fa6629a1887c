"""Something long done beside a screen: a thread, what it has got to, a flag that stops it."""

from __future__ import annotations

import logging
import secrets
import threading
import time
from collections.abc import Callable
from typing import Generic, TypeVar

from planner.errors import PlannerError

Result = TypeVar("Result")

Work = Callable[[Callable[[int, int], None], threading.Event], Result]


class Background(Generic[Result]):
    """One piece of work on a thread of its own.

    Parameters
    ----------
    work
        Called with ``told(done, of)``, to say how far it is, and with the stop flag.
    hand_over
        Called once, on the work's own thread, when it has come to its end, also when no page is looking. What
        it raises is raised in that thread, and the end is told to the page all the same.
    """

    def __init__(
        self, work: Work[Result], *, hand_over: Callable[[Background[Result]], None] | None = None
    ) -> None:
        self.token = secrets.token_hex(8)
        """Tells this work from any other, also in what is written down."""
        self._work = work
        self._hand_over = hand_over
        self._stop = threading.Event()
        self._began = time.monotonic()
        self._took_s: float | None = None
        self._thread = threading.Thread(target=self._run, name="beside", daemon=True)
        self.done, self.of = 0, 0
        self._result: Result | None = None
        self.sentence = ""
        """Why there is no result; blank while it runs and when there is one."""

    def begin(self) -> Background[Result]:
        """Start the thread; returns itself."""
        self._began = time.monotonic()
        self._thread.start()
        return self

    def stop(self) -> None:
        """Ask it to end and keep what is done."""
        self._stop.set()

    def wait(self, seconds: float) -> bool:
        """Wait for the end, ``seconds`` at most; whether it has ended."""
        self._thread.join(seconds)
        return not self._thread.is_alive()

    @property
    def result(self) -> Result | None:
        """What it came to; None while it runs and when it came to nothing."""
        return self._result

    @property
    def running(self) -> bool:
        return self._thread.is_alive()

    @property
    def stop_asked(self) -> bool:
        return self._stop.is_set()

    @property
    def seconds_gone(self) -> float:
        return self._took_s if self._took_s is not None else time.monotonic() - self._began

    @property
    def share_done(self) -> float:
        """0 to 1."""
        return self.done / self.of if self.of else 0.0

    def _told(self, done: int, of: int) -> None:
        self.done, self.of = done, of

    def _run(self) -> None:
        # said first, so that whatever happens a reader finds an ending
        self.sentence = "It ended with an error of its own, which is written to the program's log."
        try:
            self._result = self._work(self._told, self._stop)
            self.sentence = ""
        except PlannerError as refusal:
            self.sentence = str(refusal)
        finally:
            self._took_s = time.monotonic() - self._began
            if self._hand_over is not None:
                self._hand_over(self)


class Brought(Background[Result]):
    """Work that had ended before: its result is read when it is first asked for, and nothing runs.

    Parameters
    ----------
    read
        Gives the result; a `PlannerError` says why there is none. Any other error is written to the log, and
        `sentence` says so.
    """

    def __init__(self, read: Callable[[], Result]) -> None:
        super().__init__(lambda told, stop: read())
        self._reading = threading.Lock()
        self._read = False

    @property
    def result(self) -> Result | None:
        """What it came to; None, with `sentence`, when that cannot be had any more."""
        self.fetch()
        return self._result

    def wait(self, seconds: float) -> bool:
        """True: it had ended before."""
        return True

    @property
    def fetched(self) -> bool:
        """Whether it has been read."""
        return self._read

    def fetch(self) -> None:
        """Read the result, if it has not been read."""
        with self._reading:
            if self._read:
                return
            try:
                self._run()
            except Exception:
                # What was kept may be wrong in any way. Not swallowed: the log has the traceback, `sentence`
                # tells the page so, and the page stands, as where work on a thread of its own fails.
                logging.getLogger(__name__).exception("What was kept could not be read.")
            self._read = True

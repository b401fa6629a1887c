"""The search for what it would take, beside the page: one item, one change of the job after another.

Nothing of Streamlit is touched here; what is being tried comes through a queue and is read by whoever
draws the page.
"""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from planner.job import Job
from planner.plan.model import Plan
from planner.whatif.background import Background

if TYPE_CHECKING:
    from planner.schedule.what_it_takes import Change

#: Where a desk keeps its search.
KEPT_AS = "what it takes"

#: Budget of each change, seconds.
SECONDS_EACH = 4.0


class WhatItTakes(Protocol):
    """The search as this file calls it."""

    def __call__(
        self,
        job: Job,
        plan: Plan | None,
        item: str,
        *,
        seconds_each: float,
        workers: int,
        stop: threading.Event,
        on_try: Callable[[str], None],
    ) -> tuple[Change, ...]: ...


class TakesRun:
    """One search for the changes that would fit one item.

    Parameters
    ----------
    job, plan
        What the item is left over in.
    item
        Its name.
    search
        `planner.schedule.what_it_takes`, or what a test puts in its place.
    """

    def __init__(self, job: Job, plan: Plan, item: str, search: WhatItTakes, *, workers: int = 2) -> None:
        self.job, self.plan, self.item = job, plan, item
        self.tried: list[str] = []
        self._said: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._beside: Background[tuple[Change, ...]] = Background(
            lambda told, stop: search(
                job,
                plan,
                item,
                seconds_each=SECONDS_EACH,
                workers=workers,
                stop=stop,
                on_try=self._said.put,
            )
        )

    def begin(self) -> TakesRun:
        """Start the thread; returns itself."""
        self._beside.begin()
        return self

    def stop(self) -> None:
        """Ask it to end and keep what was found."""
        self._beside.stop()

    def wait(self, seconds: float) -> bool:
        """Wait for the end, `seconds` at most; whether it has ended."""
        return self._beside.wait(seconds)

    def poll(self) -> None:
        """Read what has been tried since the last time."""
        while True:
            try:
                self.tried.append(self._said.get_nowait())
            except queue.Empty:
                return

    @property
    def running(self) -> bool:
        return self._beside.running

    @property
    def stop_asked(self) -> bool:
        return self._beside.stop_asked

    @property
    def seconds_gone(self) -> float:
        return self._beside.seconds_gone

    @property
    def changes(self) -> tuple[Change, ...] | None:
        """What was found; None while it runs and when it ended with an error."""
        return self._beside.result

    @property
    def sentence(self) -> str:
        """Why there is no result; blank when there is one."""
        return self._beside.sentence

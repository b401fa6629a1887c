"""A scheduler that does what a test tells it to, in place of the real one."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from planner.job import Job
from planner.plan import Finding
from planner.plan.model import Plan, Reason


@dataclass(frozen=True)
class Said:
    """A progress report."""

    elapsed_s: float
    stage: str
    value: float | None
    bound: float | None
    plan: Plan | None


@dataclass(frozen=True)
class Ended:
    """An outcome."""

    plan: Plan | None
    sentence: str = "done"
    reasons: Mapping[str, tuple[Reason, ...]] = field(default_factory=dict)


@dataclass
class FakeSolve:
    """Reports `says`, waits until stopped when `until_stopped`, then ends with `ends` (or raises it)."""

    says: tuple[Said, ...] = ()
    ends: Ended | Exception = field(default_factory=lambda: Ended(None))
    until_stopped: bool = False
    stopped: bool = False
    calls: int = 0
    thread_name: str = ""
    started_from: Plan | None = None
    kept_near: Plan | None = None

    def __call__(
        self,
        job: Job,
        *,
        seconds: float,
        workers: int,
        seed: int,
        on_progress: Callable[[Said], None] = lambda said: None,
        stop: threading.Event | None = None,
        start: Plan | None = None,
        in_force: Plan | None = None,
    ) -> Ended:
        self.calls += 1
        self.started_from = start
        self.kept_near = in_force
        self.thread_name = threading.current_thread().name
        for said in self.says:
            on_progress(said)
        if self.until_stopped:
            self.stopped = stop is not None and stop.wait(20)
        if isinstance(self.ends, Exception):
            raise self.ends
        return self.ends


def all_clear(job: Job, plan: Plan) -> tuple[Finding, ...]:
    """A check that finds nothing."""
    return ()

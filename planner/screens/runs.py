"""Something long done beside a screen: a thread, what it has got to, a flag that stops it.

Runs the scheduler beside the page: a thread, a queue of plain values, a flag that stops it.

Nothing of Streamlit is touched here. The scheduler may call back from a foreign thread; what it says is
put on a queue and read by whoever draws the page. Every plan that comes out is held against the
independent check first: a plan that fails it is withheld and the breaches are kept for the user to see.

The search for what it would take, beside the page: one item, one change of the job after another.

Nothing of Streamlit is touched here; what is being tried comes through a queue and is read by whoever
draws the page."""

from __future__ import annotations

import logging
import queue
import secrets
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING, Generic, Protocol, TypeVar

from planner.errors import PlannerError
from planner.job import Job
from planner.plan.model import Plan, Reason

if TYPE_CHECKING:
    from planner.schedule.what_it_takes import Change
    from planner.verdict import Finding


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


class ProgressLike(Protocol):
    """What the scheduler says while it works (plain values)."""

    @property
    def elapsed_s(self) -> float: ...
    @property
    def stage(self) -> str: ...
    @property
    def value(self) -> float | None: ...
    @property
    def bound(self) -> float | None: ...
    @property
    def plan(self) -> Plan | None: ...


class OutcomeLike(Protocol):
    """What the scheduler says at the end."""

    @property
    def plan(self) -> Plan | None: ...
    @property
    def sentence(self) -> str: ...
    @property
    def reasons(self) -> Mapping[str, tuple[Reason, ...]]: ...


class Solve(Protocol):
    """The scheduler as this file calls it."""

    def __call__(
        self,
        job: Job,
        *,
        seconds: float,
        workers: int,
        seed: int,
        on_progress: Callable[[ProgressLike], None],
        stop: threading.Event,
        start: Plan | None,
        near: Plan | None = None,
    ) -> OutcomeLike: ...


class Check(Protocol):
    """The verdict on a plan: every rule it breaks."""

    def __call__(self, plan: Plan, job: Job) -> tuple[Finding, ...]: ...


class RunState(Enum):
    """Where a run stands."""

    RUNNING = "running"
    FINISHED = "finished"
    FAILED = "failed"


@dataclass(frozen=True)
class Step:
    """One report of the scheduler: the best value of a stage so far and what no plan can beat."""

    elapsed_s: float
    stage: str
    value: float | None
    bound: float | None

    @property
    def gap_percent(self) -> float | None:
        """How far the best so far may still be from the best there is, in per cent; None while unknown."""
        if self.value is None or self.bound is None:
            return None
        return 100 * abs(self.bound - self.value) / max(1.0, abs(self.value))


@dataclass(frozen=True)
class _Ended:
    plan: Plan | None
    sentence: str
    failed: bool = False
    reasons: Mapping[str, tuple[Reason, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class EndedRun:
    """What a run came to, as its own thread knows it: the last plan, not yet held against the check."""

    token: str
    job: Job
    plan: Plan | None
    sentence: str
    steps: tuple[Step, ...]


class SolveRun:
    """One run of the scheduler over one job.

    Parameters
    ----------
    job
        The job that is planned; kept, so that the plan can always be shown with the job it belongs to.
    solve, check
        The scheduler and the independent check, passed in so that tests can pass others.
    seconds
        Time limit in seconds of wall clock.
    workers
        Search threads.
    seed
        Seed of the search.
    start
        An earlier plan to start from, where it holds for this job.
    near
        A plan whose duties are to be changed as little as can be.
    hand_over
        Called once, on the run's own thread, with what it came to, also when no page is looking. What it
        raises is raised in that thread, and the end is told to the page all the same.
    """

    def __init__(
        self,
        job: Job,
        solve: Solve,
        check: Check,
        *,
        seconds: float = 30.0,
        workers: int = 2,
        seed: int = 0,
        start: Plan | None = None,
        near: Plan | None = None,
        hand_over: Callable[[EndedRun], None] | None = None,
    ) -> None:
        self.token = secrets.token_hex(8)
        """Tells this run from any other, also in what is written down."""
        self.job = job
        self.seconds = seconds
        self.workers = workers
        self.seed = seed
        self.state = RunState.RUNNING
        self.plan: Plan | None = None
        self.sentence = ""
        self.reasons: Mapping[str, tuple[Reason, ...]] = {}
        self.withheld: tuple[Finding, ...] = ()
        self.steps: list[Step] = []
        self.stop_asked = False
        self._solve = solve
        self._check = check
        self._start_plan = start
        self._near = near
        self._hand_over = hand_over
        self._stop = threading.Event()
        self._said: queue.SimpleQueue[ProgressLike | _Ended] = queue.SimpleQueue()
        self._reading = threading.Lock()
        self._began = time.monotonic()
        self._ended_after_s: float | None = None
        self._thread = threading.Thread(target=self._work, name="solve", daemon=True)

    def begin(self) -> SolveRun:
        """Start the thread; returns itself."""
        self._began = time.monotonic()
        self._thread.start()
        return self

    def stop(self) -> None:
        """Ask the scheduler to end and keep the best plan so far. Safe to call more than once."""
        self.stop_asked = True
        self._stop.set()

    def wait(self, seconds: float) -> bool:
        """Wait for the thread to end, `seconds` at most; whether it has."""
        self._thread.join(seconds)
        return not self._thread.is_alive()

    @property
    def running(self) -> bool:
        return self.state is RunState.RUNNING

    @property
    def seconds_gone(self) -> float:
        """Wall clock since the start, in seconds, at most what the run took."""
        return self._ended_after_s if self._ended_after_s is not None else time.monotonic() - self._began

    @property
    def share_gone(self) -> float:
        """Share of the time limit used, 0 to 1."""
        return min(1.0, self.seconds_gone / self.seconds) if self.seconds > 0 else 1.0

    @property
    def last_step(self) -> Step | None:
        return self.steps[-1] if self.steps else None

    def poll(self) -> bool:
        """Read what the scheduler has said since the last time; whether the plan or the state changed."""
        with self._reading:
            candidates: list[Plan] = []
            ended: _Ended | None = None
            while True:
                try:
                    said = self._said.get_nowait()
                except queue.Empty:
                    break
                if isinstance(said, _Ended):
                    ended = said
                    if said.plan is not None:
                        candidates.append(said.plan)
                    continue
                self.steps.append(Step(said.elapsed_s, said.stage, said.value, said.bound))
                if said.plan is not None:
                    candidates.append(said.plan)
            changed = self._take_best_that_holds(candidates)
            if ended is not None:
                self._ended_after_s = time.monotonic() - self._began
                self.sentence, self.reasons = ended.sentence, ended.reasons
                self.state = RunState.FAILED if ended.failed else RunState.FINISHED
                changed = True
            return changed

    def _take_best_that_holds(self, candidates: list[Plan]) -> bool:
        """Take the newest plan that passes the check; keep the breaches of any that does not."""
        for plan in reversed(candidates):
            breaches = self._check(plan, self.job)
            if not breaches:
                changed = plan is not self.plan
                self.plan = plan
                return changed
            self.withheld = breaches
        return False

    def _work(self) -> None:
        """The thread: whatever happens in the scheduler, the last thing put on the queue is an ending."""
        ended = _Ended(
            None,
            "The scheduler ended with an error of its own, which is written to the program's log. The job is "
            "kept, and so is the best plan found before.",
            failed=True,
        )
        last: Plan | None = None
        steps: list[Step] = []

        def told(said: ProgressLike) -> None:
            nonlocal last
            last = said.plan or last
            steps.append(Step(said.elapsed_s, said.stage, said.value, said.bound))
            self._said.put(said)

        try:
            outcome = self._solve(
                self.job,
                seconds=self.seconds,
                workers=self.workers,
                seed=self.seed,
                on_progress=told,
                stop=self._stop,
                start=self._start_plan,
                near=self._near,
            )
            ended = _Ended(outcome.plan, outcome.sentence, reasons=outcome.reasons)
        except PlannerError as refusal:
            ended = _Ended(None, str(refusal), failed=True)
        finally:
            self._said.put(ended)
            if self._hand_over is not None:
                plan = ended.plan or last
                self._hand_over(EndedRun(self.token, self.job, plan, ended.sentence, tuple(steps)))


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

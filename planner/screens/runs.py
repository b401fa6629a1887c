"""Work that goes on beside a page: a thread, what it has said so far, a flag that stops it, a failure told.

One class for all of it, `BackgroundRun`; the scheduler's run, the search for what it would take, comparisons
and drawn days say with their own names what is being worked on and what has been heard of it. Nothing of
Streamlit is touched here: what the work says is kept as plain values and read by whoever draws the page.
"""

from __future__ import annotations

import logging
import secrets
import threading
import time
from collections.abc import Callable, Mapping
from contextlib import nullcontext
from dataclasses import dataclass
from enum import Enum
from functools import partial
from typing import TYPE_CHECKING, Any, Generic, Self, TypeVar

from planner.errors import PlannerError
from planner.job import Job
from planner.plan.model import Plan, Reason
from planner.screens.turns import Line, Turn

if TYPE_CHECKING:
    from planner.check import Finding
    from planner.schedule import Change, Outcome, Progress

Said = TypeVar("Said")
Result = TypeVar("Result")

#: The verdict on a plan: every rule it breaks.
Check = Callable[[Job, Plan], "tuple[Finding, ...]"]

#: The scheduler, as `planner.plan` is called, and the search for what would fit an item, as
#: `planner.what_it_takes` is.
Solve = Callable[..., "Outcome"]
WhatItTakes = Callable[..., "tuple[Change, ...]"]

#: Told of work that ended in a way nobody foresaw; the traceback is in the log.
FAILED = "It ended with an error of its own, which is written to the program's log."


class BackgroundRun(Generic[Said, Result]):
    """One piece of work on a thread of its own.

    Parameters
    ----------
    work
        Called with ``told(value)``, to say what it has got to (plain values, from any thread), and with the
        flag that asks it to stop.
    hand_over
        Called once with the run, on the work's own thread, when it has come to its end, also when no page is
        looking. What it raises is raised in that thread, and the end is told to the page all the same.
    failed
        Told when the work ends with an error that nobody foresaw.
    line, turn
        Where it waits for its turn at the machine's cores, and the turn; without a line it begins at once.
    in_parts
        Whether the work takes its turns itself (`Line.part`), one after another.
    """

    def __init__(
        self,
        work: Callable[[Callable[[Said], None], threading.Event], Result],
        *,
        hand_over: Callable[[Any], None] | None = None,
        failed: str = FAILED,
        line: Line | None = None,
        turn: Turn | None = None,
        in_parts: bool = False,
    ) -> None:
        self.token = secrets.token_hex(8)
        """Tells this run from any other, also in what is written down."""
        self.heard: list[Said] = []
        """What it has said so far, in order; it only grows."""
        self.sentence = ""
        """Why there is no result; blank while it runs and when there is one."""
        self._work, self._hand_over, self._failed = work, hand_over, failed
        self._line, self.turn, self._in_parts = line, turn or Turn(1), in_parts
        self._stop = threading.Event()
        self._began = time.monotonic()
        self._took_s: float | None = None
        self._result: Result | None = None
        self._thread = threading.Thread(target=self._run, name="beside", daemon=True)

    def begin(self) -> Self:
        """Start the thread, in line where it has one; returns itself."""
        self._began = time.monotonic()
        if self._line is not None and not self._in_parts:
            self._line.join(self.turn)
        self._thread.start()
        return self

    def stop(self) -> None:
        """Ask it to end and keep what is done. Safe to call more than once."""
        self._stop.set()

    def wait(self, seconds: float) -> bool:
        """Wait for the end, ``seconds`` at most; whether it has ended."""
        self._thread.join(seconds)
        return not self._thread.is_alive()

    @property
    def in_line(self) -> str:
        """Its place in line, in a sentence; blank once its turn has come."""
        return "" if self._line is None else self._line.words(self.turn)

    @property
    def result(self) -> Result | None:
        """What it came to; None while it runs and when it came to nothing."""
        return self._result

    @property
    def running(self) -> bool:
        """Whether the thread is alive."""
        return self._thread.is_alive()

    @property
    def stop_asked(self) -> bool:
        return self._stop.is_set()

    @property
    def seconds_gone(self) -> float:
        """Wall clock since the start, in seconds, at most what the work took."""
        return self._took_s if self._took_s is not None else time.monotonic() - self._began

    def _run(self) -> None:
        try:
            line = None if self._in_parts else self._line
            with nullcontext() if line is None else line.come(self.turn, self._stop):
                self._began = time.monotonic()
                self._result = self._work(self.heard.append, self._stop)
        except PlannerError as refusal:
            self.sentence = str(refusal)
        except BaseException:
            self.sentence = self._failed
            raise
        finally:
            self._took_s = time.monotonic() - self._began
            if self._hand_over is not None:
                self._hand_over(self)


class CountedRun(BackgroundRun[tuple[int, int], Result]):
    """Work that says how many of its parts are done, by ``told(done, of)``; ``of``: how many there are, until
    it says so itself. The rest as `BackgroundRun` takes it."""

    def __init__(
        self,
        work: Callable[[Callable[[int, int], None], threading.Event], Result],
        *,
        of: int = 0,
        **beside: Any,
    ) -> None:
        super().__init__(lambda told, stop: work(lambda *parts: told(parts), stop), **beside)
        self.heard.append((0, of))

    @property
    def share_done(self) -> float:
        """0 to 1."""
        done, of = self.heard[-1]
        return done / of if of else 0.0


class EarlierRun(CountedRun[Result]):
    """Work that ended before the server was restarted: its result is read when it is first asked for.

    Parameters
    ----------
    read
        Gives the result; a `PlannerError` says why there is none. Any other error is written to the log, and
        `sentence` says so.
    """

    def __init__(self, read: Callable[[], Result]) -> None:
        super().__init__(lambda told, stop: read())
        self._reading = threading.Lock()
        self.fetched = False
        """Whether it has been read."""

    @property
    def result(self) -> Result | None:
        """What it came to; None, with `sentence`, when that cannot be had any more."""
        self.fetch()
        return self._result

    def wait(self, seconds: float) -> bool:
        """True: it had ended before."""
        return True

    def fetch(self) -> None:
        """Read the result, if it has not been read."""
        with self._reading:
            if self.fetched:
                return
            try:
                self._run()
            except Exception:
                # What can be wrong with the text is told by name (`NotKept`); the check of its plans may fail
                # in any way. Not swallowed: the log has the traceback, `sentence` tells the page so, and the
                # page stands, as where work on a thread of its own fails.
                logging.getLogger(__name__).exception("What was kept could not be read.")
            self.fetched = True


# ---------------------------------------------------------------------- the scheduler


class RunState(Enum):
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
class EndedRun:
    """What a run came to, as its own thread knows it: the last plan, not yet held against the check."""

    token: str
    job: Job
    plan: Plan | None
    sentence: str
    steps: tuple[Step, ...]


class SolveRun(BackgroundRun[Step, "Outcome"]):
    """One run of the scheduler over one job.

    Every plan that comes out is held against the independent check when a page polls: a plan that fails it is
    withheld, and the breaches are kept for the user to see. The run has ended for the page once `poll` has
    read its end.

    Parameters
    ----------
    job
        The job that is planned; kept, so that the plan can always be shown with the job it belongs to.
    seconds
        Time limit in seconds of wall clock.
    start
        An earlier plan to start from, where it holds for this job.
    in_force
        A plan whose duties are to be changed as little as can be.
    hand_over
        Called once, on the run's own thread, with what it came to, also when no page is looking.
    line
        Where it waits for its turn; what is left of its time then, with others waiting, is its limit.
    """

    def __init__(
        self,
        job: Job,
        solve: Solve,
        check: Check,
        *,
        seconds: float = 30.0,
        workers: int = 2,
        start: Plan | None = None,
        in_force: Plan | None = None,
        hand_over: Callable[[EndedRun], None] | None = None,
        line: Line | None = None,
    ) -> None:
        asked: dict[str, Any] = {"seed": 0, "workers": workers, "start": start, "in_force": in_force}

        def work(told: Callable[[Step], None], stop: threading.Event) -> Outcome:
            hear = partial(self._hear, told)
            return solve(job, seconds=self.seconds, stop=stop, on_progress=hear, **asked)

        super().__init__(
            work,
            line=line,
            turn=Turn(workers, seconds),
            hand_over=None if hand_over is None else lambda run: hand_over(run._came_to()),
            failed="The scheduler ended with an error of its own, which is written to the program's log. The "
            "job is kept, and so is the best plan found before.",
        )
        self.job = job
        self.asked_s = seconds
        self.state = RunState.RUNNING
        self.plan: Plan | None = None
        self.reasons: Mapping[str, tuple[Reason, ...]] = {}
        self.withheld: tuple[Finding, ...] = ()
        self._check = check
        self._plans: list[Plan] = []
        self._seen = 0
        self._reading = threading.Lock()

    @property
    def seconds(self) -> float:
        """Its time limit: what was asked for, or less where others wait."""
        return self.asked_s if self.turn.limit_s is None else self.turn.limit_s

    @property
    def running(self) -> bool:
        """Whether no page has read its end yet."""
        return self.state is RunState.RUNNING

    @property
    def share_gone(self) -> float:
        """Share of the time limit used, 0 to 1."""
        return min(1.0, self.seconds_gone / self.seconds) if self.seconds > 0 else 1.0

    @property
    def steps(self) -> list[Step]:
        """Every report so far, in order."""
        return self.heard

    def poll(self) -> bool:
        """Read what the scheduler has said since the last time; whether the plan or the state changed."""
        with self._reading:
            # Asked first: whatever was said before the end is then among what is read.
            ends = self._took_s is not None and self.running
            candidates = self._plans[self._seen :]
            self._seen += len(candidates)
            if ends and self.result is not None:
                self.sentence, self.reasons = self.result.sentence, self.result.reasons
                if self.result.plan is not None:
                    candidates.append(self.result.plan)
            changed = self._take_best_that_holds(candidates)
            if ends:
                self.state = RunState.FAILED if self.result is None else RunState.FINISHED
                # one is still told by the thread's own end; a tab that stays open needs no more of them
                self._plans = self._plans[-1:]
                self._seen = len(self._plans)
            return changed or ends

    def _hear(self, told: Callable[[Step], None], said: Progress) -> None:
        told(Step(said.elapsed_s, said.stage, said.value, said.bound))
        if said.plan is not None:
            self._plans.append(said.plan)

    def _take_best_that_holds(self, candidates: list[Plan]) -> bool:
        """Take the newest plan that passes the check; keep the breaches of any that does not."""
        for plan in reversed(candidates):
            breaches = self._check(self.job, plan)
            if not breaches:
                changed = plan is not self.plan
                self.plan = plan
                return changed
            self.withheld = breaches
        return False

    def _came_to(self) -> EndedRun:
        found = self.result
        plan, sentence = (None, self.sentence) if found is None else (found.plan, found.sentence)
        last = self._plans[-1] if self._plans else None
        return EndedRun(self.token, self.job, plan or last, sentence, tuple(self.heard))


# ---------------------------------------------------------------------- what it would take

#: Where a desk keeps its search for what it would take.
WHAT_IT_TAKES = "what it takes"

#: Budget of each change, seconds.
SECONDS_EACH = 4.0


class WhatItTakesRun(BackgroundRun[str, "tuple[Change, ...]"]):
    """One search for the changes that would fit one item left over; it says each change that it tries."""

    def __init__(
        self,
        job: Job,
        plan: Plan,
        item: str,
        search: WhatItTakes,
        *,
        workers: int = 2,
        line: Line | None = None,
    ) -> None:
        asked: dict[str, Any] = {"seconds_each": SECONDS_EACH, "workers": workers}
        super().__init__(
            lambda told, stop: search(job, plan, item, stop=stop, on_try=told, **asked),
            line=line,
            turn=Turn(workers),
        )
        self.plan, self.item = plan, item

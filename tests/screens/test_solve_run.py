"""A run of the scheduler beside the page: what it says arrives, it stops when asked, it never lies."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from fakes import Ended, FakeSolve, Said, all_clear

from planner.check import Finding
from planner.errors import ModelTooLarge
from planner.job import Job
from planner.plan.model import Plan
from planner.screens.runs import RunState, SolveRun, Step
from tests.world.harbour import harbour_job, harbour_plan

JOB = harbour_job()
FIRST = harbour_plan(JOB)
BETTER = FIRST.replace(seconds=20.0)


def _run(solve: FakeSolve, check: Any = all_clear) -> SolveRun:
    run = SolveRun(JOB, solve, check, seconds=5).begin()
    assert run.wait(10)
    return run


def test_progress_and_outcome_arrive_in_order() -> None:
    """Every report becomes a step; the plan on show is the last one; the work ran on another thread."""
    solve = FakeSolve(
        says=(Said(0.1, "work finished", 10, 20, FIRST), Said(0.4, "work finished", 18, 20, BETTER)),
        ends=Ended(BETTER, "proven best"),
    )
    run = _run(solve)
    assert run.running
    assert run.poll()
    assert run.state is RunState.FINISHED
    assert run.plan is BETTER
    assert run.sentence == "proven best"
    assert run.steps == [Step(0.1, "work finished", 10, 20), Step(0.4, "work finished", 18, 20)]
    assert run.steps[0].gap_percent == 100
    assert solve.thread_name != threading.current_thread().name
    assert not run.poll()


def test_stopping_keeps_the_best_so_far() -> None:
    """Stop sets the flag that the scheduler watches; the plan reported before is kept."""
    solve = FakeSolve(says=(Said(0.1, "finish", 5, 4, FIRST),), ends=Ended(FIRST), until_stopped=True)
    run = SolveRun(JOB, solve, all_clear, seconds=60).begin()
    run.stop()
    assert run.wait(10)
    run.poll()
    assert solve.stopped
    assert run.plan is FIRST
    assert run.stop_asked


def test_a_plan_that_breaks_a_rule_is_withheld() -> None:
    """The check convicts the newer plan: the older one stays on show and the breaches are kept."""

    def convicts(job: Job, plan: Plan) -> tuple[Finding, ...]:
        return (Finding("dives-a-day", "Three dives.", "Ines"),) if plan is BETTER else ()

    solve = FakeSolve(says=(Said(0.1, "finish", 1, 1, FIRST),), ends=Ended(BETTER))
    run = _run(solve, convicts)
    run.poll()
    assert run.plan is FIRST
    assert [b.rule for b in run.withheld] == ["dives-a-day"]


def test_a_refusal_is_told_in_its_own_words() -> None:
    """An error raised on purpose ends the run with its text."""
    run = _run(FakeSolve(ends=ModelTooLarge("500 people; at most 60.")))
    run.poll()
    assert run.state is RunState.FAILED
    assert run.sentence == "500 people; at most 60."


def test_a_crash_ends_the_run_and_keeps_the_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever happens in the scheduler the page is told, without a traceback, and loses nothing."""
    crashed: list[object] = []
    monkeypatch.setattr(threading, "excepthook", lambda args: crashed.append(args.exc_type))
    run = _run(FakeSolve(says=(Said(0.1, "finish", 1, 1, FIRST),), ends=ZeroDivisionError("boom")))
    run.poll()
    assert crashed == [ZeroDivisionError]
    assert run.state is RunState.FAILED
    assert run.plan is FIRST
    assert "boom" not in run.sentence


def test_nothing_planned_tells_why() -> None:
    """An outcome without a plan ends the run with a sentence and no plan on show."""
    run = _run(FakeSolve(ends=Ended(None, "Nothing of this job can be planned.")))
    run.poll()
    assert run.plan is None
    assert run.state is RunState.FINISHED


def test_time_gone_stops_counting_at_the_end() -> None:
    """After the end the clock of the run stands still."""
    run = _run(FakeSolve(ends=Ended(FIRST)))
    run.poll()
    gone = run.seconds_gone
    assert gone == run.seconds_gone
    assert 0 <= run.share_gone <= 1


def test_a_run_that_has_ended_holds_one_plan() -> None:
    """A search reports dozens of plans; a tab that stays open after it holds the last, and reads no other."""
    reported = tuple(Said(0.1, "finish", 5, 4, FIRST.replace(seconds=float(n))) for n in range(40))
    run = _run(FakeSolve(says=reported, ends=Ended(BETTER)))
    assert run.poll()
    assert run.plan is BETTER
    assert [plan.seconds for plan in run._plans] == [39.0]
    assert not run.poll()

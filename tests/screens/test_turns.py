"""Searches of several tabs take turns at the machine's cores: who waits, what he is told, who comes next."""

from __future__ import annotations

import threading
from importlib import import_module

import pytest
from fakes import Ended, all_clear

from planner.errors import PlannerError
from planner.job import Job
from planner.screens import turns
from planner.screens.runs import BackgroundRun, RunState, SolveRun
from planner.screens.turns import LEAST_S, LOOK_S, LOOK_SELDOM_S, Line, Turn
from planner.whatif.cases import Case
from planner.whatif.sweep import Solved, sweep
from tests.world.harbour import harbour_job, harbour_plan

#: The module; the package gives the function of that name.
sweep_module = import_module("planner.whatif.sweep")

JOB = harbour_job()
PLAN = harbour_plan(JOB)


class Slow:
    """A scheduler that goes on until it is let end; it keeps what it was asked."""

    def __init__(self) -> None:
        self.begun, self.end = threading.Event(), threading.Event()
        self.seconds = 0.0

    def __call__(self, job: object, *, seconds: float, **asked: object) -> Ended:
        self.seconds = seconds
        self.begun.set()
        assert self.end.wait(10)
        return Ended(PLAN)


def _run(line: Line, solve: Slow, *, seconds: float = 30, workers: int = 2) -> SolveRun:
    return SolveRun(JOB, solve, all_clear, seconds=seconds, workers=workers, line=line).begin()


def test_one_after_the_other_in_the_order_of_the_presses() -> None:
    """Two cores and two workers each: one at a time; the place in line and the longest wait are told."""
    line, slow = Line(2), [Slow() for _ in range(3)]
    first, second, third = (_run(line, solve) for solve in slow)
    assert slow[0].begun.wait(10)
    assert first.in_line == ""
    assert second.in_line.startswith("The machine's cores are taken. In line: next, its turn comes in ")
    assert "In line: 1 before this one, its turn comes in " in third.in_line
    assert not slow[1].begun.is_set()
    for run, solve, after in zip((first, second, third), slow, (*slow[1:], None), strict=True):
        solve.end.set()
        assert run.wait(10)
        run.poll()
        assert (run.state, run.plan) == (RunState.FINISHED, PLAN)
        assert after is None or after.begun.wait(10)


@pytest.mark.parametrize(("cores", "at_once"), [(1, 1), (2, 1), (3, 1), (4, 2), (6, 3)])
def test_as_many_at_once_as_have_cores(cores: int, at_once: int) -> None:
    """Cores ÷ workers, and one where the workers are more than the cores."""
    line, slow = Line(cores), [Slow() for _ in range(4)]
    runs = [_run(line, solve) for solve in slow]
    assert all(solve.begun.wait(10) for solve in slow[:at_once])
    assert [bool(run.in_line) for run in runs] == [n >= at_once for n in range(4)]
    for solve in slow:
        solve.end.set()
    assert all(run.wait(10) for run in runs)


def test_who_is_waited_for_shares_his_time() -> None:
    """Alone 90 s are 90 s; with two more in line a search has a third of its own, never under ten seconds."""
    line, slow = Line(2), [Slow() for _ in range(4)]
    runs = [_run(line, solve, seconds=s) for solve, s in zip(slow, (90, 90, 12, 5), strict=True)]
    for solve in slow:
        assert solve.begun.wait(10)
        solve.end.set()
    assert all(run.wait(10) for run in runs)
    assert [solve.seconds for solve in slow[1:]] == [30, LEAST_S, 5]
    assert (runs[1].asked_s, runs[1].seconds) == (90, 30)
    alone = Slow()
    alone.end.set()
    assert _run(line, alone, seconds=90).wait(10)
    assert alone.seconds == 90


def test_who_is_stopped_in_line_goes_and_holds_nobody_up() -> None:
    """He is told so, his work never begins, and the next one moves up."""
    line, slow = Line(2), [Slow() for _ in range(3)]
    first, second, third = (_run(line, solve) for solve in slow)
    assert slow[0].begun.wait(10)
    second.stop()
    assert second.wait(10)
    second.poll()
    assert (second.state, second.sentence) == (RunState.FAILED, "It was stopped before its turn came.")
    assert "next" in third.in_line
    slow[0].end.set()
    assert slow[2].begun.wait(10)
    slow[2].end.set()
    assert first.wait(10)
    assert third.wait(10)
    assert not slow[1].begun.is_set()


def test_a_search_that_fails_gives_its_cores_back() -> None:
    """What it refuses does not leave the line standing."""

    def fails(told: object, stop: object) -> None:
        raise PlannerError("No such day.")

    line = Line(2)
    failed = BackgroundRun(fails, line=line, turn=Turn(2)).begin()
    assert failed.wait(10)
    solve = Slow()
    solve.end.set()
    assert _run(line, solve).wait(10)
    assert solve.begun.is_set()


def test_a_comparison_gives_way_after_the_case_in_hand(monkeypatch: pytest.MonkeyPatch) -> None:
    """Eight cases, one at a time; a search that is pressed meanwhile comes second, and none is lost."""
    line, stop, turn = Line(2), threading.Event(), Turn(2)
    solve, order, places = Slow(), [], []
    solve.end.set()

    def no_plan(number: int, job: Job, *given: object) -> Solved:
        order.append(job.site.name)
        if job.site.name == "case 1":
            searches = SolveRun(
                JOB, solve, all_clear, line=line, hand_over=lambda end: order.append("search")
            )
            places.append(searches.begin().in_line)
        return Solved(number, None, "No plan.", 0.0)

    monkeypatch.setattr(sweep_module, "solve_case", no_plan)
    # each case is known by its job: the number that comes along counts within what is planned together
    cases = tuple(Case(n, (), JOB.replace(site=JOB.site.replace(name=f"case {n}"))) for n in range(8))
    found = sweep(cases, processes=1, stop=stop, turn=lambda: line.part(turn, stop))
    assert places == ["The machine's cores are taken. In line: next."]
    assert sorted(order) == [*(f"case {n}" for n in range(8)), "search"]
    at = order.index("case 1")
    assert order[at + 1] == "search"
    assert len(found.results) == 8
    assert not found.stopped


def test_a_comparison_that_is_stopped_in_line_keeps_what_is_done() -> None:
    """Nothing is planned, nothing fails, and it says that it was stopped."""
    line, stop, turn = Line(2), threading.Event(), Turn(2)
    with line.part(Turn(2), threading.Event()):
        stop.set()
        with line.part(turn, stop) as others_wait:
            assert others_wait is None
    with line.part(turn, threading.Event()) as others_wait:
        assert others_wait is not None
        assert not others_wait()


def test_the_replan_of_a_running_day_goes_first(monkeypatch: pytest.MonkeyPatch) -> None:
    """Before all who wait; past its longest wait it begins though the cores are taken; the place is told."""
    line, never = Line(2), threading.Event()
    others, urgent, said = [Turn(2), Turn(2)], Turn(2, 7, urgent=True), []
    for turn in others:
        line.join(turn)
    with line.come(others[0], never):
        line.join(urgent)
        assert "In line: 1 before this one" in line.words(others[1])
        monkeypatch.setattr(turns, "URGENT_WAIT_S", 0.05)
        with line.come(urgent, never, said.append):
            assert urgent.began is not None
        assert said == ["The machine's cores are taken. In line: next.", ""]


def test_pages_look_less_often_the_more_searches_there_are() -> None:
    """0.7 s with one, seldom with ten; a search whose length nobody knows is waited for without a time."""
    line = Line(2)
    assert line.look_every_s() == LOOK_S
    ten = [Turn(2) for _ in range(10)]
    for turn in ten:
        line.join(turn)
    assert line.look_every_s() == LOOK_SELDOM_S
    assert line.words(ten[1]) == "The machine's cores are taken. In line: 1 before this one."

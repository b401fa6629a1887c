"""A sweep plans every case, never reports less for more people, and says which cases are worth it."""

from __future__ import annotations

import subprocess
import sys
import threading
from dataclasses import replace
from decimal import Decimal
from importlib import import_module

import pytest

from planner.check import check
from planner.job import Job
from planner.plan import Plan
from planner.screens.runs import CountedRun, EarlierRun
from planner.whatif.best import best_within, knee_of, least_crew
from planner.whatif.cases import Case, cases_of, parse_variations
from planner.whatif.figures import EXAMPLE_COSTS, Figures, cost_of, figures_of
from planner.whatif.results import CaseResult, Sweep
from planner.whatif.sure import how_sure
from planner.whatif.sweep import Solved, carried, sweep
from tests.whatif.short_day import SHORT
from tests.world.changed import with_site
from tests.world.sample_plans import planned

#: The module; the package gives the function of that name.
sweep_module = import_module("planner.whatif.sweep")

JOB, PLAN = planned("small heavy dress")


def _cases(*texts: str, of: Job = JOB) -> tuple[Case, ...]:
    return cases_of(of, parse_variations(of, texts))


@pytest.fixture(scope="module")
def swept() -> Sweep:
    """Four cases on two processes, as little search as there is: none need be proven best."""
    return sweep(_cases("tenders=6..7", "divers=3..4", of=SHORT), seconds=0.05, processes=2, draws=20)


def test_every_case_is_a_full_plan_that_holds(swept: Sweep) -> None:
    """Each case comes back with a plan that the independent check clears, and with its figures."""
    assert [r.case.number for r in swept.results] == [1, 2, 3, 4]
    assert not swept.stopped
    for result in swept.results:
        assert result.plan is not None and result.figures is not None
        assert check(result.case.job, result.plan) == ()
        assert result.figures.work_min == sum(result.plan.worked_min(i.name) for i in SHORT.items)
        assert 0 < result.figures.work_percent <= 100
        assert result.sure is not None and result.sure.draws == sum(result.sure.reached) == 20


def test_more_people_never_report_less_work(swept: Sweep) -> None:
    """For every pair of nested crews the larger one does at least as much (a plan of fewer still holds)."""
    for one in swept.results:
        for other in swept.results:
            crew = {p.name for p in one.case.job.people}
            if crew <= {p.name for p in other.case.job.people}:
                assert one.figures is not None and other.figures is not None
                assert one.figures.weighted <= other.figures.weighted


def _lazy(number: int, job: Job, seconds: float, seed: int, start: Plan | None) -> Solved:
    """A solver that finds the full plan for the smaller crew and nothing for the larger one."""
    found = PLAN if len(job.people) <= len(JOB.people) else None
    return Solved(number, found, "made up", 0.0)


def test_a_better_plan_is_carried_over_and_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the larger crew's search finds less, the smaller crew's plan is carried over, and told."""
    monkeypatch.setattr(sweep_module, "solve_case", _lazy)
    result = sweep(_cases("divers=5..6"), processes=1, backend="threading")
    small, large = result.results
    assert small.carried_from is None
    assert large.carried_from == small.case.number
    assert large.plan is not None and check(large.case.job, large.plan) == ()
    assert "carried over" in large.sentence
    assert "case 2 from 1" in result.sentence


def test_a_plan_outside_the_day_is_told_without_a_check(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a thousand cases with other starts most pairs are such: the day alone says no. The check says the
    same, and one minute inside the day it is asked."""
    ends = max(s.end_min for s in PLAN.duties)
    short, enough = (with_site(JOB, day_end=JOB.clock.at(minute).time()) for minute in (ends - 1, ends))
    assert "day-window" in {f.rule for f in check(short, PLAN)}
    asked: list[Job] = []
    monkeypatch.setattr(sweep_module, "check", lambda job, plan: asked.append(job) or ())
    assert carried(PLAN, short, None) is None and not asked
    assert carried(PLAN, enough, None) is not None and asked == [enough]


def test_a_plan_that_breaks_a_rule_is_not_carried() -> None:
    """A plan is not put on a job that lacks one of its people, or whose day is too short for it."""
    (without,) = _cases(f"away={PLAN.dives[0].divers[0].person}")
    assert carried(PLAN, without.job, None) is None
    (short,) = _cases("shift=4")
    assert carried(PLAN, short.job, None) is None
    (longer,) = _cases("shift=13")
    moved = carried(PLAN, longer.job, None)
    assert moved is not None and moved.dives == PLAN.dives


def test_a_case_that_cannot_be_planned_says_why() -> None:
    """Without a supervisor no dive can be made: no plan, no figures, a sentence."""
    result = sweep(_cases("supervisors=0", of=SHORT), seconds=0.05, processes=1)
    (only,) = result.results
    assert only.plan is None and only.figures is None
    assert only.sentence
    assert knee_of(result.results).best == ()


def test_a_stopped_sweep_keeps_what_is_done(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopped after the first case, the sweep tells that case and that it was stopped."""
    monkeypatch.setattr(sweep_module, "solve_case", _lazy)
    stop = threading.Event()
    result = sweep(
        _cases("divers=2..5"),
        processes=1,
        backend="threading",
        on_progress=lambda d, o: stop.set(),
        stop=stop,
    )
    assert result.stopped
    assert 1 <= len(result.results) < 4
    assert "stopped" in result.sentence


def test_a_plan_that_fails_the_check_is_withheld(monkeypatch: pytest.MonkeyPatch) -> None:
    """A case whose solver returns a plan for another crew shows no plan."""
    wrong = PLAN.replace(duties=PLAN.duties[1:])
    monkeypatch.setattr(sweep_module, "solve_case", lambda n, j, s, e, p: Solved(n, wrong, "made up", 0.0))
    (only,) = sweep(_cases("divers=5"), processes=1, backend="threading").results
    assert only.plan is None
    assert "withheld" in only.sentence


def test_cost_is_pay_waiting_and_gear_to_the_cent() -> None:
    """By hand: everybody is paid at least eight hours, and the day rates of what is on site are added."""
    cost = cost_of([(PLAN, JOB)])
    gear = 350 + 3 * 60 + 180  # a station, three ready outfits, a compressor (example rates)
    assert cost.gear == Decimal(gear)
    least = sum((EXAMPLE_COSTS.pay.rate(p.pay_class).per_hour * 8 for p in JOB.people), Decimal(0))
    assert cost.worked_pay + cost.waiting_pay >= least
    assert cost.total == cost.worked_pay + cost.waiting_pay + cost.gear
    assert cost.total.as_tuple().exponent == -2


def _made_up(number: int, weighted: int, money: int, end_min: int = 1000) -> CaseResult:
    figures = figures_of([(PLAN, JOB)])
    cost = replace(figures.cost, worked_pay=Decimal(money), waiting_pay=Decimal(0), gear=Decimal(0))
    case = Case(number, (("tenders", str(number)),), JOB)
    own: Figures = replace(figures, weighted=weighted, weighted_needed=1000, cost=cost, end_min=end_min)
    return CaseResult(case, PLAN, own, "made up")


def test_the_best_cases_and_the_bend() -> None:
    """Cases 1, 2, 4 are beaten by none; the bend is 2: 40 a per cent before it, 200 after (arithmetic)."""
    knee = knee_of(
        [_made_up(1, 400, 1000), _made_up(2, 800, 2600), _made_up(3, 700, 3000), _made_up(4, 900, 4600)]
    )
    assert [r.case.number for r in knee.best] == [1, 2, 4]
    assert knee.bend is not None and knee.bend.case.number == 2
    assert "costs 40.00 USD, beyond it 200.00 USD" in knee.sentence


def test_a_straight_line_has_no_bend_and_one_case_may_beat_all() -> None:
    """Equal prices leave no bend; a case that does most for least is named as such."""
    straight = knee_of([_made_up(1, 200, 1000), _made_up(2, 400, 2000), _made_up(3, 600, 3000)])
    assert straight.bend is None and "no bend" in straight.sentence
    alone = knee_of([_made_up(1, 600, 1000), _made_up(2, 600, 2000)])
    assert [r.case.number for r in alone.best] == [1] and alone.earlier == ()
    assert "no other case does more" in alone.sentence


def test_money_that_buys_an_earlier_finish_only_is_told() -> None:
    """288 more for 13:21 instead of 15:51 (arithmetic); dearer and no earlier than that is neither."""
    later, earlier, neither = (
        _made_up(1, 600, 1000, 951),
        _made_up(2, 600, 1288, 801),
        _made_up(3, 600, 1400, 801),
    )
    knee = knee_of([later, earlier, neither])
    assert [r.case.number for r in knee.best] == [1]
    assert [r.case.number for r in knee.earlier] == [2]
    said = "Case 2 (tenders 2) buys an earlier finish only: 288.00 USD more than case 1 for 13:21 instead of"
    assert f"{said} 15:51." in knee.sentence


def _drawn(number: int, money: int, people: int, all_done: int) -> CaseResult:
    """A case of so many people whose work was all done in so many of 100 draws, half done in the others."""
    made = _made_up(number, 1000, money)
    reached = [0] * 50 + [100 - all_done] + [0] * 49 + [all_done]
    crew = JOB.replace(people=JOB.people[:people], pins=())
    sure = replace(SURE, draws=100, reached=tuple(reached))
    assert made.figures is not None
    figures = replace(made.figures, people=people)
    return replace(made, case=replace(made.case, job=crew), figures=figures, sure=sure)


SURE = how_sure(PLAN, JOB, draws=1, spare=False)


def test_a_chance_is_weighed_where_days_were_drawn() -> None:
    """Of 100 drawn days all work is done in 60, 84 and 84.5: a point or less is no gain."""
    results = [_drawn(1, 1000, 9, 60), _drawn(2, 2000, 8, 84), _drawn(3, 3000, 9, 85)]
    knee = knee_of(results)
    assert knee.at_least == 100
    assert [r.case.number for r in knee.best] == [1, 2]
    assert [knee.gain(r) for r in results] == [60, 84, 85]
    assert knee_of(results, at_least=50).gain(results[0]) == 100


def test_least_crew_and_best_within_a_budget_are_answered() -> None:
    """For 80 % eight people are enough; within 1,500 only the case of 60 %; nobody reaches 90 %."""
    results = [_drawn(1, 1000, 9, 60), _drawn(2, 2000, 8, 84), _drawn(3, 3000, 9, 85)]
    least = least_crew(results, 80, 100)
    assert least.result is results[1] and "8 people" in least.sentence and "84 % of 100" in least.sentence
    assert best_within(results, Decimal(1500), 100).result is results[0]
    assert best_within(results, Decimal(5000), 100).result is results[1]
    nobody = least_crew(results, 90, 100)
    assert nobody.result is None and "the likeliest is case 3" in nobody.sentence
    assert least_crew(results, 80, 100, Decimal(1500)).result is None
    assert best_within(results, Decimal(10), 100).result is None


def test_work_beside_a_screen() -> None:
    """A background run tells how far it is, ends with its result, and stops when asked."""
    run: CountedRun[int] = CountedRun(lambda told, stop: told(3, 4) or 7)
    assert run.begin().wait(10)
    assert (run.result, run.heard[-1], run.share_done, run.sentence) == (7, (3, 4), 0.75, "")

    def until_stopped(told: object, stop: threading.Event) -> str:
        stop.wait(10)
        return "stopped"

    waiting: CountedRun[str] = CountedRun(until_stopped)
    waiting.begin()
    waiting.stop()
    assert waiting.wait(10) and waiting.result == "stopped"


def test_what_was_brought_back_has_ended(caplog: pytest.LogCaptureFixture) -> None:
    """There is nothing to wait for; an error in reading it is in the log, and told at every look."""

    def fails() -> int:
        raise LookupError("no such row")

    run = EarlierRun(fails)
    assert run.wait(0)
    for _ in range(2):
        assert run.result is None
        assert run.fetched
        assert "written to the program's log" in run.sentence
    assert "no such row" in caplog.text
    assert EarlierRun(lambda: 7).result == 7


#: Starts a process while Ctrl-C waits, is sent one meanwhile, and so is the process.
_PRESSED = """
import os, signal, subprocess, sys
from planner.whatif.sweep import ctrl_c_waits
signal.signal(signal.SIGINT, signal.default_int_handler)  # whatever the shell of this run says
try:
    with ctrl_c_waits():
        started = subprocess.Popen([sys.executable, "-c", "import sys; sys.stdin.read(); print('deaf')"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        os.kill(os.getpid(), signal.SIGINT)
        started.send_signal(signal.SIGINT)
        print("started", flush=True)
except KeyboardInterrupt:
    print("heard", flush=True)
print(started.communicate()[0].decode(), end="")
"""


@pytest.mark.skipif(sys.platform == "win32", reason="no signal of a process can be blocked there")
def test_ctrl_c_while_processes_are_started_is_heard_after_and_not_by_them() -> None:
    """What is pressed meanwhile is not lost; a process started meanwhile goes on (signal(7))."""
    done = subprocess.run([sys.executable, "-c", _PRESSED], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["started", "heard", "deaf"]

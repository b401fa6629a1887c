"""What each technique of the scheduler is worth: some jobs planned with it, and without it, one at a time.

One worker, so what is spent is counted in steps of the solver and says the same on a busy machine. Told are
the stages proven, the seconds counted until the search ended (the sooner, the sooner all was proven), and of
each stage that is left open its value and bound.

    python tests/bench/bench_ablation.py --seconds 4 --csv tests/bench/ablation.csv
"""

from __future__ import annotations

import argparse
import csv
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager, nullcontext
from dataclasses import replace
from pathlib import Path
from unittest import mock

sys.path.insert(0, str(Path(__file__).parents[2]))

from planner import read_job
from planner.job import Gear, Job
from planner.schedule.model import bounds, capacity, constraints, day_model
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.sequence import station_intervals
from planner.schedule.problem.problem import Problem
from planner.schedule.search import goals
from planner.schedule.solve import _Run
from tests.bench.ladder import Rung, ladder_job

SAMPLES = Path(__file__).parents[2] / "sample_jobs"


def jobs() -> Iterator[tuple[str, Job]]:
    """Eight: one and two stations, heavy and light, more work than the day holds, the tide, several days."""
    for name in ("small_heavy_dress", "too_much_work", "tidal_pier", "three_day_outfall"):
        yield name, read_job(SAMPLES / f"{name}.xlsx")
    for rung in (Rung(9, 1, 4), Rung(9, 1, 5, gear=Gear.HEAVY), Rung(16, 2, 6), Rung(9, 1, 3, days=2)):
        yield rung.name, ladder_job(rung)


def _off(owner: object, name: str, instead: object) -> Callable[[], AbstractContextManager[object]]:
    return lambda: mock.patch.object(owner, name, instead)


@contextmanager
def _nothing_known() -> Iterator[None]:
    of_zero = {
        kind: goal if goal is goals.WORK else replace(goal, known=lambda *_: 0)
        for kind, goal in goals._GOALS.items()
    }
    with mock.patch.object(goals, "_GOALS", of_zero):
        yield


@contextmanager
def _both(*parts: Callable[[], AbstractContextManager[object]]) -> Iterator[None]:
    with ExitStack() as stack:
        for part in parts:
            stack.enter_context(part())
        yield


@contextmanager
def _watches_may_overlap() -> Iterator[None]:
    def but_watches(*arguments: object, **named: object) -> object:
        return [] if "watch" in arguments else station_intervals(*arguments, **named)  # type: ignore[arg-type]

    with mock.patch.object(constraints, "station_intervals", but_watches):
        yield


def _singles(problem: Problem) -> list[frozenset[str]]:
    return [frozenset((duty,)) for duty in problem.support_duties] + [frozenset(problem.support_duties)]


#: Technique → what takes it away.
TECHNIQUES: dict[str, Callable[[], AbstractContextManager[object]]] = {
    "all on": nullcontext,
    "bounds told before the search": _nothing_known,
    "bound on the finish in the model": _off(day_model, "bound_finish", lambda *_: None),
    "overtime at the ends": _off(sys.modules[_Run.__module__], "overtime_bound_by_search", lambda *_: 0),
    "benches one at a time": lambda: _both(
        _off(capacity, "one_bench_at_a_time", lambda *_: []),
        _off(bounds, "one_bench_at_a_time", lambda *_: []),
    ),
    "sets of duties (Hall)": _off(capacity, "duty_sets", _singles),
    "watches that do not overlap": _watches_may_overlap,
    "tasks one at a time": _off(capacity, "tasks_one_at_a_time", lambda *_: []),
    "alike divers in order": _off(Problem, "alike", ()),
    "all work said outright": _off(DayModel, "finish_everything", lambda _: None),
    "complete hints": _off(DayModel, "hint", lambda *_, **__: True),
    "open stages again": _off(_Run, "_again", lambda _, day: day),
    "plans near the best one": _off(
        sys.modules["planner.schedule.search.improve"], "better_nearby", lambda *_, **__: None
    ),
}


def run(job: Job, seconds: float) -> tuple[int, int, float, float, str]:
    """Stages proven, stages, seconds counted, seconds of the processor, what is open."""
    began = time.process_time()
    solving = _Run(job, seconds, 1, 0, None, mock.Mock(is_set=lambda: False), None)
    plan = solving.run(only_work=False).plan
    stages = () if plan is None else plan.stages
    used = time.process_time() - began
    left = ", ".join(f"{s.name} {s.value:g} ({s.bound:g})" for s in stages if not s.proven)
    return sum(s.proven for s in stages), len(stages), seconds - solving.best.deadline.left_s, used, left


def main() -> int:
    """The table, line by line as it is measured."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=4.0)
    parser.add_argument("--csv", type=Path)
    parser.add_argument("--only", nargs="*", default=list(TECHNIQUES), metavar="TECHNIQUE")
    parser.add_argument("--jobs", default="", help="those with this in their name")
    arguments = parser.parse_args()
    rows = [("job", "without", "proven", "stages", "counted_s", "cpu_s", "left open")]
    for name, job in jobs():
        for technique in () if arguments.jobs not in name else arguments.only:
            with TECHNIQUES[technique]():
                proven, of, counted, cpu, left = run(job, arguments.seconds)
            rows.append((name, technique, str(proven), str(of), f"{counted:.1f}", f"{cpu:.1f}", left))
            print(" · ".join(rows[-1]), flush=True)
    if arguments.csv is not None:
        with arguments.csv.open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows(rows)
    return 0


if __name__ == "__main__":
    sys.exit(main())

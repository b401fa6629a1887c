"""Benchmark of the scheduler: the sample jobs and a ladder of generated jobs, against two others.

    python tests/bench/bench_schedule.py [--rungs N] [--days D] [--seconds S] [--plain S] [--csv FILE]

Each job is planned three times: by rule of thumb as a person would (the first plan), by the scheduler, and by
the plain formulation of `tests/bench/plain.py`. A job of 64 people gets twice the seconds. Figures depend on
the machine and on what else it does: compare the columns of one run. It ends with status 1 where the
scheduler does less than the plan by rule of thumb.
"""

from __future__ import annotations

import argparse
import csv
import multiprocessing
import os
import resource
import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from planner.job import Job
from planner.schedule import Progress, first_plan, solve
from planner.schedule.draft.draft import draft_of
from planner.schedule.draft.values import work_value
from planner.schedule.problem.prepare import prepare
from planner.workbook.job_reader import read_job
from tests.bench.ladder import RUNGS, ladder_job
from tests.bench.plain import plain_work

SAMPLES = Path(__file__).parents[2] / "sample_jobs"


@dataclass(frozen=True)
class Row:
    """What one job came to. Times are seconds on the wall; -1 where it never came to that."""

    job: str
    dives: int
    """Dive slots of the model."""
    by_hand_work: int
    by_hand_finish_min: int
    first_s: float
    work: int
    work_bound: int
    work_s: float
    """Until the plan first had that work."""
    work_proven_s: float
    finish_min: int
    finish_bound_min: int
    stages_proven: int
    stages: int
    all_s: float
    memory_mib: int
    plain_s: float = -1
    """Until the plain formulation had the same work."""
    plain_limit_s: float = 0

    @property
    def worse_than_by_hand(self) -> bool:
        """Less work than by rule of thumb, or as much and later."""
        return (self.work, -self.finish_min) < (self.by_hand_work, -self.by_hand_finish_min)


def measure(name: str, job: Job, seconds: float) -> Row | None:
    """Plan one job by rule of thumb and with the scheduler; None where nothing can be planned."""
    problem = prepare(job)
    by_hand = first_plan(job)
    draft = draft_of(problem, by_hand) if by_hand is not None else None
    seen: list[Progress] = []
    outcome = solve(job, seconds=seconds, on_progress=seen.append)
    plan = outcome.plan
    if plan is None or by_hand is None or draft is None:
        return None
    stages = {s.name: s for s in plan.stages}
    work, finish = stages["work finished"], stages["finish"]
    reached = [
        p.elapsed_s
        for p in seen
        if p.plan is not None and (p.stage not in ("first plan", "work finished") or p.value >= work.value)
    ]
    if work_value(problem, draft) >= work.value:
        reached.append(outcome.first_plan_s)
    later = [p.elapsed_s for p in seen if p.stage not in ("first plan", "work finished")]
    return Row(
        job=name,
        dives=sum(w.slots for w in problem.dives),
        by_hand_work=work_value(problem, draft),
        by_hand_finish_min=by_hand.end_min,
        first_s=round(outcome.first_plan_s, 2),
        work=int(work.value),
        work_bound=int(work.bound),
        work_s=round(min(reached, default=outcome.seconds), 2),
        work_proven_s=round(min(later, default=outcome.seconds), 2) if work.proven else -1,
        finish_min=int(finish.value),
        finish_bound_min=int(finish.bound),
        stages_proven=sum(s.proven for s in plan.stages),
        stages=len(plan.stages),
        all_s=round(outcome.seconds, 2),
        memory_mib=resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
    )


def beside_plain(name: str, job: Job, seconds: float, plain_s: float) -> Row | None:
    """`measure`, and how long the plain formulation takes to the same work."""
    row = measure(name, job, seconds)
    if row is None or plain_s <= 0:
        return row
    plain = plain_work(job, seconds=plain_s, target=row.work)
    same = plain.value is not None and plain.value >= row.work
    return replace(row, plain_s=round(plain.seconds_to_value, 2) if same else -1, plain_limit_s=plain_s)


def alone(name: str, job: Job, seconds: float, plain_s: float) -> Row | None:
    """The same in a process of its own, so that the memory is that job's and no other's."""
    with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as pool:
        return pool.submit(beside_plain, name, job, seconds, plain_s).result()


def told(row: Row) -> str:
    """One row of the table in docs/scheduler.md."""
    proven = f", proven after {row.work_proven_s:.1f} s" if row.work_proven_s >= 0 else ""
    plain = "-"
    if row.plain_limit_s > 0:
        plain = f"not in {row.plain_limit_s:.0f} s"
        if row.plain_s >= 0:
            plain = f"{row.plain_s:.1f} s ({row.plain_s / max(0.01, row.work_s):.0f}x)"
    return (
        f"| {row.job} | {row.first_s:.2f} s | {row.by_hand_work} by {row.by_hand_finish_min} | "
        f"{row.work} ({row.work_bound}) after {row.work_s:.1f} s{proven} | "
        f"{row.finish_min} ({row.finish_bound_min}) | "
        f"{row.all_s:.1f} s, {row.stages_proven} of {row.stages} | "
        f"{row.memory_mib} MiB | {plain} |"
    )


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rungs", type=int, default=len(RUNGS))
    parser.add_argument("--days", type=int, default=1, help="days of the generated jobs")
    parser.add_argument("--seconds", type=float, default=30.0)
    parser.add_argument(
        "--plain", type=float, default=0.0, metavar="S", help="time for the plain formulation"
    )
    parser.add_argument("--no-samples", action="store_true", help="the generated jobs only")
    parser.add_argument("--csv", type=Path, metavar="FILE", help="write the figures for bench_picture.py")
    arguments = parser.parse_args()
    jobs = [] if arguments.no_samples else [(p.stem, read_job(p)) for p in sorted(SAMPLES.glob("*.xlsx"))]
    rungs = [replace(r, days=arguments.days) for r in RUNGS[: arguments.rungs]]
    jobs += [(r.name, ladder_job(r)) for r in rungs]
    load = ", ".join(f"{v:.1f}" for v in os.getloadavg())
    print(f"{os.cpu_count()} cores, load before: {load}; {arguments.seconds:.0f} s a job", flush=True)
    rows = []
    for name, job in jobs:
        seconds = arguments.seconds * (2 if len(job.people) >= 64 else 1)
        row = alone(name, job, seconds, arguments.plain)
        if row is None:
            print(f"| {name} | nothing to plan |", flush=True)
            continue
        rows.append(row)
        print(told(row), flush=True)
    if arguments.csv is not None:
        with arguments.csv.open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, [f.name for f in fields(Row)])
            writer.writeheader()
            writer.writerows(asdict(r) for r in rows)
    worse = [r.job for r in rows if r.worse_than_by_hand]
    print(f"worse than by rule of thumb: {', '.join(worse) or 'none'}")
    return int(bool(worse))


if __name__ == "__main__":
    sys.exit(main())

"""Benchmark of the scheduler: the sample jobs, a ladder of generated jobs, a plain formulation beside it.

    python tests/bench/bench_schedule.py [--rungs N] [--seconds S] [--plain S]

Figures depend on the machine; compare the columns of one run. Peak memory is the whole process so far.
"""

from __future__ import annotations

import argparse
import resource
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from planner.books import read_job
from planner.job import Job
from planner.schedule import solve
from planner.schedule.goals import GOALS
from tests.bench.ladder import RUNGS, ladder_job
from tests.bench.plain import plain_work

SAMPLES = Path(__file__).parents[2] / "sample_jobs"


def line(name: str, job: Job, seconds: float, plain_s: float) -> str:
    """One row: how soon, how good, how far proven."""
    outcome = solve(job, seconds=seconds)
    plan = outcome.plan
    if plan is None:
        return f"{name:38s} nothing to plan"
    stages = {s.name: s for s in plan.stages}
    proven = [g.name for g in GOALS if stages[g.name].proven]
    work = stages["work finished"]
    text = (
        f"{name:38s} first {outcome.first_plan_s:5.2f} s  work {work.value:6.0f} of at most "
        f"{work.bound:6.0f}  "
        f"finish {stages['finish'].value:5.0f} (bound {stages['finish'].bound:5.0f})  "
        f"all {outcome.seconds:5.1f} s  proven {len(proven)} of {len(GOALS)}"
    )
    if plain_s > 0:
        plain = plain_work(job, seconds=plain_s, target=int(work.value))
        reached = plain.value is not None and plain.value >= work.value
        text += (
            f"  plain: {'same value after' if reached else 'not the same value in'} "
            f"{plain.seconds_to_value if reached else plain.seconds:5.1f} s"
        )
    return text


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rungs", type=int, default=len(RUNGS))
    parser.add_argument("--seconds", type=float, default=30.0)
    parser.add_argument(
        "--plain", type=float, default=0.0, metavar="S", help="time for the plain formulation"
    )
    arguments = parser.parse_args()
    jobs = [(p.stem, read_job(p)) for p in sorted(SAMPLES.glob("*.xlsx"))]
    jobs += [(r.name, ladder_job(r)) for r in RUNGS[: arguments.rungs]]
    for name, job in jobs:
        print(line(name, job, arguments.seconds, arguments.plain), flush=True)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory {peak:.0f} MiB")


if __name__ == "__main__":
    main()

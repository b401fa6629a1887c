"""The command ``plan``: a job's day planned, its watchbill and plan written."""

from __future__ import annotations

import argparse
import signal
import sys
import threading
from pathlib import Path
from typing import TYPE_CHECKING

from planner import CAUTION, plan, write_plan, write_watchbill
from planner.cli.arguments import add_tide_options, count, open_job, seconds, tide_of
from planner.errors import PlanRefused
from planner.job import Job
from planner.plan.plan_json import write_refused
from planner.schedule.solve import Refused
from planner.sheets.summary import summary_text
from planner.sheets.watchbill import watchbill_name

if TYPE_CHECKING:
    from planner.cli.arguments import Subparsers
    from planner.schedule import Progress

PLANNED, NOTHING = 0, 1


def add_command(commands: Subparsers) -> None:
    """Add ``plan JOB.xlsx [--out DIR] [--tide FILE.csv] …`` to a command line.

    The parsed arguments get ``run``, which returns the exit status: 0 planned, 1 when no work can be planned.
    """
    parser = commands.add_parser("plan", help="plan a job's day and write its watchbill")
    parser.add_argument("job", type=Path, metavar="JOB.xlsx", help="the job workbook")
    parser.add_argument(
        "--out", type=Path, default=Path("out"), metavar="DIR", help="where the files go (out)"
    )
    parser.add_argument("--seconds", type=seconds(86_400), default=30.0, help="time for the search (30)")
    parser.add_argument(
        "--workers", type=count("workers", 1, 64), default=2, help="solver threads (2); 1 repeats exactly"
    )
    parser.add_argument("--seed", type=int, default=0, help="seed of the search (0)")
    parser.add_argument("--paper", choices=("A4", "Letter"), default="A4", help="paper of the sheets (A4)")
    add_tide_options(parser)
    parser.set_defaults(run=run_plan)


def run_plan(arguments: argparse.Namespace) -> int:
    """Plan the job, write the files, print the day in short. Ctrl-C keeps the best plan so far."""
    given = arguments.tide is not None
    waters = (lambda job: tide_of(arguments, job.clock, job.site.days)) if given else None
    job = open_job(arguments.job, waters=waters)
    stop = threading.Event()
    before = signal.signal(signal.SIGINT, lambda *_: stop.set())
    try:
        outcome = plan(
            job,
            seconds=arguments.seconds,
            workers=arguments.workers,
            seed=arguments.seed,
            on_progress=_tell if sys.stderr.isatty() else None,
            stop=stop,
        )
    except PlanRefused as fault:
        if isinstance(fault.refused, Refused):
            print(_kept_apart(fault.refused, job, arguments.out), file=sys.stderr)
        raise
    finally:
        signal.signal(signal.SIGINT, before)
        if sys.stderr.isatty():
            print("\r" + " " * 78 + "\r", end="", file=sys.stderr)
    if outcome.plan is None:
        print(outcome.sentence)
        for item, reasons in outcome.reasons.items():
            for reason in reasons:
                print(f"  {item}: {reason.sentence}")
        print(CAUTION)
        return NOTHING
    arguments.out.mkdir(parents=True, exist_ok=True)
    watchbill = arguments.out / watchbill_name(job)
    plan_file = arguments.out / "plan.json"
    # judged as it is read back, before anything is written
    write_plan(outcome.plan, job, plan_file)
    write_watchbill(outcome.plan, job, watchbill, paper=arguments.paper)
    print(summary_text(outcome.plan, job), end="")
    if outcome.refused is not None:
        print(f"{outcome.sentence} {_kept_apart(outcome.refused, job, arguments.out)}")
    print(f"Written: {watchbill} and {plan_file}")
    return PLANNED


def _kept_apart(refused: Refused, job: Job, out: Path) -> str:
    """Write a plan that the check refused, with its findings, and say where."""
    out.mkdir(parents=True, exist_ok=True)
    file = out / "refused_plan.json"
    write_refused(refused.plan, refused.findings, job, file)
    return f"What was refused, to report the fault with: {file}"


def _tell(progress: Progress) -> None:
    """One line that is written over: the stage, the best value, what no plan can beat."""
    line = (
        f"{progress.elapsed_s:5.1f} s  {progress.stage}: {progress.value:.0f} "
        f"(bound {progress.bound:.0f})  Ctrl-C keeps the best so far"
    )
    print("\r" + line.ljust(78)[:78], end="", file=sys.stderr, flush=True)

"""The command ``plan``: a job's day planned, its watchbill and plan written."""

from __future__ import annotations

import argparse
import sys
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

from planner import CAUTION, plan, write_plan, write_watchbill
from planner.cli.arguments import (
    MOST_SEED,
    add_days_option,
    add_paper_options,
    add_tide_options,
    count,
    open_job,
    seconds,
    sheets_there,
    tide_of,
)
from planner.cli.ended import leave
from planner.cli.stopping import stopped_by_signals
from planner.errors import PlanRefused
from planner.files import write_together
from planner.job import Job
from planner.plan import Plan
from planner.plan.plan_json import write_refused
from planner.schedule.outcome import RefusedPlan
from planner.sheets.brief import NOT_ESTIMATED
from planner.sheets.summary import summary_text
from planner.sheets.watchbill import watchbill_name
from planner.whatif.spread import Spread, spread_of

if TYPE_CHECKING:
    from planner.schedule import Progress

PLANNED, NOTHING = 0, 1


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """``plan JOB.xlsx [--out DIR] [--tide FILE.csv] …``."""
    parser.add_argument("job", type=Path, metavar="JOB.xlsx", help="the job workbook")
    parser.add_argument(
        "--out", type=Path, default=Path("out"), metavar="DIR", help="where the files go (out)"
    )
    parser.add_argument("--seconds", type=seconds(86_400), default=30.0, help="time for the search (30)")
    parser.add_argument(
        "--workers",
        type=count("workers", 1, 64),
        help="solver threads (the cores there are); 1 repeats exactly",
    )
    parser.add_argument("--seed", type=count("seed", 0, MOST_SEED), default=0, help="seed of the search (0)")
    add_paper_options(parser)
    add_tide_options(parser)
    add_days_option(parser)


def run(arguments: argparse.Namespace) -> int:
    """Plan the job, write the files, print the day in short; 0, or 1 when no work can be planned. Ctrl-C
    keeps the best plan so far."""
    given = arguments.tide is not None
    waters = (lambda job: tide_of(arguments, job.clock, job.site.days)) if given else None
    sources: list[str] = []
    job = open_job(arguments.job, waters=waters, came_from=sources.append)
    sheets_there(arguments, job)
    spread = spread_of(arguments.days)
    seen = _Seen()
    try:
        with stopped_by_signals() as stop:
            outcome = plan(
                job,
                seconds=arguments.seconds,
                workers=arguments.workers,
                seed=arguments.seed,
                on_progress=seen,
                stop=stop,
            )
    except KeyboardInterrupt:
        if seen.plan is None:
            raise
        print(_write(seen.plan, job, arguments, sources[0], spread, at_once=True))
        print("The search was ended at once: this is the best plan that it had checked by then.")
        print(NOT_ESTIMATED)
        leave(PLANNED)
    except PlanRefused as fault:
        if isinstance(fault.refused, RefusedPlan):
            print(_kept_apart(fault.refused, job, arguments.out), file=sys.stderr)
        raise
    finally:
        if sys.stderr.isatty():
            print("\r" + " " * 78 + "\r", end="", file=sys.stderr)
    if outcome.plan is None:
        print(outcome.sentence)
        for item, reasons in outcome.reasons.items():
            for reason in reasons:
                print(f"  {item}: {reason.sentence}")
        print(CAUTION)
        return NOTHING
    written = _write(outcome.plan, job, arguments, sources[0], spread)
    print(summary_text(outcome.plan, job), end="")
    if outcome.refused is not None:
        print(f"{outcome.sentence} {_kept_apart(outcome.refused, job, arguments.out)}")
    print(written)
    return PLANNED


def _write(
    found: Plan,
    job: Job,
    arguments: argparse.Namespace,
    opened_from: str,
    spread: Spread,
    *,
    at_once: bool = False,
) -> str:
    """Write watchbill and plan as a pair, neither without the other; the sentence that says where.

    ``at_once``: without what takes seconds and is not the plan.
    """
    arguments.out.mkdir(parents=True, exist_ok=True)
    watchbill, plan_file = arguments.out / watchbill_name(job), arguments.out / "plan.json"
    record, bill = BytesIO(), BytesIO()
    # judged as it is read back, before anything is written
    write_plan(found, job, record)
    paper = arguments.paper
    pages = write_watchbill(
        found,
        job,
        bill,
        paper=paper,
        opened_from=opened_from,
        sheets=arguments.sheets,
        spread=spread,
        estimates=not at_once,
    )
    write_together({watchbill: bill.getvalue(), plan_file: record.getvalue()})
    return f"Written: {watchbill} ({pages} pages of {paper}) and {plan_file}"


def _kept_apart(refused: RefusedPlan, job: Job, out: Path) -> str:
    """Write a plan that the check refused, with its findings, and say where."""
    out.mkdir(parents=True, exist_ok=True)
    file = out / "refused_plan.json"
    write_refused(refused.plan, refused.findings, job, file)
    return f"What was refused, to report the fault with: {file}"


class _Seen:
    """Keeps the best plan that was checked; on a terminal a line that is written over tells how it goes."""

    plan: Plan | None = None

    def __call__(self, progress: Progress) -> None:
        self.plan = progress.plan or self.plan
        if sys.stderr.isatty():
            line = (
                f"{progress.elapsed_s:5.1f} s  {progress.stage}: {progress.value:.0f} "
                f"(bound {progress.bound:.0f})  Ctrl-C keeps the best so far"
            )
            print("\r" + line.ljust(78)[:78], end="", file=sys.stderr, flush=True)

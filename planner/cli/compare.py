"""The command ``compare``: a job varied, every case planned, a table printed and a workbook written."""

from __future__ import annotations

import argparse
import re
import signal
import sys
import threading
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

from planner import CAUTION, write_job, write_plan
from planner.check.rule import SUBJECT_TO
from planner.cli.arguments import count, open_job, seconds, tell_faults, unwritable
from planner.errors import Fault, InputFaults
from planner.files import write_whole
from planner.job import Job
from planner.sheets.compare_book import compare_book
from planner.whatif.cases import cases_of, parse_variations
from planner.whatif.sure import MOST_DRAWS, Sure, how_sure
from planner.whatif.sweep import CASE_SECONDS, CaseResult, Knee, Sweep, knee_of, sweep

if TYPE_CHECKING:
    from planner.cli.arguments import Subparsers

COMPARED, NOTHING = 0, 1


def add_command(commands: Subparsers) -> None:
    """Add ``compare JOB.xlsx --vary tenders=2..6 [--vary divers=4..8] …`` to a command line.

    The parsed arguments get ``run``, which returns the exit status: 0 when at least one case has a plan, 1
    when none has, 2 when an input cannot be used.
    """
    parser = commands.add_parser(
        "compare",
        help="plan a job with other crews, hours or gear, case by case",
        description="Values: 2..6, 2..6/2 (every second) or 2,4,6. Things: people by duty (tenders, divers, "
        "supervisors, …), away=NAME,NAME or away=each, stations, shift (hours), chamber (minutes or none), "
        "compressors, outfits, team, windows (minutes moved).",
    )
    parser.add_argument("job", type=Path, metavar="JOB.xlsx", help="the job workbook")
    parser.add_argument(
        "--vary", action="append", default=[], metavar="THING=VALUES", help="what to vary; may be repeated"
    )
    parser.add_argument(
        "--seconds", type=seconds(3600), default=CASE_SECONDS, help="search time a case (%(default)g)"
    )
    parser.add_argument(
        "--processes", type=count("processes", 1, 256), default=2, help="cases at once (%(default)d)"
    )
    parser.add_argument("--seed", type=int, default=0, help="seed of every search and draw (0)")
    parser.add_argument(
        "--draws",
        type=count("draws", 0, MOST_DRAWS),
        default=0,
        help="also draw so many days for the job's own plan (0: none)",
    )
    parser.add_argument(
        "--cluster", metavar="ADDRESS", help="run on a Dask cluster, tcp://host:port (extra: dask)"
    )
    parser.add_argument("--out", type=Path, default=Path("compare.xlsx"), help="the workbook to write")
    parser.add_argument("--plans", type=Path, metavar="DIR", help="also write each case's job and plan here")
    parser.set_defaults(run=run_compare)


def run_compare(arguments: argparse.Namespace) -> int:
    """Run the sweep that the arguments ask for; returns the exit status. Ctrl-C keeps what is done."""
    stop = threading.Event()
    try:
        job = open_job(arguments.job)
        cases = cases_of(job, parse_variations(job, arguments.vary))
        print(f"{len(cases)} case(s) of {job.site.name}, {arguments.seconds:g} s of search each.")
        before = signal.signal(signal.SIGINT, lambda *_: stop.set())
        try:
            with _cluster(arguments.cluster):
                result = sweep(
                    cases,
                    seconds=arguments.seconds,
                    seed=arguments.seed,
                    processes=arguments.processes,
                    backend="dask" if arguments.cluster else None,
                    on_progress=_told,
                    stop=stop,
                )
            sure = _sure(result, job, arguments, stop)
        finally:
            signal.signal(signal.SIGINT, before)
        _write(lambda: write_whole(compare_book(result, job, sure), arguments.out), arguments.out)
        if arguments.plans is not None:
            _write(lambda: write_cases(result.results, arguments.plans), arguments.plans)
    except InputFaults as found:
        return tell_faults(found, "nothing was compared")
    knee = knee_of(result.results)
    for line in table_lines(result, job, knee):
        print(line)
    if sure is not None:
        print(sure.sentence)
    print(f"Wrote {arguments.out}.")
    print(f"{CAUTION} {SUBJECT_TO}")
    return COMPARED if knee.best else NOTHING


def table_lines(result: Sweep, job: Job, knee: Knee) -> list[str]:
    """The table of a sweep for a terminal: a line a case, the bend, what was carried over."""
    wide = max((len(r.case.title) for r in result.results), default=4)
    best = {r.case.number for r in knee.best}
    lines = [
        f"{'':4} {'case':<{wide}}  work min    %    end  people-h  over-h          cost  dives"
        "  min a diver  air scfm  gap %"
    ]
    for r in result.results:
        mark = "*" if r.case.number in best else " "
        head = f"{r.case.number:>3}{mark} {r.case.title:<{wide}}"
        if r.figures is None:
            lines.append(f"{head}  {r.sentence}")
            continue
        f = r.figures
        air = "–" if f.air_margin_scfm is None else f"{f.air_margin_scfm:.1f}"
        carried = f"  carried over from {r.carried_from}" if r.carried_from is not None else ""
        lines.append(
            f"{head}  {f.work_min:>8} {f.work_percent:>4.0f}  {job.clock.hhmm(f.end_min):>5}"
            f"  {f.people_min / 60:>8.1f}  {f.overtime_min / 60:>6.1f}  {f.total_cost:>12,.2f}  {f.dives:>5}"
            f"  {f.bottom_min_a_diver:>11.0f}  {air:>8}  {f.gap_percent:>5.1f}{carried}"
        )
    return [*lines, "* no other case does more for less or equal cost.", knee.sentence, result.sentence]


def write_cases(results: Sequence[CaseResult], folder: Path) -> None:
    """Write each case's job workbook and its plan as JSON, ready for every other command.

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for result in results:
        if result.plan is None:
            continue
        words = re.sub(r"[^\w]+", "-", result.case.title).strip("-")[:50]
        stem = f"case-{result.case.number:03d}_{words}"
        write_job(result.case.job, folder / f"{stem}.xlsx")
        write_plan(result.plan, result.case.job, folder / f"{stem}.plan.json")


def _sure(result: Sweep, job: Job, arguments: argparse.Namespace, stop: threading.Event) -> Sure | None:
    if not arguments.draws or stop.is_set():
        return None
    own = next((r for r in result.results if r.case.as_given and r.plan is not None), None)
    own = own or next((r for r in result.results if r.plan is not None), None)
    if own is None or own.plan is None:
        return None
    print(f"Drawing {arguments.draws} days for case {own.case.number} ({own.case.title}).")
    return how_sure(own.plan, own.case.job, draws=arguments.draws, seed=arguments.seed, stop=stop)


def _told(done: int, of: int) -> None:
    end = "\n" if done == of else ""
    if sys.stderr.isatty():
        print(f"\r{done} of {of} case(s)", end=end, file=sys.stderr, flush=True)


def _cluster(address: str | None) -> AbstractContextManager[object]:
    """The client of a Dask cluster, open while it is used.

    Raises
    ------
    InputFaults
        The extra is not installed, or nothing answers at the address.
    """
    if not address:
        return nullcontext()
    try:
        from distributed import Client
    except ImportError as wrong:
        raise InputFaults(
            [
                Fault(
                    "--cluster",
                    address,
                    "the extra dask, installed",
                    "A cluster needs the extra dask: pip install 'diving-team-planner[dask]'.",
                )
            ]
        ) from wrong
    try:
        client: AbstractContextManager[object] = Client(address, timeout="10s")  # type: ignore[no-untyped-call]
    except (OSError, ValueError) as wrong:
        raise InputFaults(
            [Fault("--cluster", address, "the address of a Dask scheduler", "No scheduler answers there.")]
        ) from wrong
    return client


def _write(write: Callable[[], None], path: Path) -> None:
    try:
        write()
    except OSError as wrong:
        raise unwritable(path, wrong) from wrong

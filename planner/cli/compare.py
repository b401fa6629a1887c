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

from planner import CAUTION
from planner.check.rule import SUBJECT_TO
from planner.errors import Fault, InputFaults
from planner.job import Job
from planner.plan import to_json
from planner.whatif.cases import cases_of, parse_variations
from planner.whatif.sure import MOST_DRAWS, Sure, how_sure
from planner.whatif.sweep import CASE_SECONDS, CaseResult, Knee, Sweep, knee_of, sweep

if TYPE_CHECKING:
    # argparse keeps this class private; it is what `add_subparsers` returns
    Subparsers = argparse._SubParsersAction[argparse.ArgumentParser]

ReadJob = Callable[[Path], Job]
WriteJob = Callable[[Job, Path], object]
WriteCompare = Callable[[Sweep, Job, Sure | None, Path], None]

COMPARED, NOTHING, FAULTS = 0, 1, 2


def add_compare_command(
    subparsers: Subparsers, read_job: ReadJob, write_book: WriteCompare, write_job: WriteJob
) -> None:
    """Add ``compare JOB.xlsx --vary tenders=2..6 [--vary divers=4..8] …`` to a command line.

    The parsed arguments get ``run``, which returns the exit status: 0 when at least one case has a plan, 1
    when none has, 2 when an input cannot be used.

    Parameters
    ----------
    subparsers
        What ``ArgumentParser.add_subparsers`` returned.
    read_job, write_job
        Read and write a job workbook.
    write_book
        Writes the workbook of the comparison.
    """
    parser = subparsers.add_parser(
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
        "--seconds", type=_seconds, default=CASE_SECONDS, help="search time a case (%(default)g)"
    )
    parser.add_argument("--processes", type=_count, default=2, help="cases at once (%(default)d)")
    parser.add_argument("--seed", type=int, default=0, help="seed of every search and draw (0)")
    parser.add_argument(
        "--draws", type=_draws, default=0, help="also draw so many days for the job's own plan (0: none)"
    )
    parser.add_argument(
        "--cluster", metavar="ADDRESS", help="run on a Dask cluster, tcp://host:port (extra: dask)"
    )
    parser.add_argument("--out", type=Path, default=Path("compare.xlsx"), help="the workbook to write")
    parser.add_argument("--plans", type=Path, metavar="DIR", help="also write each case's job and plan here")
    parser.set_defaults(run=lambda arguments: run_compare(arguments, read_job, write_book, write_job))


def _seconds(text: str) -> float:
    value = float(text)
    if not 0 < value <= 3600:
        raise argparse.ArgumentTypeError("seconds must be more than 0 and at most 3600")
    return value


def _count(text: str) -> int:
    value = int(text)
    if not 1 <= value <= 256:
        raise argparse.ArgumentTypeError("processes must be 1 to 256")
    return value


def _draws(text: str) -> int:
    value = int(text)
    if not 0 <= value <= MOST_DRAWS:
        raise argparse.ArgumentTypeError(f"draws must be 0 to {MOST_DRAWS}")
    return value


def run_compare(
    arguments: argparse.Namespace, read_job: ReadJob, write_book: WriteCompare, write_job: WriteJob
) -> int:
    """Run the sweep that the arguments ask for; returns the exit status. Ctrl-C keeps what is done."""
    stop = threading.Event()
    try:
        job = read_job(arguments.job)
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
        _write(lambda: write_book(result, job, sure, arguments.out), arguments.out)
        if arguments.plans is not None:
            _write(lambda: write_cases(result.results, arguments.plans, write_job), arguments.plans)
    except InputFaults as found:
        print(f"{len(found.faults)} fault(s) in what was given; nothing was compared.")
        for fault in found.faults:
            print(f"  {fault}")
        return FAULTS
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


def write_cases(results: Sequence[CaseResult], folder: Path, write_job: WriteJob) -> None:
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
        text = to_json(result.plan, result.case.job)
        (folder / f"{stem}.plan.json").write_text(text, encoding="utf-8")


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
        reason = wrong.strerror or "it cannot be written"
        raise InputFaults(
            [Fault(str(path), "", "a place that can be written", f"It cannot be written: {reason}.")]
        ) from wrong

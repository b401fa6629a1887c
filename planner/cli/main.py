"""The command line: ``python -m planner …``. Each command lives with the part it speaks for."""

from __future__ import annotations

import argparse
import signal
import sys
import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from planner import CAUTION, __version__
from planner.errors import Fault, InputFaults, PlannerError

if TYPE_CHECKING:
    from planner.hours import WorkedRecord
    from planner.schedule import Progress

    # argparse keeps this class private; it is what `add_subparsers` returns
    Subparsers = argparse._SubParsersAction[argparse.ArgumentParser]

PLANNED, NOTHING, FAULTS, FAILED = 0, 1, 2, 3


def build_parser(only: str | None = None) -> argparse.ArgumentParser:
    """The whole command line, or the part for one command: a command loads no other command's libraries."""
    parser = argparse.ArgumentParser(
        prog="python -m planner",
        description=f"Plans the day of a surface-supplied diving team. {CAUTION}",
    )
    parser.add_argument("--version", action="version", version=__version__)
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for name, add in COMMANDS.items():
        if only not in COMMANDS or name == only:
            add(commands)
    return parser


def _template(commands: Subparsers) -> None:
    from planner.cli.template import add_template_command

    add_template_command(commands)


def _check(commands: Subparsers) -> None:
    from planner.cli.check import add_check_command
    from planner.workbook.job_reader import read_job

    add_check_command(commands, read_job)


def _tables(commands: Subparsers) -> None:
    from planner.cli.tables import add_tables_command

    add_tables_command(commands)


def _why(commands: Subparsers) -> None:
    from planner.cli.why import add_why_command
    from planner.workbook.job_reader import read_job

    add_why_command(commands, read_job)


def _compare(commands: Subparsers) -> None:
    from planner.cli.compare import add_compare_command
    from planner.sheets.compare_book import write_compare_book
    from planner.workbook.job_reader import read_job
    from planner.workbook.job_writer import write_job

    add_compare_command(commands, read_job, write_compare_book, write_job)


def _hours(commands: Subparsers) -> None:
    from planner.cli.hours import add_hours_command
    from planner.sheets.dive_record_book import write_dive_records
    from planner.sheets.hours_book import write_hours_book
    from planner.workbook.job_reader import read_job

    add_hours_command(commands, read_job, write_hours_book, write_dive_records, _logged_days)


def _log(commands: Subparsers) -> None:
    from planner.cli.log import add_log_command

    add_log_command(commands)


def _logged_days(name: str, url: str | None) -> Sequence[WorkedRecord]:
    """The issued days of a job from the store; a refusal becomes a fault of the input."""
    from planner.store.database import StoreRefused, default_url
    from planner.store.recording import worked_days
    from planner.store.store import Store

    try:
        with Store(url or default_url()) as store:
            return worked_days(store, name)
    except StoreRefused as refused:
        fault = Fault("--logged", name, "a job with issued days", str(refused))
        raise InputFaults([fault]) from refused


def _plan(commands: Subparsers) -> None:
    parser = commands.add_parser("plan", help="plan a job's day and write its watchbill")
    parser.add_argument("job", type=Path, metavar="JOB.xlsx", help="the job workbook")
    parser.add_argument(
        "--out", type=Path, default=Path("out"), metavar="DIR", help="where the files go (out)"
    )
    parser.add_argument("--seconds", type=_positive, default=30.0, help="time for the search (30)")
    parser.add_argument("--workers", type=_count, default=2, help="solver threads (2); 1 repeats exactly")
    parser.add_argument("--seed", type=int, default=0, help="seed of the search (0)")
    parser.add_argument("--paper", choices=("A4", "Letter"), default="A4", help="paper of the sheets (A4)")
    parser.set_defaults(run=_run_plan)


def _positive(text: str) -> float:
    value = float(text)
    if not 0 < value <= 86_400:
        raise argparse.ArgumentTypeError("seconds must be more than 0 and at most 86400")
    return value


def _count(text: str) -> int:
    value = int(text)
    if not 1 <= value <= 64:
        raise argparse.ArgumentTypeError("workers must be 1 to 64")
    return value


def _run_plan(arguments: argparse.Namespace) -> int:
    # The solver is slow to import; the other commands do without it.
    from planner.plan import to_json
    from planner.schedule import solve
    from planner.sheets.summary import summary_text
    from planner.sheets.watchbill import watchbill_name, write_watchbill
    from planner.workbook.job_reader import read_job

    job = read_job(arguments.job)
    stop = threading.Event()
    before = signal.signal(signal.SIGINT, lambda *_: stop.set())
    try:
        outcome = solve(
            job,
            seconds=arguments.seconds,
            workers=arguments.workers,
            seed=arguments.seed,
            on_progress=_tell if sys.stderr.isatty() else None,
            stop=stop,
        )
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
    write_watchbill(outcome.plan, job, watchbill, paper=arguments.paper)
    plan_file.write_text(to_json(outcome.plan, job), encoding="utf-8")
    print(summary_text(outcome.plan, job), end="")
    print(f"Written: {watchbill} and {plan_file}")
    return PLANNED


def _tell(progress: Progress) -> None:
    """One line that is written over: the stage, the best value, what no plan can beat."""
    line = (
        f"{progress.elapsed_s:5.1f} s  {progress.stage}: {progress.value:.0f} "
        f"(bound {progress.bound:.0f})  Ctrl-C keeps the best so far"
    )
    print("\r" + line.ljust(78)[:78], end="", file=sys.stderr, flush=True)


COMMANDS: dict[str, Callable[[Subparsers], None]] = {
    "template": _template,
    "plan": _plan,
    "check": _check,
    "tables": _tables,
    "why": _why,
    "compare": _compare,
    "hours": _hours,
    "log": _log,
}


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; the exit status. No traceback reaches a user for a fault of the input."""
    given = list(sys.argv[1:] if argv is None else argv)
    arguments = build_parser(given[0] if given else None).parse_args(given)
    try:
        return int(arguments.run(arguments))
    except InputFaults as found:
        print(f"{len(found.faults)} fault(s) in what was given; nothing was written.", file=sys.stderr)
        for fault in found.faults:
            print(f"  {fault}", file=sys.stderr)
        return FAULTS
    except (PlannerError, OSError) as wrong:
        print(wrong, file=sys.stderr)
        return FAILED


if __name__ == "__main__":
    sys.exit(main())

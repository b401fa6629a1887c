"""The command ``compare``: a job varied, every case planned, a table printed and a workbook written."""

from __future__ import annotations

import argparse
import re
import sys
import threading
from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from decimal import Decimal, InvalidOperation
from functools import partial
from pathlib import Path

from planner import CAUTION, write_job, write_plan
from planner.check.rule import SUBJECT_TO
from planner.cli.arguments import (
    MOST_SEED,
    add_days_option,
    count,
    open_job,
    seconds,
    tell_faults,
    written_to,
)
from planner.cli.ended import leave
from planner.cli.stopping import stopped_by_signals
from planner.errors import InputFaults
from planner.files import write_whole
from planner.sheets.compare_book import compare_book
from planner.whatif.axes import crew_variations
from planner.whatif.best import (
    BEST_MARK,
    EARLIER_MARK,
    BestCase,
    Knee,
    best_within,
    finish_words,
    knee_of,
    least_crew,
)
from planner.whatif.cases import parse_variations
from planner.whatif.from_log import fitted
from planner.whatif.results import CaseResult, Sweep
from planner.whatif.spread import Spread, spread_of
from planner.whatif.sure import MOST_DRAWS, Sure, how_sure
from planner.whatif.sweep import CASE_DRAWS, CASE_SECONDS, sweep
from planner.whatif.whole import whole_cases

COMPARED, NOTHING = 0, 1
_UNWRITTEN = "It cannot be written"
#: Marks of the cases as every terminal has them.
_MARKS = {BEST_MARK: "*", EARLIER_MARK: "e"}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """``compare JOB.xlsx [JOB2.xlsx …] --vary tenders=2..6 [--vary divers=4..8] …``."""
    parser.description = (
        "Values: 2..6, 2..6/2 (every second) or 2,4,6. Things: people by duty (tenders, divers, "
        "supervisors, …), away=NAME,NAME or away=each, stations, shift (hours), start (minutes later), "
        "chamber (minutes or none), compressors, outfits, margin, turnaround, outfit-turnaround (minutes), "
        "team, windows (minutes moved). Several jobs are a week or a season: each case is planned for all of "
        "them, and told over the whole."
    )
    percent = partial(count, "per cent")
    parser.add_argument(
        "jobs", type=Path, nargs="+", metavar="JOB.xlsx", help="the job workbook; several are compared as one"
    )
    parser.add_argument(
        "--vary", action="append", default=[], metavar="THING=VALUES", help="what to vary; may be repeated"
    )
    parser.add_argument(
        "--seconds", type=seconds(3600), default=CASE_SECONDS, help="search time a case (%(default)g)"
    )
    parser.add_argument(
        "--processes", type=count("processes", 1, 256), default=2, help="cases at once (%(default)d)"
    )
    parser.add_argument(
        "--seed", type=count("seed", 0, MOST_SEED), default=0, help="seed of every search and draw (0)"
    )
    parser.add_argument(
        "--draws",
        type=count("draws", 0, MOST_DRAWS),
        default=CASE_DRAWS,
        help="days drawn for each case: its chance to finish (%(default)d; 0: none)",
    )
    add_days_option(parser)
    parser.add_argument(
        "--from-log", action="store_true", help="how days go otherwise: as the days logged in the store went"
    )
    parser.add_argument("--db", metavar="URL", help="the store: a file or a database URL (this user's store)")
    parser.add_argument(
        "--likely", type=percent(0, 100), metavar="PERCENT", help="ask for the least crew that is so likely"
    )
    parser.add_argument(
        "--at-least-work",
        type=percent(1, 100),
        metavar="PERCENT",
        help="how much of the work, by priority, the chance is of (the most that any case plans)",
    )
    parser.add_argument(
        "--budget", type=_money, metavar="MONEY", help="ask for the likeliest case that costs no more"
    )
    parser.add_argument(
        "--cluster", metavar="ADDRESS", help="run on a Dask cluster, tcp://host:port (extra: dask)"
    )
    parser.add_argument("--out", type=Path, default=Path("compare.xlsx"), help="the workbook to write")
    parser.add_argument("--plans", type=Path, metavar="DIR", help="also write each case's job and plan here")


def run(arguments: argparse.Namespace) -> int:
    """Run the sweep that the arguments ask for. Ctrl-C keeps what is done.

    Returns 0 when at least one case has a plan and what was asked has its case, 1 when not, 2 when an input
    cannot be used.
    """
    # what plans in this very process is loaded before Ctrl-C is for the sweep alone
    meanwhile = ("planner.schedule.solve",) if arguments.processes == 1 else ()
    try:
        job, *beside = sorted(
            (open_job(path, meanwhile=meanwhile) for path in arguments.jobs), key=lambda one: one.clock.origin
        )
        asked = arguments.likely is not None or arguments.budget is not None
        if asked and not arguments.draws:
            raise InputFaults.one("--draws 0", "0", "1 or more", "A chance needs drawn days.")
        vary = arguments.vary or (crew_variations(job) if asked else ())
        lanes = whole_cases([job, *beside], parse_variations(job, vary, beside))
        spread = spread_of(arguments.days, _from_log(arguments) if arguments.from_log else None)
        of = f"{len(lanes)} jobs, {job.site.name} the first" if beside else job.site.name
        print(f"{len(lanes[0])} case(s) of {of}, {arguments.seconds:g} s of search a plan.")
        with stopped_by_signals(at_once=True) as stop, _cluster(arguments.cluster):
            result = sweep(
                *lanes,
                seconds=arguments.seconds,
                seed=arguments.seed,
                processes=arguments.processes,
                backend="dask" if arguments.cluster else None,
                draws=arguments.draws,
                spread=spread,
                on_progress=_told,
                stop=stop,
            )
        sure, ended = None, stop.is_set()
        if not ended:
            with stopped_by_signals() as stop:
                sure = _sure(result, spread, arguments, stop)
        knee = knee_of(result.results, arguments.at_least_work)
        book = compare_book(result, job, sure, at_least=arguments.at_least_work)
        with written_to(arguments.out, _UNWRITTEN):
            write_whole(book, arguments.out)
        if arguments.plans is not None:
            with written_to(arguments.plans, _UNWRITTEN):
                write_cases(result.results, arguments.plans)
    except InputFaults as found:
        return tell_faults(found, "nothing was compared")
    for line in table_lines(result, knee):
        print(line)
    if sure is not None:
        print(f"{sure.sentence} {sure.spread.sentence}")
    answers = _answers(result.results, knee, arguments)
    for answer in answers:
        print(answer.sentence)
    print(f"Wrote {arguments.out}.")
    print(f"{CAUTION} {SUBJECT_TO}")
    status = COMPARED if knee.best and all(a.result for a in answers) else NOTHING
    if ended and arguments.processes == 1:
        # a search of this very process may still be at it
        leave(status)
    return status


def _answers(results: Sequence[CaseResult], knee: Knee, arguments: argparse.Namespace) -> list[BestCase]:
    """What was asked in one line: the least crew that is so likely, the likeliest case within a budget."""
    if knee.at_least is None:
        return []
    found = []
    if arguments.likely is not None:
        found.append(least_crew(results, arguments.likely, knee.at_least, arguments.budget))
    if arguments.budget is not None:
        found.append(best_within(results, arguments.budget, knee.at_least))
    return found


def _from_log(arguments: argparse.Namespace) -> Spread:
    """How days go otherwise by the store's log; each finished item is told with its planned and real minutes.

    Raises
    ------
    InputFaults
        The store cannot be read.
    """
    from planner.store import Store, StoreRefused
    from planner.store.recording import logged_days

    try:
        with Store(arguments.db) as store:
            seen = fitted(logged_days(store), Spread())
    except StoreRefused as refused:
        found = arguments.db or ""
        raise InputFaults.one("--from-log", found, "a store with a log", str(refused)) from refused
    for one in seen.items:
        print(
            f"{one.day} {one.item}: {one.planned_min} min planned, {one.real_min} really "
            f"({one.over_percent:+.0f} %)"
        )
    return seen.spread


def _money(text: str) -> Decimal:
    try:
        money = Decimal(text)
    except InvalidOperation:
        money = Decimal("NaN")
    if not money.is_finite() or money < 0:
        raise argparse.ArgumentTypeError(f"{text} is no amount of money")
    return money


def table_lines(result: Sweep, knee: Knee) -> list[str]:
    """The table of a sweep for a terminal: a line a case, the bend, what was carried over."""
    wide = max((len(r.case.title) for r in result.results), default=4)
    drawn = knee.at_least is not None
    late = max((len(finish_words(r)) for r in result.results if r.figures is not None), default=5)
    head = f"{'':4} {'case':<{wide}}  {'chance  ' if drawn else ''}work min    %  {'end':>{late}}"
    lines = [f"{head}    duty-h  over-h          cost  dives  min a diver  air scfm  to gain %"]
    for r in result.results:
        mark = _MARKS.get(knee.marks.get(r.case.number, ""), " ")
        head = f"{r.case.number:>3}{mark} {r.case.title:<{wide}}"
        if r.figures is None:
            lines.append(f"{head}  {r.sentence}")
            continue
        f = r.figures
        air = "–" if f.air_margin_scfm is None else f"{f.air_margin_scfm:.1f}"
        chance = f"{knee.gain(r):>4.0f} %  " if drawn else ""
        carried = f"  carried over from {r.carried_from}" if r.carried_from is not None else ""
        carried = f"  {r.sentence}" if r.parts else carried
        lines.append(
            f"{head}  {chance}{f.work_min:>8} {f.work_percent:>4.0f}  {finish_words(r):>{late}}"
            f"  {f.people_min / 60:>8.1f}  {f.overtime_min / 60:>6.1f}  {f.total_cost:>12,.2f}  {f.dives:>5}"
            f"  {f.bottom_min_a_diver:>11.0f}  {air:>8}  {f.gap_percent:>9.1f}{carried}"
        )
    marks = "* no other case brings more for less or equal cost; e only finishes earlier."
    if drawn:
        marks += f" Chance: {knee.gain_words}."
    return [*lines, marks, knee.sentence, result.sentence]


def write_cases(results: Sequence[CaseResult], folder: Path) -> None:
    """Write each case's job workbook and its plan as JSON, ready for every other command.

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for whole in results:
        words = re.sub(r"[^\w]+", "-", whole.case.title).strip("-")[:50]
        for number, result in enumerate(whole.with_plans, start=1):
            if result.plan is None:
                continue
            of = f"_job-{number:02d}" if whole.parts else ""
            stem = f"case-{result.case.number:03d}{of}_{words}"
            write_job(result.case.job, folder / f"{stem}.xlsx")
            write_plan(result.plan, result.case.job, folder / f"{stem}.plan.json")


def _sure(result: Sweep, spread: Spread, arguments: argparse.Namespace, stop: threading.Event) -> Sure | None:
    if not arguments.draws or stop.is_set():
        return None
    found = [r for r in result.results if r.figures is not None]
    own = next((r for r in found if r.case.as_given), found[0] if found else None)
    if own is None or own.plan is None:
        return own.sure if own is not None else None
    print(f"Case {own.case.number} ({own.case.title}) in full:")
    return how_sure(own.plan, own.case.job, spread, draws=arguments.draws, seed=arguments.seed, stop=stop)


def _told(done: int, of: int) -> None:
    end = "\n" if done == of else ""
    if sys.stderr.isatty():
        print(f"\r{done} of {of} step(s)", end=end, file=sys.stderr, flush=True)


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
        told = "A cluster needs the extra dask: pip install 'diving-team-planner[dask]'."
        raise InputFaults.one("--cluster", address, "the extra dask, installed", told) from wrong
    try:
        client: AbstractContextManager[object] = Client(address, timeout="10s")  # type: ignore[no-untyped-call]
    except (OSError, ValueError) as wrong:
        told, allowed = "No scheduler answers there.", "the address of a Dask scheduler"
        raise InputFaults.one("--cluster", address, allowed, told) from wrong
    return client

"""What several commands ask for in the same words: times, counts, a tide table; and how faults are told."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from planner.errors import InputFaults

if TYPE_CHECKING:
    from planner.job import Clock, Job, TideMark
    from planner.workbook.job_reader import Told, Waters

#: How many faults are printed.
MOST_TOLD = 200
#: Seeds that the solver takes (a whole number of 32 bits).
MOST_SEED = 2**31 - 1
#: Exit status of a command whose input cannot be used.
FAULTS = 2


def seconds(most: float) -> Callable[[str], float]:
    """Reads a time in seconds, more than nothing and at most ``most``."""

    def read(text: str) -> float:
        value = float(text)
        if not 0 < value <= most:
            raise argparse.ArgumentTypeError(f"seconds must be more than 0 and at most {most:g}")
        return value

    return read


def count(what: str, least: int, most: int) -> Callable[[str], int]:
    """Reads a whole number from ``least`` to ``most``."""

    def read(text: str) -> int:
        value = int(text)
        if not least <= value <= most:
            raise argparse.ArgumentTypeError(f"{what} must be {least} to {most}")
        return value

    return read


def open_job(
    path: Path,
    *,
    waters: Waters | None = None,
    came_from: Told | None = None,
    meanwhile: Sequence[str] = (),
) -> Job:
    """Read a job workbook. Which sheets were read, and what is opened otherwise than it stands there, is told
    on the error stream; ``came_from`` is given the first of these, too.

    The file is opened in a process of its own. What a job is, and ``meanwhile``, modules that the command
    needs next, are loaded at the same time.

    Raises
    ------
    InputFaults
        As `planner.workbook.read_job`.
    """
    from planner.workbook.apart import open_apart

    def tell(sentence: str) -> None:
        print(f"{path}: {sentence}", file=sys.stderr)

    def tell_source(sentence: str) -> None:
        tell(sentence)
        if came_from is not None:
            came_from(sentence)

    with ThreadPoolExecutor(1) as aside:
        opened = aside.submit(open_apart, path)
        for module in meanwhile:
            import_module(module)
        from planner.workbook.job_reader import job_of_book

        book = opened.result()
    return job_of_book(book, waters=waters, told=tell, came_from=tell_source)


def tell_faults(
    found: InputFaults, nothing: str, what: str = "fault(s) in what was given", to: TextIO | None = None
) -> int:
    """Print the faults (where not said, on the output) under one line that says what was not done; the exit
    status."""
    lines = [f"{len(found.faults)} {what}; {nothing}.", *(f"  {fault}" for fault in found.faults[:MOST_TOLD])]
    if len(found.faults) > MOST_TOLD:
        lines.append(f"  and {len(found.faults) - MOST_TOLD} more: put these right first.")
    print("\n".join(lines), file=to)
    return FAULTS


def refused(told: object) -> int:
    """Say on the error stream why nothing is done; the exit status."""
    print(told, file=sys.stderr)
    return FAULTS


@contextmanager
def written_to(path: Path, sentence: str = "Nothing was written") -> Iterator[None]:
    """Have it told as a fault of the input where what the block writes cannot be written."""
    try:
        yield
    except OSError as wrong:
        told = f"{sentence}: {wrong.strerror or 'it cannot be written'}."
        raise InputFaults.one(str(path), "", "a place that can be written", told) from wrong


def add_paper_options(parser: argparse.ArgumentParser) -> None:
    """Add ``--paper`` and ``--sheets`` of a watchbill; ``day`` stands for the sheets of a working day."""
    from planner.sheets.watchbill import DAY_SHEETS, SHEETS

    known = {name.casefold(): (name,) for name in SHEETS} | {"day": DAY_SHEETS}

    def names_of(text: str) -> tuple[str, ...]:
        names = [part.strip().casefold() for part in text.split(",") if part.strip()]
        unknown = [name for name in names if name not in known]
        if unknown or not names:
            raise argparse.ArgumentTypeError(f"sheets are day, {', '.join(SHEETS)}; not {', '.join(unknown)}")
        return tuple(dict.fromkeys(sheet for name in names for sheet in known[name]))

    parser.add_argument("--paper", choices=("A4", "Letter"), default="A4", help="paper of the sheets (A4)")
    parser.add_argument(
        "--sheets",
        type=names_of,
        default=(),
        metavar="NAME,NAME",
        help=f"sheets to write (all), in any case: {', '.join(SHEETS)}; day is {', '.join(DAY_SHEETS)}",
    )


def add_days_option(parser: argparse.ArgumentParser) -> None:
    """Add ``--days KEY=NUMBER``: how days go otherwise than planned, for chances."""
    from planner.whatif.spread import TYPED

    parser.add_argument(
        "--days",
        action="append",
        default=[],
        metavar="KEY=NUMBER",
        help=f"how days go otherwise than planned: {', '.join(TYPED)}; may be repeated",
    )


def sheets_there(arguments: argparse.Namespace, job: Job) -> None:
    """Refuse a choice of sheets of which the job has none, before anything is searched or stored.

    Raises
    ------
    InputFaults
        *Gates* alone, of a job that names none.
    """
    if arguments.sheets == ("Gates",) and not job.gates:
        raise InputFaults.one("--sheets", "Gates", "another sheet", "The job names no gate.")


def add_tide_options(parser: argparse.ArgumentParser) -> None:
    """Add ``--tide FILE.csv`` with the units of its levels and the zone of its times."""
    parser.add_argument(
        "--tide",
        type=Path,
        metavar="FILE.csv",
        help="high and low waters, columns Date Time, Prediction, Type; they stand in place of the job's",
    )
    parser.add_argument("--tide-metres", action="store_true", help="its levels are in metres, not feet")
    parser.add_argument("--tide-utc", action="store_true", help="its times are UTC, not the site's")


def tide_of(arguments: argparse.Namespace, clock: Clock, days: int) -> tuple[TideMark, ...]:
    """The high and low waters of the file given with ``--tide``, on a job's clock and over its days.

    Raises
    ------
    InputFaults
        Every fault of the file, each with its line; a table that does not reach over the days.
    """
    from planner.files import read_words
    from planner.job.tide_csv import read_tide_csv

    return read_tide_csv(
        read_words(arguments.tide, "a tide table"),
        clock,
        days=days,
        metres=arguments.tide_metres,
        utc=arguments.tide_utc,
        name=arguments.tide.name,
    )

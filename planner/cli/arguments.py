"""What several commands ask for in the same words: times, counts, a tide table; and how faults are told."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from planner.errors import Fault, InputFaults

if TYPE_CHECKING:
    from planner.job import Clock, Job, TideMark
    from planner.workbook.job_reader import Waters

    # argparse keeps this class private; it is what `add_subparsers` returns
    Subparsers = argparse._SubParsersAction[argparse.ArgumentParser]

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


def open_job(path: Path, *, waters: Waters | None = None) -> Job:
    """Read a job workbook; what is opened otherwise than it stands there is told on the error stream.

    Raises
    ------
    InputFaults
        As `planner.workbook.read_job`.
    """
    from planner.workbook import read_job

    return read_job(path, waters=waters, told=lambda sentence: print(f"{path}: {sentence}", file=sys.stderr))


def tell_faults(found: InputFaults, nothing: str) -> int:
    """Print every fault under one line that says what was not done; the exit status."""
    print(f"{len(found.faults)} fault(s) in what was given; {nothing}.")
    for fault in found.faults:
        print(f"  {fault}")
    return FAULTS


def unwritable(path: Path, wrong: OSError, sentence: str = "It cannot be written") -> InputFaults:
    """The fault of a place that cannot be written."""
    reason = wrong.strerror or "it cannot be written"
    return InputFaults([Fault(str(path), "", "a place that can be written", f"{sentence}: {reason}.")])


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

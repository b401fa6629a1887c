"""The command ``logbook``: every diver's dives over all jobs of the store, a page a diver."""

from __future__ import annotations

import argparse
from pathlib import Path

from planner import CAUTION
from planner.check.rule import SUBJECT_TO
from planner.cli.arguments import written_to
from planner.errors import Fault, InputFaults
from planner.files import write_whole
from planner.hours.logbook import Logbook, logbooks, runs_of_days
from planner.sheets.logbook_book import logbook_book
from planner.store.database import default_url
from planner.store.recording import worked_days
from planner.store.store import Store
from planner.words.measures import hours_minutes


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """``logbook [--diver NAME …] [--db URL] [--paper A4|Letter] [--out FILE]``."""
    parser.add_argument(
        "--diver", action="append", default=[], metavar="NAME", help="only this one; may be repeated"
    )
    parser.add_argument("--db", metavar="URL", help="the store to read (the usual one)")
    parser.add_argument("--paper", choices=("A4", "Letter"), default="A4", help="paper of the pages (A4)")
    parser.add_argument(
        "--out", type=Path, default=Path("logbooks.xlsx"), metavar="FILE", help="the workbook"
    )


def run(arguments: argparse.Namespace) -> int:
    """Read the store, write the workbook, print a line a diver; 0.

    Raises
    ------
    InputFaults
        A name given has no logged dive, or the place cannot be written.
    StoreRefused
        The store holds no issued day, or one that cannot be read.
    """
    with Store(arguments.db or default_url()) as store:
        found = {book.person: book for book in logbooks(worked_days(store))}
    unknown = [name for name in arguments.diver if name not in found]
    if unknown:
        allowed = ", ".join(found) or "nobody has a logged dive"
        raise InputFaults(
            [Fault("--diver", name, allowed, f"{name} has no logged dive.") for name in unknown]
        )
    books = [found[name] for name in dict.fromkeys(arguments.diver)] or [*found.values()]
    with written_to(arguments.out):
        write_whole(logbook_book(books, paper=arguments.paper), arguments.out)
    for line in diver_lines(books):
        print(line)
    print(f"Wrote {arguments.out}: {len(books)} logbook(s).")
    print(f"{CAUTION} {SUBJECT_TO}")
    return 0


def diver_lines(books: list[Logbook]) -> list[str]:
    """A line a diver, for a terminal."""
    wide = max((len(b.person) for b in books), default=5)
    lines = [
        f"{'diver':<{wide}}  dives  in water, h  bottom, min  deepest, fsw  days in a row  medical until"
    ]
    return lines + [
        f"{b.person:<{wide}}  {len(b.dives):>5}  {hours_minutes(b.in_water_min):>11}  {b.bottom_min:>11}  "
        f"{b.greatest_depth_fsw:>12}  {runs_of_days(b.days)[-1]:>13}  {b.medical_words}"
        for b in books
    ]

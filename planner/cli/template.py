"""The command ``template``: an empty job workbook."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from planner import CAUTION
from planner.job import UnitSystem
from planner.workbook.job_writer import write_template

if TYPE_CHECKING:
    # argparse keeps this class private; it is what `add_subparsers` returns
    Subparsers = argparse._SubParsersAction[argparse.ArgumentParser]

WRITTEN, REFUSED = 0, 2
_UNITS = {"feet": UnitSystem.FEET, "metric": UnitSystem.METRIC}


def add_template_command(subparsers: Subparsers) -> None:
    """Add ``template OUT.xlsx [--units metric] [--force]`` to a command line.

    The parsed arguments get ``run``, a function of them that returns the exit status: 0 when the workbook
    was written, 2 when it could not be or would have replaced a file.
    """
    parser = subparsers.add_parser("template", help="write an empty job workbook to fill in")
    parser.add_argument("out", type=Path, metavar="OUT.xlsx", help="the workbook to write")
    parser.add_argument(
        "--units",
        choices=sorted(_UNITS),
        default="feet",
        help="feet: fsw, psi, cu ft; metric: metres, bar, litres",
    )
    parser.add_argument("--force", action="store_true", help="replace a file that is already there")
    parser.set_defaults(run=lambda arguments: run_template(arguments.out, arguments.units, arguments.force))


def run_template(out: Path, units: str, force: bool) -> int:
    """Write the workbook, say so, return the exit status."""
    if out.exists() and not force:
        print(f"{out} is already there; nothing was written. --force replaces it.", file=sys.stderr)
        return REFUSED
    if out.suffix.casefold() != ".xlsx":
        print(f"{out} does not end in .xlsx, so no spreadsheet program would open it.", file=sys.stderr)
        return REFUSED
    try:
        write_template(out, _UNITS[units])
    except OSError as wrong:
        print(f"{out} cannot be written: {wrong.strerror or wrong}.", file=sys.stderr)
        return REFUSED
    print(f"Wrote {out} in {_UNITS[units]}. Fill it in, then give it to the planner.")
    print(CAUTION)
    return WRITTEN

"""The command ``template``: an empty job workbook, with a tide table in it where one is given."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path

from planner import CAUTION, write_template
from planner.cli.arguments import add_tide_options, count, refused, tell_faults, tide_of
from planner.errors import InputFaults
from planner.job import Clock, TideMark, UnitSystem
from planner.job.contradiction import known_time_zones

_UNITS = {"feet": UnitSystem.FEET, "metric": UnitSystem.METRIC}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """``template OUT.xlsx [--units metric] [--tide FILE.csv --first-day YYYY-MM-DD] [--force]``."""
    parser.add_argument("out", type=Path, metavar="OUT.xlsx", help="the workbook to write")
    parser.add_argument(
        "--units",
        choices=sorted(_UNITS),
        default="feet",
        help="feet: fsw, psi, cu ft; metric: metres, bar, litres",
    )
    parser.add_argument("--force", action="store_true", help="replace a file that is already there")
    add_tide_options(parser)
    parser.add_argument(
        "--first-day", type=date.fromisoformat, metavar="YYYY-MM-DD", help="with --tide: the day to plan"
    )
    parser.add_argument("--days", type=count("days", 1, 7), default=1, help="with --tide: how many days (1)")
    parser.add_argument(
        "--time-zone", metavar="NAME", help="with --tide-utc: the site's zone, such as Europe/Lisbon"
    )


def _unfit(arguments: argparse.Namespace) -> str:
    """Why nothing can be written as it was asked for; blank where it can."""
    out, zone = arguments.out, arguments.time_zone
    if out.exists() and not arguments.force:
        return f"{out} is already there; nothing was written. --force replaces it."
    if out.suffix.casefold() != ".xlsx":
        return f"{out} does not end in .xlsx, so no spreadsheet program would open it."
    if (arguments.tide is None) != (arguments.first_day is None):
        return "--tide and --first-day belong together: the waters, and the day they are for."
    if arguments.tide_utc and zone is None:
        return "--tide-utc needs --time-zone: the workbook holds the site's own times."
    if zone is not None and zone not in known_time_zones():
        return f"There is no time zone {zone!r}; one is named such as Europe/Lisbon."
    return ""


def run(arguments: argparse.Namespace) -> int:
    """Write the workbook and say so; 0 when it was written, 2 when it could not be, would have replaced a
    file, or the tide table has faults."""
    out, units, zone = arguments.out, _UNITS[arguments.units], arguments.time_zone
    if unfit := _unfit(arguments):
        return refused(unfit)
    try:
        site: dict[str, object] = {}
        tide: tuple[TideMark, ...] = ()
        if arguments.tide is not None:
            tide = tide_of(arguments, Clock(arguments.first_day, zone or "UTC"), arguments.days)
            site = {"first_day": arguments.first_day, "days": arguments.days, "time_zone": zone}
        write_template(out, units, site=site, tide=tide)
    except InputFaults as found:
        return tell_faults(found, "nothing was written")
    except OSError as wrong:
        return refused(f"{out} cannot be written: {wrong.strerror or wrong}.")
    print(f"Wrote {out} in {units}. Fill it in, then give it to the planner.")
    print(CAUTION)
    return 0

"""The command `tables`: a look-up from the command line."""

from __future__ import annotations

import argparse
import math
import re
import sys
from typing import TYPE_CHECKING

from planner import look_up
from planner.cli.arguments import FAULTS
from planner.errors import TableRefusal
from planner.job import UnitSystem
from planner.job.units import METRES_PER_FOOT, fsw_from_metres
from planner.tables.options import ExposureOptions
from planner.words.look_up import look_up_text

if TYPE_CHECKING:
    from planner.cli.arguments import Subparsers

_HOURS_MINUTES = re.compile(r"^(\d{1,3}):([0-5]\d)$")

EXAMPLE = "example: tables --depth 78 --bottom 47 --group K --interval 1:30 --altitude 5000"


def _number(text: str, what: str) -> float:
    try:
        value = float(text)
    except ValueError:
        raise ValueError(f"{what} must be a number, not {text!r}.") from None
    if not math.isfinite(value):
        raise ValueError(f"{what} must be a number, not {text!r}.")
    return value


def whole_minutes(text: str, what: str) -> int:
    """Minutes from ``47``, ``46.5`` (rounded up) or ``1:30``; ValueError with a sentence otherwise."""
    found = _HOURS_MINUTES.match(text.strip())
    if found:
        return int(found.group(1)) * 60 + int(found.group(2))
    value = _number(text, f"{what} (minutes, or hours:minutes such as 1:30)")
    if value < 0:
        raise ValueError(f"{what} cannot be negative ({text}).")
    return math.ceil(value)


def whole_interval(text: str) -> int:
    """Surface interval in minutes; a part of a minute is dropped, since less credit is the safe side."""
    if _HOURS_MINUTES.match(text.strip()):
        return whole_minutes(text, "A surface interval")
    value = _number(text, "A surface interval (minutes, or hours:minutes such as 1:30)")
    if value < 0:
        raise ValueError(f"A surface interval cannot be negative ({text}).")
    return math.floor(value)


def whole_depth_fsw(text: str, units: UnitSystem) -> int:
    """Depth in whole fsw, rounded up, from feet or metres."""
    value = _number(text, "A depth")
    return fsw_from_metres(value) if units is UnitSystem.METRIC else math.ceil(value)


def whole_altitude_ft(text: str, units: UnitSystem) -> int:
    """Altitude in whole feet, rounded up, from feet or metres."""
    value = _number(text, "An altitude")
    return math.ceil(value / METRES_PER_FOOT - 1e-9) if units is UnitSystem.METRIC else math.ceil(value)


def add_command(commands: Subparsers) -> None:
    """Add ``tables --depth FSW --bottom MIN …`` to a command line; its ``run`` returns the exit status."""
    parser = commands.add_parser(
        "tables",
        help="look a dive up in the air tables",
        description="Looks one dive up: every way up, rows next deeper and next longer, what comes after.",
        epilog=EXAMPLE,
    )
    parser.add_argument("--depth", required=True, help="greatest depth, fsw (metres with --units metric)")
    parser.add_argument("--bottom", required=True, help="bottom time, minutes or hours:minutes")
    parser.add_argument("--group", help="repetitive group at the last surfacing (with --interval) or now")
    parser.add_argument("--interval", help="time on the surface since then, minutes or hours:minutes")
    parser.add_argument(
        "--altitude", default="0", help="altitude of the site, feet (metres with --units metric)"
    )
    parser.add_argument("--units", choices=("feet", "metric"), default="feet")
    parser.add_argument("--margin", default="0", help="minutes to stay under every limit and row")
    parser.add_argument("--cold", action="store_true", help="arduous or cold: next longer schedule")
    parser.add_argument("--pneumofathometer", action="store_true", help="depth read by pneumofathometer")
    parser.add_argument(
        "--fixed-reference", action="store_true", help="depth gauge with a fixed one-atmosphere reference"
    )
    parser.add_argument("--one-foot", action="store_true", help="one-foot rows between 30 and 50 fsw")
    parser.add_argument("--profile", action="store_true", help="also print the dive stretch by stretch")
    parser.set_defaults(run=run_tables)


def answer_text(args: argparse.Namespace) -> str:
    """The text that answers the command's arguments. TableRefusal or ValueError with one sentence."""
    units = UnitSystem.METRIC if args.units == "metric" else UnitSystem.FEET
    options = ExposureOptions(
        altitude_ft=whole_altitude_ft(args.altitude, units),
        margin_min=whole_minutes(args.margin, "A margin"),
        next_longer_row=args.cold,
        pneumofathometer_correction=args.pneumofathometer,
        fixed_reference_gauge=args.fixed_reference,
        one_foot_rows=args.one_foot,
    )
    found = look_up(
        whole_depth_fsw(args.depth, units),
        whole_minutes(args.bottom, "A bottom time"),
        group=args.group.strip().upper() if args.group is not None else None,
        interval_min=whole_interval(args.interval) if args.interval is not None else None,
        options=options,
    )
    return look_up_text(found, units=units, with_profile=args.profile)


def run_tables(args: argparse.Namespace) -> int:
    """Print the look-up. Returns 0, or 2 after one sentence about what was wrong."""
    try:
        text = answer_text(args)
    except (TableRefusal, ValueError) as wrong:
        print(wrong, file=sys.stderr)
        return FAULTS
    print(text, end="")
    return 0

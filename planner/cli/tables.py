"""The command `tables`: a look-up from the command line, the sets at hand, the soundness of a set."""

from __future__ import annotations

import argparse
import math
import re
from collections.abc import Callable
from functools import partial
from pathlib import Path

from planner import look_up
from planner.cli.arguments import FAULTS, refused, tell_faults
from planner.errors import InputFaults, PlannerError, TableRefusal
from planner.files import write_whole
from planner.job import UnitSystem
from planner.job.units import ALTITUDE, DEPTH
from planner.table_sets import DEFAULT_ID, SetRefused, keep_set, set_ids, table_set
from planner.table_sets.shelf import files_of
from planner.tables.options import ExposureOptions
from planner.words.look_up import look_up_text
from planner.words.table_set import soundness_lines

_HOURS_MINUTES = re.compile(r"^(\d{1,3}):([0-5]\d)$")

EXAMPLE = (
    "examples: tables list; tables check FOLDER; tables check SET.xlsx; tables keep harbour-3 SET.xlsx; "
    "tables book us-navy-7 SET.xlsx; "
    "tables --depth 78 --bottom 47 --group K --interval 1:30 --altitude 5000"
)


def _number(text: str, what: str) -> float:
    try:
        value = float(text)
    except ValueError:
        raise ValueError(f"{what} must be a number, not {text!r}.") from None
    if not math.isfinite(value):
        raise ValueError(f"{what} must be a number, not {text!r}.")
    return value


def whole_minutes(text: str, what: str, whole: Callable[[float], int] = math.ceil) -> int:
    """Minutes from ``47``, ``46.5`` (rounded up, or as said) or ``1:30``; ValueError with a sentence else."""
    found = _HOURS_MINUTES.match(text.strip())
    if found:
        return int(found.group(1)) * 60 + int(found.group(2))
    value = _number(text, f"{what} (minutes, or hours:minutes such as 1:30)")
    if value < 0:
        raise ValueError(f"{what} cannot be negative ({text}).")
    return whole(value)


def whole_interval(text: str) -> int:
    """Surface interval in minutes; a part of a minute is dropped, since less credit is the safe side."""
    return whole_minutes(text, "A surface interval", math.floor)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """``tables --depth FSW --bottom MIN …``, ``tables list``, ``tables check PLACE``, ``tables keep ID
    PLACE`` and ``tables book ID OUT.xlsx``."""
    parser.description = (
        "Looks one dive up: every way up, rows next deeper and next longer, what comes after. "
        "With list: the sets at hand. With check and a folder or a workbook: whether a set of tables is "
        "sound, each fault with its line. With keep: a sound one is put among this place's own. With book: a "
        "set as a workbook."
    )
    parser.epilog = EXAMPLE
    parser.add_argument(
        "action",
        nargs="*",
        metavar="list | check PLACE | keep ID PLACE | book ID OUT.xlsx",
        help="in place of a look-up",
    )
    parser.add_argument("--tables", default=DEFAULT_ID, metavar="ID", help=f"the set ({DEFAULT_ID})")
    parser.add_argument("--depth", help="greatest depth, fsw (metres with --units metric)")
    parser.add_argument("--bottom", help="bottom time, minutes or hours:minutes")
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
    parser.set_defaults(run=partial(run, parser=parser))


def answer_text(args: argparse.Namespace) -> str:
    """The text that answers the command's arguments. TableRefusal or ValueError with one sentence."""
    units = UnitSystem.METRIC if args.units == "metric" else UnitSystem.FEET
    options = ExposureOptions(
        tables=table_set(args.tables),
        altitude_ft=math.ceil(ALTITUDE.inside(_number(args.altitude, "An altitude"), units)),
        margin_min=whole_minutes(args.margin, "A margin"),
        next_longer_row=args.cold,
        pneumofathometer_correction=args.pneumofathometer,
        fixed_reference_gauge=args.fixed_reference,
        one_foot_rows=args.one_foot,
    )
    found = look_up(
        math.ceil(DEPTH.inside(_number(args.depth, "A depth"), units)),
        whole_minutes(args.bottom, "A bottom time"),
        group=args.group.strip().upper() if args.group is not None else None,
        interval_min=whole_interval(args.interval) if args.interval is not None else None,
        options=options,
    )
    return look_up_text(found, units=units, with_profile=args.profile)


def run(args: argparse.Namespace, parser: argparse.ArgumentParser) -> int:
    """Look up, or do what the action says; 0, or 2 after a sentence about what was wrong."""
    match args.action:
        case ["list"]:
            return list_sets()
        case ["check", place]:
            return told_of(lambda: check_set(Path(place)))
        case ["keep", id, place]:
            return told_of(lambda: check_set(Path(place), keep_as=id))
        case ["book", id, out]:
            return told_of(lambda: write_book(id, Path(out)))
        case [_, *_]:
            parser.error(
                f"{' '.join(args.action)!r} is none of list, check PLACE, keep ID PLACE, book ID OUT"
            )
    if args.depth is None or args.bottom is None:
        parser.error("a look-up needs --depth and --bottom")
    try:
        print(answer_text(args), end="")
    except (TableRefusal, SetRefused, ValueError) as wrong:
        return refused(wrong)
    return 0


def list_sets() -> int:
    """Print the sets at hand."""
    for id in set_ids():
        try:
            print(f"{id:<24}{table_set(id).printed}")
        except PlannerError as unsound:
            print(f"{id:<24}not usable: {str(unsound).splitlines()[0]}")
    return 0


def check_set(place: Path, keep_as: str | None = None) -> int:
    """Print the report on a folder or a workbook; keep a sound set under an id where one is given.

    Returns 0, or 2 where the set has a fault.
    """
    from planner.workbook.set_book import set_files

    files, report = set_files(place)
    print("\n".join(soundness_lines(report)))
    if not report.sound:
        return FAULTS
    if keep_as is not None:
        keep_set(keep_as, files)
        print(f"Kept as {keep_as}.")
    return 0


def write_book(id: str, out: Path) -> int:
    """Write a set as a workbook; a file that is there is not replaced. Returns 0, or 2."""
    from planner.workbook.set_book import write_set_book

    if out.exists():
        raise SetRefused(f"{out.name} is there already.")
    write_whole(write_set_book(files_of(id)), out)
    print(f"{table_set(id).printed}: {out.name}")
    return 0


def told_of(action: Callable[[], int]) -> int:
    """Do it; 2 after a sentence about what was wrong."""
    try:
        return action()
    except InputFaults as wrong:
        return tell_faults(wrong, "the set is not read")
    except (PlannerError, OSError) as wrong:
        return refused(wrong)

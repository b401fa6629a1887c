"""The command line, ``python -m planner …``: each command is a module of this room, loaded when asked for."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module
from io import TextIOWrapper

from planner import CAUTION, __version__
from planner.cli.arguments import tell_faults
from planner.cli.ended import end_at_once
from planner.cli.light import without_pandas
from planner.errors import InputFaults, PlannerError

FAILED = 3

#: Each is `planner.cli.<name>` with ``add_arguments``, of its parser, and ``run``, of what was parsed, which
#: returns the exit status; what it does, in a line.
COMMANDS = {
    "template": "write an empty job workbook to fill in",
    "plan": "plan a job's day and write its watchbill",
    "check": "check any plan against its job, rule by rule",
    "tables": "look a dive up in the air tables; check a set of tables",
    "why": "why an item is left over, and what it would take",
    "compare": "plan a job with other crews, hours or gear, case by case",
    "hours": "timesheets, premiums, call times and dive records of one or several days",
    "log": "issue a watchbill, log the day, replan it, make tomorrow's job",
    "logbook": "each diver's dives, days in a row and last medical, all jobs",
    # words of its help, no password
    "password": "write the file with the app's password, hashed",  # nosec B105
}


def _is_text(value: object) -> bool:
    """Whether an argument can be written down: bytes that are not UTF-8 come as halves of characters."""
    return not isinstance(value, str) or value.isascii() or not any("\ud800" <= c <= "\udfff" for c in value)


def build_parser(only: str | None = None) -> argparse.ArgumentParser:
    """The command line for one command, which loads no other's libraries; for none, what there is."""
    parser = argparse.ArgumentParser(
        prog="python -m planner",
        description=f"Plans the day of a surface-supplied diving team. {CAUTION}",
    )
    parser.add_argument("--version", action="version", version=__version__)
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    if only in COMMANDS:
        with without_pandas():
            command = import_module(f"planner.cli.{only}")
        own = commands.add_parser(only)
        own.set_defaults(run=command.run)
        command.add_arguments(own)
    else:
        for name, told in COMMANDS.items():
            commands.add_parser(name, help=told)
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; the exit status. No traceback reaches a user for a fault of the input."""
    given = list(sys.argv[1:] if argv is None else argv)
    for stream in (sys.stdout, sys.stderr):
        # a pipe or terminal that is not UTF-8 shows a letter that it lacks by its number
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        parser = build_parser(given[0] if given else None)
        arguments = parser.parse_args(given)
        for name, value in vars(arguments).items():
            if not _is_text(value):
                parser.error(f"--{name}: this is not text in UTF-8")
        return int(arguments.run(arguments))
    except InputFaults as found:
        return tell_faults(found, "nothing was written", to=sys.stderr)
    except PlannerError as wrong:
        print(wrong, file=sys.stderr)
        return FAILED
    except OSError as wrong:
        place = f"{wrong.filename}: " if wrong.filename else ""
        print(f"{place}{wrong.strerror or wrong}. Nothing more was written.", file=sys.stderr)
        return FAILED
    except KeyboardInterrupt:
        end_at_once()

"""The command line, ``python -m planner …``: each command is a module of this room, loaded when asked for."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from importlib import import_module

from planner import CAUTION, __version__
from planner.cli.arguments import FAULTS
from planner.errors import InputFaults, PlannerError

FAILED = 3

#: Each is `planner.cli.<name>`, with an ``add_command``.
COMMANDS = ("template", "plan", "check", "tables", "why", "compare", "hours", "log")


def build_parser(only: str | None = None) -> argparse.ArgumentParser:
    """The whole command line, or the part for one command: a command loads no other command's libraries."""
    parser = argparse.ArgumentParser(
        prog="python -m planner",
        description=f"Plans the day of a surface-supplied diving team. {CAUTION}",
    )
    parser.add_argument("--version", action="version", version=__version__)
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for name in COMMANDS:
        if only not in COMMANDS or name == only:
            import_module(f"planner.cli.{name}").add_command(commands)
    return parser


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

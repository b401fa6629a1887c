"""The command ``password``: the file by whose password the app may be opened from the network."""

from __future__ import annotations

import argparse
import getpass
import os
import sys
from pathlib import Path

from planner.errors import PlannerError
from planner.files import write_whole
from planner.password import hashed


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """``password FILE``."""
    parser.add_argument("out", type=Path, metavar="FILE", help="the file; PLANNER_PASSWORD_FILE names it")


def run(arguments: argparse.Namespace) -> int:
    """Ask for the password twice, or read one line where nobody types; write its hash; 0.

    Raises
    ------
    PlannerError
        The two differ, or it is too short.
    OSError
        The file cannot be written.
    """
    if sys.stdin.isatty():
        password = getpass.getpass("Password: ")
        if getpass.getpass("The same again: ") != password:
            raise PlannerError("The two are not the same; nothing was written.")
    else:
        password = sys.stdin.readline().rstrip("\r\n")
    kept = hashed(password)
    # nobody else of this machine is to read even the hash
    before = os.umask(0o077)
    try:
        write_whole(kept + "\n", arguments.out)
    finally:
        os.umask(before)
    print(f"Wrote {arguments.out}. Name it in PLANNER_PASSWORD_FILE where the app is started.")
    return 0

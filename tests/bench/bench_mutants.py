"""Faults put into check, tables, air and crew rules one at a time: how many do their tests find?

Run by hand, in an environment of its own (cosmic-ray, a kept library, makes the faults, coverage says which
test runs which line; neither is needed otherwise; what is ours is which tests are asked)::

    python3 -m venv ../mutants && ../mutants/bin/pip install -e '.[test]' cosmic-ray coverage
    nice -n 19 ../mutants/bin/python tests/bench/bench_mutants.py --sample 200 --seed 0 --minutes 25

Works on a copy of the tree; which tests run a line is kept in the file that ``--lines`` names, and read from
it where it is there. A fault is put to the tests that run its line; one in a line that no test runs by itself
(a constant, a default) to every test of its room. A test of which the answer is kept from an earlier one does
not run the line again, so what lives is put to the quick tests of its room too. What lives then is printed.
Tests of other rooms would find more, so the score is on the low side.
Left out are faults that change nothing in this code: ``|`` between types, ``is`` for ``==`` of numbers and of
words and the other way round, and decorators taken away.
"""

from __future__ import annotations

import argparse
import importlib
import json
import os
import random
import re
import shutil
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypedDict, cast
from xml.etree import ElementTree

import pytest
from cosmic_ray.commands.init import _all_work_items
from cosmic_ray.mutating import use_mutation
from cosmic_ray.plugins import get_operator
from cosmic_ray.work_item import MutationSpec
from coverage import CoverageData

ROOT = Path(__file__).resolve().parents[2]
#: Rooms, and the one file of another room that holds rules.
ROOMS = ("check", "tables", "air", "job/crew_rules.py")

#: Folders of tests that hold these rooms.
TESTS = (
    *("tests/check", "tests/tables", "tests/table_sets", "tests/air", "tests/gear", "tests/job"),
    "tests/hours/test_rest.py",
)

#: Tests of a room as a whole; beside those of the job the pages that print its defaults and bounds.
WHOLE_ROOM: dict[str, tuple[str, ...]] = {
    "check": ("tests/check",),
    "tables": ("tests/tables", "tests/table_sets"),
    "air": ("tests/air",),
    "job": (
        "tests/job",
        "tests/workbook/test_job_columns.py",
        "tests/check/test_rule_catalog.py",
        "tests/plan/test_schemas.py",
        "tests/gear/test_gear_docs.py",
        "tests/gear/test_gear_steps.py",
    ),
}

#: A test that takes longer is asked only where it runs the line.
QUICK_S = 0.5

#: Faults that change nothing here, by the name of their operator.
NO_FAULT = re.compile(r"BitOr|_Is$|_IsNot$|Operator_Is|RemoveDecorator")

#: Read once by the parent, so that a run of tests need not.
HEAVY = (
    "astral.sun",
    "hypothesis.internal.conjecture.engine",
    "joblib",
    "jsonschema",
    "openpyxl",
    "ortools.sat.python.cp_model",
    "pandas",
    "plotly.graph_objects",
    "pydantic",
    "xdist.plugin",
)

#: So many of the tests that run a line are asked first.
FEW = 8

#: A run of tests that takes longer has found the fault: something does not end.
PATIENCE_S = 400


class Kept(TypedDict):
    """Which tests run a line, by file and line; seconds of each."""

    lines: dict[str, dict[str, list[str]]]
    seconds: dict[str, float]


def lines_by_test(tree: Path) -> Kept:
    """Tests that run a line, by file: ``tests/check/test_x.py::test_y``; and what each takes."""
    rc = tree / ".coveragerc"
    rooms = ",".join(f"planner/{room}" if room.endswith(".py") else f"planner/{room}/*" for room in ROOMS)
    rc.write_text(f"[run]\ndynamic_context = test_function\ninclude = {rooms}\n", encoding="utf-8")
    command = [
        sys.executable,
        "-m",
        "coverage",
        "run",
        "-m",
        "pytest",
        "-q",
        "-n",
        "0",
        "--junit-xml=took.xml",
        *TESTS,
    ]
    subprocess.run(command, cwd=tree, check=True, stdout=subprocess.DEVNULL)
    data = CoverageData(str(tree / ".coverage"))
    data.read()
    places = [tree / place for place in TESTS]
    tests = [p for place in places for p in ([place] if place.is_file() else place.rglob("test_*.py"))]
    files = {p.stem: p.relative_to(tree) for p in tests}
    found: dict[str, dict[str, list[str]]] = {}
    for file in data.measured_files():
        by_line = data.contexts_by_lineno(file)
        named = {str(n): sorted({_test(c, files) for c in cs} - {""}) for n, cs in by_line.items()}
        found[str(Path(file).relative_to(tree))] = named
    seconds = Counter[str]()
    for case in ElementTree.parse(tree / "took.xml").iter("testcase"):
        test = _test(f"{case.get('classname')}.{str(case.get('name')).partition('[')[0]}", files)
        seconds[test] += float(case.get("time", 0))
    return {"lines": found, "seconds": dict(seconds)}


def _test(context: str, files: dict[str, Path]) -> str:
    """The test of a context: ``tests.check.test_x.test_y`` is ``tests/check/test_x.py::test_y``.

    Blank for what cannot be asked for by that name: pytest would fail for that, and not for the fault.
    """
    module, _, name = context.rpartition(".")
    # what lies beside no __init__.py is imported by its bare name
    file = files.get(module.rpartition(".")[2])
    return f"{file}::{name}" if file and f"\ndef {name}(" in file.read_text("utf-8") else ""


def found_by(tests: list[str]) -> bool:
    """Whether one of the tests fails, in a process of its own."""
    child = os.fork()
    if child == 0:
        silent = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silent, 1)
        os.dup2(silent, 2)
        code = 1
        try:
            code = int(
                pytest.main(["-x", "-q", "-n", "0", "-p", "no:cacheprovider", "--assert=plain", *tests])
            )
        finally:
            # nothing of the parent's is put away here
            os._exit(code)
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status) != 0
        time.sleep(0.02)
    os.kill(child, 9)
    os.waitpid(child, 0)
    return True


def kept_lines(file: Path | None, tree: Path) -> Kept:
    """`lines_by_test`, from the file where it is there; else it is written."""
    if file is not None and file.exists():
        return cast(Kept, json.loads(file.read_text("utf-8")))
    found = lines_by_test(tree)
    if file is not None:
        file.write_text(json.dumps(found), "utf-8")
    return found


def lives(fault: MutationSpec, kept: Kept) -> str | None:
    """The line as the fault has it, when no test finds it; None when one does. The quickest first."""
    path, number = Path(fault.module_path), fault.start_pos[0]
    aimed = kept["lines"].get(str(path), {}).get(str(number), [])
    aimed = sorted(aimed, key=lambda test: kept["seconds"].get(test, 0))
    room = WHOLE_ROOM[path.parts[1]]
    quick = [
        test
        for test, took in kept["seconds"].items()
        if took < QUICK_S and test.startswith(room) and test not in aimed
    ]
    with use_mutation(path, get_operator(fault.operator_name)(), fault.occurrence) as (_, changed):
        # a few at first: most faults are found by them, and the files of the others need not be loaded
        asked = (aimed[:FEW], aimed[FEW:], quick) if aimed else ([*room],)
        if any(found_by(tests) for tests in asked if tests):
            return None
    return str(changed).splitlines()[number - 1].strip()


def main() -> None:
    """Try a sample of the faults; print what lives and the score."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sample", type=int, default=200)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--minutes", type=float, default=25.0, help="for the faults alone")
    parser.add_argument("--lines", type=Path, help="which tests run which line, as JSON")
    given = parser.parse_args()
    with TemporaryDirectory() as place:
        tree = Path(place) / "tree"
        shutil.copytree(ROOT, tree, ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache"))
        os.chdir(tree)
        sys.path.insert(0, str(tree))
        places = [Path("planner", room) for room in ROOMS]
        modules = sorted(p for place in places for p in ([place] if place.is_file() else place.rglob("*.py")))
        every = [w.mutations[0] for w in _all_work_items(modules, {})]
        real = [f for f in every if not NO_FAULT.search(f.operator_name)]
        print(f"{len(real)} faults can be put in; {given.sample} are tried, seed {given.seed}", flush=True)
        kept = kept_lines(given.lines, tree)
        for name in HEAVY:
            importlib.import_module(name)
        if found_by(
            ["tests/air", "tests/check/test_rules_convicted.py", "tests/tables/test_worked_examples.py"]
        ):
            sys.exit("the tests fail without a fault")
        # what is compiled by now is as it was without a fault
        sys.dont_write_bytecode = True
        until = time.monotonic() + 60 * given.minutes
        tried, living = Counter[str](), Counter[str]()
        for fault in random.Random(given.seed).sample(real, min(given.sample, len(real))):
            if time.monotonic() > until:
                break
            room = next(room for room in ROOMS if f"planner/{room}" in str(fault.module_path))
            tried[room] += 1
            if tried.total() % 20 == 0:
                print(f"{tried.total()} tried, {living.total()} live", file=sys.stderr, flush=True)
            line = lives(fault, kept)
            if line is not None:
                living[room] += 1
                print(
                    f"LIVES {fault.module_path}:{fault.start_pos[0]} {fault.operator_name}: {line}",
                    flush=True,
                )
    for room in ROOMS:
        print(f"{room}: {tried[room] - living[room]} of {tried[room]} found")
    found, all_tried = tried.total() - living.total(), tried.total()
    print(f"found {found} of {all_tried}: {100 * found / max(1, all_tried):.0f} %")


if __name__ == "__main__":
    main()

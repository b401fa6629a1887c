"""The command ``check``: a job workbook and a plan in, the breaches out."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from planner import CAUTION
from planner.check import RULES, SUBJECT_TO, check
from planner.errors import Fault, InputFaults
from planner.job.job import Job
from planner.plan.plan_json import from_json
from planner.plan.unchecked import unchecked

if TYPE_CHECKING:
    # argparse keeps this class private; it is what `add_subparsers` returns
    Subparsers = argparse._SubParsersAction[argparse.ArgumentParser]

CLEAR, BREACHES, FAULTS = 0, 1, 2


def add_check_command(subparsers: Subparsers, read_job: Callable[[Path], Job]) -> None:
    """Add ``check JOB.xlsx PLAN.json`` to a command line.

    The parsed arguments get ``run``, a function of them that returns the exit status: 0 when the plan
    holds, 1 when it breaks a rule, 2 when a file cannot be used.

    Parameters
    ----------
    subparsers
        What ``ArgumentParser.add_subparsers`` returned.
    read_job
        Reads a job workbook; raises `InputFaults`.
    """
    parser = subparsers.add_parser("check", help="check any plan against its job, rule by rule")
    parser.add_argument("job", type=Path, metavar="JOB.xlsx", help="the job workbook")
    parser.add_argument("plan", type=Path, metavar="PLAN.json", help="the plan, as the program writes it")
    parser.set_defaults(run=lambda arguments: run_check(arguments.job, arguments.plan, read_job))


def run_check(job_path: Path, plan_path: Path, read_job: Callable[[Path], Job]) -> int:
    """Read both files, print what the check finds, return the exit status."""
    try:
        job = read_job(job_path)
        plan = from_json(_text_of(plan_path), job)
    except InputFaults as found:
        print(f"{len(found.faults)} fault(s) in what was given; nothing was checked.")
        for fault in found.faults:
            print(f"  {fault}")
        return FAULTS
    breaches = check(job, plan)
    if breaches:
        print(f"{len(breaches)} breach(es) in the plan for {job.site.name}:")
        for breach in breaches:
            print(f"  {breach}")
        print("The rules broken:")
        for rule in (RULES[b] for b in dict.fromkeys(b.rule for b in breaches)):
            print(f"  {rule.id}: {rule.sentence} ({rule.basis}: {rule.source})")
    else:
        print(f"No breach: the plan for {job.site.name} holds all {len(RULES)} rules.")
    print("Not checked; for a person to tick:")
    for sentence in unchecked(job, plan):
        print(f"  [ ] {sentence}")
    print(f"{CAUTION} {SUBJECT_TO}")
    return BREACHES if breaches else CLEAR


def _text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except OSError as wrong:
        reason = wrong.strerror or "it cannot be read"
        raise InputFaults(
            [Fault(str(path), "", "a plan file", f"The file cannot be read: {reason}.")]
        ) from wrong
    except UnicodeDecodeError as wrong:
        raise InputFaults([Fault(str(path), "", "JSON in UTF-8", "The file is not UTF-8 text.")]) from wrong

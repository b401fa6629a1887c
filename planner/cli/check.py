"""The command ``check``: a job workbook and a plan in, the breaches out."""

from __future__ import annotations

import argparse
from pathlib import Path

from planner import CAUTION
from planner.cli.arguments import open_job, tell_faults
from planner.errors import InputFaults

CLEAR, BREACHES = 0, 1


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """``check JOB.xlsx PLAN.json``."""
    parser.add_argument("job", type=Path, metavar="JOB.xlsx", help="the job workbook")
    parser.add_argument("plan", type=Path, metavar="PLAN.json", help="the plan, as the program writes it")


def run(arguments: argparse.Namespace) -> int:
    """Read both files, print what the check finds; 0 when the plan holds, 1 when it breaks a rule, 2 when a
    file cannot be used."""
    try:
        job = open_job(arguments.job, meanwhile=("planner.check", "planner.plan.plan_json"))
        from planner import check, read_plan
        from planner.check import RULES, SUBJECT_TO
        from planner.plan import unchecked

        plan = read_plan(arguments.plan, job)
    except InputFaults as found:
        return tell_faults(found, "nothing was checked")
    breaches = check(job, plan)
    if breaches:
        print(f"{len(breaches)} breach(es) in the plan for {job.site.name}:")
        for breach in breaches:
            print(f"  {breach}")
        print("The rules broken:")
        for rule in (RULES[b] for b in dict.fromkeys(b.rule for b in breaches)):
            print(f"  {rule.id}: {rule.sentence} ({rule.basis}: {rule.source_by(job.tables)})")
    else:
        print(f"No breach: the plan for {job.site.name} holds all {len(RULES)} rules.")
    print(f"Tables: {job.tables.printed}.")
    print("Not checked; for a person to tick:")
    for sentence in unchecked(job, plan):
        print(f"  [ ] {sentence}")
    print(f"{CAUTION} {SUBJECT_TO}")
    return BREACHES if breaches else CLEAR

"""The record of a plan, `plan.json`: read back as it was written, and judged as it was read.

What is printed, issued or handed on stands on the file, so the file is what is checked, not the plan in
memory.
"""

from __future__ import annotations

from planner.check.verdict import check
from planner.errors import InputFaults, PlanRefused
from planner.files import Target, write_whole
from planner.job.job import Job
from planner.plan.model import Plan
from planner.plan.plan_json import from_json, to_json

_BUG = "This is a bug of the program; nothing was written."


def read_back(plan: Plan, job: Job) -> str:
    """The plan as JSON that has been read again and is the same plan.

    Raises
    ------
    PlanRefused
        What is read is not what was written.
    """
    text = to_json(plan, job)
    try:
        read = from_json(text, job)
    except InputFaults as found:
        raise PlanRefused(f"The plan's own file cannot be read back: {found.faults[0]} {_BUG}") from found
    if read != plan:
        parts = [name for name in type(plan).model_fields if getattr(plan, name) != getattr(read, name)]
        raise PlanRefused(f"The plan's own file is not the plan that was written: {', '.join(parts)}. {_BUG}")
    return text


def checked_record(plan: Plan, job: Job) -> str:
    """The plan as JSON, read back and found clear of every breach as it was read.

    Raises
    ------
    PlanRefused
        What is read is not what was written, or breaks a rule.
    """
    text = read_back(plan, job)
    breaches = check(job, from_json(text, job))
    if breaches:
        lines = "\n".join(f"  {b.rule}: {b.sentence}" for b in breaches[:10])
        raise PlanRefused(f"A plan failed the independent check; it is not shown.\n{lines}")
    return text


def write_plan(plan: Plan, job: Job, target: Target) -> None:
    """Write a plan as JSON to a path or an open binary file, once it has been read back and checked.

    Raises
    ------
    PlanRefused
        The plan breaks a rule, or does not come back as it was written; nothing is written.
    OSError
        When the place cannot be written.
    """
    write_whole(checked_record(plan, job), target)

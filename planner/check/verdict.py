"""The independent check: any plan against any job, every rule, no solver.

Everything is worked out again from the job, the tables and the plan's times and names; what the plan says
of itself (groups, schedules, minutes, values) is only compared.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.check import (
    air,
    chamber,
    crew,
    day_blocks,
    hours,
    names,
    nitrogen,
    outfits,
    people,
    pins,
    rest,
    stages,
    told,
    windows,
    work,
)
from planner.check.facts import Facts
from planner.check.names import another_job
from planner.check.rule import Check, Rule, checks_in
from planner.job.job import Job
from planner.plan.finding import Finding
from planner.plan.model import Plan

#: Every check, in the order in which they are made and their rules are listed.
CHECKS: tuple[Check, ...] = tuple(
    one
    for subject in (
        names,
        nitrogen,
        chamber,
        windows,
        work,
        people,
        hours,
        day_blocks,
        rest,
        crew,
        outfits,
        pins,
        told,
        stages,
        air,
    )
    for one in checks_in(subject)
)

#: Every rule once, by id: what the check convicts by, the scheduler obeys, and the documents list.
RULES: dict[str, Rule] = {rule.id: rule for one in CHECKS for rule in one.rules}


def check(job: Job, plan: Plan, *, in_force: Plan | None = None) -> tuple[Finding, ...]:
    """Every breach of every rule, in the order in which they are looked for; empty when the plan holds.

    What the program cannot weigh (weather, fitness on the day, …) is in `planner.plan.unchecked`.

    Parameters
    ----------
    plan
        Any plan, from the scheduler or from a file; it need not be sound. One that was made for a job of
        another name is told in one finding, and nothing else is looked at.
    in_force
        The plan beside which it changes as few duties as it can; without it the number of changed duties that
        the plan tells cannot be worked out again.
    """
    return tuple(dict.fromkeys(_breaches(job, plan, in_force)))


def first_breach(job: Job, plan: Plan) -> Finding | None:
    """What `check` tells first; None when the plan holds. Nothing is looked for after it."""
    return next(_breaches(job, plan, None), None)


def _breaches(job: Job, plan: Plan, in_force: Plan | None) -> Iterator[Finding]:
    """Every breach in its order; one may come twice."""
    if plan.job_name != job.site.name:
        yield another_job(job, plan)
        return
    facts = Facts(job, plan, frozenset(RULES), in_force)
    for one in CHECKS:
        yield from one(facts)

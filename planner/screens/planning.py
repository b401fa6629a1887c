"""Starting the scheduler from a page, and why an edit of the job must wait."""

from __future__ import annotations

from planner.job import Job
from planner.plan.model import Plan
from planner.screens.backend import backend
from planner.screens.desk import Desk
from planner.screens.runs import WHAT_IT_TAKES, SolveRun, WhatItTakesRun
from planner.screens.session import hand_over_of
from planner.screens.turns import LINE

NOT_APPLIED = "Something is typed and not applied. Apply it or throw it away first, so that it is not lost."


def begin_run(here: Desk, job: Job, start: Plan | None = None, in_force: Plan | None = None) -> None:
    """Start a run over the job, from a plan or from the one on show; a search for changes is stopped.

    ``in_force``: a plan whose duties are to be changed as little as can be.
    """
    machine = backend()
    beside = here.having(WHAT_IT_TAKES, WhatItTakesRun)
    if beside is not None:
        # Both would share the machine's cores.
        beside.stop()
    if start is None and here.shown is not None:
        start = here.shown.plan
    run = SolveRun(
        job,
        machine.solve,
        machine.check,
        seconds=here.seconds,
        workers=here.workers,
        start=start,
        in_force=in_force,
        hand_over=hand_over_of(here),
        line=LINE,
    )
    here.start_run(run)
    run.begin()


def why_not_now(here: Desk) -> str | None:
    """Why the plan on show cannot be edited now, in a sentence; None when it can."""
    if here.edits.typed:
        return NOT_APPLIED
    if here.plan_is_old:
        return "The job has been edited since this plan was made. Plan again first."
    return None

"""What the pages call of the rest of the program, in one place, so that tests can hand in something else.

Each part is imported when it is first called: a page that only shows a job does not wait for the solver.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Any

import streamlit as st

from planner.job import Job
from planner.plan.model import Plan
from planner.screens.runs import Check, Solve, WhatItTakes

if TYPE_CHECKING:
    from planner.check import Finding
    from planner.schedule import Change, Outcome


@dataclass(frozen=True)
class Backend:
    """What the pages need from the layers below.

    Parameters
    ----------
    solve, check
        The scheduler and the whole verdict on a plan, which knows nothing of it.
    read_job
        A file's name and bytes to a job; raises `planner.errors.InputFaults` for whatever is no job.
    job_book, blank_book
        A job, and an empty job, as the bytes of a workbook.
    watchbill
        A checked plan as the bytes of the printable workbook.
    plan_json
        A checked plan as JSON text.
    what_it_takes
        The single changes of a job with which an item that is left over is done, or more of it.
    """

    solve: Solve
    check: Check
    read_job: Callable[[str, bytes, Callable[[str], object]], Job]
    job_book: Callable[[Job], bytes]
    blank_book: Callable[[], bytes]
    watchbill: Callable[[Plan, Job], bytes]
    plan_json: Callable[[Plan, Job], str]
    what_it_takes: WhatItTakes


def _solve(job: Job, **asked: Any) -> Outcome:
    from planner.schedule import solve

    return solve(job, **asked)


def _check(job: Job, plan: Plan) -> tuple[Finding, ...]:
    from planner.check import check

    return check(job, plan)


def _read_job(name: str, data: bytes, told: Callable[[str], object]) -> Job:
    from planner.workbook import read_job

    file = BytesIO(data)
    file.name = name
    return read_job(file, told=told)


def _written(write: Callable[[BytesIO], object]) -> bytes:
    """The bytes that a writer puts into an open file."""
    file = BytesIO()
    write(file)
    return file.getvalue()


def _job_book(job: Job) -> bytes:
    from planner.workbook import write_job

    return _written(lambda file: write_job(job, file))


def _blank_book() -> bytes:
    from planner.workbook import write_template

    return _written(write_template)


def _watchbill(plan: Plan, job: Job) -> bytes:
    from planner.sheets.watchbill import write_watchbill

    return _written(lambda file: write_watchbill(plan, job, file))


def _plan_json(plan: Plan, job: Job) -> str:
    from planner.check.record import checked_record

    return checked_record(plan, job)


def _what_it_takes(job: Job, plan: Plan, item: str, **asked: Any) -> tuple[Change, ...]:
    from planner.schedule import what_it_takes

    return what_it_takes(job, plan, item, **asked)


REAL = Backend(
    solve=_solve,
    check=_check,
    read_job=_read_job,
    job_book=_job_book,
    blank_book=_blank_book,
    watchbill=_watchbill,
    plan_json=_plan_json,
    what_it_takes=_what_it_takes,
)

_SESSION_KEY = "backend"


def backend() -> Backend:
    """The backend of this session: the real one, unless a test has put another in the session state."""
    found: Backend = st.session_state.get(_SESSION_KEY, REAL)
    return found

"""The parts below that a page calls to do work, in one place, so that tests can hand in others.

They are imported when first called: a page that only shows a job does not wait for the solver to load.
"""

from __future__ import annotations

import tempfile
import threading
from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import streamlit as st

from planner.job import Job
from planner.plan.model import Plan
from planner.screens.runs import Check, OutcomeLike, ProgressLike, Solve

if TYPE_CHECKING:
    from planner.schedule.what_it_takes import Change
    from planner.screens.runs import WhatItTakes
    from planner.verdict import Finding


@dataclass(frozen=True)
class Engines:
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
    read_job: Callable[[str, bytes], Job]
    job_book: Callable[[Job], bytes]
    blank_book: Callable[[], bytes]
    watchbill: Callable[[Plan, Job], bytes]
    plan_json: Callable[[Plan, Job], str]
    what_it_takes: WhatItTakes


def _solve(
    job: Job,
    *,
    seconds: float,
    workers: int,
    seed: int,
    on_progress: Callable[[ProgressLike], None],
    stop: threading.Event,
    start: Plan | None,
    near: Plan | None = None,
) -> OutcomeLike:
    from planner.schedule import solve

    return solve(
        job,
        seconds=seconds,
        workers=workers,
        seed=seed,
        on_progress=on_progress,
        stop=stop,
        start=start,
        near=near,
    )


def _check(plan: Plan, job: Job) -> tuple[Finding, ...]:
    from planner.verdict import verdict

    return verdict(plan, job)


def _read_job(name: str, data: bytes) -> Job:
    from planner.workbook import read_job

    file = BytesIO(data)
    file.name = name
    return read_job(file)


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

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "watchbill.xlsx"
        write_watchbill(plan, job, path)
        return path.read_bytes()


def _plan_json(plan: Plan, job: Job) -> str:
    from planner.plan import to_json

    return to_json(plan, job)


def _what_it_takes(
    job: Job,
    plan: Plan | None,
    item: str,
    *,
    seconds_each: float,
    workers: int,
    stop: threading.Event,
    on_try: Callable[[str], None],
) -> tuple[Change, ...]:
    from planner.schedule.what_it_takes import what_it_takes

    return what_it_takes(
        job, plan, item, seconds_each=seconds_each, workers=workers, stop=stop, on_try=on_try
    )


REAL = Engines(
    solve=_solve,
    check=_check,
    read_job=_read_job,
    job_book=_job_book,
    blank_book=_blank_book,
    watchbill=_watchbill,
    plan_json=_plan_json,
    what_it_takes=_what_it_takes,
)

_SESSION_KEY = "engines"


def engines() -> Engines:
    """The engines of this session: the real ones, unless a test has put others in the session state."""
    found: Engines = st.session_state.get(_SESSION_KEY, REAL)
    return found

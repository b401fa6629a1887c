"""What the pages call of the rest of the program, in one place, so that tests can hand in something else.

All of it comes through the front door, which loads each part when it is first called: a page that only shows
a job does not wait for the solver.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from io import BytesIO
from typing import Any

import streamlit as st

import planner
from planner.files import workbook_bytes
from planner.job import Job
from planner.screens.runs import Check, Solve, WhatItTakes

Told = Callable[[str], object]
ReadJob = Callable[[str, bytes, Told, Told], Job]


def _read_job(name: str, data: bytes, told: Told, came_from: Told) -> Job:
    file = BytesIO(data)
    file.name = name
    return planner.read_job(file, told=told, came_from=came_from, apart=True)


@dataclass(frozen=True)
class Backend:
    """What the pages need from the layers below."""

    solve: Solve = lambda job, **asked: planner.plan(job, **asked)
    check: Check = lambda job, plan: planner.check(job, plan)
    """The scheduler and the whole verdict on a plan, which knows nothing of it."""
    read_job: ReadJob = _read_job
    """A file's name and bytes to a job, with two who are told what `planner.read_job` tells; raises
    `planner.errors.InputFaults` for whatever is no job."""
    what_it_takes: WhatItTakes = lambda *of, **asked: planner.what_it_takes(*of, **asked)
    """The single changes of a job with which an item that is left over is done, or more of it."""


REAL = Backend()

_SESSION_KEY = "backend"


def backend() -> Backend:
    """The backend of this session: the real one, unless a test has put another in the session state."""
    found: Backend = st.session_state.get(_SESSION_KEY, REAL)
    return found


def written(write: Callable[..., object], *given: object) -> bytes:
    """The bytes that a writer of the front door puts into an open file."""
    file = BytesIO()
    write(*given, file)
    return file.getvalue()


def book_of(name: str, *given: object, **more: Any) -> bytes:
    """The bytes of a workbook, by the name of its room's file and function, which are loaded when it is asked
    for: ``hours_book``."""
    return workbook_bytes(getattr(import_module(f"planner.sheets.{name}"), name)(*given, **more))

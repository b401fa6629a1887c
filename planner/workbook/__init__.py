"""The job workbook: one description of its sheets, from which it is read, written, made empty, explained.

Each name is loaded when it is first asked for: a process that only opens a file does not load what a job is.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from planner.workbook.job_reader import read_job
    from planner.workbook.job_writer import write_job, write_template

__all__ = ["read_job", "write_job", "write_template"]

_HOMES = {"read_job": "job_reader", "write_job": "job_writer", "write_template": "job_writer"}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)

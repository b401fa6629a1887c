"""Plans the day of a surface-supplied diving team.

The way of the data is one road: workbook → `Job` → `Plan` → check → watchbill, charts, hours. This is the
front door: the dozen names with which a program or a notebook goes that road::

    from planner import check, plan, read_job, write_watchbill

    job = read_job("job.xlsx")
    outcome = plan(job, seconds=10)
    assert outcome.plan is not None, outcome.sentence
    assert check(job, outcome.plan) == ()
    write_watchbill(outcome.plan, job, "watchbill.xlsx")

Each name is loaded when it is first asked for. `plan` and `check` are rooms of the house that may be called:
``plan(job)`` is `planner.schedule.solve`, ``check(job, plan)`` is `planner.check.verdict.check`.

Raised on purpose (all in `planner.errors`): `InputFaults` with every fault of a file together,
`TableRefusal`, `PlanRefused`, `ModelTooLarge`.
"""

from __future__ import annotations

from importlib import import_module
from types import ModuleType

# typing's own is known to type checkers by its name too, and this one costs nothing before Ctrl-C is heard
TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from planner.check.record import write_plan
    from planner.check.verdict import check
    from planner.job import Job
    from planner.plan import Finding, Plan
    from planner.plan.plan_json import read_plan
    from planner.schedule import Outcome
    from planner.schedule.solve import solve as plan
    from planner.schedule.what_it_takes import what_it_takes
    from planner.schedule.why_not import why_not
    from planner.sheets.hours_book import write_hours
    from planner.sheets.watchbill import write_watchbill
    from planner.tables.look_up import look_up
    from planner.whatif.slack import slack
    from planner.whatif.sweep import compare
    from planner.workbook.job_reader import read_job
    from planner.workbook.job_writer import write_job, write_template

__version__ = "0.1.0"

CAUTION = (
    "Planning aid only. Not a dive table and not a permit: local regulations, the current official "
    "tables and the licensed person in charge decide."
)

__all__ = [
    "CAUTION",
    "Finding",
    "Job",
    "Outcome",
    "Plan",
    "check",
    "compare",
    "look_up",
    "plan",
    "read_job",
    "read_plan",
    "slack",
    "what_it_takes",
    "why_not",
    "write_hours",
    "write_job",
    "write_plan",
    "write_template",
    "write_watchbill",
]

#: Where each name lives that is loaded when it is first asked for.
_HOMES = {
    "Finding": "planner.plan",
    "Job": "planner.job",
    "Outcome": "planner.schedule",
    "Plan": "planner.plan",
    "compare": "planner.whatif.sweep",
    "look_up": "planner.tables.look_up",
    "read_job": "planner.workbook.job_reader",
    "read_plan": "planner.plan.plan_json",
    "slack": "planner.whatif.slack",
    "what_it_takes": "planner.schedule.what_it_takes",
    "why_not": "planner.schedule.why_not",
    "write_hours": "planner.sheets.hours_book",
    "write_job": "planner.workbook.job_writer",
    "write_plan": "planner.check.record",
    "write_template": "planner.workbook.job_writer",
    "write_watchbill": "planner.sheets.watchbill",
}

#: What a room does that may be called.
_CALLED = {
    "planner.check": ("planner.check.verdict", "check"),
    "planner.plan": ("planner.schedule.solve", "solve"),
}


def __getattr__(name: str) -> Any:
    if name in ("plan", "check"):
        return import_module(f"{__name__}.{name}")
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})


class CallableRoom(ModuleType):
    """A room whose name is also what is done in it: ``plan(job)``, ``check(job, plan)``.

    A package and a function of one name cannot both stand in this one, so the package itself is called.
    """

    def __call__(self, *given: Any, **more: Any) -> Any:
        module, name = _CALLED[self.__name__]
        return getattr(import_module(module), name)(*given, **more)

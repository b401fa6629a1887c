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

from collections.abc import Sequence
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from planner.check.verdict import check
    from planner.files import Target
    from planner.hours import PayRules, Timesheets
    from planner.job import Job
    from planner.plan import Finding, Plan
    from planner.plan.plan_json import read_plan, write_plan
    from planner.schedule import Outcome
    from planner.schedule.solve import solve as plan
    from planner.schedule.what_it_takes import what_it_takes
    from planner.schedule.why_not import why_not
    from planner.sheets.watchbill import write_watchbill
    from planner.tables.look_up import look_up
    from planner.whatif import Sweep
    from planner.workbook import read_job, write_job, write_template

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
    "look_up": "planner.tables.look_up",
    "read_job": "planner.workbook",
    "read_plan": "planner.plan.plan_json",
    "what_it_takes": "planner.schedule.what_it_takes",
    "why_not": "planner.schedule.why_not",
    "write_job": "planner.workbook",
    "write_plan": "planner.plan.plan_json",
    "write_template": "planner.workbook",
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


def compare(
    job: Job, vary: Sequence[str], *, seconds: float = 2.0, processes: int = 2, seed: int = 0
) -> Sweep:
    """Plan a job with other crews, hours or gear, case by case.

    Parameters
    ----------
    vary
        What to vary, each as ``thing=values``: ``["tenders=2..6", "chamber=0,none"]``. Every combination is
        a case.
    seconds
        Search time a case.
    processes
        Cases at once, each in a process of its own; 1 stays in this one.

    Returns
    -------
    Sweep
        ``results`` in the order of the cases, each with its case, plan and figures.

    Raises
    ------
    InputFaults
        Every text that cannot be read, or more cases than are planned at once.
    """
    from planner.whatif.cases import cases_of, parse_variations
    from planner.whatif.sweep import sweep

    cases = cases_of(job, parse_variations(job, vary))
    return sweep(cases, seconds=seconds, processes=processes, seed=seed)


def write_hours(
    days: Sequence[tuple[Job, Plan]], target: Target, *, rules: PayRules | None = None
) -> Timesheets:
    """Write the hours of planned days as a workbook for the office.

    Parameters
    ----------
    days
        Each job with its plan, in any order.
    target
        Path or open binary file.
    rules
        Pay rules; None: the examples that ship.

    Returns
    -------
    Timesheets
        What was written, by person, week and day; minutes and money of ``rules``.

    Raises
    ------
    InputFaults
        The same day twice.
    OSError
        When the place cannot be written.
    """
    from planner.hours import EXAMPLE_RULES, from_plan, timesheets
    from planner.sheets.hours_book import write_hours_book

    sheets = timesheets([from_plan(plan, job) for job, plan in days], rules or EXAMPLE_RULES)
    write_hours_book(sheets, target)
    return sheets

"""Hours for the office: timesheets by person and duty, overtime, premiums, rest, calls, dive records.

What is written for the office is loaded when it is first asked for: counting hours loads no calendar.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from planner.hours.pay_rules import (
    EXAMPLE_RULES,
    CountBy,
    DepthBand,
    HourlyRate,
    HourPremium,
    OvertimeKind,
    OvertimeStep,
    PayRules,
    PremiumKind,
    cents,
    pay_rows,
    pay_rules_csv,
    pay_rules_from,
    pay_rules_of_csv,
    read_pay_rules,
)
from planner.hours.shifts import BETWEEN, BREAK, Shift, Stretch
from planner.hours.timesheets import Timesheets, timesheets
from planner.hours.weeks import LineKind, PayLine, PersonWeek
from planner.hours.worked import (
    CHAMBER_WATCH,
    WorkedDive,
    WorkedRecord,
    from_log,
    from_plan,
    in_metres,
    tables_words,
)

if TYPE_CHECKING:
    from planner.hours.office_files import (
        HOURS_COLUMNS,
        PAYROLL_COLUMNS,
        call_calendar,
        call_files,
        hours_csv,
        hours_rows,
        payroll_csv,
        payroll_rows,
    )

__all__ = [
    "BETWEEN",
    "BREAK",
    "CHAMBER_WATCH",
    "EXAMPLE_RULES",
    "HOURS_COLUMNS",
    "PAYROLL_COLUMNS",
    "CountBy",
    "DepthBand",
    "HourPremium",
    "HourlyRate",
    "LineKind",
    "OvertimeKind",
    "OvertimeStep",
    "PayLine",
    "PayRules",
    "PersonWeek",
    "PremiumKind",
    "Shift",
    "Stretch",
    "Timesheets",
    "WorkedDive",
    "WorkedRecord",
    "call_calendar",
    "call_files",
    "cents",
    "from_log",
    "from_plan",
    "hours_csv",
    "hours_rows",
    "in_metres",
    "pay_rows",
    "pay_rules_csv",
    "pay_rules_from",
    "pay_rules_of_csv",
    "payroll_csv",
    "payroll_rows",
    "read_pay_rules",
    "tables_words",
    "timesheets",
]

_FOR_THE_OFFICE = frozenset(
    {
        "HOURS_COLUMNS",
        "PAYROLL_COLUMNS",
        "call_calendar",
        "call_files",
        "hours_csv",
        "hours_rows",
        "payroll_csv",
        "payroll_rows",
    }
)


def __getattr__(name: str) -> Any:
    if name not in _FOR_THE_OFFICE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.office_files"), name)

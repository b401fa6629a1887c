"""Hours for the office: timesheets by person and duty, overtime, premiums, rest, calls, dive records."""

from planner.hours.office_files import FLAT_COLUMNS, call_calendar, call_files, flat_csv, flat_rows
from planner.hours.pay_rules import (
    EXAMPLE_RULES,
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
    read_pay_rules,
)
from planner.hours.timesheets import Timesheets, timesheets
from planner.hours.weeks import BETWEEN, LineKind, PayLine, PersonDay, PersonWeek
from planner.hours.worked import CHAMBER_WATCH, WorkedDive, WorkedRecord, from_log, from_plan

__all__ = [
    "BETWEEN",
    "CHAMBER_WATCH",
    "EXAMPLE_RULES",
    "FLAT_COLUMNS",
    "DepthBand",
    "HourPremium",
    "HourlyRate",
    "LineKind",
    "OvertimeKind",
    "OvertimeStep",
    "PayLine",
    "PayRules",
    "PersonDay",
    "PersonWeek",
    "PremiumKind",
    "Timesheets",
    "WorkedDive",
    "WorkedRecord",
    "call_calendar",
    "call_files",
    "cents",
    "flat_csv",
    "flat_rows",
    "from_log",
    "from_plan",
    "pay_rows",
    "pay_rules_csv",
    "pay_rules_from",
    "read_pay_rules",
    "timesheets",
]

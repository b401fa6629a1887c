"""Hours for the office: timesheets by person and duty, overtime, premiums, rest, calls, dive records.

What is written for the office stands in `planner.hours.office_files`: counting hours loads no calendar.
"""

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

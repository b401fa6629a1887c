"""Overtime and premiums against worked arithmetic from published rules."""

from __future__ import annotations

from decimal import Decimal

import pytest

from planner.hours.pay_rules import (
    DepthBand,
    HourlyRate,
    HourPremium,
    OvertimeKind,
    OvertimeStep,
    PayRules,
    PremiumKind,
)
from planner.hours.timesheets import timesheets
from planner.hours.weeks import PersonWeek
from planner.hours.worked import WorkedRecord
from tests.world.worked_days import dive, record, spell

FEDERAL = OvertimeStep(kind=OvertimeKind.WEEKLY, after_min=2400, times=Decimal("1.5"), source="29 USC 207")
STATE = (
    FEDERAL,
    OvertimeStep(kind=OvertimeKind.DAILY, after_min=480, times=Decimal("1.5")),
    OvertimeStep(kind=OvertimeKind.DAILY, after_min=720, times=Decimal(2)),
    OvertimeStep(kind=OvertimeKind.SEVENTH_DAY, after_min=0, times=Decimal("1.5")),
    OvertimeStep(kind=OvertimeKind.SEVENTH_DAY, after_min=480, times=Decimal(2)),
)
BANDS = (
    DepthBand(over_fsw=50, to_fsw=100, per_foot=Decimal(2)),
    DepthBand(over_fsw=100, to_fsw=150, per_foot=Decimal(3)),
)


def _rules(per_hour: str, *steps: OvertimeStep, **more: object) -> PayRules:
    rate = HourlyRate(per_hour=Decimal(per_hour), source="test")
    return PayRules.model_validate({"rates": (rate,), "overtime": steps, **more})


def _only(given: WorkedRecord, rules: PayRules) -> PersonWeek:
    (week,) = timesheets([given], rules).weeks
    return week


def _overtime(week: PersonWeek) -> list[tuple[str, int]]:
    return [(str(x.rule.kind), x.quantity) for x in week.lines if isinstance(x.rule, OvertimeStep)]


def _days(*hours: int, duty: str = "tender") -> WorkedRecord:
    """One person working so many hours from 06:00 on days in a row."""
    return record(*(spell("Ana", duty, "0600", f"{6 + h:02d}00", day) for day, h in enumerate(hours) if h))


def test_forty_six_hours_at_twelve_dollars() -> None:
    """46 h at $12 bring $588: 46 at $12 and 6 at $6. Source: 29 CFR 778.110(a)."""
    week = _only(_days(10, 9, 9, 9, 9), _rules("12", FEDERAL))
    assert (week.worked_min, week.overtime_min) == (46 * 60, 6 * 60)
    assert [line.amount for line in week.lines] == [Decimal("552.00"), Decimal("36.00")]
    assert week.pay == Decimal("588.00")


def test_a_premium_in_the_base_raises_the_regular_rate() -> None:
    """$46 on top of 46 h at $12 make the regular rate $13 and the wage $637. Source: 29 CFR 778.110(b)."""
    premium = HourPremium(kind=PremiumKind.STANDBY, per_hour=Decimal(1), in_overtime_base=True)
    rules = _rules("12", FEDERAL, premiums=(premium,))
    week = _only(_days(10, 9, 9, 9, 9, duty="standby diver"), rules)
    assert week.lines[-1].per_unit == Decimal(13)
    assert week.pay == Decimal("637.00")


def test_a_premium_outside_the_base_leaves_the_regular_rate() -> None:
    """The same $46 outside the base leave $12 as the regular rate: 588 + 46 (29 CFR 778.110(a), computed)."""
    premium = HourPremium(kind=PremiumKind.STANDBY, per_hour=Decimal(1), in_overtime_base=False)
    week = _only(_days(10, 9, 9, 9, 9, duty="standby diver"), _rules("12", FEDERAL, premiums=(premium,)))
    assert week.pay == Decimal("634.00")


def test_hours_counted_as_daily_overtime_do_not_count_again_by_the_week() -> None:
    """Five days of 10 h: 2 h a day are daily overtime, the 40 h left are none by the week.

    Source: California Labor Code 510(a), which asks for no more than one rate for an hour of overtime;
    the numbers are computed.
    """
    week = _only(_days(10, 10, 10, 10, 10), _rules("20", *STATE))
    assert _overtime(week) == [("daily overtime", 600)]
    assert week.pay == Decimal("1100.00")  # 50 × 20 + 10 × 10


def test_thirteen_hours_in_one_day() -> None:
    """8 h straight, 4 h at one and a half, 1 h at twice the rate. Source: California Labor Code 510(a)."""
    week = _only(_days(13), _rules("20", *STATE))
    assert [m for _, m in _overtime(week)] == [240, 60]
    assert week.pay == Decimal("320.00")  # 8 × 20 + 4 × 30 + 1 × 40


def test_the_seventh_day_in_a_row() -> None:
    """Of 9 h on a seventh day 8 are at 1.5 and 1 at 2. Source: California Labor Code 510(a)."""
    week = _only(_days(5, 5, 5, 5, 5, 5, 9), _rules("20", *STATE))
    assert _overtime(week) == [("seventh day", 480), ("seventh day", 60)]
    assert week.pay == Decimal("880.00")  # 30 × 20 + 8 × 30 + 1 × 40


def test_six_days_are_no_seventh_day() -> None:
    """A day of rest within the workweek leaves the daily rows in force (same source)."""
    week = _only(_days(5, 5, 0, 5, 5, 5, 9), _rules("20", *STATE))
    assert _overtime(week) == [("daily overtime", 60)]


def test_a_week_starts_where_the_rules_say() -> None:
    """Hours on either side of the week's start are never put together (29 CFR 778.104)."""
    sheets = timesheets([_days(9, 9, 9, 9, 9)], _rules("12", FEDERAL, week_starts=2))
    assert [(w.starts.weekday(), w.worked_min, w.overtime_min) for w in sheets.weeks] == [
        (2, 1080, 0),
        (2, 1620, 0),
    ]


@pytest.mark.parametrize(
    ("depth_fsw", "pay"),
    [(50, "0"), (51, "2.00"), (80, "60.00"), (100, "100.00"), (101, "103.00"), (120, "160.00")],
)
def test_depth_premium_by_bands(depth_fsw: int, pay: str) -> None:
    """$2 a foot over 50 to 100, $3 a foot from 101 to 150: 120 ft is 50 × 2 + 20 × 3.

    Source: Washington State, benefit code key effective 2021-03-03; the products are computed.
    """
    given = record(spell("Ana", "diver", "0800", "1000"), dives=(dive("Ana", depth_fsw, "0830", 20),), days=1)
    week = _only(given, _rules("0", depth_bands=BANDS))
    assert week.pay == Decimal(pay)


def test_depth_premium_is_for_the_deepest_dive_once_a_day() -> None:
    """Two dives of a day are paid once, for the deeper; it does not raise the overtime (same source)."""
    given = record(
        spell("Ana", "diver", "0600", "1600"),
        dives=(dive("Ana", 60, "0830", 20), dive("Ana", 90, "1300", 15)),
        days=1,
    )
    week = _only(given, _rules("20", *STATE, depth_bands=BANDS))
    assert [line.quantity for line in week.lines if line.unit == "ft"] == [40]
    assert week.pay == Decimal("300.00")  # 10 × 20 + 40 × 2 + 2 × 10


def test_overtime_of_the_days_adds_up_to_that_of_the_week() -> None:
    """The flat table's overtime a day adds up to the week's, whatever the rules (arithmetic)."""
    for steps in (STATE, (FEDERAL,)):
        week = _only(_days(12, 11, 9, 9, 9), _rules("20", *steps))
        assert week.overtime_min == sum(m for _, m in _overtime(week)) > 0

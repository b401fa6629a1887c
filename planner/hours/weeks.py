"""A person's workweeks: overtime by the rules, premiums, pay line by line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum

from planner.hours.pay_rules import OvertimeKind, OvertimeStep, PayRow, PayRules, PremiumKind, cents
from planner.hours.shifts import Shift
from planner.job.duties import PaidAs


class LineKind(StrEnum):
    """What a pay line pays."""

    BASE = "hours worked"
    PREMIUM = "premium"
    DEPTH = "depth premium"
    OVERTIME = "overtime"


@dataclass(frozen=True)
class PayLine:
    """One line of a week's pay; every row of the rules that could pay has one, even one of nothing."""

    kind: LineKind
    code: str
    """What pays, in letters and figures that stay the same: ``weekly_overtime_40h``."""
    label: str
    rule: PayRow
    """The row of the pay rules that it pays by."""
    quantity: int
    unit: str
    """Minutes, or feet."""
    per_unit: Decimal
    """Money an hour or a foot. For overtime the regular rate (a quotient: print it rounded)."""
    times: Decimal
    """For overtime the part on top of the straight time: 0.5 for time and a half."""
    amount: Decimal
    """Money, to the cent."""
    in_overtime_base: bool
    """Whether the line counts in the regular rate."""

    @property
    def source(self) -> str:
        return f"EXAMPLE · {self.rule.source}" if self.rule.example else self.rule.source


@dataclass(frozen=True)
class PersonWeek:
    """One person's workweek: the shifts that start in it."""

    person: str
    pay_class: str
    starts: date
    """Its first day."""
    shifts: tuple[Shift, ...]
    shift_overtime: tuple[int, ...]
    week_overtime: tuple[int, ...]
    """Overtime minutes of each shift by its own length, and by the week's: those fall on the shifts that pass
    its limit. They add up."""
    all_lines: tuple[PayLine, ...]
    """A line for each row of the pay rules."""

    @property
    def lines(self) -> tuple[PayLine, ...]:
        """The lines that pay something, and that of the hours worked."""
        return tuple(x for x in self.all_lines if x.quantity or x.kind is LineKind.BASE)

    @property
    def worked_min(self) -> int:
        return sum(s.worked_min for s in self.shifts)

    @property
    def overtime_by_shift(self) -> tuple[int, ...]:
        """All overtime minutes of each shift."""
        return tuple(map(sum, zip(self.shift_overtime, self.week_overtime, strict=True)))

    @property
    def overtime_min(self) -> int:
        return sum(self.overtime_by_shift)

    @property
    def pay(self) -> Decimal:
        """All lines together, to the cent."""
        return sum((line.amount for line in self.all_lines), Decimal(0))

    @property
    def basis(self) -> str:
        """Where the hours come from: ``log``, ``plan`` or ``log and plan``."""
        logs = {s.from_log for s in self.shifts}
        return "log and plan" if len(logs) > 1 else "log" if True in logs else "plan"


def person_weeks(shifts: Sequence[Shift], pay_class: str, rules: PayRules) -> tuple[PersonWeek, ...]:
    """One person's shifts as workweeks, with their pay; a shift belongs to the week in which it starts."""
    by_week: dict[date, list[Shift]] = defaultdict(list)
    for shift in shifts:
        by_week[shift.day - timedelta(days=(shift.day.weekday() - rules.week_starts) % 7)].append(shift)
    return tuple(_week(starts, own, pay_class, rules) for starts, own in sorted(by_week.items()))


def _week(starts: date, shifts: Sequence[Shift], pay_class: str, rules: PayRules) -> PersonWeek:
    overtime, own, weekly = _overtime(shifts, rules)
    lines = _lines(shifts, overtime, pay_class, rules)
    return PersonWeek(shifts[0].person, pay_class, starts, tuple(shifts), tuple(own), tuple(weekly), lines)


def is_seventh(shift: Shift, shifts: Sequence[Shift], rules: PayRules) -> bool:
    """Whether a shift starts on the seventh day of a week in which one starts each day, and rows pay it."""
    days = {s.day for s in shifts}
    return bool(rules.steps(OvertimeKind.SEVENTH_DAY)) and len(days) == 7 and shift.day == max(days)


def _overtime(
    shifts: Sequence[Shift], rules: PayRules
) -> tuple[list[tuple[OvertimeStep, int]], list[int], list[int]]:
    """Minutes of each overtime row, then of each shift by its own length and by the week's.

    No minute is counted by two rows. Where there are rows for a seventh day they stand in place of the daily
    ones. Only what is left at straight time counts towards the weekly rows.
    """
    weekly = rules.steps(OvertimeKind.WEEKLY)
    found = dict.fromkeys((step for kind in OvertimeKind for step in rules.steps(kind)), 0)
    own, by_week, straight = [], [], 0
    for shift in shifts:
        seventh = is_seventh(shift, shifts, rules)
        steps = rules.steps(OvertimeKind.SEVENTH_DAY if seventh else OvertimeKind.DAILY)
        past = _past(shift.worked_min, steps)
        for step, minutes in zip(steps, past, strict=True):
            found[step] += minutes
        left = shift.worked_min - sum(past)
        own.append(sum(past))
        by_week.append(sum(_past(straight + left, weekly)) - sum(_past(straight, weekly)))
        straight += left
    found.update(zip(weekly, _past(straight, weekly), strict=True))
    return [*found.items()], own, by_week


def _past(minutes: int, steps: Sequence[OvertimeStep]) -> list[int]:
    """Minutes past each step and short of the next."""
    ends = [*(step.after_min for step in steps[1:]), minutes]
    return [max(0, min(minutes, end) - step.after_min) for step, end in zip(steps, ends, strict=False)]


def _line(
    kind: LineKind, label: str, quantity: int, per_unit: Decimal, row: PayRow, *, in_base: bool
) -> PayLine:
    """A line of straight pay: minutes by the hour, or feet by the foot."""
    feet = kind is LineKind.DEPTH
    amount = cents(quantity * per_unit / (1 if feet else 60))
    unit, code = "ft" if feet else "min", "_".join(label.partition(", pay class")[0].replace(",", "").split())
    return PayLine(kind, code, label, row, quantity, unit, per_unit, Decimal(1), amount, in_base)


def _lines(
    shifts: Sequence[Shift],
    overtime: Sequence[tuple[OvertimeStep, int]],
    pay_class: str,
    rules: PayRules,
) -> tuple[PayLine, ...]:
    rate = rules.rate(pay_class)
    worked = sum(s.worked_min for s in shifts)
    label = f"hours worked, pay class {pay_class}" if pay_class else "hours worked"
    lines = [_line(LineKind.BASE, label, worked, rate.per_hour, rate, in_base=True)]
    counted = {
        PremiumKind.STANDBY: sum(s.paid_min(PaidAs.STANDING_BY) for s in shifts),
        PremiumKind.ENCLOSED: sum(s.paid_min(PaidAs.ENCLOSED) for s in shifts),
        PremiumKind.NIGHT: sum(s.night_min for s in shifts),
        PremiumKind.WEEKEND: sum(s.weekend_min for s in shifts),
    }
    for row in rules.premiums:
        base = row.in_overtime_base
        lines.append(
            _line(LineKind.PREMIUM, str(row.kind), counted[row.kind], row.per_hour, row, in_base=base)
        )
    for band in rules.bands:
        feet = sum(max(0, min(s.greatest_depth_fsw, band.to_fsw) - band.over_fsw) for s in shifts)
        label = f"depth premium, over {band.over_fsw} to {band.to_fsw} fsw"
        base = band.in_overtime_base
        lines.append(_line(LineKind.DEPTH, label, feet, band.per_foot, band, in_base=base))
    # minutes times money: not rounded, so that the regular rate of a plain hourly rate is that rate
    in_base = [line for line in lines if line.in_overtime_base]
    money = sum((x.quantity * x.per_unit * (60 if x.unit == "ft" else 1) for x in in_base), Decimal(0))
    for step, past in overtime:
        after, over = f"{step.after_min / 60:g}", step.times - 1
        lines.append(
            PayLine(
                kind=LineKind.OVERTIME,
                code=f"{step.kind} {after}h".replace(" ", "_"),
                label=f"{step.kind} past {after} h, the part over straight time",
                rule=step,
                quantity=past,
                unit="min",
                per_unit=money / worked,
                times=over,
                amount=cents(past * money * over / (60 * worked)),
                in_overtime_base=False,
            )
        )
    return tuple(lines)

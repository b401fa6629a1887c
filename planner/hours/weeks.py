"""A person's week: overtime by the rules, premiums, and the pay line by line, each line to the cent."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum

from planner.hours.days import PersonDay
from planner.hours.pay_rules import OvertimeKind, OvertimeStep, PayRules, PremiumKind, cents


class LineKind(StrEnum):
    """What a pay line pays."""

    BASE = "hours worked"
    PREMIUM = "premium"
    DEPTH = "depth premium"
    OVERTIME = "overtime"


@dataclass(frozen=True)
class PayLine:
    """One line of a week's pay.

    Parameters
    ----------
    quantity, unit
        Minutes, or feet.
    per_unit
        Money an hour or a foot. For overtime the regular rate (a quotient: print it rounded).
    times
        For overtime the part on top of the straight time: 0.5 for time and a half.
    amount
        Money, to the cent.
    in_overtime_base
        Whether the line counts in the regular rate.
    """

    kind: LineKind
    label: str
    quantity: int
    unit: str
    per_unit: Decimal
    times: Decimal
    amount: Decimal
    in_overtime_base: bool
    source: str
    example: bool


@dataclass(frozen=True)
class PersonWeek:
    """One person's workweek, from the day that it starts."""

    person: str
    pay_class: str
    starts: date
    days: tuple[PersonDay, ...]
    overtime: tuple[tuple[OvertimeStep, int], ...]
    """Minutes of each overtime row that was reached."""
    overtime_by_day: dict[date, int]
    """Overtime minutes of each day; the week's fall on the days that pass its limit. They add up."""
    lines: tuple[PayLine, ...]

    @property
    def worked_min(self) -> int:
        return sum(d.worked_min for d in self.days)

    @property
    def overtime_min(self) -> int:
        return sum(minutes for _, minutes in self.overtime)

    @property
    def pay(self) -> Decimal:
        """All lines together, to the cent."""
        return sum((line.amount for line in self.lines), Decimal(0))

    @property
    def from_log(self) -> bool:
        """Whether every day comes from a log."""
        return all(d.from_log for d in self.days)

    @property
    def basis(self) -> str:
        if self.from_log:
            return "log"
        return "log and plan" if any(d.from_log for d in self.days) else "plan"


def week_of(day: date, week_starts: int) -> date:
    """First day of the workweek that a day belongs to."""
    return day - timedelta(days=(day.weekday() - week_starts) % 7)


def person_weeks(days: Sequence[PersonDay], pay_class: str, rules: PayRules) -> tuple[PersonWeek, ...]:
    """One person's days as workweeks, with the pay of each."""
    by_week: dict[date, list[PersonDay]] = defaultdict(list)
    for day in days:
        by_week[week_of(day.day, rules.week_starts)].append(day)
    return tuple(_week(starts, own, pay_class, rules) for starts, own in sorted(by_week.items()))


def _week(starts: date, days: Sequence[PersonDay], pay_class: str, rules: PayRules) -> PersonWeek:
    overtime, by_day = _overtime(days, rules)
    return PersonWeek(
        person=days[0].person,
        pay_class=pay_class,
        starts=starts,
        days=tuple(days),
        overtime=overtime,
        overtime_by_day=by_day,
        lines=_lines(days, overtime, pay_class, rules),
    )


def _overtime(
    days: Sequence[PersonDay], rules: PayRules
) -> tuple[tuple[tuple[OvertimeStep, int], ...], dict[date, int]]:
    """Minutes of each overtime row; no minute is counted by two rows.

    A seventh day is one on which work falls after work on the six days before it in the same workweek;
    where there are rows for it they stand in place of the daily ones. Only what is left at straight time
    counts towards the weekly rows.
    """
    found: dict[OvertimeStep, int] = {}
    by_day: dict[date, int] = {}
    straight = 0
    worked = [d for d in days if d.worked_min > 0]
    for day in worked:
        seventh = len(worked) == 7 and day is worked[-1]
        steps = rules.steps(OvertimeKind.SEVENTH_DAY) if seventh else ()
        steps = steps or rules.steps(OvertimeKind.DAILY)
        past = _past(day.worked_min, steps)
        for step, minutes in past:
            found[step] = found.get(step, 0) + minutes
        by_day[day.day] = sum(minutes for _, minutes in past)
        straight += day.worked_min - by_day[day.day]
    weekly = rules.steps(OvertimeKind.WEEKLY)
    for step, minutes in _past(straight, weekly):
        found[step] = minutes
    if weekly:
        _spread(worked, by_day, weekly[0].after_min)
    order = [*OvertimeKind]
    ranked = sorted(found.items(), key=lambda pair: (order.index(pair[0].kind), pair[0].after_min))
    return tuple(ranked), by_day


def _spread(days: Sequence[PersonDay], by_day: dict[date, int], after_min: int) -> None:
    """Give the week's overtime to the days on which the straight time passes its limit."""
    before = 0
    for day in days:
        straight = day.worked_min - by_day[day.day]
        by_day[day.day] += max(0, before + straight - after_min) - max(0, before - after_min)
        before += straight


def _past(minutes: int, steps: Sequence[OvertimeStep]) -> list[tuple[OvertimeStep, int]]:
    """Minutes past each step and short of the next."""
    if not steps:
        return []
    ends = [*(step.after_min for step in steps[1:]), max(minutes, steps[-1].after_min)]
    pairs = [
        (step, min(minutes, end) - step.after_min)
        for step, end in zip(steps, ends, strict=True)
        if minutes > step.after_min
    ]
    return [(step, past) for step, past in pairs if past > 0]


def _lines(
    days: Sequence[PersonDay],
    overtime: Sequence[tuple[OvertimeStep, int]],
    pay_class: str,
    rules: PayRules,
) -> tuple[PayLine, ...]:
    rate = rules.rate(pay_class)
    worked = sum(d.worked_min for d in days)
    lines = [
        PayLine(
            LineKind.BASE,
            f"hours worked, pay class {pay_class}" if pay_class else "hours worked",
            worked,
            "min",
            rate.per_hour,
            Decimal(1),
            cents(worked * rate.per_hour / 60),
            True,
            rate.source,
            rate.example,
        )
    ]
    counted = {
        PremiumKind.STANDBY: sum(d.standby_min for d in days),
        PremiumKind.ENCLOSED: sum(d.enclosed_min for d in days),
        PremiumKind.NIGHT: sum(d.night_min for d in days),
        PremiumKind.WEEKEND: sum(d.weekend_min for d in days),
    }
    for kind, minutes in counted.items():
        row = rules.premium(kind)
        if row is not None and minutes and row.per_hour:
            lines.append(
                PayLine(
                    LineKind.PREMIUM,
                    str(kind),
                    minutes,
                    "min",
                    row.per_hour,
                    Decimal(1),
                    cents(minutes * row.per_hour / 60),
                    row.in_overtime_base,
                    row.source,
                    row.example,
                )
            )
    feet: dict[int, int] = defaultdict(int)
    for day in days:
        for band, more in rules.depth_pay(day.greatest_depth_fsw):
            feet[rules.bands.index(band)] += more
    for index, count in sorted(feet.items()):
        band = rules.bands[index]
        lines.append(
            PayLine(
                LineKind.DEPTH,
                f"depth premium, over {band.over_fsw} to {band.to_fsw} fsw",
                count,
                "ft",
                band.per_foot,
                Decimal(1),
                cents(count * band.per_foot),
                band.in_overtime_base,
                band.source,
                band.example,
            )
        )
    # minutes times money: not rounded, so that the regular rate of a plain hourly rate is that rate
    in_base = [line for line in lines if line.in_overtime_base]
    base = sum((x.quantity * x.per_unit * (60 if x.unit == "ft" else 1) for x in in_base), Decimal(0))
    for step, past in overtime:
        over = step.times - 1
        lines.append(
            PayLine(
                LineKind.OVERTIME,
                f"{step.kind} past {step.after_min / 60:g} h, the part over straight time",
                past,
                "min",
                base / worked,
                over,
                cents(past * base * over / (60 * worked)),
                False,
                step.source,
                step.example,
            )
        )
    return tuple(lines)

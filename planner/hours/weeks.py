"""A person's days and workweeks: minutes by duty, overtime by the rules, premiums, pay line by line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from decimal import Decimal
from enum import StrEnum
from itertools import pairwise

from planner.hours.pay_rules import OvertimeKind, OvertimeStep, PayRow, PayRules, PremiumKind, cents
from planner.hours.worked import CHAMBER_WATCH, WorkedDive
from planner.job.base import Clock, joined
from planner.job.duties import PaidAs, duty_rank, paid_as
from planner.plan.model import DutySpell

#: Minutes between two duties that are too short for a break.
BETWEEN = "between duties"


def _rank(duty: str) -> tuple[bool, int, str]:
    """Where two duties are held at once the minute is counted under the first by this rank."""
    return duty == CHAMBER_WATCH, *duty_rank(duty)


def _paid_as(duty: str) -> PaidAs:
    return PaidAs.CHAMBER if duty == CHAMBER_WATCH else paid_as(duty)


@dataclass(frozen=True)
class PersonDay:
    """One person's hours on one day. Minutes are elapsed minutes of the timesheets' clock.

    Parameters
    ----------
    start_min, end_min
        First duty's start and last duty's end.
    breaks
        Gaps long enough to be no work, start and end.
    by_duty
        Minutes by duty, each minute once; with `BETWEEN` they add up to the span less the breaks.
    bottom_min, greatest_depth_fsw, dives
        Of the dives that left the surface on the day.
    night_min, weekend_min
        Minutes worked at night and on a weekend day.
    chamber_min
        Minutes operating the chamber or held near it after a dive.
    standby_min, enclosed_min
        Minutes standing by; minutes in the water on work in an enclosed space.
    from_log
        Whether the hours come from a log; else from a plan.
    """

    person: str
    day: date
    start_min: int
    end_min: int
    breaks: tuple[tuple[int, int], ...]
    by_duty: tuple[tuple[str, int], ...]
    bottom_min: int
    greatest_depth_fsw: int
    dives: int
    night_min: int
    weekend_min: int
    chamber_min: int
    standby_min: int
    enclosed_min: int
    from_log: bool

    @property
    def span_min(self) -> int:
        return self.end_min - self.start_min

    @property
    def break_min(self) -> int:
        return _sum(self.breaks)

    @property
    def worked_min(self) -> int:
        """Span less breaks."""
        return self.span_min - self.break_min


def day_edges(clock: Clock, first: date, last: date, starts: time) -> dict[date, tuple[int, int]]:
    """Start and end of each day of pay, in minutes of the clock."""
    count = (last - first).days + 1
    days = [first + timedelta(days=n) for n in range(count + 1)]
    edges = [clock.minute_on(day, starts) for day in days]
    return dict(zip(days, pairwise(edges), strict=False))


def person_days(
    person: str,
    spells: Sequence[tuple[DutySpell, bool]],
    dives: Sequence[WorkedDive],
    clock: Clock,
    rules: PayRules,
) -> tuple[PersonDay, ...]:
    """The days of one person, in order.

    Parameters
    ----------
    person
        Whose.
    spells
        His spells, each with whether it comes from a log. One that runs over the start of a day is cut
        there.
    dives
        His dives.
    clock
        The clock that all minutes are of.
    rules
        Where a day starts, what is a break, what is night.
    """
    whole = [(s, log) for s, log in spells if s.end_min > s.start_min]
    if not whole:
        return ()
    first = clock.day_of(min(s.start_min for s, _ in whole)) - timedelta(days=1)
    last = clock.day_of(max(s.end_min for s, _ in whole))
    found = []
    for day, (start, end) in day_edges(clock, first, last, rules.day_starts).items():
        cut = [
            (max(s.start_min, start), min(s.end_min, end), s.duty, log)
            for s, log in whole
            if s.start_min < end and start < s.end_min
        ]
        if cut:
            own = [d for d in dives if start <= d.dive.leave_surface_min < end]
            enclosed = joined(
                (max(d.dive.leave_surface_min, start), min(d.dive.reach_surface_min, end))
                for d in dives
                if d.enclosed_space and d.dive.leave_surface_min < end and start < d.dive.reach_surface_min
            )
            found.append(_day(person, day, (start, end), cut, own, enclosed, clock, rules))
    return tuple(found)


def _day(
    person: str,
    day: date,
    edges: tuple[int, int],
    cut: Sequence[tuple[int, int, str, bool]],
    dives: Sequence[WorkedDive],
    enclosed: Sequence[tuple[int, int]],
    clock: Clock,
    rules: PayRules,
) -> PersonDay:
    held = joined((start, end) for start, end, _, _ in cut)
    by_duty: dict[str, int] = defaultdict(int)
    for left, right in pairwise(sorted({m for start, end, _, _ in cut for m in (start, end)})):
        duties = [duty for start, end, duty, _ in cut if start <= left and right <= end]
        if duties:
            by_duty[min(duties, key=_rank)] += right - left
    gaps = [(end, start) for (_, end), (start, _) in pairwise(held)]
    breaks = tuple(gap for gap in gaps if gap[1] - gap[0] >= rules.break_least_min)
    between = _sum(gaps) - _sum(breaks)
    if between:
        by_duty[BETWEEN] = between
    work = _without((held[0][0], held[-1][1]), breaks)

    def paid(kind: PaidAs) -> int:
        return _sum(joined((s, e) for s, e, duty, _ in cut if _paid_as(duty) is kind))

    return PersonDay(
        person=person,
        day=day,
        start_min=held[0][0],
        end_min=held[-1][1],
        breaks=breaks,
        by_duty=tuple(sorted(by_duty.items(), key=lambda pair: (pair[0] == BETWEEN, _rank(pair[0])))),
        bottom_min=sum(d.dive.bottom_time_min for d in dives),
        greatest_depth_fsw=max((d.greatest_depth_fsw for d in dives), default=0),
        dives=len(dives),
        night_min=_shared(work, _nights(clock, edges, rules)),
        weekend_min=_shared(work, _weekend(clock, edges, rules)),
        chamber_min=paid(PaidAs.CHAMBER),
        standby_min=paid(PaidAs.STANDING_BY),
        enclosed_min=_sum(enclosed),
        from_log=all(log for _, _, _, log in cut),
    )


def _sum(stretches: Iterable[tuple[int, int]]) -> int:
    return sum(end - start for start, end in stretches)


def _without(span: tuple[int, int], breaks: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    pieces, at = [], span[0]
    for start, end in breaks:
        pieces.append((at, start))
        at = end
    pieces.append((at, span[1]))
    return pieces


def _shared(one: Sequence[tuple[int, int]], other: Iterable[tuple[int, int]]) -> int:
    """Minutes that two lists of stretches share; each list is free of overlaps."""
    return sum(max(0, min(e, f) - max(s, t)) for s, e in one for t, f in other)


def _nights(clock: Clock, edges: tuple[int, int], rules: PayRules) -> list[tuple[int, int]]:
    """Night hours around a day of pay, by the clock on the wall."""
    if rules.night_from == rules.night_to:
        return []
    nights = []
    for day in _days(clock, edges):
        start = clock.minute_on(day, rules.night_from)
        over = rules.night_to <= rules.night_from
        nights.append((start, clock.minute_on(day + timedelta(days=1) if over else day, rules.night_to)))
    return joined(nights)


def _weekend(clock: Clock, edges: tuple[int, int], rules: PayRules) -> list[tuple[int, int]]:
    return [
        (clock.minute_on(day, time(0)), clock.minute_on(day + timedelta(days=1), time(0)))
        for day in _days(clock, edges)
        if day.weekday() in rules.weekend_days
    ]


def _days(clock: Clock, edges: tuple[int, int]) -> list[date]:
    """The calendar days that a day of pay touches, and the one before."""
    first, last = (clock.day_of(edge) for edge in edges)
    return [first + timedelta(days=n) for n in range(-1, (last - first).days + 1)]


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


def person_weeks(days: Sequence[PersonDay], pay_class: str, rules: PayRules) -> tuple[PersonWeek, ...]:
    """One person's days as workweeks, with the pay of each."""
    by_week: dict[date, list[PersonDay]] = defaultdict(list)
    for day in days:
        starts = day.day - timedelta(days=(day.day.weekday() - rules.week_starts) % 7)
        by_week[starts].append(day)
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


def _line(
    kind: LineKind, label: str, quantity: int, unit: str, per_unit: Decimal, row: PayRow, *, in_base: bool
) -> PayLine:
    """A line of straight pay: minutes by the hour, or feet by the foot."""
    amount = cents(quantity * per_unit / (60 if unit == "min" else 1))
    return PayLine(
        kind, label, quantity, unit, per_unit, Decimal(1), amount, in_base, row.source, row.example
    )


def _lines(
    days: Sequence[PersonDay],
    overtime: Sequence[tuple[OvertimeStep, int]],
    pay_class: str,
    rules: PayRules,
) -> tuple[PayLine, ...]:
    rate = rules.rate(pay_class)
    worked = sum(d.worked_min for d in days)
    label = f"hours worked, pay class {pay_class}" if pay_class else "hours worked"
    lines = [_line(LineKind.BASE, label, worked, "min", rate.per_hour, rate, in_base=True)]
    counted = {
        PremiumKind.STANDBY: sum(d.standby_min for d in days),
        PremiumKind.ENCLOSED: sum(d.enclosed_min for d in days),
        PremiumKind.NIGHT: sum(d.night_min for d in days),
        PremiumKind.WEEKEND: sum(d.weekend_min for d in days),
    }
    for kind, minutes in counted.items():
        row = rules.premium(kind)
        if row is not None and minutes and row.per_hour:
            base = row.in_overtime_base
            lines.append(_line(LineKind.PREMIUM, str(kind), minutes, "min", row.per_hour, row, in_base=base))
    for band in rules.bands:
        feet = sum(max(0, min(d.greatest_depth_fsw, band.to_fsw) - band.over_fsw) for d in days)
        if feet:
            label = f"depth premium, over {band.over_fsw} to {band.to_fsw} fsw"
            base = band.in_overtime_base
            lines.append(_line(LineKind.DEPTH, label, feet, "ft", band.per_foot, band, in_base=base))
    # minutes times money: not rounded, so that the regular rate of a plain hourly rate is that rate
    in_base = [line for line in lines if line.in_overtime_base]
    money = sum((x.quantity * x.per_unit * (60 if x.unit == "ft" else 1) for x in in_base), Decimal(0))
    for step, past in overtime:
        over = step.times - 1
        lines.append(
            PayLine(
                LineKind.OVERTIME,
                f"{step.kind} past {step.after_min / 60:g} h, the part over straight time",
                past,
                "min",
                money / worked,
                over,
                cents(past * money * over / (60 * worked)),
                False,
                step.source,
                step.example,
            )
        )
    return tuple(lines)

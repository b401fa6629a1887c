"""Hours and pay counted a second time, minute by minute, with nothing of `planner.hours` but its data.

Every minute that somebody works is one entry of a dict, at its minute of UTC; shifts, breaks, nights,
overtime and pay are then counted off one by one, and money is a fraction until a line is rounded.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from zoneinfo import ZoneInfo

from planner.hours.pay_rules import PayRules
from planner.hours.worked import WorkedRecord

#: The order in which a minute with several duties is counted (`docs/hours.md`), typed again.
ORDER = (
    "supervisor",
    "diver",
    "diver at the entry",
    "standby diver",
    "tender",
    "standby's tender",
    "air console",
    "log keeper",
    "chamber operator",
    "briefing",
)


@dataclass
class Counted:
    """One shift, or one day where the office counts by day; minutes."""

    day: date
    start: datetime
    end: datetime
    worked: int = 0
    rest: int = 0
    night: int = 0
    weekend: int = 0
    standby: int = 0
    enclosed: int = 0
    chamber: int = 0
    bottom: int = 0
    depth: int = 0
    dives: int = 0
    overtime: int = 0
    duties: Counter[str] = field(default_factory=Counter)


def _place(duty: str) -> tuple[bool, int, str]:
    known = duty in ORDER
    return duty == "by the chamber", ORDER.index(duty) if known else 99, duty


def _epoch(record: WorkedRecord) -> int:
    midnight = datetime.combine(record.first_day, time(0), ZoneInfo(record.time_zone))
    return int(midnight.timestamp() // 60)


def shifts(records: Iterable[WorkedRecord], person: str, rules: PayRules) -> list[Counted]:
    """Everything about one person's shifts, in order."""
    given = sorted(records, key=lambda r: r.first_day)
    zone = ZoneInfo(given[0].time_zone)
    held: dict[int, list[str]] = defaultdict(list)
    enclosed: set[int] = set()
    dives: list[tuple[int, int, int]] = []
    for record in given:
        zero = _epoch(record)
        for spell in record.spells:
            if spell.person == person:
                for minute in range(spell.start_min, spell.end_min):
                    held[zero + minute].append(spell.duty)
        for one in record.dives:
            if one.row.person == person:
                leave, up = zero + one.dive.leave_surface_min, zero + one.dive.reach_surface_min
                dives.append((leave, one.dive.bottom_time_min, one.greatest_depth_fsw))
                if one.enclosed_space:
                    enclosed |= set(range(leave, up))

    def wall(minute: int) -> datetime:
        return datetime.fromtimestamp(minute * 60, UTC).astimezone(zone).replace(tzinfo=None)

    def pay_day(minute: int) -> date:
        return (wall(minute) - timedelta(hours=rules.day_starts.hour, minutes=rules.day_starts.minute)).date()

    kinds: dict[int, str] = {}  # "work" or "break" of every minute of a shift
    number: dict[int, int] = {}
    last, shift = None, -1
    for minute in sorted(held):
        gap = 0 if last is None else minute - last - 1
        if last is None or gap >= rules.shift_ends_min:
            shift += 1
        else:
            for between in range(minute - gap, minute):
                kinds[between] = "break" if gap >= rules.break_least_min else "work"
                number[between] = shift
        kinds[minute], number[minute] = "work", shift
        last = minute
    by_day = str(rules.count_by) == "calendar day"
    groups: dict[object, list[int]] = defaultdict(list)
    for minute in sorted(kinds):
        groups[pay_day(minute) if by_day else number[minute]].append(minute)
    found = []
    for minutes in groups.values():
        work = [m for m in minutes if kinds[m] == "work"]
        if not work:
            continue
        one = Counted(pay_day(work[0]), wall(work[0]), wall(work[-1]) + timedelta(minutes=1))
        one.worked = len(work)
        one.rest = work[-1] + 1 - work[0] - len(work)
        for minute in work:
            own, clock = held.get(minute, []), wall(minute)
            now, start, end = clock.time(), rules.night_from, rules.night_to
            one.night += (start <= now < end) if start <= end else (now >= start or now < end)
            one.weekend += clock.weekday() in rules.weekend_days
            one.duties[min(own, key=_place) if own else "between duties"] += 1
            if own and minute in enclosed:
                one.enclosed += 1
            elif "standby diver" in own:
                one.standby += 1
            elif {"chamber operator", "by the chamber"} & set(own):
                one.chamber += 1
        own_dives = [d for d in dives if work[0] <= d[0] <= work[-1]]
        one.dives, one.bottom = len(own_dives), sum(d[1] for d in own_dives)
        one.depth = max((d[2] for d in own_dives), default=0)
        found.append(one)
    return found


def pay(
    week: Sequence[Counted], pay_class: str, rules: PayRules
) -> dict[tuple[str, Fraction | int | None], Fraction]:
    """Pay of one week by rule and its limit; fills in the overtime of each shift."""

    def steps(kind: str) -> list[tuple[int, Fraction]]:
        return sorted((o.after_min, Fraction(o.times)) for o in rules.overtime if o.kind == kind)

    def cent(amount: Fraction) -> Fraction:
        return Fraction(int(amount * 100 + Fraction(1, 2)), 100)

    days = sorted({s.day for s in week})
    minutes: Counter[tuple[str, int]] = Counter()
    times: dict[tuple[str, int], Fraction] = {}
    straight = 0
    for shift in sorted(week, key=lambda s: s.start):
        seventh = steps("seventh day") if len(days) == 7 and shift.day == days[-1] else []
        kind = "seventh day" if seventh else "daily overtime"
        for n in range(shift.worked):
            passed = [("x", *s) for s in (seventh or steps("daily overtime")) if n >= s[0]]
            what = kind
            if not passed:
                passed = [("x", *s) for s in steps("weekly overtime") if straight >= s[0]]
                what = "weekly overtime"
                straight += 1
            if passed:
                _, after, factor = passed[-1]
                minutes[what, after] += 1
                times[what, after] = factor
                shift.overtime += 1
    worked = sum(s.worked for s in week)
    own = [r for r in rules.rates if r.pay_class.lower() == pay_class.lower()]
    rate = (own or [r for r in rules.rates if not r.pay_class])[0]
    lines: dict[tuple[str, Fraction | int | None], Fraction] = {
        ("hours", None): Fraction(worked, 60) * Fraction(rate.per_hour)
    }
    base = lines["hours", None]
    sums = {
        "standby premium": sum(s.standby for s in week),
        "enclosed-space premium": sum(s.enclosed for s in week),
        "night premium": sum(s.night for s in week),
        "weekend premium": sum(s.weekend for s in week),
    }
    for premium in rules.premiums:
        amount = Fraction(sums[str(premium.kind)], 60) * Fraction(premium.per_hour)
        lines[str(premium.kind), None] = amount
        base += amount if premium.in_overtime_base else 0
    for band in rules.depth_bands:
        feet = sum(1 for s in week for foot in range(1, s.depth + 1) if band.over_fsw < foot <= band.to_fsw)
        lines["depth", band.over_fsw] = feet * Fraction(band.per_foot)
        base += lines["depth", band.over_fsw] if band.in_overtime_base else 0
    for (kind, after), count in minutes.items():
        lines[kind, after] = Fraction(count, worked) * base * (times[kind, after] - 1)
    return {key: cent(amount) for key, amount in lines.items()}

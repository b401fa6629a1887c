"""A person's shifts: from the call to the end of the last duty, with what was done in every minute between.

A gap, a meal, overtime and a premium belong to the shift in which they happen; midnight cuts nothing. An
office that counts by calendar day has the same shifts cut at the start of its day (`by_day`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from itertools import groupby, pairwise

from planner.hours.pay_rules import PayRules
from planner.hours.worked import CHAMBER_WATCH, WorkedDive, WorkedRecord
from planner.job.base import MINUTES_A_DAY, Clock, joined
from planner.job.duties import PaidAs, duty_rank, paid_as
from planner.plan.model import DutySpell

#: Minutes between two duties that are too short for a break, and those that are one.
BETWEEN, BREAK = "between duties", "break, unpaid"


def _rank(duty: str) -> tuple[bool, int, str]:
    """Where two duties are held at once the minute is counted under the first by this rank."""
    return duty == CHAMBER_WATCH, *duty_rank(duty)


def _paid_as(duty: str) -> PaidAs:
    return PaidAs.CHAMBER if duty == CHAMBER_WATCH else paid_as(duty)


@dataclass(frozen=True)
class ShiftPart:
    """A part of a shift in which nothing changes, no longer than a day and with one distance from UTC."""

    start_min: int
    end_min: int
    """Minutes of the timesheets' clock."""
    duty: str
    """Under which its minutes are counted; `BETWEEN`, or `BREAK`, which is no work."""
    paid_as: PaidAs = PaidAs.HOURS
    """What they count as beside hours worked."""
    from_log: bool = False
    """Whether they come from a log; else from a plan."""

    @property
    def minutes(self) -> int:
        return self.end_min - self.start_min

    @property
    def is_work(self) -> bool:
        return self.duty != BREAK


@dataclass(frozen=True)
class Shift:
    """One person's shift; in an office that counts by calendar day all that falls on one day."""

    person: str
    day: date
    """The day of pay on which it starts."""
    stretches: tuple[ShiftPart, ...]
    """What it is made of, without a gap."""
    night_min: int
    weekend_min: int
    """Minutes worked at night and on a weekend day, by the clock on the wall."""
    bottom_min: int
    greatest_depth_fsw: int
    greatest_depth_m: float
    dives: int
    """Of the dives that left the surface in it."""
    jobs: tuple[str, ...]
    """The jobs worked for."""

    @property
    def start_min(self) -> int:
        """The call: start of the first duty."""
        return self.stretches[0].start_min

    @property
    def end_min(self) -> int:
        return self.stretches[-1].end_min

    @property
    def span_min(self) -> int:
        return self.end_min - self.start_min

    @property
    def breaks(self) -> tuple[tuple[int, int], ...]:
        """Gaps long enough to be no work, start and end."""
        return tuple(joined((s.start_min, s.end_min) for s in self.stretches if not s.is_work))

    @property
    def break_min(self) -> int:
        return sum(s.minutes for s in self.stretches if not s.is_work)

    @property
    def worked_min(self) -> int:
        """Span less breaks."""
        return self.span_min - self.break_min

    @property
    def by_duty(self) -> tuple[tuple[str, int], ...]:
        """Minutes worked by duty, each minute once."""
        work = sorted((s for s in self.stretches if s.is_work), key=_in_order)
        return tuple((duty, sum(s.minutes for s in own)) for duty, own in groupby(work, lambda s: s.duty))

    def paid_min(self, kind: PaidAs) -> int:
        """Minutes that count as this beside hours worked."""
        return sum(s.minutes for s in self.stretches if s.paid_as is kind)

    @property
    def from_log(self) -> bool:
        return all(s.from_log for s in self.stretches)


def _in_order(stretch: ShiftPart) -> tuple[bool, tuple[bool, int, str]]:
    return stretch.duty == BETWEEN, _rank(stretch.duty)


#: A spell of work with the record that it is from.
Spell = tuple[DutySpell, WorkedRecord]


def person_shifts(
    person: str, spells: Sequence[Spell], dives: Sequence[WorkedDive], clock: Clock, rules: PayRules
) -> tuple[Shift, ...]:
    """The shifts of one person, in order, from his duties and dives in minutes of the clock.

    A rest of ``rules.shift_ends_min`` ends one.
    """
    whole = sorted((s for s in spells if s[0].end_min > s[0].start_min), key=lambda s: s[0].start_min)
    runs: list[list[Spell]] = []
    until = 0
    for spell in whole:
        if not runs or spell[0].start_min - until >= rules.shift_ends_min:
            runs.append([])
            until = spell[0].end_min
        runs[-1].append(spell)
        until = max(until, spell[0].end_min)
    enclosed = joined((d.dive.leave_surface_min, d.dive.reach_surface_min) for d in dives if d.enclosed_space)
    return tuple(
        _shift(
            person,
            _cut(_stretches(run, enclosed, rules.break_least_min), _seams(clock, run)),
            dives,
            tuple(dict.fromkeys(record.job_name for _, record in run)),
            clock,
            rules,
        )
        for run in runs
    )


def by_day(
    shifts: Sequence[Shift], dives: Sequence[WorkedDive], clock: Clock, rules: PayRules
) -> tuple[Shift, ...]:
    """The shifts of one person cut at the start of every day of pay, and put together by day.

    The rest between two shifts that start on one day counts as a break of it.
    """
    if not shifts:
        return ()
    first = clock.day_of(shifts[0].start_min) - timedelta(days=1)
    count = (clock.day_of(shifts[-1].end_min) - first).days + 2
    edges = [clock.minute_on(first + timedelta(days=n), rules.day_starts) for n in range(count)]
    between = [ShiftPart(a.end_min, b.start_min, BREAK, from_log=a.from_log) for a, b in pairwise(shifts)]
    whole = [s for shift in shifts for s in shift.stretches]
    days = []
    for start, end in pairwise(edges):
        own = sorted(_within([*whole, *between], start, end), key=lambda s: s.start_min)
        work = [n for n, stretch in enumerate(own) if stretch.is_work]
        if work:
            jobs = [j for s in shifts if s.start_min < end and start < s.end_min for j in s.jobs]
            kept = own[work[0] : work[-1] + 1]
            days.append(_shift(shifts[0].person, kept, dives, tuple(dict.fromkeys(jobs)), clock, rules))
    return tuple(days)


def _within(stretches: Iterable[ShiftPart], start: int, end: int) -> Iterator[ShiftPart]:
    for s in stretches:
        if s.start_min < end and start < s.end_min:
            yield replace(s, start_min=max(start, s.start_min), end_min=min(end, s.end_min))


def _shift(
    person: str,
    stretches: Sequence[ShiftPart],
    dives: Sequence[WorkedDive],
    jobs: tuple[str, ...],
    clock: Clock,
    rules: PayRules,
) -> Shift:
    start, end = stretches[0].start_min, stretches[-1].end_min
    own = [d for d in dives if start <= d.dive.leave_surface_min < end]
    work = [s for s in stretches if s.is_work]
    return Shift(
        person=person,
        day=(_wall(clock, start) - timedelta(minutes=minute_of_day(rules.day_starts))).date(),
        stretches=tuple(stretches),
        night_min=sum(night_min(clock, s, rules) for s in work),
        weekend_min=sum(weekend_min(clock, s, rules) for s in work),
        bottom_min=sum(d.dive.bottom_time_min for d in own),
        greatest_depth_fsw=max((d.greatest_depth_fsw for d in own), default=0),
        greatest_depth_m=max((d.greatest_depth_m for d in own), default=0.0),
        dives=len(own),
        jobs=jobs,
    )


def _stretches(
    run: Sequence[Spell], enclosed: Sequence[tuple[int, int]], break_least_min: int
) -> list[ShiftPart]:
    """What a shift is made of, without a gap; neighbours that are alike are one."""
    sides = {m for spell, _ in run for m in (spell.start_min, spell.end_min)}
    inside = {m for dive in enclosed for m in dive if min(sides) < m < max(sides)}
    found: list[ShiftPart] = []
    for left, right in pairwise(sorted(sides | inside)):
        held = [(s.duty, r.from_log) for s, r in run if s.start_min <= left and right <= s.end_min]
        if held:
            kinds = {_paid_as(duty) for duty, _ in held} - {PaidAs.ENCLOSED}
            if any(s <= left and right <= e for s, e in enclosed):
                kinds.add(PaidAs.ENCLOSED)
            order = (PaidAs.ENCLOSED, PaidAs.STANDING_BY, PaidAs.CHAMBER, PaidAs.HOURS)
            kind = next(k for k in order if k in kinds or k is PaidAs.HOURS)
            duty = min((duty for duty, _ in held), key=_rank)
            new = ShiftPart(left, right, duty, kind, all(log for _, log in held))
        else:
            new = ShiftPart(left, right, BREAK, from_log=found[-1].from_log)
        if found and replace(new, start_min=found[-1].start_min) == replace(found[-1], end_min=right):
            found[-1] = replace(found[-1], end_min=right)
        else:
            found.append(new)
    return [replace(s, duty=BETWEEN) if not s.is_work and s.minutes < break_least_min else s for s in found]


def _seams(clock: Clock, run: Sequence[Spell]) -> list[int]:
    """Minutes at which the clocks change, among those from the first to the last of a run."""
    at, end = min(s.start_min for s, _ in run), max(s.end_min for s, _ in run)
    seams = []
    while at < end:
        step = min(at + MINUTES_A_DAY, end)
        before, after = at, step
        if clock.at(before).utcoffset() != clock.at(after).utcoffset():
            while after - before > 1:
                middle = (before + after) // 2
                changed = clock.at(middle).utcoffset() != clock.at(at).utcoffset()
                before, after = (before, middle) if changed else (middle, after)
            seams.append(after)
        at = step
    return seams


def _cut(stretches: Sequence[ShiftPart], seams: Sequence[int]) -> list[ShiftPart]:
    """Stretches cut where the clocks change, and at a day's length."""
    found = []
    for s in stretches:
        days = range(s.start_min + MINUTES_A_DAY, s.end_min, MINUTES_A_DAY)
        edges = sorted({s.start_min, s.end_min, *days, *(m for m in seams if s.start_min < m < s.end_min)})
        found += [replace(s, start_min=a, end_min=b) for a, b in pairwise(edges)]
    return found


def _wall(clock: Clock, minute: int) -> datetime:
    return clock.at(minute).replace(tzinfo=None)


def minute_of_day(wall: datetime | time) -> int:
    return wall.hour * 60 + wall.minute


def walls(clock: Clock, stretch: ShiftPart) -> tuple[datetime, datetime]:
    """Start and end of a stretch as the clock on the wall shows them: their difference is its length.

    The end is told by the clock of its start: where the clocks change at that minute it is the time at which
    they were changed.
    """
    start = _wall(clock, stretch.start_min)
    return start, start + timedelta(minutes=stretch.minutes)


def night_min(clock: Clock, stretch: ShiftPart, rules: PayRules) -> int:
    """Minutes of a stretch at night, by the clock on the wall."""
    low, high = sorted(minute_of_day(t) for t in (rules.night_from, rules.night_to))
    start, end = ((w - datetime.min) // timedelta(minutes=1) for w in walls(clock, stretch))

    def counted(minute: int) -> int:
        days, at = divmod(minute, MINUTES_A_DAY)
        return days * (high - low) + min(max(at, low), high)

    between = counted(end) - counted(start)
    if rules.night_from == rules.night_to:
        return 0
    return stretch.minutes - between if rules.night_to < rules.night_from else between


def weekend_min(clock: Clock, stretch: ShiftPart, rules: PayRules) -> int:
    """Minutes of a stretch on a weekend day; it is no longer than a day, so it touches two at the most."""
    start, end = walls(clock, stretch)
    first = min(stretch.minutes, MINUTES_A_DAY - minute_of_day(start))
    found = first if start.weekday() in rules.weekend_days else 0
    return found + (stretch.minutes - first if end.weekday() in rules.weekend_days else 0)

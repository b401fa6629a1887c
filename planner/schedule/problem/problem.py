"""The job as the scheduler sees it: slots for dives, who may do what, and when. No solver in here.

Everything that can be decided before the search is decided here, with the same functions that the
independent check uses (tables, daylight, qualification), so that model and check agree.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from functools import cache, cached_property

from planner.day import AfterDive, dived_on, water_ascent_min
from planner.job import DiveItem, Job, Person, Span, SurfaceItem
from planner.job.duties import BUILT_IN_DUTIES, DIVER, duty_qualifies
from planner.schedule.problem.air_limits import AirLimits, air_limits
from planner.schedule.problem.chamber_gas import ChamberGas, chamber_gas
from planner.tables import GROUPS, NO_GROUP_CLEAN_MIN, ExposureOptions, Mode, minutes_to_group

Group = str | None

#: Past this many dive slots or person-slots the model is refused with a sentence (measured: see docs).
MAX_DIVE_SLOTS = 160
MAX_PEOPLE = 120

#: Longest wait that the surface interval table knows is below two days; used as "not today".
NEVER_MIN = 100_000


@dataclass(frozen=True)
class Placement:
    """A station and a stretch of time in which a dive of an item may be in the water."""

    station: str
    span: Span


@dataclass(frozen=True)
class Post:
    """People a dive needs in one duty.

    ``held``: "bench" from dressing to undressed, "watch" as a station duty, "chamber" from leave surface
    until the hour by the chamber is over. ``count_deco`` holds for dives outside the no-stop limits.
    """

    duty: str
    count: int
    count_deco: int
    held: str

    def asked(self, deco: bool) -> int:
        return self.count_deco if deco else self.count


@dataclass(frozen=True)
class DiveWork:
    """One dive item, made ready for the search."""

    item: DiveItem
    weight: int
    slots: int
    options: ExposureOptions
    modes: tuple[Mode, ...]
    descent_min: int
    dressing_min: int
    undressing_min: int
    least_work_min: int
    placements: tuple[Placement, ...]
    seats: tuple[str, ...]
    """Duty of each person in the water: divers, then divers at the entry."""
    standbys: int
    hands: int
    """Standby's tenders asked for while a standby diver dresses; 0 where the job does not ask."""
    standby_tenders: int
    """Standby's tenders on watch."""
    posts: tuple[Post, ...]
    divers: tuple[str, ...]
    """People who may take a seat."""
    standby_people: tuple[str, ...]
    unfit_dates: dict[str, frozenset[int]]
    """Divers and standby people → calendar days of the job on which they are not fit for the item."""
    chamber_watch_always: bool
    """Deeper than the trigger: the hour by the chamber follows whatever the way up."""
    standby_wait_min: dict[Group, int]
    """Minutes after surfacing in a group until the person may stand by for this item."""
    one_of_several: bool = False
    """Whether the item has more kinds of dive than are offered."""
    more_pieces: bool = False
    """Whether the item might be split into more dives than are offered."""
    shut_out_by_hose: bool = False
    """Whether a way up is left out for air, judged by the longest hose of several."""

    @property
    def bottom_max_min(self) -> int:
        return max((m.bottom_time_max_min for m in self.modes), default=0)

    @cached_property
    def ascent_least_min(self) -> int:
        """Shortest way up to the surface of any mode."""
        return min((water_ascent_min((m.schedule,)) for m in self.modes), default=0)

    @property
    def work_max_min(self) -> int:
        """Longest working time of one dive."""
        return max(0, min(self.bottom_max_min - self.descent_min, self.item.bottom_work_min))


@dataclass(frozen=True)
class TaskWork:
    """One surface item, made ready for the search."""

    item: SurfaceItem
    weight: int
    spans: tuple[Span, ...]
    crew: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class ShareTakers:
    """Whoever may have a dive of the job, and whoever may stand by for one, in the job's order."""

    dives: tuple[str, ...] = ()
    standing_by: tuple[str, ...] = ()


@dataclass(frozen=True)
class Problem:
    """All that the model, the first plan and the naming need."""

    job: Job
    dives: tuple[DiveWork, ...]
    tasks: tuple[TaskWork, ...]
    window: Span
    """From the start of the first day's work to the end of the last day's."""
    hours: dict[str, tuple[Span, ...]]
    """When each person may hold a duty (site hours, own hours, rest since the last duty)."""
    support_duties: tuple[str, ...]
    brought_in: dict[str, AfterDive] = field(default_factory=dict)
    """Person → what all dives before the job left; only those who have any."""
    watch_until: dict[str, int] = field(default_factory=dict)
    """Person → end of a watch by the chamber from before the job: no diving or standing by until then."""
    dive_from: dict[str, int] = field(default_factory=dict)
    """Person → first minute of leaving the surface after a night duty before the job."""
    share_takers: ShareTakers = ShareTakers()
    """Between whom the turns are shared."""
    without_air: bool = False
    """The models leave the air plant out, and the check alone judges it: nothing is shut out for air."""
    named_before: frozenset[str] = frozenset()
    """People whom a plan in force names, so that they are not exchangeable."""

    @cached_property
    def days(self) -> tuple[Span, ...]:
        """The working days; one may run past midnight."""
        return self.job.day_windows

    def day_of(self, minute: int) -> int:
        """Index of the working day that a minute belongs to."""
        return max(0, bisect_right([d.start_min for d in self.days], minute) - 1)

    @cached_property
    def midnights(self) -> tuple[int, ...]:
        """Start of every calendar day that the job touches."""
        clock, out = self.job.clock, [0]
        while (following := clock.day_start(len(out))) < self.window.end_min:
            out.append(following)
        return tuple(out)

    def date_of(self, minute: int) -> int:
        """Index of the calendar day of a minute; 0 is the job's first day."""
        return max(0, bisect_right(self.midnights, minute) - 1)

    def dived_before(self, person: str, date_index: int) -> tuple[int, int]:
        """Dives and bottom minutes that a person has from before the job on one of its calendar days."""
        return self._dived_before[person] if date_index == 0 else (0, 0)

    @cached_property
    def _dived_before(self) -> dict[str, tuple[int, int]]:
        return {p.name: dived_on(self.job, p.name, self.job.site.first_day) for p in self.people}

    @cached_property
    def by_item(self) -> dict[str, tuple[int, ...]]:
        """Dive item → its places in `dives`; several where its depth follows the tide (deepest first) or
        more are in dress on a dive with stops."""
        out: dict[str, tuple[int, ...]] = {}
        for k, work in enumerate(self.dives):
            out[work.item.name] = (*out.get(work.item.name, ()), k)
        return out

    def work_of(self, item: str) -> DiveWork:
        """What speaks for a dive item: of several depths the one with the longest dive."""
        works = [self.dives[k] for k in self.by_item[item]]
        return max(works, key=lambda w: (w.slots > 0, w.work_max_min))

    @cached_property
    def items_under(self) -> tuple[DiveWork, ...]:
        """One for each dive item; see `work_of`."""
        return tuple(self.work_of(name) for name in self.by_item)

    @property
    def works(self) -> tuple[DiveWork | TaskWork, ...]:
        """One for each item, dive items first."""
        return (*self.items_under, *self.tasks)

    @cached_property
    def air(self) -> AirLimits:
        """What the air plant allows."""
        return air_limits(self.job, [(d.item, d.modes) for d in self.dives])

    @cached_property
    def as_wide_as_the_check(self) -> bool:
        """Whether every plan that the check accepts lies in the model, so that its bounds are proofs.

        Not so where the air plant is counted on the safe side or the longest hose of several shuts a way up
        out, where an item has more kinds of dive than are offered, where a duty may change hands in mid-dive,
        where an item might be split into more dives than are offered, or where of several standby divers of
        a dive some might stay dressed for the next.
        """
        rules = self.job.rules
        relieved = bool(rules.hand_over_min or rules.hand_over_lead_min)
        dressed = bool(rules.standby_dressed_max_min) and any(w.standbys > 1 for w in self.dives)
        plant = (self.without_air or self.air.exact) and not any(w.shut_out_by_hose for w in self.dives)
        offered = not any(w.one_of_several or w.more_pieces for w in self.dives)
        return plant and not relieved and not dressed and offered

    @cached_property
    def chamber_gas(self) -> ChamberGas | None:
        """What decompressions in the chamber may take; None where there are none or nothing is counted."""
        return chamber_gas(self.job.air, [m.schedule.chamber_periods for d in self.dives for m in d.modes])

    @cached_property
    def people(self) -> tuple[Person, ...]:
        return self.job.people

    @cached_property
    def qualified(self) -> dict[str, frozenset[str]]:
        """Duty → people who may hold it and are on site at all."""
        every = {*BUILT_IN_DUTIES, *self.support_duties}
        return {
            duty: frozenset(
                p.name for p in self.people if duty_qualifies(p.duties, duty) and self.hours[p.name]
            )
            for duty in every
        }

    @cached_property
    def alike(self) -> tuple[tuple[str, ...], ...]:
        """Groups of two or more divers who differ in nothing but their name."""
        groups: dict[str, list[str]] = {}
        pinned = {*self.named_before, *(pin.person for pin in self.job.pins)}
        for p in self.people:
            if p.name not in pinned and duty_qualifies(p.duties, DIVER) and self.hours[p.name]:
                groups.setdefault(repr(p.replace(name="x", pay_class="")), []).append(p.name)
        return tuple(tuple(g) for g in groups.values() if len(g) > 1)

    def earliest_with_group(self, person: str, group: Group) -> int:
        """First minute at which the person's own history leaves ``group`` or lower."""
        known = self.brought_in.get(person)
        return self.window.start_min if known is None else known.ended_min + wait_minutes(known.group, group)


@cache
def wait_minutes(after: Group, wanted: Group) -> int:
    """Surface interval, minutes, from ``after`` to ``wanted`` or lower; at least 10 (a new dive)."""
    if after is not None and wanted is not None and GROUPS.index(after) <= GROUPS.index(wanted):
        return 10
    if after is None:
        # No group printed for the dive: the tables say nothing until the diver is clean.
        return NO_GROUP_CLEAN_MIN
    return max(10, minutes_to_group(after, wanted))


def rank(group: Group) -> int:
    """Groups before a dive in order: -1 clean, then A to Z."""
    return -1 if group is None else GROUPS.index(group)


def away(problem: Problem, person: str) -> list[tuple[int, int]]:
    """Stretches of the day in which a person may hold no duty."""
    out, at = [], problem.window.start_min
    for span in problem.hours[person]:
        if span.start_min > at:
            out.append((at, span.start_min))
        at = max(at, span.end_min)
    if at < problem.window.end_min:
        out.append((at, problem.window.end_min))
    return out

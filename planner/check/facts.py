"""A plan beside its job, sorted for the check, and every exposure worked out again.

Only what has known names and times that can be weighed is here; what is dropped (an unknown item, a time
before the wheel) is convicted by `planner.check.names`. The plan's own groups, residual nitrogen times and
schedules are never read: the exposures come from the job, the tables and the plan's times alone.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

from planner.errors import TableRefusal
from planner.job.base import Span, joined
from planner.job.duties import HeldOver, held_over
from planner.job.job import Job
from planner.job.people import Person
from planner.job.tide import deepest_fsw, depth_with_tide_fsw
from planner.job.work import DiveItem, SurfaceItem
from planner.plan.model import EARLIEST_MIN, Dive, DiverExposure, DutySpell, Plan, SurfaceTask, in_range
from planner.table_sets import TableSet
from planner.tables import (
    Exposure,
    TableSchedule,
    options_for,
    plan_exposure,
)
from planner.tables.gauge import greatest_depth_fsw
from planner.tables.past_dives import carried_in
from planner.tables.schedule import IN_CHAMBER, NO_STOP
from planner.words.measures import read_depth_words


def times_of(dive: Dive) -> tuple[int, ...]:
    """The times of a dive: the six in the order in which they come, then the end of pressure."""
    return (
        dive.dress_start_min,
        dive.leave_surface_min,
        dive.reach_bottom_min,
        dive.leave_bottom_min,
        dive.reach_surface_min,
        dive.undressed_min,
        dive.out_min,
    )


def covered(spans: Iterable[Span], start_min: int, end_min: int) -> bool:
    """Whether the spans, taken together, hold the whole stretch without a gap."""
    held = joined((span.start_min, span.end_min) for span in spans)
    return any(first <= start_min and end_min <= last for first, last in held)


def first_gap(
    spells: Iterable[DutySpell], start_min: int, end_min: int, count: int
) -> tuple[int, int, int] | None:
    """The first stretch in which fewer than ``count`` different people hold the spells.

    Returns
    -------
    tuple or None
        Start, end and the number of people there; None when the whole stretch is manned.
    """
    held = tuple(spells)
    cuts = {start_min, end_min}
    for spell in held:
        cuts.update(t for t in (spell.start_min, spell.end_min) if start_min < t < end_min)
    points = sorted(cuts)
    for left, right in pairwise(points):
        people = {s.person for s in held if s.start_min <= left and right <= s.end_min}
        if len(people) < count:
            return left, right, len(people)
    return None


@dataclass(frozen=True)
class KnownDive:
    """A dive whose item is a dive item of the job and whose times can be weighed.

    ``bench_start_min`` is when the station's crew takes over for it: at dressing, or when the dive before
    it on the station has surfaced. ``depth_fsw`` is what it is weighed by: the item's depth, or with the
    tide the depth it is planned to, as far as that is true, as it is read. ``greatest_fsw`` is that with the
    corrections of the gauge: what every rule takes that says *deeper than*.
    """

    dive: Dive
    item: DiveItem
    bench_start_min: int
    depth_fsw: int
    greatest_fsw: int
    job: Job

    @property
    def tables(self) -> TableSet:
        return self.job.tables

    @property
    def depth_words(self) -> str:
        """``101 fsw (100 read)``."""
        return read_depth_words(self.job, self.item, self.depth_fsw, self.greatest_fsw)

    @property
    def where(self) -> str:
        return f"dive {self.dive.id} ({self.item.name})"

    @property
    def water(self) -> tuple[int, int]:
        return self.dive.leave_surface_min, self.dive.reach_surface_min

    @property
    def bottom_time_min(self) -> int:
        """Leave surface to leave bottom."""
        return self.dive.leave_bottom_min - self.dive.leave_surface_min

    @property
    def work_min(self) -> int:
        """Reach bottom to leave bottom."""
        return self.dive.leave_bottom_min - self.dive.reach_bottom_min

    def divers(self) -> tuple[DiverExposure, ...]:
        """Everyone in the water on this dive, each person once."""
        once: dict[str, DiverExposure] = {}
        for diver in self.dive.divers:
            once.setdefault(diver.person, diver)
        return tuple(once.values())

    def span_of(self, duty: str, watch_min: int) -> tuple[int, int]:
        """From when to when a duty of this dive must be held."""
        over = held_over(duty)
        if over is HeldOver.DRESSING:
            return self.dive.dress_start_min, self.dive.undressed_min
        if over is HeldOver.CHAMBER:
            return self.dive.leave_surface_min, self.dive.out_min + watch_min
        return self.bench_start_min, self.dive.reach_surface_min


@dataclass(frozen=True)
class Facts:
    """A plan beside its job."""

    job: Job
    plan: Plan
    rule_ids: frozenset[str] = frozenset()
    """Ids of the rules that a plan may name as the reason for what it leaves over."""
    in_force: Plan | None = None
    """The plan beside which this one was made, as far as that was still ahead."""

    @cached_property
    def exposures(self) -> TrueExposures:
        """What every dive does to every diver."""
        return TrueExposures(self)

    @cached_property
    def people(self) -> dict[str, Person]:
        return {person.name: person for person in self.job.people}

    @cached_property
    def dive_items(self) -> dict[str, DiveItem]:
        return {item.name: item for item in self.job.dive_items}

    @cached_property
    def surface_items(self) -> dict[str, SurfaceItem]:
        """Surface items of the job and the standing work of its days."""
        return {item.name: item for item in (*self.job.standing_items, *self.job.surface_items)}

    @cached_property
    def weighed(self) -> Plan:
        """The plan with only those of its dives that can be weighed: a known item, times that are some."""
        sound = (d for d in self.plan.dives if d.item in self.dive_items and in_range(*times_of(d)))
        return self.plan.model_copy(update={"dives": tuple(sound)})

    @cached_property
    def dives(self) -> tuple[KnownDive, ...]:
        """Dives that can be weighed, in the order in which they leave the surface."""
        last_up: dict[str, int] = {}
        known = []
        for dive in sorted(self.weighed.dives, key=lambda d: (d.leave_surface_min, d.id)):
            bench = max(dive.dress_start_min, last_up.get(dive.station, dive.dress_start_min))
            item = self.dive_items[dive.item]
            depth = self._depth(dive, item)
            greatest = greatest_depth_fsw(self.job.site, depth)
            known.append(KnownDive(dive, item, bench, depth, greatest, self.job))
            last_up[dive.station] = max(dive.reach_surface_min, last_up.get(dive.station, EARLIEST_MIN))
        return tuple(known)

    def _depth(self, dive: Dive, item: DiveItem) -> int:
        """The planned depth, no shallower than the tide has it and no deeper than at the highest water."""
        deepest = deepest_fsw(self.job, item)
        needed = depth_with_tide_fsw(self.job, item, dive.leave_surface_min, dive.leave_bottom_min)
        return min(deepest, max(deepest if needed is None else needed, dive.depth_fsw))

    @cached_property
    def dive_by_id(self) -> dict[str, KnownDive]:
        return {known.dive.id: known for known in self.dives}

    @cached_property
    def tasks(self) -> tuple[tuple[SurfaceTask, SurfaceItem], ...]:
        """Surface tasks that can be weighed, each with its item."""
        return tuple(
            (task, self.surface_items[task.item])
            for task in self.plan.surface_tasks
            if task.item in self.surface_items and in_range(task.start_min, task.end_min)
        )

    @cached_property
    def spells(self) -> tuple[DutySpell, ...]:
        """Duty spells of known people with times that can be weighed, in order of time."""
        sound = (
            s
            for s in self.plan.duties
            if s.person in self.people and in_range(s.start_min, s.end_min) and s.start_min < s.end_min
        )
        return tuple(sorted(sound, key=lambda s: (s.start_min, s.end_min, s.person, s.duty)))

    @cached_property
    def spells_of_dive(self) -> dict[str, tuple[DutySpell, ...]]:
        by_dive: dict[str, list[DutySpell]] = defaultdict(list)
        for spell in self.spells:
            if spell.dive is not None:
                by_dive[spell.dive].append(spell)
        return {dive: tuple(spells) for dive, spells in by_dive.items()}

    @cached_property
    def spells_of_person(self) -> dict[str, tuple[DutySpell, ...]]:
        by_person: dict[str, list[DutySpell]] = defaultdict(list)
        for spell in self.spells:
            by_person[spell.person].append(spell)
        return {person: tuple(spells) for person, spells in by_person.items()}

    def begun_in(self, name: str, span: Span) -> list[DutySpell]:
        """Spells of a person that begin in a stretch of time, his briefing too."""
        spells = self.spells_of_person.get(name, ())
        return [s for s in spells if span.start_min <= s.start_min < span.end_min]

    def holders(self, known: KnownDive, duty: str) -> tuple[DutySpell, ...]:
        """Spells of one duty for one dive."""
        return tuple(s for s in self.spells_of_dive.get(known.dive.id, ()) if s.duty == duty)

    def worked_min(self, item: str) -> int:
        """Minutes of an item that the plan does, worked out from its times."""
        under = sum(known.work_min for known in self.dives if known.item.name == item)
        above = sum(task.end_min - task.start_min for task, own in self.tasks if own.name == item)
        return under + above

    def needed_min(self, item: str) -> int:
        """Minutes that an item needs. KeyError when there is none of that name."""
        if item in self.dive_items:
            return self.dive_items[item].bottom_work_min
        return self.surface_items[item].duration_min

    def at(self, minute: int) -> str:
        """A time for a sentence: ``07:30``, with the day when the job or the time needs it."""
        if not in_range(minute):
            return f"minute {minute}"
        other_day = self.job.clock.day_of(minute) != self.job.site.first_day
        return self.job.clock.hhmm(minute, with_day=self.job.site.days > 1 or other_day)

    def stretch(self, start_min: int, end_min: int) -> str:
        """``07:30 to 08:10``."""
        return f"{self.at(start_min)} to {self.at(end_min)}"

    def stretches(self, spans: Iterable[Span]) -> str:
        """Spans in words, by commas; empty without any."""
        return ", ".join(self.stretch(span.start_min, span.end_min) for span in spans)


@dataclass(frozen=True)
class Surfaced:
    """What a diver brings from his last dive.

    ``at_min`` is when the dive ended: out of the water, or out of the chamber where the dive went through
    it; ``up_min`` is when it reached the surface, where that is not the same. ``group`` None: the tables
    print no group. ``known`` False: an earlier dive could not be worked out, so nothing can be said.
    """

    tables: TableSet
    at_min: int
    group: str | None
    known: bool = True
    up_min: int | None = None

    def clean_at_min(self) -> int:
        return self.at_min + self.tables.minutes_until_clean(self.group)


@dataclass(frozen=True)
class TrueExposure:
    """What one dive does to one diver, worked out from his dives before it."""

    known: KnownDive
    person: str
    """The dive and the diver."""
    interval_min: int | None
    """Minutes on the surface since the last dive; None when there is none."""
    since_planned_dive: bool
    """Whether that last dive is one of the plan."""
    group_before: str | None
    """Group at leave surface; None when clean."""
    exposure: Exposure | None
    """What the tables say; None when they refuse, or nothing can be said."""
    refusal: str | None = None
    """The tables' words when they refuse."""
    blocked_by: Surfaced | None = None
    """Set when the last dive allows no other before the diver is clean: none printed, or a least interval."""

    @property
    def in_chamber(self) -> bool:
        """Whether the diver decompresses in the chamber."""
        return self.exposure is not None and self.exposure.schedule.way_up == IN_CHAMBER

    @property
    def too_soon(self) -> bool:
        """Shorter on the surface than the tables' shortest interval: the tables call it the same dive."""
        return self.interval_min is not None and self.interval_min < self.known.tables.same_dive_under_min


class TrueExposures:
    """All exposures of a plan, by dive and by person."""

    def __init__(self, facts: Facts) -> None:
        self._facts = facts
        self._surfaced: dict[str, list[Surfaced]] = defaultdict(list)
        self._by_dive: dict[str, list[TrueExposure]] = defaultdict(list)
        for person in facts.job.people:
            carried = carried_in(person, facts.job.site)
            if carried is not None:
                self._surfaced[person.name].append(
                    Surfaced(carried.tables, carried.surfaced_min, carried.group)
                )
        planned: set[str] = set()
        for known in facts.dives:
            for diver in known.divers():
                if diver.person not in facts.people:
                    continue
                exposure = self._work_out(known, diver.person, diver.person in planned)
                self._by_dive[known.dive.id].append(exposure)
                self._surfaced[diver.person].append(_after(exposure))
                planned.add(diver.person)

    @cached_property
    def all(self) -> tuple[TrueExposure, ...]:
        return tuple(e for exposures in self._by_dive.values() for e in exposures)

    def of_dive(self, dive_id: str) -> tuple[TrueExposure, ...]:
        return tuple(self._by_dive.get(dive_id, ()))

    def before(self, person: str, minute: int) -> Surfaced | None:
        """The last dive that a person surfaced from at or before a minute; None when never.

        It may end later, in the chamber: then the person is not out of pressure yet.
        """
        found = [
            s
            for s in self._surfaced.get(person, ())
            if (s.at_min if s.up_min is None else s.up_min) <= minute
        ]
        return max(found, key=lambda s: s.at_min, default=None)

    def decompression(self, dive_id: str) -> bool:
        """Whether the tables put any diver of the dive outside the no-stop limits."""
        return any(
            e.exposure is not None and e.exposure.schedule.way_up != NO_STOP for e in self.of_dive(dive_id)
        )

    def ascent_min(self, dive_id: str) -> int | None:
        """Minutes from leave bottom to reach surface: the longest of its divers' ascents in the water,
        rounded up."""
        ascents = [schedule.water_ascent_s for schedule in self._schedules(dive_id)]
        return math.ceil(max(ascents) / 60) if ascents else None

    def chamber_min(self, dive_id: str) -> int | None:
        """Minutes from leave bottom until the last diver is out of the chamber, rounded up; None when
        nobody goes through it."""
        ascents = [s.ascent_s for s in self._schedules(dive_id) if s.way_up == IN_CHAMBER]
        return math.ceil(max(ascents) / 60) if ascents else None

    def _schedules(self, dive_id: str) -> list[TableSchedule]:
        return [e.exposure.schedule for e in self.of_dive(dive_id) if e.exposure is not None]

    def _work_out(self, known: KnownDive, person: str, planned_before: bool) -> TrueExposure:
        dive = known.dive
        # planned dives come in order of time, so the last entry is the dive before this one
        last = self._surfaced[person][-1] if self._surfaced[person] else None
        if last is None:
            return self._tables(known, person, None, False, None)
        interval = dive.leave_surface_min - last.at_min
        unknown = TrueExposure(known, person, interval, planned_before, None, None)
        if not last.known or interval < last.tables.same_dive_under_min:
            return unknown
        if interval < last.tables.no_dive_min(last.group):
            return replace(unknown, blocked_by=last)
        if last.group is None:
            return self._tables(known, person, interval, planned_before, None)
        group = last.tables.group_after_interval(last.group, interval)
        return self._tables(known, person, interval, planned_before, group)

    def _tables(
        self, known: KnownDive, person: str, interval: int | None, planned_before: bool, group: str | None
    ) -> TrueExposure:
        bottom_time = known.bottom_time_min
        if bottom_time <= 0:
            return TrueExposure(known, person, interval, planned_before, group, None)
        # whether he is in the chamber in time is a rule of its own: chamber-in-time
        options = options_for(self._facts.job, known.item).any_time_on_deck
        try:
            exposure = plan_exposure(known.depth_fsw, bottom_time, group, options)
        except TableRefusal as refusal:
            return TrueExposure(known, person, interval, planned_before, group, None, str(refusal))
        return TrueExposure(known, person, interval, planned_before, group, exposure)


def _after(exposure: TrueExposure) -> Surfaced:
    dive = exposure.known.dive
    ended, up, tables = dive.out_min, dive.reach_surface_min, exposure.known.tables
    if exposure.exposure is None:
        return Surfaced(tables, ended, None, False, up)
    return Surfaced(tables, ended, exposure.exposure.group_after, True, up)

"""A plan beside its job, sorted for the check: only what has known names and times that can be weighed.

What is dropped here (an unknown item, a time before the wheel) is convicted by `planner.check.names`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from planner.job.base import Span
from planner.job.duties import HeldOver, held_over
from planner.job.job import Job
from planner.job.people import Person
from planner.job.tide import deepest_fsw, depth_with_tide_fsw
from planner.job.work import DiveItem, SurfaceItem
from planner.plan.model import EARLIEST_MIN, Dive, DiverExposure, DutySpell, Plan, SurfaceTask, in_range


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


def joined(spans: Iterable[Span]) -> tuple[tuple[int, int], ...]:
    """Spans in order, those that touch or overlap made one."""
    merged: list[tuple[int, int]] = []
    for span in sorted(spans, key=lambda s: s.start_min):
        if merged and span.start_min <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], span.end_min))
        else:
            merged.append((span.start_min, span.end_min))
    return tuple(merged)


def covered(spans: Iterable[Span], start_min: int, end_min: int) -> bool:
    """Whether the spans, taken together, hold the whole stretch without a gap."""
    return any(first <= start_min and end_min <= last for first, last in joined(spans))


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
    tide the depth it is planned to, as far as that is true.
    """

    dive: Dive
    item: DiveItem
    bench_start_min: int
    depth_fsw: int

    @property
    def where(self) -> str:
        return f"dive {self.dive.id} ({self.item.name})"

    @property
    def water(self) -> tuple[int, int]:
        return self.dive.leave_surface_min, self.dive.reach_surface_min

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

    plan: Plan
    job: Job

    @cached_property
    def people(self) -> dict[str, Person]:
        return {person.name: person for person in self.job.people}

    @cached_property
    def dive_items(self) -> dict[str, DiveItem]:
        return {item.name: item for item in self.job.dive_items}

    @cached_property
    def surface_items(self) -> dict[str, SurfaceItem]:
        return {item.name: item for item in self.job.surface_items}

    @cached_property
    def dives(self) -> tuple[KnownDive, ...]:
        """Dives that can be weighed, in the order in which they leave the surface."""
        sound = [d for d in self.plan.dives if d.item in self.dive_items and in_range(*times_of(d))]
        last_up: dict[str, int] = {}
        known = []
        for dive in sorted(sound, key=lambda d: (d.leave_surface_min, d.id)):
            bench = max(dive.dress_start_min, last_up.get(dive.station, dive.dress_start_min))
            item = self.dive_items[dive.item]
            known.append(KnownDive(dive, item, bench, self._depth(dive, item)))
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

    def holders(self, known: KnownDive, duty: str) -> tuple[DutySpell, ...]:
        """Spells of one duty for one dive."""
        return tuple(s for s in self.spells_of_dive.get(known.dive.id, ()) if s.duty == duty)

    def station_of(self, spell: DutySpell) -> str | None:
        """The station where a spell is held: that of its dive; None for a surface task."""
        if spell.dive is None:
            return None
        known = self.dive_by_id.get(spell.dive)
        return known.dive.station if known else spell.station

    def worked_min(self, item: str) -> int:
        """Minutes of an item that the plan does, worked out from its times."""
        under = sum(
            k.dive.leave_bottom_min - k.dive.reach_bottom_min for k in self.dives if k.item.name == item
        )
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

"""Every diver's exposures worked out again from the job, the tables and the plan's times alone.

The plan's own groups, residual nitrogen times and schedules are never read here.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

from planner.check.facts import Facts, KnownDive
from planner.errors import TableRefusal
from planner.tables import (
    SAME_DIVE_UNDER_MIN,
    Exposure,
    TableSchedule,
    group_after_interval,
    minutes_until_clean,
    options_for,
    plan_exposure,
)
from planner.tables.past_dives import carried_in
from planner.tables.schedule import IN_CHAMBER, NO_STOP


@dataclass(frozen=True)
class Surfaced:
    """What a diver brings from his last dive.

    ``at_min`` is when the dive ended: out of the water, or out of the chamber where the dive went through
    it; ``up_min`` is when it reached the surface, where that is not the same. ``group`` None: the tables
    print no group. ``known`` False: an earlier dive could not be worked out, so nothing can be said.
    """

    at_min: int
    group: str | None
    known: bool = True
    up_min: int | None = None

    def clean_at_min(self) -> int:
        """When the diver is clean."""
        return self.at_min + minutes_until_clean(self.group)


@dataclass(frozen=True)
class TrueExposure:
    """What one dive does to one diver, worked out from his dives before it.

    Parameters
    ----------
    known, person
        The dive and the diver.
    interval_min
        Minutes on the surface since the last dive; None when there is none.
    since_planned_dive
        Whether that last dive is one of the plan.
    group_before
        Group at leave surface; None when clean.
    exposure
        What the tables say; None when they refuse, or nothing can be said.
    refusal
        The tables' words when they refuse.
    blocked_until_min
        Set when the last dive has no printed group: the diver is clean only then.
    """

    known: KnownDive
    person: str
    interval_min: int | None
    since_planned_dive: bool
    group_before: str | None
    exposure: Exposure | None
    refusal: str | None = None
    blocked_until_min: int | None = None

    @property
    def in_chamber(self) -> bool:
        """Whether the diver decompresses in the chamber."""
        return self.exposure is not None and self.exposure.schedule.way_up == IN_CHAMBER

    @property
    def too_soon(self) -> bool:
        """Less than ten minutes on the surface: the tables call it the same dive."""
        return self.interval_min is not None and self.interval_min < SAME_DIVE_UNDER_MIN


class TrueExposures:
    """All exposures of a plan, by dive and by person."""

    def __init__(self, facts: Facts) -> None:
        self._facts = facts
        self._surfaced: dict[str, list[Surfaced]] = defaultdict(list)
        self._by_dive: dict[str, list[TrueExposure]] = defaultdict(list)
        for person in facts.job.people:
            carried = carried_in(person, facts.job.site)
            if carried is not None:
                self._surfaced[person.name].append(Surfaced(carried.surfaced_min, carried.group))
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
        if not last.known or interval < SAME_DIVE_UNDER_MIN:
            return unknown
        if last.group is None:
            if dive.leave_surface_min < last.clean_at_min():
                return TrueExposure(
                    known, person, interval, planned_before, None, None, None, last.clean_at_min()
                )
            return self._tables(known, person, interval, planned_before, None)
        group = group_after_interval(last.group, interval)
        return self._tables(known, person, interval, planned_before, group)

    def _tables(
        self, known: KnownDive, person: str, interval: int | None, planned_before: bool, group: str | None
    ) -> TrueExposure:
        bottom_time = known.dive.leave_bottom_min - known.dive.leave_surface_min
        if bottom_time <= 0:
            return TrueExposure(known, person, interval, planned_before, group, None)
        options = options_for(self._facts.job, known.item)
        try:
            exposure = plan_exposure(known.depth_fsw, bottom_time, group, options)
        except TableRefusal as refusal:
            return TrueExposure(known, person, interval, planned_before, group, None, str(refusal))
        return TrueExposure(known, person, interval, planned_before, group, exposure)


def _after(exposure: TrueExposure) -> Surfaced:
    dive = exposure.known.dive
    ended, up = dive.out_min, dive.reach_surface_min
    if exposure.exposure is None:
        return Surfaced(ended, None, False, up)
    return Surfaced(ended, exposure.exposure.group_after, True, up)

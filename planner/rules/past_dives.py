"""What a person brings into the job from the dives before it: nitrogen, and a watch by the chamber."""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.errors import TableRefusal
from planner.job.crew_rules import CrewRules
from planner.job.people import PastDive, Person
from planner.job.words import Policy
from planner.tables import (
    SAME_DIVE_UNDER_MIN,
    ExposureOptions,
    group_after_interval,
    group_of_past_dive,
    minutes_until_clean,
    no_stop_limit,
    plan_exposure,
)

#: A past dive was made by whatever way up; only the tables themselves refuse it.
_ANY_WAY_UP = ExposureOptions(
    policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=100_000, greatest_depth_fsw=220
)

#: Rate of ascent of the air tables (U.S. Navy Diving Manual, Revision 7).
ASCENT_FSW_PER_MIN = 30


@dataclass(frozen=True)
class CarriedIn:
    """The nitrogen a person brings: when the dive that counts surfaced, and the group it left.

    ``group`` None: the tables print none for it, so no dive until clean.
    """

    surfaced_min: int
    group: str | None

    @property
    def clean_at_min(self) -> int:
        """Job minute from which the next dive is no repetitive dive."""
        return self.surfaced_min + minutes_until_clean(self.group)


def carried_in(person: Person) -> CarriedIn | None:
    """What a person brings from all past dives; None when there was none.

    A group from the log is taken as it stands. Where the log has none it is worked out, with the residual
    nitrogen of the dives before that one. Of several dives the one that is cleared last counts.
    """
    carried: CarriedIn | None = None
    for past in sorted(person.past_dives, key=lambda p: p.surfaced_min):
        own = CarriedIn(past.surfaced_min, _group_after(past, carried))
        if carried is None or own.clean_at_min >= carried.clean_at_min:
            carried = own
    return carried


def _group_after(past: PastDive, before: CarriedIn | None) -> str | None:
    if past.group_after is not None or before is None:
        return group_of_past_dive(past)
    # the log has no leave surface: bottom time and the straight way up give the latest it can have been,
    # stops only make the interval shorter, so a dive with stops is given no credit at all
    way_up = math.ceil(past.depth_fsw / ASCENT_FSW_PER_MIN)
    left = past.surfaced_min - past.bottom_time_min - way_up
    if left >= before.clean_at_min and not _outside_no_stop(past):
        return group_of_past_dive(past)
    if before.group is None:
        return None
    interval = left - before.surfaced_min
    credit = interval >= SAME_DIVE_UNDER_MIN and not _outside_no_stop(past)
    group = group_after_interval(before.group, interval) if credit else before.group
    try:
        return plan_exposure(past.depth_fsw, past.bottom_time_min, group, _ANY_WAY_UP).group_after
    except TableRefusal:
        # past the rows that may be planned: no group to go by, so clean or nothing
        return None


def _outside_no_stop(past: PastDive) -> bool:
    try:
        limit = no_stop_limit(past.depth_fsw)
    except TableRefusal:
        return True
    return limit is not None and past.bottom_time_min > limit


def past_watches(person: Person, rules: CrewRules) -> tuple[tuple[int, int], ...]:
    """Watches by the chamber after dives before the job: (surfaced, end of the watch), job minutes."""
    return tuple(
        (past.surfaced_min, past.surfaced_min + rules.chamber_watch_min)
        for past in person.past_dives
        if past.depth_fsw > rules.chamber_trigger_fsw or _outside_no_stop(past)
    )

"""What holds for a person after the last dive: group, the hour by the chamber, flying, the next dive."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from planner.errors import TableRefusal
from planner.job.job import Job
from planner.job.work import DiveItem
from planner.log.actual import ActualDay
from planner.log.applies import Applies, applies
from planner.tables import (
    GROUP_RANK,
    GROUPS,
    NO_GROUP_CLEAN_MIN,
    SAME_DIVE_UNDER_MIN,
    ExposureOptions,
    minutes_to_group,
    minutes_until_clean,
    options_for,
    plan_exposure,
    standby_minutes_left,
    wait_before_altitude_min,
)


@dataclass(frozen=True)
class After:
    """What holds for one person after the last dive. Job minutes."""

    person: str
    surfaced_min: int
    """At the surface, or out of the chamber where the diver decompressed in it."""
    group: str | None
    """At surfacing; None: none printed."""
    chamber_until_min: int | None
    """End of the watch by the chamber; None when none is asked."""
    fly_from_min: int
    clean_at_min: int
    dive_from_min: int | None
    """Earliest leave surface of a next dive; None: no more today."""
    no_dive_because: str
    standby_from_min: int | None
    """When he may stand by at ``standby_depth_fsw``; None: not before clean at that depth."""
    standby_depth_fsw: int


def after_dives(day: ActualDay, now_min: int) -> tuple[After, ...]:
    """What holds for everyone who has surfaced today, by the last dive, in order of names.

    The next dive and the standby are judged at the deepest work that is still to come, or at the work of the
    last dive when none is.
    """
    found = applies(day, now_min)
    last: dict[str, Applies] = {}
    for one in found:
        last[one.person] = one
    items = {i.name: i for i in day.job.dive_items}
    coming = [items[d.item] for d in day.to_come() if d.item in items]
    deepest = max(coming, key=lambda i: i.depth_fsw, default=None)
    return tuple(
        _after(day.job, name, [o for o in found if o.person == name], deepest or one.dive.item)
        for name, one in sorted(last.items())
        if one.dive.over
    )


def _after(job: Job, name: str, own: list[Applies], item: DiveItem) -> After:
    rules, last = job.rules, own[-1]
    # after decompression in the chamber everything counts from its end
    surfaced = last.out_at_min()
    assert surfaced is not None
    deep = last.dive.depth_fsw > rules.chamber_trigger_fsw
    watched = deep or last.schedule is None or last.schedule.decompression
    watch_end = surfaced + rules.chamber_watch_min if watched else None
    clean = surfaced + minutes_until_clean(last.group_after)
    options = options_for(job, item)
    least = math.ceil(item.depth_fsw / rules.descent_fsw_per_min)
    least += min(item.least_useful_min, item.bottom_work_min)
    earliest = max(
        surfaced + max(SAME_DIVE_UNDER_MIN, rules.least_surface_interval_min), watch_end or surfaced
    )
    because = _no_more_today(job, name, own)
    dive_from: int | None = None
    if not because:
        wait = _wait_until(last.group_after, lambda group: _fits(item, least, group, options))
        dive_from = None if wait is None else max(earliest, surfaced + wait)
        if dive_from is None:
            because = f"no group leaves time for {least} min at {item.depth_fsw} fsw"
    wait = _wait_until(
        last.group_after, lambda group: _can_stand_by(item, group, options, rules.standby_no_stop_min)
    )
    return After(
        person=name,
        surfaced_min=surfaced,
        group=last.group_after,
        chamber_until_min=watch_end,
        fly_from_min=surfaced + wait_before_altitude_min(last.group_after),
        clean_at_min=clean,
        dive_from_min=dive_from,
        no_dive_because=because,
        standby_from_min=None if wait is None else max(surfaced + wait, watch_end or surfaced),
        standby_depth_fsw=item.depth_fsw,
    )


def _no_more_today(job: Job, name: str, own: list[Applies]) -> str:
    """Why a person makes no further dive today; blank when he may."""
    rules, clock = job.rules, job.clock
    surfaced = own[-1].dive.reach_surface_min or own[-1].dive.leave_surface_min
    today = clock.day_of(surfaced)
    earlier = [d for d in job.person(name).past_dives if clock.day_of(d.surfaced_min) == today]
    count = len(own) + len(earlier)
    bottom = sum(o.dive.bottom_time_min(surfaced) for o in own) + sum(d.bottom_time_min for d in earlier)
    if count >= rules.dives_a_day:
        return f"{count} dives made; {rules.dives_a_day} a day at most"
    if bottom >= rules.bottom_minutes_a_day:
        return f"{bottom} bottom minutes made; {rules.bottom_minutes_a_day} a day at most"
    return ""


def _wait_until(group: str | None, good: Callable[[str | None], bool]) -> int | None:
    """Least minutes on the surface after which the group is good; None when not even clean is."""
    if group is None:
        return NO_GROUP_CLEAN_MIN if good(None) else None
    falling = [g for g in reversed(GROUPS) if GROUP_RANK[g] <= GROUP_RANK[group]]
    for target in (*falling, None):
        if good(target):
            return minutes_to_group(group, target)
    return None


def _fits(item: DiveItem, bottom_time_min: int, group: str | None, options: ExposureOptions) -> bool:
    try:
        plan_exposure(item.depth_fsw, bottom_time_min, group, options)
    except TableRefusal:
        return False
    return True


def _can_stand_by(item: DiveItem, group: str | None, options: ExposureOptions, needed_min: int) -> bool:
    try:
        left = standby_minutes_left(item.depth_fsw, group, options)
    except TableRefusal:
        return False
    return left is None or left >= needed_min

"""What the tables say of the dives as they were made: the schedule that applies now, and what holds after it.

Worked out from the actual times and depths alone. A dive that the job's policy does not plan for may have
happened all the same, so the rows on air stand behind the policy; an exceptional exposure has no row here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from planner.day import (
    AfterDive,
    Hindrance,
    allowed_exposure,
    at_leave,
    brought_in,
    chamber_ascent_min,
    descent_min,
    dived_on,
    water_ascent_min,
)
from planner.errors import TableRefusal
from planner.job.job import Job
from planner.job.work import DiveItem
from planner.log.day_log import ActualDay, ActualDive
from planner.log.way_up import chamber_missed_words, clock_words, omitted_words
from planner.plan.model import DiverExposure
from planner.table_sets import TableSet, carried_words, table_words
from planner.tables import (
    Exposure,
    ExposureOptions,
    TableSchedule,
    options_for,
    plan_exposure,
    standby_minutes_left,
    standby_options,
)
from planner.tables.gauge import greatest_depth_fsw
from planner.tables.past_dives import past_groups
from planner.tables.series import any_row_on_air
from planner.words.measures import own_depth_words

#: How far ahead a longer bottom time is tried: half a day.
LOOK_AHEAD_MIN = 720


@dataclass(frozen=True)
class ActualExposure:
    """What holds for one diver of one dive, by its actual times. Job minutes."""

    dive: ActualDive
    person: str
    interval_min: int | None
    """On the surface since the dive before; None when there is none."""
    group_before: str | None
    """At leave surface; None when clean."""
    series_depth_fsw: int
    series_bottom_min: int
    """What the tables were entered with: the dive, joined with one too shortly before it."""
    exposure: Exposure | None
    """The row that applies; None when the tables print none (``refusal`` says why)."""
    refusal: str
    planned: DiverExposure | None
    """What the plan meant for this diver; None for a dive or a diver that was not planned."""
    off_row: bool
    """The dive needs more than the plan's row."""
    outside_policy: bool
    """The job's own rules do not allow the row that applies."""
    joined: bool
    """Counted as one dive with the one before."""
    flags: tuple[str, ...]
    """What a person must know, in sentences."""

    @property
    def schedule(self) -> TableSchedule | None:
        return None if self.exposure is None else self.exposure.schedule

    @property
    def group_after(self) -> str | None:
        """None: none is printed, or no row applies."""
        return None if self.exposure is None else self.exposure.group_after

    def up_at_min(self) -> int | None:
        """When the diver reaches, or reached, the surface by the row; None without a row or leave bottom."""
        if self.dive.reach_surface_min is not None:
            return self.dive.reach_surface_min
        if self.schedule is None or self.dive.leave_bottom_min is None:
            return None
        return self.dive.leave_bottom_min + water_ascent_min([self.schedule])

    def out_at_min(self) -> int | None:
        """When the diver is out of pressure: at the surface, or out of the chamber.

        That is as logged; until it is, by the row, for whatever must be planned ahead.
        """
        if self.dive.out_of_chamber_min is not None:
            return self.dive.out_of_chamber_min
        up = self.up_at_min()
        if up is None or self.schedule is None or self.dive.leave_bottom_min is None:
            return up
        inside = chamber_ascent_min([self.schedule])
        return up if inside is None else max(up, self.dive.leave_bottom_min + inside)


def actual_exposures(day: ActualDay, now_min: int) -> tuple[ActualExposure, ...]:
    """What the tables say of every diver of every dive that has left the surface, in order of leaving.

    Parameters
    ----------
    now_min
        For divers who have not left the bottom: as if they left it now.
    """
    before, last = brought_in(day.job), dict[str, ActualExposure]()
    found: list[ActualExposure] = []
    for dive in day.dives:
        for name in dive.people:
            one = _one(day.job, dive, name, before.get(name), last.get(name), now_min)
            found.append(one)
            last[name] = one
            out = one.out_at_min()
            ended = now_min if out is None or dive.in_water else out
            if dive.in_chamber:
                ended = max(ended, now_min)
            before[name] = AfterDive(day.job.tables, ended, one.group_after, one.exposure is not None)
    return tuple(found)


def _one(
    job: Job,
    dive: ActualDive,
    person: str,
    before: AfterDive | None,
    last: ActualExposure | None,
    now_min: int,
) -> ActualExposure:
    flags: list[str] = []
    depth, bottom = dive.depth_fsw, dive.bottom_time_min(now_min)
    if dive.logged_depth_fsw is None:
        flags.append(f"No depth is logged: {depth} fsw is taken as planned.")
    state = at_leave(before, dive.leave_surface_min)
    group, interval, blocked = state.group, state.interval_min, ""
    if state.hindrance is Hindrance.SAME_DIVE:
        if last is not None:
            depth, bottom = max(depth, last.series_depth_fsw), bottom + last.series_bottom_min
            flags.append(
                f"{interval} min on the surface: counted as one dive with the one before, {depth} fsw "
                f"for {bottom} min ({table_words(job.tables.called['intervals'])})."
            )
            group = last.group_before
        else:
            before_job = "a dive before this job or an arrival at altitude, which are not in this log"
            blocked = f"{interval} min after {before_job}"
    elif state.hindrance is Hindrance.UNKNOWN:
        blocked = "no row applied to the dive before this one"
    elif state.hindrance is Hindrance.NO_DIVE_YET:
        assert before is not None
        why = before.tables.why_no_dive(before.group).rstrip(".")
        blocked = f"{why}; clean at {job.clock.hhmm(before.clean_at_min)}"
    meant_to_dive = () if dive.planned is None else dive.planned.divers
    planned = next((d for d in meant_to_dive if d.person == person), None)
    if dive.planned is not None and dive.bottom_time_min(now_min) > dive.planned.bottom_time_min:
        over = dive.bottom_time_min(now_min) - dive.planned.bottom_time_min
        flags.append(f"{over} min longer on the bottom than planned ({dive.planned.bottom_time_min} min).")
    exposure, refusal, outside = (None, blocked, False)
    if not blocked:
        exposure, refusal, outside = exposure_of(depth, bottom, group, options_for(job, dive.item))
    off = (
        exposure is None
        or outside
        or (planned is not None and leaves_row(planned.schedule, exposure.schedule))
    )
    if planned is None and dive.planned is not None:
        flags.append(f"{person} is not the diver that the plan names.")
    if planned is not None and exposure is not None:
        if group != planned.group_before:
            told, meant = carried_words(group), carried_words(planned.group_before)
            flags.append(f"At leave surface {told}; the plan has {meant}.")
        rank_after = job.tables.rank_after
        if rank_after(exposure.group_after) > rank_after(planned.group_after):
            flags.append(
                f"After the dive {_group(exposure.group_after)}; the plan has {_group(planned.group_after)}."
            )
    schedule = None if exposure is None else exposure.schedule
    way_up = (dive, schedule, job, now_min)
    missed = (*chamber_missed_words(*way_up), *omitted_words(*way_up))
    flags = [*clock_words(*way_up), *missed, *flags]
    off = off or bool(missed)
    joined = bottom != dive.bottom_time_min(now_min)
    return ActualExposure(
        dive,
        person,
        interval,
        group,
        depth,
        bottom,
        exposure,
        refusal,
        planned,
        off,
        outside,
        joined,
        tuple(flags),
    )


def _group(group: str | None) -> str:
    return f"group {group}" if group else "no group"


def exposure_of(
    depth_fsw: int, bottom_time_min: int, group: str | None, options: ExposureOptions
) -> tuple[Exposure | None, str, bool]:
    """The row for a dive that was made, the tables' refusal, and whether the job's own rules forbid the row.

    First as the job plans; then without its margin; then any row on air, however long its stops.
    """
    first_refusal = ""
    for number, way in enumerate(_ways(options)):
        try:
            return plan_exposure(depth_fsw, bottom_time_min, group, way), first_refusal, number > 0
        except TableRefusal as refused:
            first_refusal = first_refusal or str(refused)
            last = str(refused)
    return None, last, True


def _ways(options: ExposureOptions) -> Iterable[ExposureOptions]:
    yield options
    yield replace(options, margin_min=0)
    yield replace(any_row_on_air(options), next_longer_row=options.next_longer_row)


def leaves_row(planned: TableSchedule, actual: TableSchedule) -> bool:
    """Whether a dive needs more than the planned row: deeper, longer, or another way up."""
    if actual.way_up != planned.way_up and actual.decompression:
        return True
    if not actual.decompression:
        # a deeper row without stops is off the printed sheet too: its limit is another
        return actual.depth_fsw > planned.depth_fsw
    return (
        actual.depth_fsw > planned.depth_fsw
        or (actual.depth_fsw == planned.depth_fsw and actual.time_min > planned.time_min)
        or actual.ascent_s > planned.ascent_s
    )


def on_row_until_min(one: ActualExposure, job: Job) -> int | None:
    """The last minute to leave the bottom on the plan's row; None when it is left, or none is planned."""
    if one.planned is None or one.joined or one.exposure is None or one.dive.leave_bottom_min is not None:
        return None
    options = options_for(job, one.dive.item)
    last = None
    for minute in range(1, LOOK_AHEAD_MIN + 1):
        exposure, _, outside = exposure_of(one.series_depth_fsw, minute, one.group_before, options)
        if exposure is None or outside or leaves_row(one.planned.schedule, exposure.schedule):
            break
        last = one.dive.leave_surface_min + minute
    return last


@dataclass(frozen=True)
class AfterLastDive:
    """What holds for one person after the last dive. Job minutes."""

    person: str
    surfaced_min: int
    """At the surface, or out of the chamber where the diver decompressed in it."""
    group: str | None
    """At surfacing; None: none printed."""
    chamber_until_min: int | None
    """End of the watch by the chamber; None when none is asked."""
    fly_from_min: int | None
    """None: the job's tables print no wait before flying."""
    clean_at_min: int
    dive_from_min: int | None
    """Earliest leave surface of a next dive; None: no more today."""
    no_dive_because: str
    standby_from_min: int | None
    """When he may stand by at ``standby_depth_fsw``; None: not before clean at that depth."""
    standby_depth_fsw: int


def after_dives(day: ActualDay, now_min: int) -> tuple[AfterLastDive, ...]:
    """What holds for everyone who has surfaced today, by the last dive, in order of names.

    The next dive and the standby are judged at the deepest work that is still to come, or at the work of the
    last dive when none is.
    """
    found = actual_exposures(day, now_min)
    last: dict[str, ActualExposure] = {}
    for one in found:
        last[one.person] = one
    items = {i.name: i for i in day.job.dive_items}
    coming = [items[d.item] for d in day.to_come() if d.item in items]
    deepest = max(coming, key=lambda i: i.depth_fsw, default=None)
    return tuple(
        _after(day.job, name, [o for o in found if o.person == name], deepest or one.dive.item, now_min)
        for name, one in sorted(last.items())
        if not one.dive.in_water and not one.dive.in_chamber
    )


def _after(job: Job, name: str, own: list[ActualExposure], item: DiveItem, now_min: int) -> AfterLastDive:
    rules, tables, last = job.rules, job.tables, own[-1]
    # after decompression in the chamber everything counts from its end
    surfaced = last.out_at_min()
    assert surfaced is not None
    deep = greatest_depth_fsw(job.site, last.dive.depth_fsw) > rules.chamber_trigger_fsw
    watched = deep or last.schedule is None or last.schedule.decompression
    watch_end = surfaced + rules.chamber_watch_min if watched else None
    clean = surfaced + tables.minutes_until_clean(last.group_after)
    ended = [*past_groups(job.person(name), job.site)]
    ended += [(out, o.group_after) for o in own if (out := o.out_at_min()) is not None]
    options = options_for(job, item)
    least = descent_min(item.depth_fsw, rules) + min(item.least_useful_min, item.needed_min)
    earliest = max(
        surfaced + max(tables.same_dive_under_min, rules.least_surface_interval_min), watch_end or surfaced
    )
    because = _no_more_today(job, name, own, max(surfaced, now_min))
    dive_from: int | None = None
    if not because:
        wait = _wait_until(
            tables,
            last.group_after,
            lambda group: allowed_exposure(item.depth_fsw, least, group, options) is not None,
        )
        dive_from = None if wait is None else max(earliest, surfaced + wait)
        if dive_from is None:
            because = f"no group leaves time for {least} min at {own_depth_words(item, job.site.units)}"
    wait = _wait_until(
        tables,
        last.group_after,
        lambda group: _can_stand_by(item, group, standby_options(job, item), rules.standby_no_stop_min),
    )
    return AfterLastDive(
        person=name,
        surfaced_min=surfaced,
        group=last.group_after,
        chamber_until_min=watch_end,
        fly_from_min=tables.flight_wait(ended).until_min if tables.flight_waits else None,
        clean_at_min=clean,
        dive_from_min=dive_from,
        no_dive_because=because,
        standby_from_min=None if wait is None else max(surfaced + wait, watch_end or surfaced),
        standby_depth_fsw=item.depth_fsw,
    )


def _no_more_today(job: Job, name: str, own: list[ActualExposure], at_min: int) -> str:
    """Why a person makes no further dive on the calendar day of a minute; blank when he may."""
    rules = job.rules
    made = [(o.dive.leave_surface_min, o.dive.bottom_time_min(at_min)) for o in own]
    count, bottom = dived_on(job, name, job.clock.day_of(at_min), made)
    if count >= rules.dives_a_day:
        return f"{count} dives made; {rules.dives_a_day} a day at most"
    if bottom >= rules.bottom_minutes_a_day:
        return f"{bottom} bottom minutes made; {rules.bottom_minutes_a_day} a day at most"
    return ""


def _wait_until(tables: TableSet, group: str | None, good: Callable[[str | None], bool]) -> int | None:
    """Least minutes on the surface after which the group is good; None when not even clean is."""
    if group is None:
        return tables.clean_without_group_min if good(None) else None
    for target in (*reversed(tables.carried), None):
        if good(target):
            return tables.minutes_to_group(group, target)
    return None


def _can_stand_by(item: DiveItem, group: str | None, options: ExposureOptions, needed_min: int) -> bool:
    try:
        left = standby_minutes_left(item.depth_fsw, group, options)
    except TableRefusal:
        return False
    return left is None or left >= needed_min

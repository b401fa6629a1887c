"""Dives that belong together: those that no interval parts, a diver's past dives, and the RNT exception."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from planner.errors import TableRefusal
from planner.job import PastDive, Policy
from planner.job.bounds import DEEPEST_SHORT_FSW
from planner.table_sets import TableSet
from planner.table_sets.table_set import MINUTES
from planner.tables.exposure import SEA_LEVEL_NO_STOP, Exposure, plan_exposure
from planner.tables.options import ANY_STOPS_MIN, ExposureOptions


def combined_dive(dives: Sequence[tuple[int, int]]) -> tuple[int, int]:
    """Dives closer than the tables' shortest interval, as the one dive that they are.

    Parameters
    ----------
    dives
        Depth in fsw and bottom time in minutes of each.

    Returns
    -------
    tuple of int
        Greatest depth, and all bottom times together.

    Raises
    ------
    ValueError
        No dive, or a depth or time that is not above 0.
    """
    if not dives:
        raise ValueError("There is no dive to combine.")
    for depth_fsw, minutes in dives:
        if depth_fsw <= 0 or minutes <= 0:
            raise ValueError(
                f"A dive needs a depth and a bottom time above 0: {depth_fsw} fsw, {minutes} min."
            )
    return max(depth for depth, _ in dives), sum(minutes for _, minutes in dives)


@lru_cache(maxsize=64)
def any_row_on_air(options: ExposureOptions) -> ExposureOptions:
    """Options to judge a dive that has been made: every row on air that is not exceptional, no margin."""
    return replace(
        options,
        policy=Policy.IN_WATER_STOPS,
        in_water_stop_max_min=ANY_STOPS_MIN,
        oxygen_in_water=False,
        margin_min=0,
        next_longer_row=False,
        greatest_depth_fsw=max(options.greatest_depth_fsw, DEEPEST_SHORT_FSW),
    )


def _or_none(
    depth_fsw: int, bottom_time_min: int, group_before: str | None, options: ExposureOptions
) -> Exposure | None:
    """`plan_exposure`, with None where the tables refuse."""
    try:
        return plan_exposure(depth_fsw, bottom_time_min, group_before, options)
    except TableRefusal:
        return None


class Carried(NamedTuple):
    """What a person carries from a moment on; ``group`` None: none printed."""

    at_min: int
    """End of a dive, or arrival at altitude. Job minute."""
    group: str | None
    dived: bool = True
    """False: the arrival at altitude."""


def groups_together(tables: TableSet, one: str | None, other: str | None) -> str | None:
    """The group of a diver who carries two: what is left of his dives, and what an arrival at altitude adds.

    Each group stands for a tension above that of the air (table 9-8: about 1.578 fsw a group, from 1.24 fsw
    on), so the two tensions added come to both ranks and one more, rounded up. Own reading, on the safe side;
    past Z there is no group.
    """
    if one is None or other is None:
        return None
    rank = tables.rank(one) + tables.rank(other) + 1
    return tables.groups[rank - 1] if rank <= len(tables.groups) else None


def groups_of_past_dives(
    dives: Iterable[PastDive],
    options: ExposureOptions = SEA_LEVEL_NO_STOP,
    arrival: tuple[int, str] | None = None,
) -> tuple[Carried, ...]:
    """What a person carries after each dive, in order, each counted on top of the ones before it.

    A logged group is believed. Where none is logged the dive is worked out as a repetitive one, its leave
    surface taken back from the time of surfacing by the bottom time and the ascent on air; too soon
    after the dive before, both are one dive. After a dive without a group the next one has none either,
    unless the diver was clean by then.

    An arrival at altitude (job minute, group by table 9-5) stands among them as a moment of its own: dives
    after it start from what is left of that group, and what is left of dives before it is added to it.
    """
    tables, made_with = options.tables, any_row_on_air(options)
    clean_min, same_dive_under_min = tables.clean_without_group_min, tables.same_dive_under_min
    surfaced: int | None = None
    group: str | None = None
    whole, before, known = (0, 0), group, True
    found: list[Carried] = []

    def arrive() -> None:
        nonlocal surfaced, group, arrival
        assert arrival is not None
        at_min, added = arrival
        left: str | None = added
        if surfaced is not None:
            interval = at_min - surfaced
            if group is None and interval < clean_min:
                left = None
            elif group is not None:
                still = (
                    group if interval < same_dive_under_min else tables.group_after_interval(group, interval)
                )
                left = added if still is None else groups_together(tables, still, added)
        surfaced, group, arrival = at_min, left, None
        found.append(Carried(at_min, left, dived=False))

    for dive in sorted(dives, key=lambda d: d.surfaced_min):
        if arrival is not None and arrival[0] <= dive.surfaced_min - dive.bottom_time_min:
            arrive()
        alone = (dive.depth_fsw, dive.bottom_time_min)
        interval = clean_min
        if surfaced is not None:
            first = _or_none(*alone, None, made_with)
            ascent_min = -(-first.schedule.ascent_s // 60) if first else 0
            interval = dive.surfaced_min - ascent_min - dive.bottom_time_min - surfaced
        came_up = bool(found) and not found[-1].dived
        same_dive = interval < same_dive_under_min and not came_up
        if same_dive:
            whole = combined_dive((whole, alone))
        else:
            whole = alone
            known = surfaced is None or group is not None or interval >= clean_min
            before = group
            if surfaced is not None and group is not None and interval >= same_dive_under_min:
                before = tables.group_after_interval(group, interval)
        made = _or_none(*whole, before, made_with) if known else None
        worked_out = made.group_after if made else None
        if same_dive and tables.rank_after(group) > tables.rank_after(worked_out):
            worked_out = group
        surfaced, group = dive.surfaced_min, dive.group_after or worked_out
        found.append(Carried(surfaced, group))
    if arrival is not None:
        arrive()
    return tuple(found)


def plan_in_series(
    depth_fsw: int,
    bottom_time_min: int,
    group_before: str | None,
    earlier_dives: Sequence[tuple[int, int]],
    options: ExposureOptions,
) -> Exposure:
    """`plan_exposure` for a repetitive dive whose earlier dives are known, so the RNT exception can hold.

    The exception: all bottom times of the series taken as one dive to its greatest depth, where that gives
    less decompression. It is used only when ``options.rnt_exception`` is on, and then a note of the schedule
    says so. The group is never lower than the one the diver came with; none where repeats
    are not counted by residual minutes.

    Parameters
    ----------
    earlier_dives
        Depth in fsw and bottom time in minutes of every dive since the diver was last clean.

    Raises
    ------
    TableRefusal
        Neither reading of the tables allows the dive.
    """
    minutes = options.tables.residual_method == MINUTES
    if not options.rnt_exception or not minutes or not earlier_dives or group_before is None:
        return plan_exposure(depth_fsw, bottom_time_min, group_before, options)
    greatest_fsw, total_min = combined_dive((*earlier_dives, (depth_fsw, bottom_time_min)))
    summed = _or_none(greatest_fsw, total_min, None, options)
    try:
        usual = plan_exposure(depth_fsw, bottom_time_min, group_before, options)
    except TableRefusal:
        if summed is None:
            raise
    else:
        if summed is None or usual.schedule.ascent_s <= summed.schedule.ascent_s:
            return usual
    note = (
        f"RNT exception used: bottom times of the series together, {total_min} min at {greatest_fsw} fsw, "
        f"instead of the residual nitrogen time of group {group_before}."
    )
    group_after = summed.group_after
    if group_after is not None and options.tables.rank(group_after) < options.tables.rank(group_before):
        group_after = group_before
    return replace(
        summed,
        residual_nitrogen_min=total_min - bottom_time_min,
        schedule=summed.schedule.replace(notes=(*summed.schedule.notes, note)),
        group_after=group_after,
        depth_fsw=depth_fsw,
        bottom_time_min=bottom_time_min,
    )

"""The tide: the level between high and low waters, depth with it, slack water around them.

The level between two marks follows half a cosine wave (common practice; the rule of twelfths is the same
curve by hand, within half a foot on ordinary ranges). Levels are feet above the table's datum. A foot of
tide is counted as one fsw. `planner.job.tide_csv` reads the marks from a file.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from planner.job.base import MINUTES_A_DAY, Clock, Span, joined
from planner.job.job import Job
from planner.job.site import Site, TideMark, WaterWindow
from planner.job.work import DiveItem


class OutOfTurn(NamedTuple):
    """Why two tide marks cannot follow each other; fields as in `planner.errors.Fault`."""

    found: str
    allowed: str
    sentence: str
    of_level: bool = False
    """Their levels are at odds, not their times."""


def out_of_turn(marks: Sequence[TideMark], clock: Clock) -> Iterator[tuple[int, int, OutOfTurn]]:
    """Neighbours in time that cannot follow each other: places of the earlier and the later, and why."""
    order = sorted(range(len(marks)), key=lambda i: marks[i].minute)
    for one, other in pairwise(order):
        before, after = marks[one], marks[other]
        time = clock.hhmm(after.minute, with_day=True)
        if after.minute == before.minute:
            why = OutOfTurn(time, "each time once", "Two tide marks stand at the same time.")
        elif after.high == before.high and after.minute - before.minute < MINUTES_A_DAY:
            kind = "high" if after.high else "low"
            sentence = f"Two {kind} waters follow each other, so one between them is missing."
            why = OutOfTurn(time, "high and low water in turn", sentence)
        elif after.high != before.high and (after.level_ft < before.level_ft) == after.high:
            here, there = ("high", "below the low") if after.high else ("low", "above the high")
            sentence = f"A {here} water lies {there} water before it."
            allowed = "a high water above the low waters beside it"
            why = OutOfTurn(f"{after.level_ft:g} ft", allowed, sentence, of_level=True)
        else:
            continue
        yield one, other, why


def covers(marks: Sequence[TideMark], start_min: int, end_min: int) -> bool:
    """Whether the level is known over the whole of a stretch."""
    minutes = [mark.minute for mark in marks]
    return len(minutes) > 1 and min(minutes) <= start_min and end_min <= max(minutes)


def level_ft(marks: Sequence[TideMark], minute: float) -> float | None:
    """Level above the table's datum at a job minute; None outside the first and last mark."""
    ordered = sorted(marks, key=lambda mark: mark.minute)
    for before, after in pairwise(ordered):
        if before.minute <= minute <= after.minute and after.minute > before.minute:
            share = (minute - before.minute) / (after.minute - before.minute)
            return before.level_ft + (after.level_ft - before.level_ft) * (1 - math.cos(math.pi * share)) / 2
    return None


def greatest_level_ft(marks: Sequence[TideMark], start_min: int, end_min: int) -> float | None:
    """Greatest level from ``start_min`` to ``end_min``, both taken in; None where the marks do not reach.

    Between two marks the curve only rises or only falls, so it is the greatest of both ends and of the marks
    between them.
    """
    if not covers(marks, start_min, end_min) or end_min < start_min:
        return None
    ends = (level_ft(marks, start_min), level_ft(marks, end_min))
    between = (mark.level_ft for mark in marks if start_min <= mark.minute <= end_min)
    return max((*(level for level in ends if level is not None), *between), default=None)


def depth_with_tide_fsw(job: Job, item: DiveItem, start_min: int, end_min: int) -> int | None:
    """Depth of an item from ``start_min`` to ``end_min``, rounded up to the whole fsw; at least 1.

    For an item that follows the tide: the charted depth and the greatest level in the stretch. None where the
    job's tide marks do not reach over it.
    """
    if not item.depth_follows_tide:
        return item.depth_fsw
    level = greatest_level_ft(job.tide_marks, start_min, end_min)
    return None if level is None else _deep(item, level)


def deepest_fsw(job: Job, item: DiveItem) -> int:
    """Depth of an item at the highest of the job's tide marks, rounded up; its own depth without any."""
    if not item.depth_follows_tide or not job.tide_marks:
        return item.depth_fsw
    return _deep(item, max(mark.level_ft for mark in job.tide_marks))


def _deep(item: DiveItem, level: float) -> int:
    # the guard keeps 40 + 0.3 + 0.7 at 41 whatever the last binary digit says
    return max(1, math.ceil(item.depth_fsw + level - 1e-9))


def spans_no_deeper(job: Job, item: DiveItem, depth_fsw: int) -> tuple[Span, ...]:
    """Stretches, in whole minutes, in which an item that follows the tide is no deeper than a depth.

    Any stretch inside one of them, both ends taken in, has `depth_with_tide_fsw` of at most ``depth_fsw``.
    """
    marks = sorted(job.tide_marks, key=lambda mark: mark.minute)
    most = depth_fsw - item.depth_fsw + 1e-9
    parts = (_part_below(before, after, most) for before, after in pairwise(marks))
    spans = joined(part for part in parts if part is not None)
    return tuple(Span(start_min=start, end_min=end) for start, end in spans if start < end)


def _part_below(before: TideMark, after: TideMark, most_ft: float) -> tuple[int, int] | None:
    """The minutes between two marks at which the level is at most ``most_ft``."""
    low, high = sorted((before.level_ft, after.level_ft))
    if after.minute <= before.minute or low > most_ft:
        return None
    if high <= most_ft:
        return before.minute, after.minute
    share = math.acos(1 - 2 * (most_ft - before.level_ft) / (after.level_ft - before.level_ft)) / math.pi
    crossing = before.minute + share * (after.minute - before.minute)
    if before.level_ft < after.level_ft:
        return before.minute, max(before.minute, math.floor(crossing))
    return min(after.minute, math.ceil(crossing)), after.minute


def slack_around(site: Site, marks: Sequence[TideMark]) -> tuple[tuple[TideMark, Span], ...]:
    """Slack water around each mark, by the site's own offset and length; none where the length is 0."""
    if site.slack_length_min == 0:
        return ()
    out = []
    for mark in sorted(marks, key=lambda mark: mark.minute):
        start = mark.minute + site.slack_offset_min - site.slack_length_min // 2
        if -13 * MINUTES_A_DAY <= start <= 14 * MINUTES_A_DAY:
            out.append((mark, Span(start_min=start, end_min=start + site.slack_length_min)))
    return tuple(out)


def effective_water_windows(job: Job) -> tuple[WaterWindow, ...]:
    """Every slack window: those typed in, then those around the tide marks, which hold for all stations.

    A site whose slack length is 0 has only the windows typed in.
    """
    from_tide = (
        WaterWindow(
            start_min=span.start_min,
            end_min=span.end_min,
            label=f"slack at {'high' if mark.high else 'low'} water",
        )
        for mark, span in slack_around(job.site, job.tide_marks)
    )
    return (*job.water_windows, *from_tide)

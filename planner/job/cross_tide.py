"""Contradictions of the tide: marks out of turn, and items whose depth follows a tide that nobody knows."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from planner.job.clock import MINUTES_A_DAY
from planner.job.cross_site import wall_clock
from planner.job.finding import IN_FEET, Finding, Path, Says
from planner.job.job import Job
from planner.job.tide import covers, deepest_fsw

#: Depth of the last row of the tables (29 CFR 1910.425(b)(1): 220 fsw at most).
DEEPEST_FSW = 220


def tide_findings(job: Job, says: Says = IN_FEET) -> Iterator[Finding]:
    """All of them."""
    yield from _marks(job)
    if job.site.slack_length_min > 0 and not job.tide_marks:
        yield Finding(
            ("site", "slack_length_min"),
            str(job.site.slack_length_min),
            "0, or a tide table",
            "Slack water is to be made from the tide, but the job has no tide marks.",
            (("tide_marks",),),
        )
    starts = [window.start_min for window in job.day_windows] if _zone_known(job) else []
    for i, item in enumerate(job.dive_items):
        if not item.depth_follows_tide:
            continue
        path: Path = ("dive_items", i, "depth_follows_tide")
        uncovered = not starts or not covers(
            job.tide_marks, min(starts), max(window.end_min for window in job.day_windows)
        )
        if uncovered and (starts or not job.tide_marks):
            yield Finding(
                path,
                "yes",
                "no, or a tide table from before the first day's start to after the last day's end",
                f"The depth of {item.name} follows the tide, and the tide is not known over the job's days.",
                (("tide_marks",),),
            )
        elif deepest_fsw(job, item) > DEEPEST_FSW:
            yield Finding(
                ("dive_items", i, "depth_fsw"),
                says.depth(item.depth_fsw),
                f"a depth that stays within {says.depth(DEEPEST_FSW)} at the highest tide",
                f"At the highest tide {item.name} lies at {says.depth(deepest_fsw(job, item))}.",
                (path, ("tide_marks",)),
            )


def _zone_known(job: Job) -> bool:
    # an unknown time zone is a finding of its own; without it no day window can be worked out
    return wall_clock(job).time_zone == job.site.time_zone


def _marks(job: Job) -> Iterator[Finding]:
    clock = wall_clock(job)
    order = sorted(range(len(job.tide_marks)), key=lambda i: job.tide_marks[i].minute)
    for one, other in pairwise(order):
        before, after = job.tide_marks[one], job.tide_marks[other]
        path: Path = ("tide_marks", other)
        # every cell that the pair rests on: one in doubt makes the finding doubtful too
        rests_on: tuple[Path, ...] = (
            ("tide_marks",),
            *(("tide_marks", i, field) for i in (one, other) for field in ("minute", "level_ft", "high")),
        )
        if after.minute == before.minute:
            yield Finding(
                path,
                clock.hhmm(after.minute, with_day=True),
                "each time once",
                "Two tide marks stand at the same time.",
                rests_on,
            )
        elif after.high == before.high and after.minute - before.minute < MINUTES_A_DAY:
            kind = "high" if after.high else "low"
            yield Finding(
                path,
                clock.hhmm(after.minute, with_day=True),
                "high and low water in turn",
                f"Two {kind} waters follow each other, so one between them is missing.",
                rests_on,
            )
        elif after.high != before.high and (after.level_ft < before.level_ft) == after.high:
            yield Finding(
                (*path, "level_ft"),
                f"{after.level_ft:g} ft",
                "a high water above the low waters beside it",
                "A high water lies below the low water before it."
                if after.high
                else "A low water lies above the high water before it.",
                rests_on,
            )

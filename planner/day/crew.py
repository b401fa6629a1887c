"""The crew that a dive asks for before there is a plan: people by duty, and how long it dresses a diver."""

from __future__ import annotations

import math

from planner.job import DiveItem, Job
from planner.job.duties import DIVER, ENTRY_DIVER, TENDER
from planner.tables.gauge import greatest_depth_fsw


def crew_counts(job: Job, item: DiveItem, *, decompression: bool = False) -> dict[str, int]:
    """People that a dive on ``item`` needs by duty, all in; tenders already times the people in the water."""
    deepest = greatest_depth_fsw(job.site, item.depth_fsw)
    rows = [
        row
        for row in job.rules.asked_rows
        if (row.gear is None or row.gear is item.gear)
        and (row.deeper_than_fsw is None or deepest > row.deeper_than_fsw)
        and (not row.decompression or decompression)
        and (not row.enclosed_space or item.enclosed_space)
    ]
    entry = max(
        (r.count * (item.divers if r.per_diver else 1) for r in rows if r.duty == ENTRY_DIVER), default=0
    )
    in_water = item.divers + entry
    out: dict[str, int] = {}
    for row in rows:
        count = row.count * (in_water if row.per_diver else 1)
        if row.duty != DIVER and count > out.get(row.duty, 0):
            out[row.duty] = count
    return out


def tenders_a_diver(counts: dict[str, int], item: DiveItem) -> int:
    """Tenders that each diver has, and the standby diver too, by the people that a dive needs."""
    return math.ceil(counts.get(TENDER, 0) / (item.divers + counts.get(ENTRY_DIVER, 0)))


def dressing_of(job: Job, item: DiveItem) -> tuple[int, int]:
    """Minutes of dressing and of undressing one diver, or the standby diver, with the tenders that he has.

    Where a dive with stops has more of them, it is that without.
    """
    tenders = tenders_a_diver(crew_counts(job, item), item)
    return job.rules.dressing_min(item.gear, tenders), job.rules.undressing_min(item.gear, tenders)

"""A row of the least crew in words: of which dives it is asked."""

from __future__ import annotations

from planner.job import UnitSystem
from planner.job.duties import CrewMinimum
from planner.words.measures import Metric, depth_words


def row_holds_words(row: CrewMinimum, units: UnitSystem, metric: Metric = Metric.BEHIND) -> list[str]:
    """What must all be so of a dive that the row is asked of; nothing where it is asked of every dive."""
    told = []
    if row.gear is not None:
        told.append(f"in {row.gear.value}")
    if row.deeper_than_fsw is not None:
        told.append(f"deeper than {depth_words(row.deeper_than_fsw, units, metric)}")
    if row.decompression:
        told.append("outside the no-stop limits")
    if row.enclosed_space:
        told.append("in an enclosed space")
    return told

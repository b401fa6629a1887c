"""What may go otherwise than planned, how often and by how much, and the draws made from it."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from planner.errors import Fault
from planner.job import Job
from planner.job.base import Part
from planner.job.tide import effective_water_windows

Percent = Annotated[float, Field(ge=-90, le=500)]
Chance = Annotated[float, Field(ge=0, le=100)]


class Spread(Part):
    """The user's guess at how a day goes otherwise than planned.

    Bottom work takes from ``work_least_percent`` to ``work_most_percent`` more than planned, most often
    ``work_likely_percent`` (a triangular distribution, each item drawn on its own). A day starts late with
    ``late_chance_percent``, by up to ``late_most_min``, short delays likelier than long ones. Each slack
    window is lost with ``window_lost_percent``. The values that ship are invented.
    """

    work_least_percent: Percent = -10.0
    work_likely_percent: Percent = 5.0
    work_most_percent: Percent = 40.0
    late_chance_percent: Chance = 30.0
    late_most_min: Annotated[int, Field(ge=0, le=720)] = 45
    window_lost_percent: Chance = 10.0
    source: str = "invented; put your own days in its place"

    @property
    def sentence(self) -> str:
        """What is drawn from, in words, with its source."""
        return (
            f"Spread: bottom work {self.work_least_percent:g} to {self.work_most_percent:g} % over the plan, "
            f"most often {self.work_likely_percent:g} %; a late start in {self.late_chance_percent:g} % of "
            f"days, up to {self.late_most_min} min; a slack window lost in {self.window_lost_percent:g} % "
            f"({self.source})."
        )

    def faults(self) -> tuple[Fault, ...]:
        """Values that contradict each other."""
        if self.work_least_percent <= self.work_likely_percent <= self.work_most_percent:
            return ()
        found = f"{self.work_least_percent:g}, {self.work_likely_percent:g}, {self.work_most_percent:g}"
        return (
            Fault(
                "bottom work",
                found,
                "least, likeliest and most in this order",
                "The likeliest overrun does not lie between the least and the most.",
            ),
        )


@dataclass(frozen=True)
class Draw:
    """One day as it may go.

    Parameters
    ----------
    work
        Item → part of its planned minutes that its bottom work takes (1.2: a fifth more).
    late_min
        How late each day starts, by the number of the day.
    lost
        Indices into `effective_water_windows` of the windows that are lost.
    """

    work: dict[str, float]
    late_min: tuple[int, ...]
    lost: frozenset[int]


def draw(job: Job, spread: Spread, seed: int, number: int) -> Draw:
    """The draw of that number: it depends on the seed and the number alone, so more draws keep the first."""
    chance = random.Random(f"{seed}:{number}")
    over = (spread.work_least_percent, spread.work_most_percent, spread.work_likely_percent)
    work = {item.name: 1 + chance.triangular(*over) / 100 for item in job.dive_items}
    late = tuple(
        round(chance.triangular(0, spread.late_most_min, 0))
        if chance.random() * 100 < spread.late_chance_percent
        else 0
        for _ in range(job.site.days)
    )
    lost = frozenset(
        index
        for index, _ in enumerate(effective_water_windows(job))
        if chance.random() * 100 < spread.window_lost_percent
    )
    return Draw(work, late, lost)

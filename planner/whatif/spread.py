"""What may go otherwise than planned, how often and by how much, and the draws made from it."""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from planner.errors import Fault, InputFaults
from planner.job import Job
from planner.job.base import Part
from planner.job.duties import DIVER, duty_qualifies
from planner.job.tide import effective_water_windows

Percent = Annotated[float, Field(ge=-90, le=500)]
Chance = Annotated[float, Field(ge=0, le=100)]

#: Where the numbers that ship come from.
INVENTED = "this program's own invented numbers, to be replaced by what the log shows"


class Spread(Part):
    """How days go otherwise than planned: each number here and nowhere else.

    Bottom work takes from ``work_least_percent`` to ``work_most_percent`` more than planned, most often
    ``work_likely_percent`` (a triangular distribution, each item drawn on its own). A day starts late with
    ``late_chance_percent``, by up to ``late_most_min``, short delays likelier than long ones (triangular, its
    mode 0). Everybody who may dive is unfit to dive on a day with ``unfit_chance_percent``. Each slack window
    is lost with ``window_lost_percent``. The values that ship are this program's own.
    """

    work_least_percent: Percent = -10.0
    work_likely_percent: Percent = 5.0
    work_most_percent: Percent = 40.0
    late_chance_percent: Chance = 30.0
    late_most_min: Annotated[int, Field(ge=0, le=720)] = 45
    unfit_chance_percent: Chance = 2.0
    window_lost_percent: Chance = 10.0
    source: str = INVENTED

    @property
    def sentence(self) -> str:
        """What is drawn from, in words, with its source."""
        return (
            f"Spread: bottom work {self.work_least_percent:g} to {self.work_most_percent:g} % over the plan, "
            f"most often {self.work_likely_percent:g} %; a late start in {self.late_chance_percent:g} % of "
            f"days, up to {self.late_most_min} min; a diver unfit on {self.unfit_chance_percent:g} % of his "
            f"days; a slack window lost in {self.window_lost_percent:g} % ({self.source})."
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


#: The numbers of a spread by the words in which they are typed: ``late-chance=20``.
TYPED: dict[str, str] = {
    name.removesuffix("_percent").removesuffix("_min").replace("_", "-"): name
    for name in Spread.model_fields
    if name != "source"
}


def spread_of(texts: Iterable[str], usual: Spread | None = None) -> Spread:
    """A spread with some numbers as typed: ``work-most=60``, ``unfit-chance=5``.

    Raises
    ------
    InputFaults
        An unknown word, a number that cannot be read or is out of bounds, numbers that contradict each other.
    """
    spread = usual or Spread()
    found: dict[str, float] = {}
    faults: list[Fault] = []
    for text in texts:
        word, _, value = (part.strip().lower() for part in text.partition("="))
        field = TYPED.get(word)
        try:
            if field is None:
                raise ValueError(f"{word or 'That'} is nothing that is drawn.")
            given = int(value) if field.endswith("_min") else float(value)
            Spread.model_validate({**Spread().model_dump(), field: given, "work_likely_percent": 0.0})
            found[field] = given
        except ValueError as wrong:
            said = str(wrong) if field is None else f"{value or 'Nothing'} is no value of {word}."
            faults.append(Fault("--days", text, f"KEY=NUMBER with {', '.join(TYPED)}", said))
    if found and not faults:
        spread = Spread.model_validate({**spread.model_dump(), **found, "source": "as typed"})
        faults += spread.faults()
    if faults:
        raise InputFaults(faults)
    return spread


@dataclass(frozen=True)
class Draw:
    """One day as it may go."""

    work: dict[str, float]
    """Item → part of its planned minutes that its bottom work takes (1.2: a fifth more)."""
    late_min: tuple[int, ...]
    """How late each day starts, by the number of the day."""
    lost: frozenset[int]
    """Indices into `effective_water_windows` of the windows that are lost."""
    unfit: frozenset[tuple[str, int]] = frozenset()
    """Who is unfit to dive, each with the number of the day."""


def draw(job: Job, spread: Spread, seed: int, number: int) -> Draw:
    """The draw of that number: it depends on the seed and the number alone, so more draws keep the first.

    Each kind of thing has its own dice, so that cases with other people or other hours meet the same days.
    """

    def dice(what: str) -> random.Random:
        return random.Random(f"{seed}:{number}:{what}")

    def happens(chance: random.Random, percent: float) -> bool:
        return chance.random() * 100 < percent

    over = (spread.work_least_percent, spread.work_most_percent, spread.work_likely_percent)
    days, late, work, lost = range(job.site.days), dice("late"), dice("work"), dice("lost")
    delays = [
        (happens(late, spread.late_chance_percent), late.triangular(0, spread.late_most_min, 0)) for _ in days
    ]
    unfit = []
    for person in job.people if spread.unfit_chance_percent else ():
        if duty_qualifies(person.duties, DIVER):
            own = dice(f"unfit {person.name}")
            unfit += [(person.name, d) for d in days if happens(own, spread.unfit_chance_percent)]
    windows = range(len(effective_water_windows(job)))
    return Draw(
        {item.name: 1 + work.triangular(*over) / 100 for item in job.dive_items},
        tuple(round(delay) if happened else 0 for happened, delay in delays),
        frozenset(index for index in windows if happens(lost, spread.window_lost_percent)),
        frozenset(unfit),
    )

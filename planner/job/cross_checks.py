"""What no single part of a job can see: names that do not agree, times that contradict, circles.

`cross_faults` judges a whole `Job`, however it was made. The workbook's reader uses
`cross_contradictions`, which says the same by paths into the job, and turns the paths into cells.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.errors import Fault
from planner.job.contradiction import IN_FEET, Contradiction, Path, Says
from planner.job.cross_people import people_contradictions
from planner.job.cross_pins import pin_contradictions
from planner.job.cross_site import site_contradictions, tide_contradictions
from planner.job.cross_work import gear_contradictions, work_contradictions
from planner.job.job import Job

#: What one entry of a list of the job is called, where it carries no name and its list says it otherwise.
_ENTRY_WORDS: dict[str, str] = {
    "people": "person",
    "past_work": "hours worked",
    "available": "hours on site",
    "tanks": "volume tank",
    "minima": "crew minimum",
    "pairs": "duty pair",
    "duty_certificates": "certificate of a duty",
    "priority_weights": "weight of priority",
}
_UNIT_ENDINGS = ("_min", "_fsw", "_ft", "_psi", "_cuft", "_deg")


def cross_contradictions(job: Job, says: Says = IN_FEET) -> Iterator[Contradiction]:
    """Everything in the job that contradicts something else in it, by paths into the job."""
    yield from site_contradictions(job)
    yield from people_contradictions(job)
    yield from work_contradictions(job)
    yield from gear_contradictions(job, says)
    yield from tide_contradictions(job, says)
    yield from pin_contradictions(job, says)


def cross_faults(job: Job) -> tuple[Fault, ...]:
    """The same as faults, placed by the names of things; empty for a job without contradictions."""
    return tuple(
        Fault(
            place_in_words(job, contradiction.path),
            contradiction.found,
            contradiction.allowed,
            contradiction.sentence,
        )
        for contradiction in cross_contradictions(job)
    )


def place_in_words(job: Job, path: Path) -> str:
    """Where a path points, for a reader: ``Ana Reyes: medical expires``."""
    words: list[str] = []
    here: object = job
    kind = ""
    for step in path:
        if isinstance(step, int):
            here = here[step] if isinstance(here, tuple) and step < len(here) else None
            name = getattr(here, "name", None)
            words[-1] = name if isinstance(name, str) else f"{_entry(kind)} {step + 1}"
        else:
            here = getattr(here, step, None)
            kind = step
            words.append(_plain(step))
    return ": ".join(words)


def _entry(kind: str) -> str:
    return _ENTRY_WORDS.get(kind) or _plain(kind).removesuffix("s")


def _plain(field: str) -> str:
    for ending in _UNIT_ENDINGS:
        field = field.removesuffix(ending)
    return field.replace("_", " ")

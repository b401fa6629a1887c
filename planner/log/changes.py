"""What a new revision changes, and for whom: from now on, person by person and item by item."""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

from planner.job.job import Job
from planner.plan.model import Plan


@dataclass(frozen=True)
class Change:
    """What changes for one person, or in one item's planned minutes.

    ``was`` and ``now`` are the lines that differ, in order of time; what stays the same is not told.
    """

    who: str
    was: tuple[str, ...]
    now: tuple[str, ...]


def changes(
    old: Plan, new: Plan, job: Job, from_min: int = -(10**6), made: Container[str] = ()
) -> tuple[Change, ...]:
    """What is different for each person from a minute on, by name; people without a change are left out.

    A duty counts as the same when person, duty, item and times agree; numbers of dives and who else takes
    part do not matter.

    Parameters
    ----------
    from_min
        Duties that ended by then are past.
    made
        Dives that were made or are in the water: what happened is no change of the plan.
    """
    people = sorted({s.person for s in (*old.duties, *new.duties)})
    found = []
    for person in people:
        before, after = _lines(old, person, job, from_min, made), _lines(new, person, job, from_min, made)
        was = tuple(line for line in before if line not in after)
        now = tuple(line for line in after if line not in before)
        if was or now:
            found.append(Change(person, was, now))
    return tuple(found)


def work_changes(old: Plan, new: Plan, job: Job) -> tuple[Change, ...]:
    """Items whose planned minutes of the day are different, in the order of the job."""
    found = []
    for item in job.items:
        was, now = old.worked_min(item.name), new.worked_min(item.name)
        if was != now:
            found.append(Change(item.name, (f"{was} min",), (f"{now} min",)))
    return tuple(found)


def _lines(plan: Plan, person: str, job: Job, from_min: int, made: Container[str]) -> list[str]:
    at = job.clock.hhmm
    own = (s for s in plan.duties_of(person) if s.end_min > from_min and s.dive not in made)
    lines = [
        f"{at(s.start_min)} to {at(s.end_min)} {s.duty}, {s.item}{f', outfit {s.outfit}' if s.outfit else ''}"
        for s in own
    ]
    return list(dict.fromkeys(lines))

"""Rest in rolling windows asked of one person's working days, each taken as one stretch of work."""

from __future__ import annotations

from functools import lru_cache

from planner.job import Job, Person
from planner.plan.hours import rest_limits
from planner.rules.rest import RestLimits, rest_breaches


def asked(job: Job) -> bool:
    """Whether the job asks for rest in rolling windows at all."""
    return job.rules.rest_in_24h_min > 0 or job.rules.rest_in_7d_min > 0


@lru_cache(maxsize=4096)
def _holds(
    past: tuple[tuple[int, int], ...], stretches: tuple[tuple[int, int], ...], limits: RestLimits
) -> bool:
    return not rest_breaches([*past, *stretches], limits, since_min=stretches[0][0])


def past_of(person: Person) -> tuple[tuple[int, int], ...]:
    """Stretches of work that a person has from before the job."""
    return tuple((s.start_min, s.end_min) for s in person.past_work)


def stretches_hold(job: Job, person: Person, stretches: list[tuple[int, int]]) -> bool:
    """Whether a person's working days, one stretch each and in order, keep every rule of rest."""
    if not stretches or not asked(job):
        return True
    return _holds(past_of(person), tuple(stretches), rest_limits(job.rules))


def rested_from(job: Job, person: Person, start_min: int, end_min: int) -> int:
    """First minute from ``start_min`` on at which a person may hold any duty; ``end_min`` where none.

    The later a single minute of duty lies after what was worked before, the less of that is in any window
    with it: so the answer is found by halving.
    """
    low, high = start_min, end_min
    while low < high:
        middle = (low + high) // 2
        if stretches_hold(job, person, [(middle, middle + 1)]):
            high = middle
        else:
            low = middle + 1
    return low

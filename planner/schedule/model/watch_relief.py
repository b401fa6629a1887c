"""Relief of those who lead the dives, feed the air and keep the log: no watch too long without a break.

Works on spells with times that are variables (the model of the day) and on spells whose times are settled
(the naming). Of each spell that may be a person's a variable says since when he has been at it without a
break: two spells with less than a break between them share it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations

from planner.schedule.model.interval import Lit, Model
from planner.schedule.problem.problem import Problem


@dataclass(frozen=True)
class Watch:
    """A stretch of such a duty on a dive that may be one person's; minutes are variables or numbers."""

    literal: Lit
    start: Lit | int
    end: Lit | int


def watch_relief(model: Model, problem: Problem, watches: Mapping[str, list[Watch]]) -> None:
    """watch-relief: state it for everyone.

    Parameters
    ----------
    watches
        Person → all that may be his.
    """
    rules, window = problem.job.rules, problem.window
    most, least = rules.watch_max_min, rules.watch_break_min
    if most == 0 or window.end_min - window.start_min <= most:
        return
    for person, mine in watches.items():
        since = [
            model.new_int_var(window.start_min, window.end_min, f"since.{person}.{k}")
            for k in range(len(mine))
        ]
        for at, watch in zip(since, mine, strict=True):
            model.add(at <= watch.start).only_enforce_if(watch.literal)
            model.add(watch.end - at <= most).only_enforce_if(watch.literal)
        for (at, one), (other_at, other) in combinations(zip(since, mine, strict=True), 2):
            both = [one.literal, other.literal]
            if one.literal is other.literal:
                continue
            if not _settled(one, other):
                later = model.new_bool_var(f"relieved.{person}")
                earlier = model.new_bool_var(f"relieved.{person}")
                model.add(other.start - one.end >= least).only_enforce_if(later)
                model.add(one.start - other.end >= least).only_enforce_if(earlier)
                model.add(at == other_at).only_enforce_if([~later, ~earlier, *both])
            elif not _apart(one, other, least):
                model.add(at == other_at).only_enforce_if(both)


def _settled(one: Watch, other: Watch) -> bool:
    return all(isinstance(m, int) for m in (one.start, one.end, other.start, other.end))


def _apart(one: Watch, other: Watch, least_min: int) -> bool:
    """Whether a break lies between two spells with settled times."""
    return bool(other.start - one.end >= least_min or one.start - other.end >= least_min)

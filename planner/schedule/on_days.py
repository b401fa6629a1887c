"""On which working day and on which calendar day a dive or a task falls, as literals.

A working day may run past midnight. Hours of duty are counted by working day, dives and bottom minutes by
the calendar day on which the surface is left, as the check counts them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planner.schedule.problem import Placement, Problem
from planner.schedule.stretch import Lit, Model


@dataclass(frozen=True)
class OnDays:
    """Working day → literal, and calendar day → literal. Where there is only one it is the whole dive's."""

    day: dict[int, Lit]
    date: dict[int, Lit]


def dive_days(
    model: Model, problem: Problem, name: str, present: Lit, leave: Lit, place: Mapping[Placement, Lit]
) -> OnDays:
    """The days of one dive slot from where and when it may be in the water."""
    days: dict[int, list[Lit]] = {}
    dates: dict[int, list[Lit]] = {}
    for where, literal in place.items():
        days.setdefault(problem.day_of(where.span.start_min), []).append(literal)
        first, last = problem.date_of(where.span.start_min), problem.date_of(where.span.end_min - 1)
        if first == last:
            dates.setdefault(first, []).append(literal)
            continue
        parts = []
        for date in range(first, last + 1):
            part = model.new_bool_var(f"{name}.{where.station}.{where.span.start_min}.{date}")
            parts.append(part)
            dates.setdefault(date, []).append(part)
            if date > first:
                model.add(leave >= problem.midnights[date]).only_enforce_if(part)
            if date < last:
                model.add(leave < problem.midnights[date + 1]).only_enforce_if(part)
        model.add(sum(parts) == literal)
    return OnDays(
        _joined(model, f"{name}.day", present, days), _joined(model, f"{name}.date", present, dates)
    )


def _joined(model: Model, name: str, present: Lit, groups: dict[int, list[Lit]]) -> dict[int, Lit]:
    if len(groups) == 1:
        return dict.fromkeys(groups, present)
    out = {}
    for key, literals in sorted(groups.items()):
        if len(literals) == 1:
            out[key] = literals[0]
        else:
            out[key] = model.new_bool_var(f"{name}.{key}")
            model.add(out[key] == sum(literals))
    return out


def task_days(
    model: Model, problem: Problem, name: str, present: Lit, start: Lit, starts: Mapping[int, tuple[int, int]]
) -> dict[int, Lit]:
    """The working day of a surface task; ``starts``: day → earliest and latest start on it."""
    if len(starts) <= 1:
        return dict.fromkeys(starts, present)
    out = {}
    for day, (low, high) in starts.items():
        out[day] = model.new_bool_var(f"{name}.day.{day}")
        model.add(start >= low).only_enforce_if(out[day])
        model.add(start <= high).only_enforce_if(out[day])
    model.add(sum(out.values()) == present)
    return out

"""The job that a day leaves: the work still to be done, and every minute counted from another first day."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, TypeVar

from planner.job.base import MINUTES_A_DAY, Clock, Span
from planner.job.gear import Outfit
from planner.job.job import Job
from planner.job.people import PastDive, Person
from planner.job.work import DiveItem, Gate, Item, SurfaceItem
from planner.log.day_log import ActualDay

AnyItem = TypeVar("AnyItem", bound=Item)

#: The end of all days that a job can speak of.
FAR_MIN = 15 * MINUTES_A_DAY

#: A window in which nothing can be planned: it stands for "no window is left", since no window at all would
#: mean "any time".
NEVER = Span(start_min=FAR_MIN - 1, end_min=FAR_MIN)


@dataclass(frozen=True)
class DoneWork:
    """What has been settled about the items. Job minutes."""

    done: Mapping[str, int] = field(default_factory=dict)
    """Items that need nothing more, and when they ended or will end."""
    busy_until: Mapping[str, int] = field(default_factory=dict)
    """Items that are being worked on, and until when."""


def minutes_left(day: ActualDay, item: Item) -> int:
    """Minutes of an item that are still to be done; 0 when it is done or was logged as done."""
    if item.name in day.items_done:
        return 0
    if isinstance(item, DiveItem):
        return max(0, item.needed_min - day.worked_min(item.name))
    return item.needed_min


def work_left(day: ActualDay, settled: DoneWork) -> tuple[tuple[DiveItem, ...], tuple[SurfaceItem, ...]]:
    """The items that are still to be done, each with the minutes that are left of it.

    An item that came after one that is done waits only for the lag; one that may not run together with one
    that is being worked on waits for its end.
    """
    dives, tasks = [], []
    # it is enough that one of two items says so
    apart = {frozenset((i.name, other)) for i in day.job.items for other in i.not_together_with}
    for item in day.job.dive_items:
        left = minutes_left(day, item)
        if left > 0 and item.name not in settled.done:
            part = item.replace(bottom_work_min=left, least_useful_min=min(item.least_useful_min, left))
            dives.append(_freed(part, settled, apart))
    for task in day.job.surface_items:
        if task.name not in settled.done and minutes_left(day, task) > 0:
            tasks.append(_freed(task, settled, apart))
    kept = {i.name for i in (*dives, *tasks)}
    return tuple(_among(d, kept) for d in dives), tuple(_among(t, kept) for t in tasks)


def _freed(item: AnyItem, settled: DoneWork, apart: set[frozenset[str]]) -> AnyItem:
    waits = [settled.done[a.item] + a.lag_min for a in item.after if a.item in settled.done]
    waits += [end for name, end in settled.busy_until.items() if frozenset((item.name, name)) in apart]
    changed = item.replace(after=tuple(a for a in item.after if a.item not in settled.done))
    return not_before(changed, max(waits)) if waits else changed


def _among(item: AnyItem, names: set[str]) -> AnyItem:
    """The item with only those neighbours that are still there."""
    return item.replace(
        not_together_with=tuple(n for n in item.not_together_with if n in names),
        after=tuple(a for a in item.after if a.item in names),
    )


def not_before(item: AnyItem, minute: int) -> AnyItem:
    """The item with its windows cut so that nothing of it starts before a minute."""
    return item.replace(windows=cut(item.windows or (Span(start_min=minute, end_min=FAR_MIN),), minute))


def cut(windows: Iterable[Span], minute: int) -> tuple[Span, ...]:
    """What is left of windows from a minute on; one that can never be met when nothing is."""
    left = tuple(
        Span(start_min=max(w.start_min, minute), end_min=w.end_min) for w in windows if w.end_min > minute
    )
    return left or (NEVER,)


Stretch = TypeVar("Stretch", bound=Span)

#: How far back a job can speak of (`planner.job.base.JobMinute`).
EARLIEST_MIN = -14 * MINUTES_A_DAY


def shifted(job: Job, first_day: date, days: int) -> Job:
    """The same job told from another day on.

    Nothing is moved in the world: a window at a moment stays at that moment. What lies too far back to be
    told is dropped.
    """
    by_min = Clock(first_day, job.site.time_zone).minute(job.clock.origin)
    return job.replace(
        site=job.site.replace(first_day=first_day, days=days),
        people=tuple(_person(p, by_min) for p in job.people),
        dive_items=tuple(i.replace(windows=spans(i.windows, by_min)) for i in job.dive_items),
        surface_items=tuple(i.replace(windows=spans(i.windows, by_min)) for i in job.surface_items),
        outfits=tuple(_outfit(o, by_min) for o in job.outfits),
        blocks_due=tuple(d.replace(from_min=d.from_min + by_min) for d in job.blocks_due),
        gates=tuple(_gate_later(g, by_min) for g in job.gates),
        water_windows=spans(job.water_windows, by_min),
        tide_marks=tuple(m.replace(minute=m.minute + by_min) for m in job.tide_marks),
    )


def _gate_later(gate: Gate, by_min: int) -> Gate:
    """A gate told from another day on; one that was held long ago stays so, for its items wait for it."""
    if gate.span is None:
        return gate
    start = max(EARLIEST_MIN, gate.span.start_min + by_min)
    return gate.replace(start_min=start, end_min=max(start + 1, gate.span.end_min + by_min))


def gates_left(job: Job, names: set[str]) -> tuple[Gate, ...]:
    """The gates of a job with only those items that are still there."""
    left = ((gate, tuple(n for n in gate.items if n in names)) for gate in job.gates)
    return tuple(gate.replace(items=items) for gate, items in left if items)


def spans(stretches: Iterable[Stretch], by_min: int) -> tuple[Stretch, ...]:
    """Stretches moved by some minutes; those that lie too far back are dropped."""
    return tuple(s.later(by_min) for s in stretches if s.start_min + by_min >= EARLIEST_MIN)


def _person(person: Person, by_min: int) -> Person:
    end, came, briefed = person.last_duty_end_min, person.arrived_min, person.briefed_until_min
    changes: dict[str, Any] = {
        "available": spans(person.available, by_min),
        "past_work": spans(person.past_work, by_min),
        "past_dives": past_dives(person.past_dives, by_min),
        "last_duty_end_min": None if end is None else max(EARLIEST_MIN, end + by_min),
        "briefed_until_min": None if briefed is None else max(EARLIEST_MIN, briefed + by_min),
        "arrived_min": None if came is None or came + by_min < EARLIEST_MIN else came + by_min,
    }
    return person.replace(**changes)


def _outfit(outfit: Outfit, by_min: int) -> Outfit:
    until = outfit.worn_until_min
    return outfit if until is None else outfit.replace(worn_until_min=max(EARLIEST_MIN, until + by_min))


def past_dives(dives: Iterable[PastDive], by_min: int) -> tuple[PastDive, ...]:
    """Past dives moved by some minutes; those that lie too far back are dropped."""
    return tuple(
        d.replace(surfaced_min=d.surfaced_min + by_min)
        for d in dives
        if d.surfaced_min + by_min >= EARLIEST_MIN
    )

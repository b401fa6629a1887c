"""The work that a day leaves: minutes still to be done, and what rests on what."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from planner.job.base import Span
from planner.job.clock import MINUTES_A_DAY
from planner.job.work import DiveItem, Item, SurfaceItem
from planner.log.actual import ActualDay

AnyItem = TypeVar("AnyItem", bound=Item)

#: The end of all days that a job can speak of.
FAR_MIN = 15 * MINUTES_A_DAY

#: A window in which nothing can be planned: it stands for "no window is left", since no window at all would
#: mean "any time".
NEVER = Span(start_min=FAR_MIN - 1, end_min=FAR_MIN)


@dataclass(frozen=True)
class Settled:
    """What has been settled about the items. Job minutes.

    Parameters
    ----------
    done
        Items that need nothing more, and when they ended or will end.
    coming_min
        Minutes of work that a dive in the water will still add, by item.
    busy_until
        Items that are being worked on, and until when.
    """

    done: Mapping[str, int] = field(default_factory=dict)
    coming_min: Mapping[str, int] = field(default_factory=dict)
    busy_until: Mapping[str, int] = field(default_factory=dict)


def minutes_left(day: ActualDay, item: Item, coming_min: int = 0) -> int:
    """Minutes of an item that are still to be done; 0 when it is done or was logged as done."""
    if item.name in day.items_done:
        return 0
    if isinstance(item, DiveItem):
        return max(0, item.bottom_work_min - day.worked_min(item.name) - coming_min)
    assert isinstance(item, SurfaceItem)
    return item.duration_min


def work_left(day: ActualDay, settled: Settled) -> tuple[tuple[DiveItem, ...], tuple[SurfaceItem, ...]]:
    """The items that are still to be done, each with the minutes that are left of it.

    An item that came after one that is done waits only for the lag; one that may not run together with one
    that is being worked on waits for its end.
    """
    dives, tasks = [], []
    # it is enough that one of two items says so
    apart = {frozenset((i.name, other)) for i in day.job.items for other in i.not_together_with}
    for item in day.job.dive_items:
        left = minutes_left(day, item, settled.coming_min.get(item.name, 0))
        if left > 0 and item.name not in settled.done:
            part = item.replace(bottom_work_min=left, least_useful_min=min(item.least_useful_min, left))
            dives.append(_freed(part, settled, apart))
    for task in day.job.surface_items:
        if task.name not in settled.done and minutes_left(day, task) > 0:
            tasks.append(_freed(task, settled, apart))
    kept = {i.name for i in (*dives, *tasks)}
    return tuple(_among(d, kept) for d in dives), tuple(_among(t, kept) for t in tasks)


def _freed(item: AnyItem, settled: Settled, apart: set[frozenset[str]]) -> AnyItem:
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

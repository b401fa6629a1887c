"""Contradictions of the work: names, windows, order, stations, crews."""

from __future__ import annotations

from collections.abc import Iterator

from planner.job.cross_site import wall_clock
from planner.job.finding import Finding, Path, backward_span, duplicate_names, unknown_reference
from planner.job.job import Job
from planner.job.names import fold
from planner.job.words import BUILT_IN_DUTIES
from planner.job.work import Item


def work_findings(job: Job) -> Iterator[Finding]:
    """All of them."""
    items = _items(job)
    if not items:
        yield Finding(("dive_items",), "", "one dive item or surface item", "The job has no work to plan.")
    yield from duplicate_names((((*path, "name"), item.name) for path, item in items), "items")
    names = [item.name for _, item in items]
    stations = [s.name for s in job.stations]
    clock = wall_clock(job)
    for path, item in items:
        for j, window in enumerate(item.windows):
            yield from backward_span((*path, "windows", j), window, clock, f"A window of {item.name}")
        if item.station is not None:
            yield from unknown_reference((*path, "station"), item.station, stations, "station")
        for j, after in enumerate(item.after):
            here = (*path, "after", j, "item")
            if fold(after.item) == fold(item.name):
                yield Finding(
                    here,
                    after.item,
                    "another item",
                    f"{item.name} is set after itself, so could never start.",
                )
            else:
                yield from unknown_reference(here, after.item, names, "item")
        for j, other in enumerate(item.not_together_with):
            here = (*path, "not_together_with", j)
            if fold(other) == fold(item.name):
                yield Finding(
                    here,
                    other,
                    "another item",
                    f"{item.name} is kept apart from itself, which means nothing.",
                )
            else:
                yield from unknown_reference(here, other, names, "item")
    yield from _circles(items)
    yield from _crew_spelling(job)


def _items(job: Job) -> list[tuple[Path, Item]]:
    return [
        *((("dive_items", i), item) for i, item in enumerate(job.dive_items)),
        *((("surface_items", i), item) for i, item in enumerate(job.surface_items)),
    ]


def _circles(items: list[tuple[Path, Item]]) -> Iterator[Finding]:
    """Items that wait for one another in a ring. Each ring is told once."""
    paths = {item.name: path for path, item in items}
    waits = {
        item.name: {
            a.item: (*path, "after", j, "item")
            for j, a in enumerate(item.after)
            if a.item in paths and a.item != item.name
        }
        for path, item in items
    }
    left = dict(waits)
    while left:
        free = [name for name, before in left.items() if not any(b in left for b in before)]
        if free:
            for name in free:
                del left[name]
            continue
        trail = [next(iter(left))]
        while trail[-1] not in trail[:-1]:
            trail.append(next(b for b in waits[trail[-1]] if b in left))
        ring = trail[trail.index(trail[-1]) : -1]
        steps = [waits[name][ring[(k + 1) % len(ring)]] for k, name in enumerate(ring)]
        told = " after ".join([*ring, ring[0]])
        yield Finding(
            steps[0],
            told,
            "an order without a ring",
            f"These items wait for one another in a circle, so none could ever start: {told}.",
            tuple(steps[1:]),
        )
        for name in ring:
            del left[name]


def _crew_spelling(job: Job) -> Iterator[Finding]:
    """A duty that two crews spell in two ways would be two duties."""
    spelled = {fold(duty): duty for duty in BUILT_IN_DUTIES}
    for i, item in enumerate(job.surface_items):
        for j, need in enumerate(item.crew):
            first = spelled.setdefault(fold(need.duty), need.duty)
            if first != need.duty:
                yield Finding(
                    ("surface_items", i, "crew", j, "duty"),
                    need.duty,
                    first,
                    f"The duty {first} is spelled in another way here, so it would not match.",
                )

"""Contradictions of the work and of what it is done with: items, crews, outfits, the air plant."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from planner.job.air_plant import Bank, VolumeTank
from planner.job.contradiction import (
    IN_FEET,
    Contradiction,
    Path,
    Says,
    backward_span,
    clock_of,
    duplicate_names,
    name_places,
    one_spelling,
    unknown_reference,
    wall_clock,
)
from planner.job.duties import BUILT_IN_DUTIES
from planner.job.gear import Gear, Outfit
from planner.job.job import Job
from planner.job.names import fold
from planner.job.work import Item


def work_contradictions(job: Job) -> Iterator[Contradiction]:
    """All of them."""
    items = _items(job)
    if not items:
        yield Contradiction(
            ("dive_items",), "", "one dive item or surface item", "The job has no work to plan."
        )
    yield from duplicate_names((((*path, "name"), item.name) for path, item in items), "items")
    clock = wall_clock(job)
    zoned = job if clock_of(job) else job.replace(site=job.site.replace(time_zone=clock.time_zone))
    standing = {fold(item.name): item.name for item in zoned.standing_items}
    for path, item in items:
        if fold(item.name) in standing:
            yield Contradiction(
                (*path, "name"),
                item.name,
                "a name of its own",
                f"{item.name} is what standing work of the day is called; give the item another name.",
            )
    names = [item.name for _, item in items]
    stations = [s.name for s in job.stations]
    for path, item in items:
        for j, window in enumerate(item.windows):
            yield from backward_span((*path, "windows", j), window, clock, f"A window of {item.name}")
        if item.station is not None:
            yield from unknown_reference((*path, "station"), item.station, stations, "station")
        for j, after in enumerate(item.after):
            here = (*path, "after", j, "item")
            if fold(after.item) == fold(item.name):
                yield Contradiction(
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
                yield Contradiction(
                    here,
                    other,
                    "another item",
                    f"{item.name} is kept apart from itself, which means nothing.",
                )
            else:
                yield from unknown_reference(here, other, names, "item")
    yield from _gates(job, names)
    yield from _circles(items)
    crews = (
        (("surface_items", i, "crew", j, "duty"), need.duty)
        for i, item in enumerate(job.surface_items)
        for j, need in enumerate(item.crew)
    )
    yield from one_spelling(crews, "duty", BUILT_IN_DUTIES)


def _items(job: Job) -> list[tuple[Path, Item]]:
    return [
        *((("dive_items", i), item) for i, item in enumerate(job.dive_items)),
        *((("surface_items", i), item) for i, item in enumerate(job.surface_items)),
    ]


def _gates(job: Job, names: list[str]) -> Iterator[Contradiction]:
    clock = wall_clock(job)
    timed: dict[tuple[str, str], tuple[bool, Path]] = {}
    for i, gate in enumerate(job.gates):
        path: Path = ("gates", i)
        for j, item in enumerate(gate.items):
            yield from unknown_reference((*path, "items", j), item, names, "item")
            has_times = gate.span is not None
            before, first = timed.setdefault((fold(gate.what), fold(item)), (has_times, path))
            if before is not has_times:
                yield Contradiction(
                    (*path, "start_min"),
                    "times" if has_times else "",
                    "times in every row of a gate, or in none",
                    f"{gate.what} is given for {item} once with times and once without.",
                    ((*first, "start_min"), (*path, "items"), (*first, "items")),
                )
        if gate.span is not None:
            yield from backward_span(path, gate.span, clock, f"The gate {gate.what}")
        elif gate.start_min is not None or gate.end_min is not None:
            lacks = "end_min" if gate.end_min is None else "start_min"
            yield Contradiction(
                (*path, lacks),
                "",
                "both ends, or neither: then it is confirmed by hand before the dive",
                f"{gate.what} has only one end of the time in which it is held.",
            )


def _circles(items: list[tuple[Path, Item]]) -> Iterator[Contradiction]:
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
        yield Contradiction(
            steps[0],
            told,
            "an order without a ring",
            f"These items wait for one another in a circle, so none could ever start: {told}.",
            tuple(steps[1:]),
        )
        for name in ring:
            del left[name]


def gear_contradictions(job: Job, says: Says = IN_FEET) -> Iterator[Contradiction]:
    """All of them."""
    yield from duplicate_names(name_places(("outfits",), job.outfits), "outfits")
    stamped: dict[tuple[Gear, str], tuple[Path, str]] = {}
    for i, outfit in enumerate(job.outfits):
        path: Path = ("outfits", i)
        yield from _numbers(path, outfit)
        yield from _dates(path, outfit)
        number = (outfit.kind, fold(outfit.helmet_no))
        if number[1]:
            first, name = stamped.setdefault(number, (path, outfit.name))
            if first != path:
                yield Contradiction(
                    (*path, "helmet_no"),
                    outfit.helmet_no,
                    "each helmet once",
                    f"The {outfit.kind} helmet {outfit.helmet_no} stands in two outfits: "
                    f"{name} and {outfit.name}.",
                    ((*first, "helmet_no"), (*path, "kind"), (*first, "kind")),
                )
    numbers = [(("outfits", i, "bailout_no"), o.bailout_no) for i, o in enumerate(job.outfits)]
    yield from duplicate_names([(p, n) for p, n in numbers if n.strip()], "bailout bottles")
    yield from _bottles(job, says)
    yield from _air(job, says)


def _bottles(job: Job, says: Says) -> Iterator[Contradiction]:
    for i, outfit in enumerate(job.outfits):
        path: Path = ("outfits", i)
        shown, most = outfit.bailout_psi, outfit.bailout_working_psi
        if outfit.kind is Gear.HEAVY and (outfit.bailout_cuft or shown):
            yield Contradiction(
                (*path, "bailout_cuft"),
                f"{outfit.bailout_cuft or ''}",
                "blank in heavy dress",
                f"{outfit.name} is {outfit.kind}, in which no bailout bottle is carried.",
                ((*path, "kind"), (*path, "bailout_psi")),
            )
        elif (outfit.bailout_cuft is None) != (shown is None):
            missing = "bailout_psi" if shown is None else "bailout_cuft"
            yield Contradiction(
                (*path, missing),
                "",
                "both, or neither",
                f"The bailout bottle of {outfit.name} needs its floodable volume and the pressure it shows.",
                ((*path, "bailout_cuft"), (*path, "bailout_psi")),
            )
        elif shown is not None and most is not None and shown > most:
            yield Contradiction(
                (*path, "bailout_psi"),
                says.pressure(shown),
                f"the working pressure, {says.pressure(most)}, or less",
                f"The bailout bottle of {outfit.name} is charged above its working pressure.",
                ((*path, "bailout_working_psi"),),
            )


def _numbers(path: Path, outfit: Outfit) -> Iterator[Contradiction]:
    if not outfit.helmet_no.strip():
        yield Contradiction(
            (*path, "helmet_no"), "", "the number stamped on it", f"{outfit.name} lacks its helmet's number."
        )
    elif not outfit.numbers_agree:
        parts = {
            "helmet_no": ("helmet", outfit.helmet_no),
            "breastplate_no": ("breastplate", outfit.breastplate_no),
            "straps_no": ("straps", outfit.straps_no),
        }
        told = ", ".join(f"{part} {number or '(none)'}" for part, number in parts.values())
        odd = next(field for field, (_, number) in parts.items() if number != outfit.helmet_no)
        yield Contradiction(
            (*path, odd),
            told,
            "one number on helmet, breastplate and straps",
            f"The numbers of {outfit.name} disagree ({told}); parts of two outfits never mix.",
            tuple((*path, field) for field in (*parts, "kind")),
        )


def _dates(path: Path, outfit: Outfit) -> Iterator[Contradiction]:
    done, due = outfit.inspected_on, outfit.inspection_due
    if done and due and due < done:
        yield Contradiction(
            (*path, "inspection_due"),
            due.isoformat(),
            f"{done.isoformat()} or later",
            f"The next inspection of {outfit.name} is due before the last one was made.",
            ((*path, "inspected_on"),),
        )


def _air(job: Job, says: Says) -> Iterator[Contradiction]:
    names = chain.from_iterable(
        name_places(("air", field), getattr(job.air, field)) for field in ("compressors", "banks", "tanks")
    )
    yield from duplicate_names(names, "sources of air")
    vessels: list[tuple[str, str, tuple[Bank | VolumeTank, ...]]] = [
        ("banks", "charged", job.air.banks),
        ("tanks", "kept", job.air.tanks),
    ]
    for field, how, sources in vessels:
        for i, source in enumerate(sources):
            path: Path = ("air", field, i)
            most = source.working_pressure_psi
            if most is not None and source.pressure_psi > most:
                yield Contradiction(
                    (*path, "pressure_psi"),
                    says.pressure(source.pressure_psi),
                    f"the working pressure, {says.pressure(most)}, or less",
                    f"{source.name} is {how} above its working pressure.",
                    ((*path, "working_pressure_psi"),),
                )

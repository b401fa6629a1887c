"""What would it take to fit what is left over: single changes to the job, each one solved, not guessed.

Only what a person can bring to the site is offered: people, outfits, hours, windows, a chamber, air. A safety
rule is never offered as the thing to relax.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from planner.job import Certificate, Compressor, DiveItem, Job, Outfit, OutfitState, Person, SurfaceItem
from planner.job.duties import DIVER, TENDER
from planner.plan.model import Plan
from planner.schedule.explain.reasons import standing_reasons, standing_task_reasons
from planner.schedule.problem.prepare import prepare
from planner.schedule.solve import solve

#: Lengths tried for a longer window or day, minutes, smallest first.
LONGER_BY_MIN = (20, 40, 60, 90, 120, 180, 240)


@dataclass(frozen=True)
class Change:
    """One change that was solved.

    Parameters
    ----------
    item
        The item that was left over.
    sentence
        The change, in words.
    before_min, after_min, needed_min
        Minutes of the item done without and with the change, and all that it needs.
    job
        The changed job, to plan with.
    """

    item: str
    sentence: str
    before_min: int
    after_min: int
    needed_min: int
    job: Job

    @property
    def fits(self) -> bool:
        """Whether the whole item is done with it."""
        return self.after_min >= self.needed_min


def what_it_takes(
    job: Job,
    plan: Plan | None,
    item: str,
    *,
    seconds_each: float = 4.0,
    workers: int = 2,
    stop: threading.Event | None = None,
    on_try: Callable[[str], None] | None = None,
) -> tuple[Change, ...]:
    """Changes that do more of an item, those that do it wholly first.

    Parameters
    ----------
    plan
        The plan that leaves it, or None.
    seconds_each
        Budget of each solve. A change that did not help in that time is not shown: that proves nothing.
    on_try
        Told each change before it is solved.
    """
    before = plan.worked_min(item) if plan else 0
    needed = _needed(job, item)
    found: list[Change] = []
    settled: set[str] = set()
    for kind, sentence, changed in candidates(job, item):
        if stop is not None and stop.is_set():
            break
        if kind in settled:
            continue
        if _still_barred(changed, item):
            continue
        if on_try is not None:
            on_try(sentence)
        outcome = solve(changed, seconds=seconds_each, workers=workers, start=plan, stop=stop, only_work=True)
        after = outcome.plan.worked_min(item) if outcome.plan else 0
        if after > before:
            found.append(Change(item, sentence, before, after, needed, changed))
            if after >= needed:
                # Candidates of a kind come smallest first: a larger one adds nothing.
                settled.add(kind)
    found.sort(key=lambda c: (not c.fits, -c.after_min))
    return tuple(found)


def _still_barred(job: Job, name: str) -> bool:
    """Whether a rule keeps the item from being planned even alone: then no solve is needed."""
    problem = prepare(job)
    for under in problem.items_under:
        if under.item.name == name:
            return bool(standing_reasons(problem, under))
    return any(standing_task_reasons(problem, t) for t in problem.tasks if t.item.name == name)


def candidates(job: Job, name: str) -> Iterator[tuple[str, str, Job]]:
    """(kind, sentence, changed job) of every single change worth trying for an item."""
    item = job.item(name)
    if isinstance(item, DiveItem):
        yield from _for_dives(job, item)
    elif isinstance(item, SurfaceItem):
        for need in item.crew:
            yield _one_more(job, need.duty)
    yield from _longer(job, item.name)


def _for_dives(job: Job, item: DiveItem) -> Iterator[tuple[str, str, Job]]:
    for outfit in job.outfits:
        if outfit.kind is item.gear and outfit.state is not OutfitState.READY:
            ready = outfit.replace(state=OutfitState.READY, inspection_due=None)
            outfits = tuple(ready if o is outfit else o for o in job.outfits)
            yield f"ready {outfit.name}", f"outfit {outfit.name} made ready", job.replace(outfits=outfits)
    spare = Outfit(
        name="one more outfit", kind=item.gear, helmet_no="new", breastplate_no="new", straps_no="new"
    )
    yield (
        "outfit",
        f"one more ready outfit of {item.gear.value}",
        job.replace(outfits=(*job.outfits, spare)),
    )
    for person in job.people:
        if DIVER not in person.duties:
            continue
        held = {c.name for c in person.certificates if c.expires is None or c.expires >= job.site.first_day}
        missing = item.certificates - held
        changed = person
        words = []
        if person.depth_rating_fsw < item.depth_fsw:
            changed = changed.replace(depth_rating_fsw=item.depth_fsw)
            words.append(f"rated to {item.depth_fsw} fsw")
        if missing:
            more = tuple(Certificate(name=c) for c in sorted(missing))
            changed = changed.replace(certificates=(*person.certificates, *more))
            words.append(f"holding {', '.join(sorted(missing))}")
        if words:
            yield f"{person.name}", f"{person.name} {' and '.join(words)}", _with(job, person, changed)
    yield _one_more(job, DIVER, item)
    two = _with_newcomer(_with_newcomer(job, DIVER, item, 1), DIVER, item, 2)
    yield "divers", f"two more divers fit for {item.depth_fsw} fsw", two
    yield _one_more(job, TENDER)
    for duty in dict.fromkeys(row.duty for row in job.rules.minima):
        if duty not in (DIVER, TENDER):
            yield _one_more(job, duty)
    away = job.site.chamber_minutes_away
    if away is None or away > 0:
        yield (
            "chamber",
            "a chamber at the dive location",
            job.replace(site=job.site.replace(chamber_minutes_away=0)),
        )
    if job.air.compressors:
        largest = max(job.air.compressors, key=lambda c: c.delivered_scfm)
        again: Compressor = largest.replace(name=f"{largest.name} (second)")
        air = job.air.replace(compressors=(*job.air.compressors, again))
        yield "compressor", f"a second compressor like {largest.name}", job.replace(air=air)


def _one_more(job: Job, duty: str, item: DiveItem | None = None) -> tuple[str, str, Job]:
    fit = f" fit for {item.depth_fsw} fsw" if item is not None else ""
    return f"one {duty}", f"one more {duty}{fit}", _with_newcomer(job, duty, item, 1)


def _with_newcomer(job: Job, duty: str, item: DiveItem | None, number: int) -> Job:
    # Someone for one duty brings along what is commonly held with it (console and log).
    with_it = {p.with_duty for p in job.rules.pairs if p.duty == duty}
    with_it |= {p.duty for p in job.rules.pairs if p.with_duty == duty}
    newcomer = Person(
        name=f"one more {duty} {number}",
        duties=frozenset({duty, *with_it}),
        depth_rating_fsw=item.depth_fsw if item is not None else 0,
        certificates=tuple(Certificate(name=c) for c in sorted(item.certificates)) if item else (),
    )
    return job.replace(people=(*job.people, newcomer))


def _with(job: Job, old: Person, new: Person) -> Job:
    return job.replace(people=tuple(new if p is old else p for p in job.people))


def _longer(job: Job, name: str) -> Iterator[tuple[str, str, Job]]:
    item = job.item(name)
    if item.windows:
        for more in LONGER_BY_MIN:
            windows = tuple(w.replace(end_min=w.end_min + more) for w in item.windows)
            changed = item.replace(windows=windows)
            yield "window", f"its window {more} min longer", _with_item(job, changed)
    for more in LONGER_BY_MIN:
        end = (job.site.day_end.hour * 60 + job.site.day_end.minute + more) % 1440
        if end <= job.site.day_start.hour * 60 + job.site.day_start.minute:
            break
        clock = job.site.day_end.replace(hour=end // 60, minute=end % 60)
        yield "day", f"the day {more} min longer", job.replace(site=job.site.replace(day_end=clock))


def _with_item(job: Job, changed: object) -> Job:
    if isinstance(changed, DiveItem):
        return job.replace(dive_items=tuple(changed if i.name == changed.name else i for i in job.dive_items))
    assert isinstance(changed, SurfaceItem)
    return job.replace(
        surface_items=tuple(changed if i.name == changed.name else i for i in job.surface_items)
    )


def _needed(job: Job, name: str) -> int:
    item = job.item(name)
    if isinstance(item, DiveItem):
        return item.bottom_work_min
    assert isinstance(item, SurfaceItem)
    return item.duration_min

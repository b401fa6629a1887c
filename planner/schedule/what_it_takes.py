"""What would it take to fit what is left over: single changes to the job, each one solved, not guessed.

Only what a person can bring to the site is offered: people, outfits, hours, windows, a chamber, air. A safety
rule is never offered as the thing to relax.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from planner.air.station_gear import spare_hose_needed_ft, stage_asked, station_lacks
from planner.check.people import missing_certificates, missing_for_duty
from planner.day import crew_counts
from planner.job import Certificate, Compressor, DiveItem, Item, Job, Outfit, OutfitState, Person, SurfaceItem
from planner.job.duties import DIVER, DUTY_OF, ENTRY_DIVER, STANDBY, TENDER, duty_qualifies
from planner.job.tide import deepest_fsw
from planner.plan.model import Plan
from planner.schedule.explain.reasons import standing_reasons
from planner.schedule.problem.prepare import prepare
from planner.schedule.solve import solve
from planner.words.measures import own_depth_words, own_length_words

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
    workers: int | None = None,
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
    needed = job.item(item).needed_min
    found: list[Change] = []
    best: dict[str, int] = {}
    """Kind → minutes done with the best change of it so far."""
    for kind, sentence, changed in candidates(job, item):
        if stop is not None and stop.is_set():
            break
        if best.get(kind, before) >= needed or _still_barred(changed, item):
            continue
        if on_try is not None:
            on_try(sentence)
        outcome = solve(changed, seconds=seconds_each, workers=workers, start=plan, stop=stop, only_work=True)
        after = outcome.plan.worked_min(item) if outcome.plan else 0
        # Candidates of a kind come smallest first: a larger one is told only for what it does more.
        if after > best.get(kind, before):
            best[kind] = after
            found.append(Change(item, sentence, before, after, needed, changed))
    found.sort(key=lambda c: (not c.fits, -c.after_min))
    return tuple(found)


def _still_barred(job: Job, name: str) -> bool:
    """Whether a rule keeps the item from being planned even alone: then no solve is needed."""
    problem = prepare(job)
    return any(standing_reasons(problem, work) for work in problem.works if work.item.name == name)


def candidates(job: Job, name: str) -> Iterator[tuple[str, str, Job]]:
    """(kind, sentence, changed job) of every single change worth trying for an item, each once."""
    item = job.item(name)
    if isinstance(item, DiveItem):
        yield from _for_dives(job, item)
    elif isinstance(item, SurfaceItem):
        yield from _newcomers(job, [need.duty for need in item.crew])
        yield from _certified(job, [need.duty for need in item.crew])
    yield from _longer(job, item)


def _for_dives(job: Job, item: DiveItem) -> Iterator[tuple[str, str, Job]]:
    for outfit in job.outfits:
        if outfit.kind is item.gear and outfit.state is not OutfitState.READY:
            ready = outfit.replace(state=OutfitState.READY, inspection_due=None)
            outfits = tuple(ready if o is outfit else o for o in job.outfits)
            yield f"ready {outfit.name}", f"outfit {outfit.name} made ready", job.replace(outfits=outfits)
    spare = Outfit(
        name="one more outfit", kind=item.gear, helmet_no="new", breastplate_no="new", straps_no="new"
    )
    bottled = [o for o in job.outfits if o.kind is item.gear and o.carries_bailout]
    if bottled:
        fullest = max(bottled, key=lambda o: (o.bailout_cuft or 0.0) * (o.bailout_psi or 0.0))
        spare = spare.replace(bailout_cuft=fullest.bailout_cuft, bailout_psi=fullest.bailout_psi)
        full = {o.name: o.replace(bailout_psi=o.bailout_working_psi or o.bailout_psi) for o in bottled}
        charged = job.replace(outfits=tuple(full.get(o.name, o) for o in job.outfits))
        if charged != job:
            yield "bottles", "every bailout bottle charged to its working pressure", charged
    yield (
        "outfit",
        f"one more ready outfit of {item.gear.value}",
        job.replace(outfits=(*job.outfits, spare)),
    )
    yield from _made_fit(job, item)
    one = _with_newcomer(job, DIVER, item, 1)
    yield "one diver", f"one more diver fit for {own_depth_words(item, job.site.units)}", one
    two = _with_newcomer(one, DIVER, item, 2)
    yield "divers", f"two more divers fit for {own_depth_words(item, job.site.units)}", two
    asked = [TENDER, *(row.duty for row in job.rules.asked_rows)]
    yield from _newcomers(job, asked)
    yield from _certified(job, [DIVER, *asked])
    yield from _stage_and_hose(job, item)
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


def _stage_and_hose(job: Job, item: DiveItem) -> Iterator[tuple[str, str, Job]]:
    """Each station that lacks them, with an in-water stage and a spare hose long enough and tested."""
    depth_fsw, day = deepest_fsw(job, item), job.site.first_day
    for station in job.stations if stage_asked(job, item) else ():
        if item.station in (None, station.name) and station_lacks(station, item, depth_fsw, day):
            equipped = station.replace(
                in_water_stage=True,
                spare_hose_length_ft=max(station.spare_hose_length_ft, spare_hose_needed_ft(item, depth_fsw)),
                spare_hose_tested_on=day,
            )
            stations = tuple(equipped if s is station else s for s in job.stations)
            hose = own_length_words(equipped, job.site.units, "spare_hose_length_ft")
            yield (
                f"stage {station.name}",
                f"an in-water stage at {station.name} and a spare hose of {hose}",
                job.replace(stations=stations),
            )


def _made_fit(job: Job, item: DiveItem) -> Iterator[tuple[str, str, Job]]:
    """Divers rated for the item and holding its certificates: each alone, then as many as it takes."""
    unfit: list[tuple[Person, bool, tuple[str, ...]]] = []
    fit = 0
    for person in job.people:
        if DIVER not in person.duties:
            continue
        shallow = person.depth_rating_fsw < item.depth_fsw
        missing = missing_certificates(person, item, job.site.first_day)
        if shallow or missing:
            unfit.append((person, shallow, missing))
        else:
            fit += 1
    counts = crew_counts(job, item)
    short = item.divers + counts.get(ENTRY_DIVER, 0) + counts.get(STANDBY, 0) - fit
    teams = [[one] for one in unfit]
    if 1 < short <= len(unfit):
        # Those first who lack least.
        teams.append(sorted(unfit, key=lambda u: (u[1], len(u[2])))[:short])
    for team in teams:
        words = []
        if any(shallow for _, shallow, _ in team):
            words.append(f"rated to {own_depth_words(item, job.site.units)}")
        lacking = sorted({c for *_, missing in team for c in missing})
        if lacking:
            words.append(f"holding {', '.join(lacking)}")
        made = {
            person.name: person.replace(
                depth_rating_fsw=max(person.depth_rating_fsw, item.depth_fsw),
                certificates=(*_valid(person, missing), *_papers(missing)),
            )
            for person, _, missing in team
        }
        who = " and ".join(made)
        changed = job.replace(people=tuple(made.get(p.name, p) for p in job.people))
        yield f"fit {who}", f"{who} {' and '.join(words)}", changed


def _certified(job: Job, duties: Iterable[str]) -> Iterator[tuple[str, str, Job]]:
    """Each person who may hold one of the duties, with the certificates that he or she lacks for it."""
    for duty in dict.fromkeys(duties):
        for person in job.people:
            missing = missing_for_duty(job.rules, person, duty, job.site.first_day)
            if missing and duty_qualifies(person.duties, duty):
                holds = person.replace(certificates=(*_valid(person, missing), *_papers(missing)))
                people = tuple(holds if p is person else p for p in job.people)
                told = f"{person.name}, as {duty}, holding {', '.join(missing)}"
                yield f"certified {duty} {person.name}", told, job.replace(people=people)


def _papers(names: Iterable[str]) -> tuple[Certificate, ...]:
    return tuple(Certificate(name=c) for c in sorted(names))


def _valid(person: Person, without: Iterable[str]) -> tuple[Certificate, ...]:
    """A person's certificates but those that are to be renewed."""
    return tuple(c for c in person.certificates if c.name not in set(without))


def _newcomers(job: Job, duties: Iterable[str]) -> Iterator[tuple[str, str, Job]]:
    """One more person for each duty; one for two duties that the same newcomer would hold."""
    # Divers, who also stand by, are offered by themselves.
    brought = [_held_by_newcomer(job, DIVER)]
    for asked in duties:
        record = DUTY_OF.get(asked)
        duty = asked if record is None or record.qualified_by is None else record.qualified_by
        held = _held_by_newcomer(job, duty)
        if held not in brought:
            brought.append(held)
            yield f"one {duty}", f"one more {duty}", _with_newcomer(job, duty, None, 1)


def _held_by_newcomer(job: Job, duty: str) -> frozenset[str]:
    """Someone for one duty brings along what is commonly held with it (console and log)."""
    pairs = job.rules.pairs
    with_it = [p.with_duty for p in pairs if p.duty == duty] + [p.duty for p in pairs if p.with_duty == duty]
    return frozenset({duty, *with_it})


def _with_newcomer(job: Job, duty: str, item: DiveItem | None, number: int) -> Job:
    duties = _held_by_newcomer(job, duty)
    papers = frozenset[str]().union(*(job.rules.certificates_for(d) for d in duties))
    newcomer = Person(
        name=f"one more {duty} {number}",
        duties=duties,
        depth_rating_fsw=item.depth_fsw if item is not None else 0,
        certificates=_papers(papers | item.certificates if item is not None else papers),
    )
    return job.replace(people=(*job.people, newcomer))


def _longer(job: Job, item: Item) -> Iterator[tuple[str, str, Job]]:
    if item.windows:
        for more in LONGER_BY_MIN:
            windows = tuple(w.replace(end_min=w.end_min + more) for w in item.windows)
            changed = item.replace(windows=windows)
            yield "window", f"its window {more} min longer", _with_item(job, changed)
    for what, rows in job.gates_of(item.name).items():
        for more in LONGER_BY_MIN if what in job.gate_spans(item.name) else ():
            held = tuple(
                g.replace(end_min=g.end_min + more) if g in rows and g.end_min is not None else g
                for g in job.gates
            )
            yield f"gate {what}", f"{what} held {more} min longer", job.replace(gates=held)
    for more in LONGER_BY_MIN:
        end = (job.site.day_end.hour * 60 + job.site.day_end.minute + more) % 1440
        if end <= job.site.day_start.hour * 60 + job.site.day_start.minute:
            break
        clock = job.site.day_end.replace(hour=end // 60, minute=end % 60)
        yield "day", f"the day {more} min longer", job.replace(site=job.site.replace(day_end=clock))


def _with_item(job: Job, changed: Item) -> Job:
    what = "dive_items" if isinstance(changed, DiveItem) else "surface_items"
    return job.replace(**{what: tuple(changed if i.name == changed.name else i for i in getattr(job, what))})

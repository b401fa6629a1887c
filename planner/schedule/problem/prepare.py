"""Make a job ready for the search: slots, modes, windows, posts and people of every item."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from enum import Enum

from planner.air import item_air_finding
from planner.day import brought_in, descent_min
from planner.errors import ModelTooLarge, TableRefusal
from planner.job import DiveItem, Job, Span, SurfaceItem
from planner.job.bounds import CHAMBER_REACH_MIN, DEEPEST_SHORT_FSW
from planner.job.daylight import daylight
from planner.job.duties import DIVER, DRESSED_DUTIES, ENTRY_DIVER, STANDBY, STANDBY_TENDER, TENDER, held_over
from planner.job.night import earliest_dive_min
from planner.job.tide import deepest_fsw, depth_with_tide_fsw, effective_water_windows, spans_no_deeper
from planner.schedule.problem.eligibility import (
    duty_hours,
    job_dates,
    share_takers,
    stays_up,
    unfit_dates,
)
from planner.schedule.problem.problem import (
    MAX_DIVE_SLOTS,
    MAX_PEOPLE,
    NEVER_MIN,
    DiveWork,
    Group,
    Placement,
    Post,
    Problem,
    TaskWork,
    rank,
    wait_minutes,
)
from planner.tables import (
    GROUPS,
    ExposureOptions,
    Mode,
    modes,
    options_for,
    rank_after,
    standby_minutes_left,
    standby_options,
)
from planner.tables.gauge import greatest_depth_fsw
from planner.tables.past_dives import past_watches
from planner.tables.schedule import NO_STOP


class Ways(Enum):
    """The ways up of a dive that is offered, where they decide how many people are in dress."""

    ANY = "any"
    NO_STOP = "no stops"
    STOPS = "with stops"
    LARGER_CREW = "any, with the crew of a dive with stops"


#: An item that follows the tide is offered at no more depths than this: each has dive slots of its own.
MAX_TIDE_STEPS = 4

#: An item may always be split into as many dives as this, where its least useful piece allows.
OFFERED_PIECES = 5


def prepare(job: Job, depths_fsw: Mapping[str, int] | None = None) -> Problem:
    """Make a job ready for the search.

    Parameters
    ----------
    depths_fsw
        Items that follow the tide to be planned at one depth only, item → fsw (a running plan's, so that its
        dives can be told apart by number).

    Raises
    ------
    ModelTooLarge
        When the job is past the size the scheduler takes on.
    """
    window = Span(start_min=job.day_windows[0].start_min, end_min=job.day_windows[-1].end_min)
    light = daylight(job)
    hours = {p.name: duty_hours(job, p) for p in job.people}
    dives = tuple(
        work for item in job.dive_items for work in _dive_works(job, item, light, hours, depths_fsw)
    )
    slots = sum(d.slots for d in dives)
    if slots > MAX_DIVE_SLOTS or len(job.people) > MAX_PEOPLE:
        raise ModelTooLarge(
            f"The job asks for up to {slots} dives by {len(job.people)} people; the scheduler takes on "
            f"{MAX_DIVE_SLOTS} dives and {MAX_PEOPLE} people. Plan it in parts: fewer days, or fewer items."
        )
    tasks = tuple(_task_work(job, item) for item in job.surface_items)
    support: dict[str, None] = {}
    for dive in dives:
        for post in dive.posts:
            support.setdefault(post.duty)
    for task in tasks:
        for duty, _ in task.crew:
            support.setdefault(duty)
    return Problem(
        job=job,
        dives=dives,
        tasks=tasks,
        window=window,
        hours=hours,
        support_duties=tuple(support),
        watch_until={
            p.name: max(end for _, end in watches)
            for p in job.people
            if (watches := past_watches(p, job.rules))
        },
        dive_from={p.name: at for p in job.people if (at := earliest_dive_min(job, p)) is not None},
        brought_in=brought_in(job),
        share_takers=share_takers(job, hours),
    )


def crew_counts(job: Job, item: DiveItem, *, decompression: bool = False) -> dict[str, int]:
    """People that a dive on ``item`` needs by duty, all in; tenders already times the people in the water."""
    deepest = greatest_depth_fsw(job.site, item.depth_fsw)
    rows = [
        row
        for row in job.rules.asked_rows
        if (row.gear is None or row.gear is item.gear)
        and (row.deeper_than_fsw is None or deepest > row.deeper_than_fsw)
        and (not row.decompression or decompression)
        and (not row.enclosed_space or item.enclosed_space)
    ]
    entry = max(
        (r.count * (item.divers if r.per_diver else 1) for r in rows if r.duty == ENTRY_DIVER), default=0
    )
    in_water = item.divers + entry
    out: dict[str, int] = {}
    for row in rows:
        count = row.count * (in_water if row.per_diver else 1)
        if row.duty != DIVER and count > out.get(row.duty, 0):
            out[row.duty] = count
    return out


def _dive_works(
    job: Job,
    item: DiveItem,
    light: tuple[Span, ...] | None,
    hours: dict[str, tuple[Span, ...]],
    depths_fsw: Mapping[str, int] | None,
) -> list[DiveWork]:
    """A dive item ready for the search; one that follows the tide once for each depth that matters.

    Deepest first: that one may be dived whenever the item may. Each of the others is shallower, with a better
    row of the tables or a smaller crew, and lies in the hours when the water is no higher. Where more people
    are in dress on a dive with stops, dives without and with stops are offered apart.
    """
    only_fsw = (depths_fsw or {}).get(item.name)
    works = _at_depths(job, item, _placements(job, item, light), hours, only_fsw)
    counts, stops = crew_counts(job, item), crew_counts(job, item, decompression=True)
    if all(counts.get(duty, 0) == stops.get(duty, 0) for duty in DRESSED_DUTIES):
        return works
    if depths_fsw is not None:
        # Beside a running plan an item has one kind of dive, told apart by number: that with the larger crew.
        larger = (_dive_work(job, w.item, w.placements, hours, ways=Ways.LARGER_CREW) for w in works)
        return [replace(w, one_of_several=True) for w in larger]
    apart = [
        _dive_work(job, w.item, w.placements, hours, ways=ways)
        for w in works
        for ways in (Ways.NO_STOP, Ways.STOPS)
    ]
    return [w for w in apart if w.slots] or apart[:1]


def _at_depths(
    job: Job,
    item: DiveItem,
    places: tuple[Placement, ...],
    hours: dict[str, tuple[Span, ...]],
    only_fsw: int | None,
) -> list[DiveWork]:
    if not item.depth_follows_tide:
        return [_dive_work(job, item, places, hours)]
    deepest = deepest_fsw(job, item)
    depths = [depth_with_tide_fsw(job, item, p.span.start_min, p.span.end_min) or deepest for p in places]
    deepest = min(DEEPEST_SHORT_FSW, max(depths, default=deepest))
    if only_fsw is not None:
        at = min(only_fsw, deepest)
        work = _dive_work(job, _at(item, at), _no_deeper(job, item, places, at, deepest), hours)
        return [replace(work, one_of_several=True)]
    works = [_dive_work(job, _at(item, deepest), places, hours)]
    for depth in range(deepest - 1, 0, -1):
        spans = _no_deeper(job, item, places, depth, deepest)
        if not spans:
            break
        work = _dive_work(job, _at(item, depth), spans, hours)
        if work.slots and not _alike(work, works[-1]):
            works.append(work)
    if len(works) > MAX_TIDE_STEPS:
        last = len(works) - 1
        chosen = (works[k * last // (MAX_TIDE_STEPS - 1)] for k in range(MAX_TIDE_STEPS))
        works = [replace(w, one_of_several=True) for w in chosen]
    return works


def _at(item: DiveItem, depth_fsw: int) -> DiveItem:
    return item.replace(depth_fsw=depth_fsw, depth_follows_tide=False)


def _no_deeper(
    job: Job, item: DiveItem, places: tuple[Placement, ...], depth_fsw: int, deepest_fsw: int
) -> tuple[Placement, ...]:
    """The parts of the placements in which the tide leaves an item no deeper than a depth."""
    if depth_fsw >= deepest_fsw:
        return places
    low = spans_no_deeper(job, item, depth_fsw)
    return tuple(Placement(p.station, s) for p in places for s in (_cut((p.span,), low) if low else ()))


def _alike(one: DiveWork, other: DiveWork) -> bool:
    """Whether two depths of an item ask for the same and allow the same."""
    same = ("modes", "posts", "seats", "divers", "standby_people", "chamber_watch_always", "descent_min")
    return all(getattr(one, name) == getattr(other, name) for name in same)


def _dive_work(
    job: Job,
    item: DiveItem,
    places: tuple[Placement, ...],
    hours: dict[str, tuple[Span, ...]],
    *,
    ways: Ways = Ways.ANY,
) -> DiveWork:
    rules = job.rules
    options = options_for(job, item)
    descent = descent_min(item.depth_fsw, rules)
    least = min(item.least_useful_min if item.splittable else item.bottom_work_min, item.bottom_work_min)
    usable = _usable_modes(item, options, descent + least)
    counts, stops = crew_counts(job, item), crew_counts(job, item, decompression=True)
    dressed = stops if ways in (Ways.STOPS, Ways.LARGER_CREW) else counts
    if ways in (Ways.NO_STOP, Ways.STOPS):
        usable = tuple(m for m in usable if (m.way_up == NO_STOP) is (ways is Ways.NO_STOP))
    in_water = item.divers + dressed.get(ENTRY_DIVER, 0)
    posts = tuple(
        Post(duty, counts.get(duty, 0), count, held_over(duty))
        for duty, count in stops.items()
        if duty not in DRESSED_DUTIES
    )
    deep = greatest_depth_fsw(job.site, item.depth_fsw) > rules.chamber_trigger_fsw
    away_min = job.site.chamber_minutes_away
    if away_min is None or away_min > CHAMBER_REACH_MIN:
        # chamber-at-location: without one, nothing deeper than the trigger and nothing with stops
        usable = () if deep else tuple(m for m in usable if m.way_up == NO_STOP)
    carried = tuple(m for m in usable if item_air_finding(job, item, m.schedule) is None)
    hoses = {o.umbilical_length_ft for o in job.outfits if o.kind is item.gear}
    by_hose = len(carried) < len(usable) and len(hoses) > 1
    usable = carried
    dates = len(job_dates(job))
    unfit = {p.name: unfit_dates(job, item, p) for p in job.people if hours[p.name]}
    fit = tuple(p.name for p in job.people if p.name in unfit and len(unfit[p.name]) < dates)
    waits = _standby_waits(job, item)
    able = fit if waits["A"] < NEVER_MIN or dressed.get(STANDBY, 0) == 0 else ()
    work = DiveWork(
        item=item,
        weight=rules.priority_weights[item.priority - 1],
        slots=0,
        options=options,
        modes=usable,
        descent_min=descent,
        dressing_min=rules.dressing_min(item.gear),
        undressing_min=rules.undressing_min(item.gear),
        least_work_min=least,
        placements=places,
        seats=(DIVER,) * item.divers + (ENTRY_DIVER,) * dressed.get(ENTRY_DIVER, 0),
        standbys=dressed.get(STANDBY, 0),
        hands=dressed.get(STANDBY, 0) * math.ceil(stops.get(TENDER, 0) / in_water)
        if rules.standby_dressed_max_min
        else 0,
        standby_tenders=counts.get(STANDBY_TENDER, 0),
        posts=posts,
        divers=tuple(p for p in fit if p not in stays_up(job, item)),
        standby_people=able,
        unfit_dates={p: unfit[p] for p in fit if unfit[p]},
        chamber_watch_always=deep,
        shut_out_by_hose=by_hose,
        standby_wait_min=waits,
    )
    return _with_slots(work, most=len(work.divers) * rules.dives_a_day * dates // len(work.seats))


def _with_slots(work: DiveWork, most: int) -> DiveWork:
    """How many dives an item may be split into.

    As many as its least useful piece allows, up to `OFFERED_PIECES`; past that, two more than the fewest
    possible, or twice as many (repetitive dives are shorter than first ones). Where more, still smaller
    pieces would be allowed than are looked for, nothing is called proven: `Problem.as_wide_as_the_check`.

    Parameters
    ----------
    most
        Dives that the item's divers can make in all, by the job's dives a day.
    """
    item = work.item
    if not work.modes or not work.placements or work.work_max_min < work.least_work_min:
        count = pieces = 0
    elif not item.splittable:
        count = pieces = 1
    else:
        fewest = math.ceil(item.bottom_work_min / work.work_max_min)
        pieces = item.bottom_work_min // work.least_work_min
        count = min(pieces, max(fewest + 2, 2 * fewest, OFFERED_PIECES))
    return replace(work, slots=count, more_pieces=min(pieces, most) > count)


def _usable_modes(item: DiveItem, options: ExposureOptions, least_bottom_min: int) -> tuple[Mode, ...]:
    try:
        every = modes(item.depth_fsw, options)
    except TableRefusal:
        return ()
    kept: list[Mode] = []
    # Read "group before" as "or lower": a mode that one from a higher group equals or beats adds nothing.
    for mode in sorted(every, key=lambda m: -rank(m.group_before)):
        if mode.bottom_time_max_min >= least_bottom_min and not any(_beats(k, mode) for k in kept):
            kept.append(mode)
    return tuple(kept)


def _beats(one: Mode, other: Mode) -> bool:
    return (
        one.bottom_time_max_min >= other.bottom_time_max_min
        and one.ascent_min <= other.ascent_min
        and rank_after(one.group_after) <= rank_after(other.group_after)
    )


def _standby_waits(job: Job, item: DiveItem) -> dict[Group, int]:
    """Group after a dive → minutes on the surface until someone may stand by for an item."""
    options, needed_min = standby_options(job, item), job.rules.standby_no_stop_min

    def enough(group: Group) -> bool:
        try:
            left = standby_minutes_left(item.depth_fsw, group, options)
        except TableRefusal:
            return False
        return left is None or left >= needed_min

    for good in (*reversed(GROUPS), None):
        if enough(good):
            return {after: wait_minutes(after, good) for after in (*GROUPS, None)}
    return dict.fromkeys((*GROUPS, None), NEVER_MIN)


def _placements(job: Job, item: DiveItem, light: tuple[Span, ...] | None) -> tuple[Placement, ...]:
    placements = []
    for station in job.stations:
        if item.station is not None and item.station != station.name:
            continue
        spans = _cut(job.day_windows, item.windows)
        if item.needs_slack:
            slack = tuple(
                Span(start_min=w.start_min, end_min=w.end_min)
                for w in effective_water_windows(job)
                if not w.stations or station.name in w.stations
            )
            spans = _cut(spans, slack) if slack else ()
        if job.site.daylight_only and not item.in_the_dark and light is not None:
            spans = _cut(spans, light) if light else ()
        placements += [Placement(station.name, s) for s in spans]
    return tuple(placements)


def _cut(spans: tuple[Span, ...], by: tuple[Span, ...]) -> tuple[Span, ...]:
    """The parts of ``spans`` inside ``by``; ``by`` empty means no cut."""
    if not by:
        return spans
    out = []
    for one in spans:
        for other in by:
            start, end = max(one.start_min, other.start_min), min(one.end_min, other.end_min)
            if start < end:
                out.append(Span(start_min=start, end_min=end))
    return tuple(sorted(set(out), key=lambda s: (s.start_min, s.end_min)))


def _task_work(job: Job, item: SurfaceItem) -> TaskWork:
    spans = tuple(
        s for s in _cut(job.day_windows, item.windows) if s.end_min - s.start_min >= item.duration_min
    )
    crew: dict[str, int] = {}
    for need in item.crew:
        crew[need.duty] = crew.get(need.duty, 0) + need.count
    return TaskWork(
        item=item,
        weight=job.rules.priority_weights[item.priority - 1],
        spans=spans,
        crew=tuple(crew.items()),
    )

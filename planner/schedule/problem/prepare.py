"""Make a job ready for the search: slots, modes, windows, posts and people of every item."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from enum import Enum

from planner.air import item_air_finding
from planner.air.station_gear import deep_in_heavy_dress, stage_asked, station_lacks
from planner.day import brought_in, crew_counts, descent_min, dressing_of, tenders_a_diver
from planner.errors import ModelTooLarge, TableRefusal
from planner.job import DiveItem, Item, Job, Span, SurfaceItem
from planner.job.bounds import CHAMBER_REACH_MIN, DEEPEST_SHORT_FSW
from planner.job.daylight import daylight
from planner.job.duties import DIVER, DRESSED_DUTIES, ENTRY_DIVER, STANDBY, STANDBY_TENDER, TENDER, held_over
from planner.job.night import earliest_dive_min
from planner.job.standing import StandingItem
from planner.job.tide import deepest_fsw, depth_with_tide_fsw, effective_water_windows, spans_no_deeper
from planner.schedule.problem.eligibility import (
    bottled,
    certified_until,
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
    DutyNeed,
    Group,
    Placement,
    Problem,
    TaskWork,
    wait_minutes,
)
from planner.tables import (
    ExposureOptions,
    Mode,
    modes,
    options_for,
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
    tasks = tuple(_task_work(job, item) for item in (*job.surface_items, *job.standing_items))
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
            if (watches := past_watches(p, job.rules, job.tables))
        },
        dive_from={p.name: at for p in job.people if (at := earliest_dive_min(job, p)) is not None},
        brought_in=brought_in(job),
        certified_until=certified_until(job),
        share_takers=share_takers(job, hours),
    )


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
    are in dress on a dive with stops, or dress them, dives without and with stops are offered apart.
    """
    only_fsw = (depths_fsw or {}).get(item.name)
    works = _at_depths(job, item, _placements(job, item, light), hours, only_fsw)
    counts, stops = crew_counts(job, item), crew_counts(job, item, decompression=True)
    asked = (*DRESSED_DUTIES, TENDER)
    by_bottle = any(_bottle_decides(job, work) for work in works)
    if not by_bottle and all(counts.get(duty, 0) == stops.get(duty, 0) for duty in asked):
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
    if by_bottle:
        # Two divers of a dive, one of them with stops, are not offered then.
        apart = [replace(w, one_of_several=w.one_of_several or len(w.seats) > 1) for w in apart]
        return [w for w in apart if w.slots] or apart[-1:]
    return [w for w in apart if w.slots] or apart[:1]


def _bottle_decides(job: Job, work: DiveWork) -> bool:
    """Whether more outfits have bottle enough for the dives without stops than for those with."""
    quick = tuple(m for m in work.modes if m.way_up == NO_STOP)
    return bool(quick) and len(quick) < len(work.modes) and bottled(job, work.item, quick)[0] != work.outfits


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
    same = (
        "modes",
        "posts",
        "seats",
        "divers",
        "standby_people",
        "chamber_watch_always",
        "descent_min",
        "outfits",
        "deep_stations",
    )
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
    margin = job.margin_wanted_of(item)
    usable = _usable_modes(item, options, descent + least)
    counts, stops = crew_counts(job, item), crew_counts(job, item, decompression=True)
    dressed = stops if ways in (Ways.STOPS, Ways.LARGER_CREW) else counts
    if ways in (Ways.NO_STOP, Ways.STOPS):
        usable = tuple(m for m in usable if (m.way_up == NO_STOP) is (ways is Ways.NO_STOP))
    tenders = tenders_a_diver(dressed, item)
    # With the larger crew a dive may still be one without stops, and its tenders as few as there.
    dressing, undressing = dressing_of(job, item)
    if ways is not Ways.LARGER_CREW:
        dressing, undressing = (
            rules.dressing_min(item.gear, tenders),
            rules.undressing_min(item.gear, tenders),
        )
    posts = tuple(
        DutyNeed(duty, counts.get(duty, 0), count, held_over(duty))
        for duty, count in stops.items()
        if duty not in DRESSED_DUTIES
    )
    deep = greatest_depth_fsw(job.site, item.depth_fsw) > rules.chamber_trigger_fsw
    away_min = job.site.chamber_minutes_away
    if away_min is None or away_min > CHAMBER_REACH_MIN:
        # chamber-at-location: without one, nothing deeper than the trigger and nothing with stops
        usable = () if deep else tuple(m for m in usable if m.way_up == NO_STOP)
    places, cut_short = _with_station_gear(job, item, places)
    if not any(p.with_stops for p in places):
        usable = tuple(m for m in usable if m.way_up == NO_STOP)
    carried = tuple(m for m in usable if item_air_finding(job, item, m.schedule) is None)
    hoses = {o.umbilical_length_ft for o in job.outfits if o.kind is item.gear}
    by_hose = len(carried) < len(usable) and len(hoses) > 1
    outfits, some_ways_only = bottled(job, item, carried)
    usable = carried
    dates = len(job_dates(job))
    unfit = {p.name: unfit_dates(job, item, p, outfits=outfits) for p in job.people if hours[p.name]}
    fit = tuple(p.name for p in job.people if p.name in unfit and len(unfit[p.name]) < dates)
    waits = _standby_waits(job, item)
    able = fit if waits[job.tables.groups[0]] < NEVER_MIN or dressed.get(STANDBY, 0) == 0 else ()
    able = tuple(
        p for p in able if len(unfit_dates(job, item, job.person(p), STANDBY, outfits=outfits)) < dates
    )
    work = DiveWork(
        item=item,
        weight=rules.priority_weights[item.priority - 1],
        slots=0,
        options=options,
        modes=usable,
        descent_min=descent,
        dressing_min=dressing,
        undressing_min=undressing,
        least_work_min=least,
        placements=places,
        seats=(DIVER,) * item.divers + (ENTRY_DIVER,) * dressed.get(ENTRY_DIVER, 0),
        margin_min=margin,
        standbys=dressed.get(STANDBY, 0),
        hands=dressed.get(STANDBY, 0) * tenders,
        standby_tenders=counts.get(STANDBY_TENDER, 0),
        posts=posts,
        divers=tuple(p for p in fit if p not in stays_up(job, item)),
        standby_people=able,
        unfit_dates={p: unfit[p] for p in fit if unfit[p]},
        chamber_watch_always=deep,
        outfits=outfits,
        shut_out_by_bottle=some_ways_only,
        shut_out_by_hose=by_hose,
        longest_bottom_min=job.longest_bottom_min(item) or NEVER_MIN,
        longest_in_dress_min=job.longest_in_dress_min(item) or NEVER_MIN,
        standby_wait_min=waits,
        deep_stations=frozenset(p.station for p in places)
        if deep_in_heavy_dress(job, item, item.depth_fsw)
        else None,
        one_of_several=cut_short,
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
    undressed = len(work.outfits) < len(work.seats) + work.standbys
    if not work.modes or not work.placements or undressed or work.work_max_min < work.least_work_min:
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
    fit = (m for m in every if m.bottom_time_max_min >= least_bottom_min)
    return tuple(sorted(fit, key=lambda m: -options.tables.rank_before(m.group_before)))


def _standby_waits(job: Job, item: DiveItem) -> dict[Group, int]:
    """Group after a dive → minutes on the surface until someone may stand by for an item."""
    options, needed_min = standby_options(job, item), job.rules.standby_no_stop_min

    def enough(group: Group) -> bool:
        try:
            left = standby_minutes_left(item.depth_fsw, group, options)
        except TableRefusal:
            return False
        return left is None or left >= needed_min

    groups = job.tables.groups
    for good in (*reversed(job.tables.carried), None):
        if enough(good):
            return {after: wait_minutes(job.tables, after, good) for after in (*groups, None)}
    return dict.fromkeys((*groups, None), NEVER_MIN)


def _placements(job: Job, item: DiveItem, light: tuple[Span, ...] | None) -> tuple[Placement, ...]:
    placements = []
    for station in job.stations:
        if item.station is not None and item.station != station.name:
            continue
        spans = _allowed(job, item)
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


def _with_station_gear(
    job: Job, item: DiveItem, places: tuple[Placement, ...]
) -> tuple[tuple[Placement, ...], bool]:
    """heavy-stage-and-hose: where a heavy dive may be made at its depth, and where one with stops may.

    Also whether a stretch is left out, or kept without stops, though the hose's test runs out within it only.
    """
    if not stage_asked(job, item):
        return places, False
    deep, kept, cut_short = deep_in_heavy_dress(job, item, item.depth_fsw), [], False
    stations = {s.name: s for s in job.stations}
    for place in places:
        first, last = job.clock.day_of(place.span.start_min), job.clock.day_of(place.span.end_min - 1)
        lacks = [
            station_lacks(stations[place.station], item, item.depth_fsw, *days) is not None
            for days in ((first, last), (first, first), (last, last))
        ]
        cut_short = cut_short or (lacks[0] and not all(lacks))
        if not (deep and lacks[0]):
            kept.append(replace(place, with_stops=not lacks[0]))
    return tuple(kept), cut_short


def _allowed(job: Job, item: Item) -> tuple[Span, ...]:
    """The parts of the working days in which the item's windows and gates let it be worked."""
    allowed = job.allowed_spans(item)
    if allowed is None:
        return job.day_windows
    return _cut(job.day_windows, allowed) if allowed else ()


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
    spans = tuple(s for s in _allowed(job, item) if s.end_min - s.start_min >= item.duration_min)
    crew: dict[str, int] = {}
    for need in item.crew:
        crew[need.duty] = crew.get(need.duty, 0) + need.count
    return TaskWork(
        item=item,
        weight=0 if isinstance(item, StandingItem) else job.rules.priority_weights[item.priority - 1],
        spans=spans,
        crew=tuple(crew.items()),
    )

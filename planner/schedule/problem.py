"""The job as the scheduler sees it: slots for dives, who may do what, and when. No solver in here.

Everything that can be decided before the search is decided here, with the same functions that the
independent check uses (tables, daylight, qualification), so that model and check agree.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

from planner.air import item_air_breach
from planner.errors import ModelTooLarge, TableRefusal
from planner.gear import outfit_fits, why_not_ready
from planner.job import DiveItem, Gear, Job, Person, Pin, PinKind, Span, SurfaceItem
from planner.job.tide import deepest_fsw, depth_with_tide_fsw
from planner.job.words import (
    BUILT_IN_DUTIES,
    CHAMBER_OPERATOR,
    DIVER,
    ENTRY_DIVER,
    STANDBY,
    TENDER,
    duty_qualifies,
)
from planner.rules.daylight import daylight
from planner.rules.past_dives import carried_in, past_watches
from planner.rules.water import effective_water_windows
from planner.schedule.air_limits import AirLimits, air_limits
from planner.tables import (
    GROUPS,
    NO_GROUP_CLEAN_MIN,
    ExposureOptions,
    Mode,
    minutes_to_group,
    modes,
    options_for,
    rank_after,
    standby_minutes_left,
)

Group = str | None

#: Past this many dive slots or person-slots the model is refused with a sentence (measured: see docs).
MAX_DIVE_SLOTS = 160
MAX_PEOPLE = 120

#: A chamber counts as at the location within this many minutes (29 CFR 1910.423(c)(3)(iii)).
CHAMBER_REACH_MIN = 5

NO_STOP = "no-stop"

#: Minutes by which air is counted on before leave surface and after reach surface (`planner.air` is within).
AIR_PADDING_MIN = 5

#: Longest wait that the surface interval table knows is below two days; used as "not today".
NEVER_MIN = 100_000


@dataclass(frozen=True)
class Placement:
    """A station and a stretch of time in which a dive of an item may be in the water."""

    station: str
    span: Span


@dataclass(frozen=True)
class Post:
    """People a dive needs in one duty.

    ``held``: "bench" from dressing to undressed, "watch" as a station duty, "chamber" from leave surface
    until the hour by the chamber is over. ``count_deco`` holds for dives outside the no-stop limits.
    """

    duty: str
    count: int
    count_deco: int
    held: str

    def asked(self, deco: bool) -> int:
        return self.count_deco if deco else self.count


@dataclass(frozen=True)
class DiveWork:
    """One dive item, made ready for the search."""

    item: DiveItem
    weight: int
    slots: int
    options: ExposureOptions
    modes: tuple[Mode, ...]
    descent_min: int
    dressing_min: int
    undressing_min: int
    least_work_min: int
    placements: tuple[Placement, ...]
    seats: tuple[str, ...]
    """Duty of each person in the water: divers, then divers at the entry."""
    standbys: int
    posts: tuple[Post, ...]
    divers: tuple[str, ...]
    """People who may take a seat."""
    standby_people: tuple[str, ...]
    chamber_watch_always: bool
    """Deeper than the trigger: the hour by the chamber follows whatever the way up."""
    standby_wait_min: dict[Group, int]
    """Minutes after surfacing in a group until the person may stand by for this item."""

    @property
    def bottom_max_min(self) -> int:
        return max((m.bottom_time_max_min for m in self.modes), default=0)

    @property
    def work_max_min(self) -> int:
        """Longest working time of one dive."""
        return max(0, min(self.bottom_max_min - self.descent_min, self.item.bottom_work_min))


@dataclass(frozen=True)
class TaskWork:
    """One surface item, made ready for the search."""

    item: SurfaceItem
    weight: int
    spans: tuple[Span, ...]
    crew: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Problem:
    """All that the model, the first plan and the naming need."""

    job: Job
    dives: tuple[DiveWork, ...]
    tasks: tuple[TaskWork, ...]
    window: Span
    hours: dict[str, tuple[Span, ...]]
    """When each person may hold a duty (site hours, own hours, rest since the last duty)."""
    support_duties: tuple[str, ...]
    entry_group: dict[str, tuple[int, Group]] = field(default_factory=dict)
    """Person → (minute of surfacing, group then) from dives before the job."""
    watch_until: dict[str, int] = field(default_factory=dict)
    """Person → end of a watch by the chamber from before the job: no diving or standing by until then."""
    dived_today: dict[str, tuple[int, int]] = field(default_factory=dict)
    """Person → dives and bottom minutes earlier on the same day."""

    @cached_property
    def air(self) -> AirLimits:
        """What the air plant allows."""
        return air_limits(self.job, [(d.item, d.modes) for d in self.dives])

    @cached_property
    def people(self) -> tuple[Person, ...]:
        return self.job.people

    @cached_property
    def qualified(self) -> dict[str, frozenset[str]]:
        """Duty → people who may hold it and are on site at all."""
        every = {*BUILT_IN_DUTIES, *self.support_duties}
        return {
            duty: frozenset(
                p.name for p in self.people if duty_qualifies(p.duties, duty) and self.hours[p.name]
            )
            for duty in every
        }

    @cached_property
    def alike(self) -> tuple[tuple[str, ...], ...]:
        """Groups of two or more divers who differ in nothing but their name."""
        groups: dict[str, list[str]] = {}
        pinned = {pin.person for pin in self.job.pins}
        for p in self.people:
            if p.name not in pinned and duty_qualifies(p.duties, DIVER) and self.hours[p.name]:
                groups.setdefault(repr(p.replace(name="x", pay_class="")), []).append(p.name)
        return tuple(tuple(g) for g in groups.values() if len(g) > 1)

    def earliest_with_group(self, person: str, group: Group) -> int:
        """First minute at which the person's own history leaves ``group`` or lower."""
        known = self.entry_group.get(person)
        if known is None:
            return self.window.start_min
        surfaced, then = known
        return surfaced + wait_minutes(then, group)


def wait_minutes(after: Group, wanted: Group) -> int:
    """Surface interval, minutes, from ``after`` to ``wanted`` or lower; at least 10 (a new dive)."""
    if after is not None and wanted is not None and GROUPS.index(after) <= GROUPS.index(wanted):
        return 10
    if after is None:
        # No group printed for the dive: the tables say nothing until the diver is clean.
        return NO_GROUP_CLEAN_MIN
    return max(10, minutes_to_group(after, wanted))


def prepare(job: Job) -> Problem:
    """Make a job ready for the search.

    Raises
    ------
    ModelTooLarge
        When the job is past the size the scheduler takes on.
    """
    if job.site.days > 1:
        raise ModelTooLarge(
            f"The job runs over {job.site.days} days. This version plans one day at a time: "
            "set the number of days to 1 and plan each day, with the dives of the day before as past dives."
        )
    window = job.day_windows[0]
    light = daylight(job)
    hours = {p.name: _duty_hours(job, p) for p in job.people}
    dives = tuple(_dive_work(job, item, light, hours) for item in job.dive_items)
    slots = sum(d.slots for d in dives)
    if slots > MAX_DIVE_SLOTS or len(job.people) > MAX_PEOPLE:
        raise ModelTooLarge(
            f"The job asks for up to {slots} dives by {len(job.people)} people; the scheduler takes on "
            f"{MAX_DIVE_SLOTS} dives and {MAX_PEOPLE} people a day. Plan it in parts."
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
        dived_today={p.name: _dived_today(job, p) for p in job.people},
        entry_group={p.name: state for p in job.people if (state := _entry_state(job, p)) is not None},
    )


def crew_counts(job: Job, item: DiveItem, *, decompression: bool = False) -> dict[str, int]:
    """People that a dive on ``item`` needs by duty, all in; tenders already times the people in the water."""
    rows = [
        row
        for row in job.rules.minima
        if (row.gear is None or row.gear is item.gear)
        and (row.deeper_than_fsw is None or item.depth_fsw > row.deeper_than_fsw)
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


def _duty_hours(job: Job, person: Person) -> tuple[Span, ...]:
    spans = _without(job.available(person), [p for p in job.pins if p.kind is PinKind.AWAY], person.name)
    if person.last_duty_end_min is None:
        return spans
    rested = person.last_duty_end_min + job.rules.rest_before_duty_min
    return tuple(
        Span(start_min=max(s.start_min, rested), end_min=s.end_min) for s in spans if s.end_min > rested
    )


def _without(spans: tuple[Span, ...], away_pins: list[Pin], person: str) -> tuple[Span, ...]:
    """Hours less the stretches that pins take away."""
    for pin in away_pins:
        if pin.person != person or pin.window is None:
            continue
        first, last = pin.window
        cut: list[Span] = []
        for span in spans:
            if span.start_min < min(first, span.end_min):
                cut.append(Span(start_min=span.start_min, end_min=min(first, span.end_min)))
            if max(last, span.start_min) < span.end_min:
                cut.append(Span(start_min=max(last, span.start_min), end_min=span.end_min))
        spans = tuple(cut)
    return spans


def _stays_up(job: Job, item: DiveItem) -> set[str]:
    """People whom a pin keeps out of the water for an item."""
    return {p.person or "" for p in job.pins if p.kind is PinKind.STAYS_UP and p.item in (None, item.name)}


def _entry_state(job: Job, person: Person) -> tuple[int, Group] | None:
    """When the last dive before the job surfaced, and the group that all of them left."""
    found = carried_in(person, job.site)
    return None if found is None else (found.surfaced_min, found.group)


def _dived_today(job: Job, person: Person) -> tuple[int, int]:
    """Dives and bottom minutes that a person already has on the job's first day."""
    today = [d for d in person.past_dives if job.clock.day_of(d.surfaced_min) == job.site.first_day]
    return len(today), sum(d.bottom_time_min for d in today)


def fit_to_dive(job: Job, person: Person, item: DiveItem) -> str | None:
    """Why a person may not go down to an item, in words; None when nothing known forbids it."""
    day = job.site.first_day
    if not duty_qualifies(person.duties, DIVER):
        return f"{person.name} is not a diver"
    if person.depth_rating_fsw < item.depth_fsw:
        return f"{person.name} is rated to {person.depth_rating_fsw} fsw"
    if person.medical_expires is not None and person.medical_expires < day:
        return f"{person.name}'s medical ran out on {person.medical_expires}"
    held = {c.name for c in person.certificates if c.expires is None or c.expires >= day}
    missing = sorted(item.certificates - held)
    if missing:
        return f"{person.name} holds no valid certificate for {', '.join(missing)}"
    return None


def _dive_work(
    job: Job, item: DiveItem, light: tuple[Span, ...] | None, hours: dict[str, tuple[Span, ...]]
) -> DiveWork:
    rules = job.rules
    places = _placements(job, item, light)
    item = _at_the_tide(job, item, places)
    options = options_for(job, item)
    descent = math.ceil(item.depth_fsw / rules.descent_fsw_per_min)
    least = min(item.least_useful_min if item.splittable else item.bottom_work_min, item.bottom_work_min)
    usable = _usable_modes(item, options, descent + least)
    counts, stops = crew_counts(job, item), crew_counts(job, item, decompression=True)
    held = {TENDER: "bench", CHAMBER_OPERATOR: "chamber"}
    posts = tuple(
        Post(duty, counts.get(duty, 0), count, held.get(duty, "watch"))
        for duty, count in stops.items()
        if duty not in (STANDBY, ENTRY_DIVER)
    )
    deep = item.depth_fsw > rules.chamber_trigger_fsw
    away_min = job.site.chamber_minutes_away
    if away_min is None or away_min > CHAMBER_REACH_MIN:
        # chamber-at-location: without one, nothing deeper than the trigger and nothing with stops
        usable = () if deep else tuple(m for m in usable if m.way_up == NO_STOP)
    usable = tuple(m for m in usable if item_air_breach(job, item, m.schedule) is None)
    fit = tuple(
        p.name
        for p in job.people
        if hours[p.name] and fit_to_dive(job, p, item) is None and outfits_for(job, item, p)
    )
    waits = {g: _standby_wait(item, options, g, rules.standby_no_stop_min) for g in (*GROUPS, None)}
    able = fit if waits["A"] < NEVER_MIN or counts.get(STANDBY, 0) == 0 else ()
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
        seats=(DIVER,) * item.divers + (ENTRY_DIVER,) * counts.get(ENTRY_DIVER, 0),
        standbys=counts.get(STANDBY, 0),
        posts=posts,
        divers=tuple(p for p in fit if p not in _stays_up(job, item)),
        standby_people=able,
        chamber_watch_always=deep,
        standby_wait_min=waits,
    )
    return _with_slots(work)


def _at_the_tide(job: Job, item: DiveItem, places: tuple[Placement, ...]) -> DiveItem:
    """The item at the depth it is planned for: the deepest that the tide makes it while it may be dived."""
    if not item.depth_follows_tide:
        return item
    deepest = deepest_fsw(job, item)
    depths = [depth_with_tide_fsw(job, item, p.span.start_min, p.span.end_min) or deepest for p in places]
    return item.replace(depth_fsw=min(220, max(depths, default=deepest)), depth_follows_tide=False)


def _with_slots(work: DiveWork) -> DiveWork:
    """How many dives an item may be split into.

    Never more than its least useful piece allows; two more than the fewest possible, or twice as many,
    whichever is larger (repetitive dives are shorter than first ones). Recorded in docs as a limit of the
    model: a plan with more, still smaller pieces is not looked for.
    """
    item = work.item
    if not work.modes or not work.placements or work.work_max_min < work.least_work_min:
        count = 0
    elif not item.splittable:
        count = 1
    else:
        fewest = math.ceil(item.bottom_work_min / work.work_max_min)
        count = min(item.bottom_work_min // work.least_work_min, max(fewest + 2, 2 * fewest))
    return DiveWork(**{**work.__dict__, "slots": count})


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


def rank(group: Group) -> int:
    """Groups before a dive in order: -1 clean, then A to Z."""
    return -1 if group is None else GROUPS.index(group)


def _beats(one: Mode, other: Mode) -> bool:
    return (
        one.bottom_time_max_min >= other.bottom_time_max_min
        and one.ascent_min <= other.ascent_min
        and rank_after(one.group_after) <= rank_after(other.group_after)
    )


def _standby_wait(item: DiveItem, options: ExposureOptions, after: Group, needed_min: int) -> int:
    """Minutes on the surface until someone in group ``after`` has ``needed_min`` no-stop minutes at depth."""

    def enough(group: Group) -> bool:
        try:
            left = standby_minutes_left(item.depth_fsw, group, options)
        except TableRefusal:
            return False
        return left is None or left >= needed_min

    for group in (*reversed(GROUPS), None):
        if enough(group):
            return wait_minutes(after, group)
    return NEVER_MIN


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


def away(problem: Problem, person: str) -> list[tuple[int, int]]:
    """Stretches of the day in which a person may hold no duty."""
    out, at = [], problem.window.start_min
    for span in problem.hours[person]:
        if span.start_min > at:
            out.append((at, span.start_min))
        at = max(at, span.end_min)
    if at < problem.window.end_min:
        out.append((at, problem.window.end_min))
    return out


def outfits_for(job: Job, item: DiveItem, person: Person) -> frozenset[str]:
    """Outfits that a person may wear on an item: ready, matched, of the kind, size and length."""
    return frozenset(o.name for o in job.outfits if outfit_fits(o, item, person, job.site.first_day) is None)


def usable_outfits(problem: Problem, kind: Gear) -> tuple[str, ...]:
    """Names of the outfits of a kind that may be worn: ready and with one number."""
    day = problem.job.site.first_day
    return tuple(o.name for o in problem.job.outfits if o.kind is kind and why_not_ready(o, day) is None)

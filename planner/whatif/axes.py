"""What may be varied in a job: people, hours, gear, rules, water; each with the job that a value makes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import time

from planner.job import Gear, Job, Outfit, OutfitState, Person, Span
from planner.job.duties import (
    BUILT_IN_DUTIES,
    CHAMBER_OPERATOR,
    CONSOLE,
    DIVER,
    ENTRY_DIVER,
    LOG_KEEPER,
    STANDBY,
    STANDBY_TENDER,
    SUPERVISOR,
    TENDER,
)
from planner.job.presets import PRESETS

#: A person with several duties counts under the first of these; a duty of the job's own comes last.
COUNTS_UNDER: tuple[str, ...] = (
    DIVER,
    SUPERVISOR,
    CHAMBER_OPERATOR,
    TENDER,
    STANDBY_TENDER,
    CONSOLE,
    LOG_KEEPER,
    STANDBY,
    ENTRY_DIVER,
)

NOBODY = "nobody"
EACH = "each"
NONE = "none"
YES, NO = "yes", "no"


@dataclass(frozen=True)
class Axis:
    """One thing that is varied."""

    key: str
    """As it is typed: ``tenders``, ``shift``."""
    label: str
    """In words, with the unit."""
    apply: Callable[[Job, str], Job]
    """The job with the value put in."""
    now: Callable[[Job], str]
    """The value of a job as it is; blank when it has none of its own."""
    least: float = 0
    most: float = 60
    """Range of a whole number, or of a half one where ``halves``."""
    words: tuple[str, ...] = ()
    """The words allowed, where it is no number."""
    halves: bool = False


def counts_under(person: Person) -> str:
    """The one duty that a person is counted under when people are varied."""
    return next((d for d in COUNTS_UNDER if d in person.duties), min(person.duties, default=""))


def people_under(job: Job, duty: str) -> tuple[Person, ...]:
    """The people counted under a duty, in the job's order."""
    return tuple(p for p in job.people if counts_under(p) == duty)


def with_people(job: Job, duty: str, count: int) -> Job:
    """The job with so many people under a duty.

    Fewer: the last in the job's list go first. More: each extra person is like the last one listed under the
    duty, fresh (no dives, no work before), and named ``Extra diver 1``; where nobody holds the duty yet, an
    extra person holds that duty alone, a diver rated to the deepest dive item.
    """
    own = people_under(job, duty)
    if count < len(own):
        return without_people(job, {p.name for p in own[count:]})
    extra = tuple(_extra(job, duty, own[-1] if own else None, n) for n in range(1, count - len(own) + 1))
    return job.replace(people=(*job.people, *extra)) if extra else job


def _extra(job: Job, duty: str, like: Person | None, number: int) -> Person:
    taken = {p.name for p in job.people}
    name = f"Extra {duty} {number}"
    while name in taken:
        name += "+"
    if like is not None:
        return like.replace(
            name=name,
            available=(),
            last_duty_end_min=None,
            arrived_min=None,
            past_dives=(),
            past_work=(),
            past_standby_min=0,
        )
    deepest = max((i.depth_fsw for i in job.dive_items), default=0) if duty == DIVER else 0
    return Person(name=name, duties=frozenset({duty}), depth_rating_fsw=deepest)


def without_people(job: Job, names: set[str]) -> Job:
    """The job with some people away; pins that name them go with them."""
    return job.replace(
        people=tuple(p for p in job.people if p.name not in names),
        pins=tuple(p for p in job.pins if p.person not in names),
    )


def _stations_now(job: Job) -> int:
    return min(len(job.stations), job.site.stations_at_once)


def with_stations(job: Job, count: int) -> Job:
    """So many stations working at once; more than the job has are added with names of their own."""
    have = len(job.stations)
    if count == _stations_now(job):
        return job
    more = tuple(job.stations[0].replace(name=f"Extra station {n}") for n in range(1, count - have + 1))
    stations = (*job.stations, *more) if more else job.stations
    return job.replace(stations=stations, site=job.site.replace(stations_at_once=count))


def _later(moment: time, minutes: int) -> time:
    later = (moment.hour * 60 + moment.minute + minutes) % 1440
    return time(later // 60, later % 60)


def with_shift(job: Job, hours: float) -> Job:
    """The day's hours so long, from the same start."""
    return _with(job, "site", day_end=_later(job.site.day_start, round(hours * 60)))


def with_start(job: Job, minutes: int) -> Job:
    """The day's hours as long, so many minutes later; water and windows stay where they are.

    Raises
    ------
    ValueError
        The day would begin on another date.
    """
    if not 0 <= job.site.day_start.hour * 60 + job.site.day_start.minute + minutes < 1440:
        raise ValueError("The day would begin on another date.")
    start, end = (_later(moment, minutes) for moment in (job.site.day_start, job.site.day_end))
    return _with(job, "site", day_start=start, day_end=end)


def _with(job: Job, part: str, **changes: object) -> Job:
    """The job with fields of its site or its rules changed."""
    return job.replace(**{part: getattr(job, part).replace(**changes)})


def with_compressors(job: Job, count: int) -> Job:
    """So many compressors: the last listed go first, extra ones are like the first and rely on nothing."""
    have = job.air.compressors
    if count <= len(have):
        return job.replace(air=job.air.replace(compressors=have[:count]))
    if not have:
        raise ValueError("The job has no compressor that an extra one could be like.")
    extra = tuple(
        have[0].replace(name=f"Extra compressor {n}", relies_on=f"extra engine {n}", hours_run=0.0)
        for n in range(1, count - len(have) + 1)
    )
    return job.replace(air=job.air.replace(compressors=(*have, *extra)))


def outfit_kind(job: Job) -> Gear:
    """The kind of outfit that most dive items ask for."""
    kinds = Counter(item.gear for item in job.dive_items)
    return kinds.most_common(1)[0][0] if kinds else Gear.HEAVY


def ready_outfits(job: Job) -> tuple[Outfit, ...]:
    """Ready outfits of the kind that most dive items ask for."""
    return tuple(o for o in job.outfits if o.kind is outfit_kind(job) and o.state is OutfitState.READY)


def with_outfits(job: Job, count: int) -> Job:
    """So many ready outfits of that kind: the last listed go first, extra ones are like the first."""
    ready = ready_outfits(job)
    if count <= len(ready):
        gone = {o.name for o in ready[count:]}
        return job.replace(outfits=tuple(o for o in job.outfits if o.name not in gone))
    if not ready:
        raise ValueError(f"The job has no ready outfit ({outfit_kind(job)}) that an extra one could be like.")
    first = ready[0]
    extra = []
    for n in range(1, count - len(ready) + 1):
        number = f"X{n}"
        stamped = {"helmet_no": number, "hose_no": number, "lifeline_no": number}
        if first.bailout_no:
            stamped["bailout_no"] = number
        if first.breastplate_no:
            stamped |= {"breastplate_no": number, "straps_no": number}
        extra.append(first.replace(name=f"Extra outfit {n}", **stamped))
    return job.replace(outfits=(*job.outfits, *extra))


def with_windows_moved(job: Job, minutes: int) -> Job:
    """Water windows, high and low waters, and the windows of items, all moved by so many minutes."""

    def moved(windows: Iterable[Span]) -> tuple[Span, ...]:
        return tuple(w.later(minutes) for w in windows)

    return job.replace(
        water_windows=moved(job.water_windows),
        tide_marks=tuple(t.replace(minute=t.minute + minutes) for t in job.tide_marks),
        dive_items=tuple(i.replace(windows=moved(i.windows)) for i in job.dive_items),
        surface_items=tuple(i.replace(windows=moved(i.windows)) for i in job.surface_items),
    )


def plural(duty: str) -> str:
    """``tenders``; a duty that ends in s stays as it is."""
    return duty if duty.endswith("s") else f"{duty}s"


def axes_of(job: Job, *beside: Job) -> tuple[Axis, ...]:
    """Everything that may be varied in a job, people by duty first; ``beside``: jobs that are varied with it,
    with people and duties of their own."""
    own = (duty for one in (job, *beside) for duty in one.duties)
    duties = [d for d in (*BUILT_IN_DUTIES, *own) if d not in (STANDBY, ENTRY_DIVER)]
    names = tuple(dict.fromkeys(p.name for one in (job, *beside) for p in one.people))

    def shift_now(varied: Job) -> str:
        window = varied.day_windows[0]
        return f"{(window.end_min - window.start_min) / 60:g}"

    def chamber_now(varied: Job) -> str:
        minutes = varied.site.chamber_minutes_away
        return NONE if minutes is None else str(minutes)

    return (
        *(_people_axis(duty) for duty in dict.fromkeys(duties)),
        Axis(
            "away",
            "person away",
            lambda j, name: j if name == NOBODY else without_people(j, {name}),
            lambda j: NOBODY,
            words=(NOBODY, *names),
        ),
        _counted("stations", "stations at once", with_stations, _stations_now, 1, 8),
        Axis(
            "shift",
            "hours of the day",
            lambda j, hours: with_shift(j, float(hours)),
            shift_now,
            0.5,
            24,
            halves=True,
        ),
        _counted("start", "start of the day later, min", with_start, lambda j: 0, -720, 720),
        _field("margin", "margin to the tables' limit, min", "site", "margin_min", 30),
        _field("turnaround", "turnaround of a station, min", "rules", "station_turnaround_min", 240),
        _counted(
            "outfit turnaround",
            "turnaround of an outfit, min",
            lambda j, n: j.replace(outfits=tuple(o.replace(turnaround_min=n) for o in j.outfits)),
            lambda j: max((o.turnaround_min for o in j.outfits), default=0),
            0,
            1440,
        ),
        # fewer minutes than two dives take: the standby undresses between them and is dressed again
        _field(
            "in dress",
            "longest time the standby is in dress, min (0: no limit)",
            "rules",
            "standby_dressed_max_min",
            1440,
        ),
        Axis(
            "one briefing",
            "one briefing for the whole crew",
            lambda j, asked: _with(j, "rules", one_briefing=asked == YES),
            lambda j: YES if j.rules.one_briefing else NO,
            words=(YES, NO),
        ),
        Axis(
            "chamber",
            "minutes to the chamber",
            lambda j, away: _with(j, "site", chamber_minutes_away=None if away == NONE else int(away)),
            chamber_now,
            words=(NONE, *map(str, range(241))),
        ),
        _counted("compressors", "compressors", with_compressors, lambda j: len(j.air.compressors), 0, 12),
        _counted(
            "outfits",
            f"ready outfits ({outfit_kind(job)})",
            with_outfits,
            lambda j: len(ready_outfits(j)),
            0,
            40,
        ),
        Axis(
            "team",
            "least team",
            lambda j, preset: j.replace(rules=PRESETS[preset].on(j.rules)),
            lambda j: j.rules.preset,
            words=tuple(PRESETS),
        ),
        _counted("windows", "windows moved, min", with_windows_moved, lambda j: 0, -720, 720),
    )


def proposed(axis: Axis, job: Job) -> str:
    """Values around what the job has now, as they are typed."""
    usual = {"away": EACH, "team": ", ".join(axis.words), "chamber": "none, 0, 5"}
    usual |= {"in dress": "0, 90, 180", "one briefing": "yes, no"}
    usual |= dict.fromkeys(("start", "windows"), "-60..60/30")
    if axis.key in usual:
        return usual[axis.key]
    value = float(axis.now(job))
    low, high = max(axis.least, value - 1), min(axis.most, value + 2)
    return f"{low:g}..{high:g}"


def crew_variations(job: Job) -> tuple[str, ...]:
    """Divers and tenders around what the job has now: what is varied where nobody says what."""
    asked = (plural(DIVER), plural(TENDER))
    return tuple(f"{axis.key}={proposed(axis, job)}" for axis in axes_of(job) if axis.key in asked)


def _counted(
    key: str,
    label: str,
    change: Callable[[Job, int], Job],
    now: Callable[[Job], int],
    least: int,
    most: int,
) -> Axis:
    """An axis of whole numbers."""
    return Axis(
        key, label, lambda job, value: change(job, int(value)), lambda job: str(now(job)), least, most
    )


def _field(key: str, label: str, part: str, name: str, most: int) -> Axis:
    """A field of the job's site or rules, from 0."""

    def change(job: Job, value: int) -> Job:
        return _with(job, part, **{name: value})

    return _counted(key, label, change, lambda job: getattr(getattr(job, part), name), 0, most)


def _people_axis(duty: str) -> Axis:
    def change(job: Job, count: int) -> Job:
        return with_people(job, duty, count)

    name = plural(duty)
    return _counted(name, name, change, lambda job: len(people_under(job, duty)), 0, 60)

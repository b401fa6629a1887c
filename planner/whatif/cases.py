"""What may be varied in a job, and the cases of a sweep: ranges read, cases counted, a job made for each."""

from __future__ import annotations

import itertools
import math
import re
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import time

from pydantic import ValidationError

from planner.errors import Fault, InputFaults
from planner.job import Gear, Job, Outfit, OutfitState, Person, Span, Station
from planner.job.cross_checks import cross_faults
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
from planner.job.names import closest, fold
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


@dataclass(frozen=True)
class Axis:
    """One thing that is varied.

    Parameters
    ----------
    key
        As it is typed: ``tenders``, ``shift``.
    label
        In words, with the unit.
    apply
        The job with the value put in.
    now
        The value of a job as it is; blank when it has none of its own.
    least, most
        Range of a whole number, or of a half one where ``halves``.
    words
        The words allowed, where it is no number.
    """

    key: str
    label: str
    apply: Callable[[Job, str], Job]
    now: Callable[[Job], str]
    least: float = 0
    most: float = 60
    words: tuple[str, ...] = ()
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


def with_stations(job: Job, count: int) -> Job:
    """So many stations working at once; more than the job has are added with names of their own."""
    have = len(job.stations)
    if count == min(have, job.site.stations_at_once):
        return job
    more = tuple(Station(name=f"Extra station {n}") for n in range(1, count - have + 1))
    stations = (*job.stations, *more) if more else job.stations
    return job.replace(stations=stations, site=job.site.replace(stations_at_once=count))


def with_shift(job: Job, hours: float) -> Job:
    """The day's hours so long, from the same start."""
    start = job.site.day_start
    minutes = (start.hour * 60 + start.minute + round(hours * 60)) % 1440
    return job.replace(site=job.site.replace(day_end=time(minutes // 60, minutes % 60)))


def with_chamber(job: Job, away: str) -> Job:
    """The chamber so many minutes away, or none in reach."""
    minutes = None if away == NONE else int(away)
    return job.replace(site=job.site.replace(chamber_minutes_away=minutes))


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
        if first.breastplate_no:
            stamped |= {"breastplate_no": number, "straps_no": number}
        extra.append(first.replace(name=f"Extra outfit {n}", **stamped))
    return job.replace(outfits=(*job.outfits, *extra))


def with_team(job: Job, preset: str) -> Job:
    """The crew rows of a named least team."""
    return job.replace(rules=PRESETS[preset].on(job.rules))


def with_windows_moved(job: Job, minutes: int) -> Job:
    """Water windows, high and low waters, and the windows of items, all moved by so many minutes."""

    def moved(windows: Iterable[Span]) -> tuple[Span, ...]:
        return tuple(w.replace(start_min=w.start_min + minutes, end_min=w.end_min + minutes) for w in windows)

    return job.replace(
        water_windows=moved(job.water_windows),
        tide_marks=tuple(t.replace(minute=t.minute + minutes) for t in job.tide_marks),
        dive_items=tuple(i.replace(windows=moved(i.windows)) for i in job.dive_items),
        surface_items=tuple(i.replace(windows=moved(i.windows)) for i in job.surface_items),
    )


def plural(duty: str) -> str:
    """``tenders``; a duty that ends in s stays as it is."""
    return duty if duty.endswith("s") else f"{duty}s"


def axes_of(job: Job) -> tuple[Axis, ...]:
    """Everything that may be varied in a job, people by duty first."""
    duties = [d for d in (*BUILT_IN_DUTIES, *job.duties) if d not in (STANDBY, ENTRY_DIVER)]

    def away(varied: Job, name: str) -> Job:
        return varied if name == NOBODY else without_people(varied, {name})

    def shift_now(varied: Job) -> str:
        window = varied.day_windows[0]
        return f"{(window.end_min - window.start_min) / 60:g}"

    def shift(varied: Job, hours: str) -> Job:
        return with_shift(varied, float(hours))

    def chamber_now(varied: Job) -> str:
        minutes = varied.site.chamber_minutes_away
        return NONE if minutes is None else str(minutes)

    names, minutes_away = tuple(p.name for p in job.people), tuple(map(str, range(241)))
    return (
        *(_people_axis(duty) for duty in dict.fromkeys(duties)),
        Axis("away", "person away", away, lambda j: NOBODY, words=(NOBODY, *names)),
        _counted(
            "stations",
            "stations at once",
            with_stations,
            lambda j: min(len(j.stations), j.site.stations_at_once),
            1,
            8,
        ),
        Axis("shift", "hours of the day", shift, shift_now, 0.5, 24, halves=True),
        Axis("chamber", "minutes to the chamber", with_chamber, chamber_now, words=(NONE, *minutes_away)),
        _counted("compressors", "compressors", with_compressors, lambda j: len(j.air.compressors), 0, 12),
        _counted(
            "outfits",
            f"ready outfits ({outfit_kind(job)})",
            with_outfits,
            lambda j: len(ready_outfits(j)),
            0,
            40,
        ),
        Axis("team", "least team", with_team, lambda j: j.rules.preset, words=tuple(PRESETS)),
        _counted("windows", "windows moved, min", with_windows_moved, lambda j: 0, -720, 720),
    )


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


def _people_axis(duty: str) -> Axis:
    def change(job: Job, count: int) -> Job:
        return with_people(job, duty, count)

    name = plural(duty)
    return _counted(name, name, change, lambda job: len(people_under(job, duty)), 0, 60)


#: More cases than this are refused: nobody reads them, and they run for hours.
MOST_CASES = 200

_RANGE = re.compile(r"^\s*(-?\d+(?:\.\d+)?)\s*\.\.\s*(-?\d+(?:\.\d+)?)\s*(?:/\s*(\d+(?:\.\d+)?)\s*)?$")
_FORM = "KEY=2..6, KEY=2..6/2 or KEY=2,4,6"


@dataclass(frozen=True)
class Variation:
    """One axis with the values it takes, in the order given."""

    axis: Axis
    values: tuple[str, ...]


@dataclass(frozen=True)
class Case:
    """One case of a sweep.

    Parameters
    ----------
    number
        From 1, in the order of the sweep.
    settings
        Each varied thing with its value.
    job
        The job with the values put in.
    as_given
        Whether it is the job as it was given.
    faults
        Why this job cannot be planned; empty when it can.
    """

    number: int
    settings: tuple[tuple[str, str], ...]
    job: Job
    as_given: bool = False
    faults: tuple[Fault, ...] = ()

    @property
    def title(self) -> str:
        """``tenders 3, divers 5``."""
        return ", ".join(f"{label} {value}" for label, value in self.settings) or "as given"


def parse_variations(job: Job, texts: Sequence[str]) -> tuple[Variation, ...]:
    """Read ``tenders=2..6`` and the like.

    Raises
    ------
    InputFaults
        Every text that cannot be read: an unknown thing, an empty range, a value out of range.
    """
    axes = axes_of(job)
    found: list[Variation] = []
    faults: list[Fault] = []
    for text in texts:
        try:
            one = _variation(axes, text)
        except InputFaults as wrong:
            faults += wrong.faults
            continue
        if any(v.axis.key == one.axis.key for v in found):
            faults.append(
                Fault(f"--vary {text}", text, "each thing once", f"{one.axis.key} is varied twice.")
            )
        found.append(one)
    if not texts:
        faults.append(Fault("--vary", "", _FORM, "Nothing is varied, so there is nothing to compare."))
    if faults:
        raise InputFaults(faults)
    return tuple(found)


def _variation(axes: Sequence[Axis], text: str) -> Variation:
    where = f"--vary {text}"
    key, equals, values = text.partition("=")
    if not equals:
        raise InputFaults.one(where, text, _FORM, "There is no = between the thing and its values.")
    by_key = {_key(axis.key): axis for axis in axes}
    typed = _key(key)
    axis = by_key.get(typed) or by_key.get(f"{typed}s")
    if axis is None:
        near = closest(key, [a.key for a in axes])
        meant = f" Did you mean {near}?" if near else ""
        allowed = ", ".join(a.key for a in axes)
        raise InputFaults.one(
            where, key.strip(), allowed, f"{key.strip() or 'That'} cannot be varied.{meant}"
        )
    return Variation(axis, _values(axis, values, where))


def _key(text: str) -> str:
    return fold(text.replace("-", " ").replace("_", " "))


def _values(axis: Axis, text: str, where: str) -> tuple[str, ...]:
    if not text.strip():
        raise InputFaults.one(where, text, _FORM, f"No value is given for {axis.key}.")
    span = _RANGE.match(text)
    if span and (not axis.words or axis.key == "chamber"):
        return _checked(axis, _range(span, where, text), where)
    if ".." in text:
        raise InputFaults.one(where, text, _FORM, "The range cannot be read.")
    parts = [p.strip() for p in text.split(";" if ";" in text else ",")]
    if axis.key == "away" and parts == [EACH]:
        return axis.words
    return _checked(axis, [p for p in parts if p], where)


def _range(span: re.Match[str], where: str, text: str) -> list[str]:
    first, last, step = float(span[1]), float(span[2]), float(span[3] or 1)
    if last < first:
        raise InputFaults.one(
            where, text, "a range from the smaller to the larger", f"The range {text.strip()} is empty."
        )
    if step <= 0:
        raise InputFaults.one(where, text, "a step of more than 0", "The step of a range cannot be 0.")
    count = math.floor((last - first) / step + 1e-9) + 1
    if count > MOST_CASES:
        raise InputFaults([_too_many(count, where)])
    return [f"{first + n * step:g}" for n in range(count)]


def _too_many(count: int, where: str) -> Fault:
    return Fault(
        where,
        f"{count} cases",
        f"{MOST_CASES} cases at most",
        f"That makes {count} cases; at most {MOST_CASES} are run. Narrow a range or take a larger step.",
    )


def _checked(axis: Axis, values: Sequence[str], where: str) -> tuple[str, ...]:
    checked = []
    faults = []
    for value in values:
        if axis.words:
            known = {fold(w): w for w in axis.words}
            if fold(value) in known:
                checked.append(known[fold(value)])
                continue
            near = closest(value, axis.words)
            meant = f" Did you mean {near}?" if near else ""
            shown = axis.words if len(axis.words) < 40 else (*axis.words[:3], "…", axis.words[-1])
            faults.append(Fault(where, value, ", ".join(shown), f"{value} is no value of {axis.key}.{meant}"))
            continue
        number = _number(value)
        unit = 0.5 if axis.halves else 1.0
        if number is None or not axis.least <= number <= axis.most or number % unit:
            kind = "a whole or a half number" if axis.halves else "a whole number"
            allowed = f"{kind} from {axis.least:g} to {axis.most:g}"
            faults.append(Fault(where, value, allowed, f"{value} is no value of {axis.key}."))
            continue
        checked.append(f"{number:g}")
    if not checked and not faults:
        faults.append(Fault(where, "", _FORM, f"No value is given for {axis.key}."))
    if faults:
        raise InputFaults(faults)
    return tuple(dict.fromkeys(checked))


def _number(text: str) -> float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def cases_of(job: Job, variations: Sequence[Variation]) -> tuple[Case, ...]:
    """A case for every combination of the values.

    Raises
    ------
    InputFaults
        More than `MOST_CASES` cases (the fault says how many), or a value that no job can take.
    """
    count = math.prod(len(v.values) for v in variations)
    if count > MOST_CASES:
        raise InputFaults([_too_many(count, "--vary")])
    if not count:
        raise InputFaults.one("--vary", "", _FORM, "There is no case to run.")
    cases = []
    for number, values in enumerate(itertools.product(*(v.values for v in variations)), start=1):
        changed = job
        for variation, value in zip(variations, values, strict=True):
            try:
                changed = variation.axis.apply(changed, value)
            except (ValidationError, ValueError) as wrong:
                told = (
                    [e["msg"] for e in wrong.errors()] if isinstance(wrong, ValidationError) else [str(wrong)]
                )
                why = "; ".join(told)
                raise InputFaults.one(
                    f"--vary {variation.axis.key}={value}",
                    value,
                    "a value that the job can take",
                    f"The job cannot be made with {variation.axis.label} {value}: {why}",
                ) from wrong
        settings = tuple((v.axis.label, value) for v, value in zip(variations, values, strict=True))
        cases.append(Case(number, settings, changed, changed == job, tuple(cross_faults(changed))))
    return tuple(cases)

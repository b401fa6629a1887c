"""Contradictions of the site, its stations, its water and the rules."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from zoneinfo import available_timezones

from planner.job.clock import Clock
from planner.job.finding import Finding, Path, backward_span, duplicate_names, unknown_reference
from planner.job.job import Job
from planner.job.names import closest, fold, unknown_name
from planner.job.words import BUILT_IN_DUTIES, DIVER, STANDBY, WATER_DUTIES


@lru_cache(maxsize=1)
def known_time_zones() -> frozenset[str]:
    """Names of the IANA time zone database on this machine (the ``tzdata`` package holds a copy)."""
    return frozenset(available_timezones())


#: What the list of known duties rests on.
DUTIES_COME_FROM: tuple[Path, ...] = (("surface_items",), ("people",))


def clock_of(job: Job) -> Clock | None:
    """The job's clock; None while its time zone is unknown."""
    return job.clock if job.site.time_zone in known_time_zones() else None


def wall_clock(job: Job) -> Clock:
    """A clock to show times by: the job's, or one without a zone while that is unknown."""
    return clock_of(job) or Clock(job.site.first_day, "UTC")


def known_duties(job: Job) -> tuple[str, ...]:
    """Duties that may be named: the built-in ones, those of crews, those that crew rows ask for."""
    own: dict[str, None] = dict.fromkeys(BUILT_IN_DUTIES)
    for item in job.surface_items:
        own.update(dict.fromkeys(need.duty for need in item.crew))
    held = {duty for person in job.people for duty in person.duties}
    own.update(dict.fromkeys(row.duty for row in job.rules.minima if row.duty in held))
    return tuple(own)


def site_findings(job: Job) -> Iterator[Finding]:
    """All of them."""
    yield from _place_and_zone(job)
    yield from _stations_and_water(job)
    yield from _rules(job)


def _place_and_zone(job: Job) -> Iterator[Finding]:
    site = job.site
    if site.time_zone not in known_time_zones():
        near = closest(site.time_zone, known_time_zones())
        yield Finding(
            ("site", "time_zone"),
            site.time_zone,
            "a name of the IANA time zone database, such as Europe/Lisbon or Asia/Manila",
            f"The time zone {site.time_zone} is not known." + (f" Did you mean {near}?" if near else ""),
        )
    latitude, longitude = site.latitude_deg, site.longitude_deg
    if (latitude is None) != (longitude is None):
        missing = "latitude_deg" if latitude is None else "longitude_deg"
        yield Finding(
            ("site", missing),
            "",
            "both latitude and longitude, or neither",
            "A place needs its latitude and its longitude.",
            (("site", "latitude_deg"), ("site", "longitude_deg")),
        )
    elif latitude is None and site.daylight_only and any(not i.in_the_dark for i in job.dive_items):
        yield Finding(
            ("site", "latitude_deg"),
            "",
            "latitude and longitude, or daylight only set to no",
            "The site dives by daylight only, but without a position there is no working out sunrise and "
            "sunset.",
            (("site", "daylight_only"), ("site", "longitude_deg")),
        )


def _stations_and_water(job: Job) -> Iterator[Finding]:
    names = [s.name for s in job.stations]
    yield from duplicate_names(
        ((("stations", i, "name"), s.name) for i, s in enumerate(job.stations)), "stations"
    )
    if not job.stations and (job.dive_items or not job.surface_items):
        yield Finding(("stations",), "", "one row or more", "Diving needs a station, and the job has none.")
    clock = wall_clock(job)
    for i, window in enumerate(job.water_windows):
        path = ("water_windows", i)
        yield from backward_span(path, window, clock, f"The water window {window.label}")
        for j, station in enumerate(window.stations):
            yield from unknown_reference((*path, "stations", j), station, names, "station")


def _rules(job: Job) -> Iterator[Finding]:
    rules = job.rules
    known = known_duties(job)
    if not rules.minima:
        yield Finding(
            ("rules", "minima"),
            "",
            "one row or more; 0 in a row where none is wanted",
            "The rules ask for no crew at all.",
        )
    for i, row in enumerate(rules.minima):
        if row.duty == DIVER:
            yield Finding(
                ("rules", "minima", i, "duty"),
                row.duty,
                "any other duty",
                "How many divers go down is a matter of each dive item, not of a crew row.",
                (("dive_items",),),
            )
        yield from _known_duty(("rules", "minima", i, "duty"), row.duty, known)
        if not row.source.strip():
            yield Finding(
                ("rules", "minima", i, "source"),
                "",
                "a regulation, or: common practice",
                f"The crew row for {row.duty} does not say where its number comes from.",
            )
    seen: dict[frozenset[str], Path] = {}
    for i, pair in enumerate(rules.pairs):
        path = ("rules", "pairs", i)
        before = seen.setdefault(frozenset((fold(pair.duty), fold(pair.with_duty))), path)
        if before != path:
            yield Finding(
                path,
                f"{pair.duty} with {pair.with_duty}",
                "each pair once, in either order",
                f"The pair {pair.duty} with {pair.with_duty} stands there twice.",
                (before,),
            )
        yield from _known_duty((*path, "duty"), pair.duty, known)
        yield from _known_duty((*path, "with_duty"), pair.with_duty, known)
        if fold(pair.duty) == fold(pair.with_duty):
            yield Finding(
                (*path, "with_duty"),
                pair.with_duty,
                "two different duties",
                f"A pair joins two duties, and this one names {pair.duty} twice.",
                ((*path, "duty"),),
            )
        for field in ("duty", "with_duty"):
            duty = getattr(pair, field)
            if duty in WATER_DUTIES or duty == STANDBY:
                yield Finding(
                    (*path, field),
                    duty,
                    "duties on deck other than the standby diver",
                    f"One who is {duty} can hold no second duty at the same time.",
                )
    weights = rules.priority_weights
    for i in range(1, len(weights)):
        if weights[i] > weights[i - 1]:
            yield Finding(
                ("rules", "priority_weights", i),
                str(weights[i]),
                f"{weights[i - 1]} or less",
                f"Priority {i + 1} weighs more than priority {i}, which is the more pressing one.",
                (("rules", "priority_weights", i - 1),),
            )
    for i, step in enumerate(rules.bench_steps):
        if step.signed_by:
            yield from _known_duty(("rules", "bench_steps", i, "signed_by"), step.signed_by, known)
    lists: dict[tuple[str, str], list[tuple[Path, str]]] = {}
    for i, step in enumerate(rules.bench_steps):
        lists.setdefault((step.gear, step.list), []).append((("rules", "bench_steps", i, "id"), step.id))
    for named in lists.values():
        yield from duplicate_names(named, "steps of one list")


def _known_duty(path: Path, duty: str, known: tuple[str, ...]) -> Iterator[Finding]:
    if duty not in known:
        allowed, sentence = unknown_name("duty", duty, known)
        yield Finding(path, duty, allowed, sentence, DUTIES_COME_FROM)

"""Contradictions of the site: its stations, its water and tide, its rules."""

from __future__ import annotations

from collections.abc import Iterator

from planner.errors import InputFaults
from planner.job.bounds import DEEPEST_SHORT_FSW
from planner.job.contradiction import (
    DUTIES_COME_FROM,
    IN_FEET,
    Contradiction,
    Path,
    Says,
    backward_span,
    duplicate_names,
    known_duties,
    known_time_zones,
    name_places,
    unknown_reference,
    wall_clock,
)
from planner.job.duties import DIVER, DRESSED_DUTIES
from planner.job.job import Job
from planner.job.names import did_you_mean, fold, unknown_name
from planner.job.site import Policy
from planner.job.tide import covers, deepest_fsw, out_of_turn
from planner.table_sets import IN_CHAMBER, ON_AIR, ON_OXYGEN, has_set, set_ids, table_altitude_ft

#: What a policy needs of a set of tables.
WAY_UP_OF_POLICY = {Policy.IN_WATER_STOPS: ON_AIR, Policy.SURFACE_DECOMPRESSION: IN_CHAMBER}


def site_contradictions(job: Job) -> Iterator[Contradiction]:
    """All of them."""
    yield from _place_and_zone(job)
    yield from _tables(job)
    yield from _stations_and_water(job)
    yield from _rules(job)


def _place_and_zone(job: Job) -> Iterator[Contradiction]:
    site = job.site
    if site.time_zone not in known_time_zones():
        yield Contradiction(
            ("site", "time_zone"),
            site.time_zone,
            "a name of the IANA time zone database, such as Europe/Lisbon or Asia/Manila",
            f"The time zone {site.time_zone} is not known.{did_you_mean(site.time_zone, known_time_zones())}",
        )
    latitude, longitude = site.latitude_deg, site.longitude_deg
    if (latitude is None) != (longitude is None):
        missing = "latitude_deg" if latitude is None else "longitude_deg"
        yield Contradiction(
            ("site", missing),
            "",
            "both latitude and longitude, or neither",
            "A place needs its latitude and its longitude.",
            (("site", "latitude_deg"), ("site", "longitude_deg")),
        )
    elif latitude is None and site.daylight_only and any(not i.in_the_dark for i in job.dive_items):
        yield Contradiction(
            ("site", "latitude_deg"),
            "",
            "latitude and longitude, or daylight only set to no",
            "The site dives by daylight only, but without a position there is no working out sunrise and "
            "sunset.",
            (("site", "daylight_only"), ("site", "longitude_deg")),
        )


def _tables(job: Job) -> Iterator[Contradiction]:
    """The set of tables is at hand and sound, and has what the job asks of it: nothing is borrowed."""
    site = job.site
    if not has_set(site.table_set):
        yield Contradiction(
            ("site", "table_set"),
            site.table_set,
            f"a set that is at hand: {', '.join(set_ids())}",
            f"There is no table set {site.table_set} here.{did_you_mean(site.table_set, set_ids())}",
        )
        return
    try:
        tables = site.tables
    except InputFaults as unsound:
        yield Contradiction(
            ("site", "table_set"),
            site.table_set,
            "a set without faults (python -m planner tables check)",
            f"The table set {site.table_set} is not sound: {unsound.faults[0]}",
        )
        return
    here, way_up = (("site", "table_set"),), WAY_UP_OF_POLICY.get(site.policy)
    if way_up is not None and way_up not in tables.ways_up:
        yield Contradiction(
            ("site", "policy"), site.policy.value, "ways up that the tables have", tables.lacks(way_up), here
        )
    if site.oxygen_in_water and ON_OXYGEN not in tables.ways_up:
        yield Contradiction(
            ("site", "oxygen_in_water"), "yes", "no, with these tables", tables.lacks(ON_OXYGEN), here
        )
    if table_altitude_ft(site.altitude_ft) and not tables.altitude:
        yield Contradiction(
            ("site", "altitude_ft"),
            f"{site.altitude_ft}",
            "up to 300 ft, which counts as sea level",
            f"{tables.title} has no altitude rows.",
            here,
        )
    if job.rules.least_surface_interval_min < tables.same_dive_under_min:
        yield Contradiction(
            ("rules", "least_surface_interval_min"),
            f"{job.rules.least_surface_interval_min}",
            f"{tables.same_dive_under_min} min or more",
            f"By {tables.title} a shorter interval parts no two dives.",
            here,
        )
    if job.rules.descent_fsw_per_min > tables.descent_fsw_per_min_at_most:
        yield Contradiction(
            ("rules", "descent_fsw_per_min"),
            f"{job.rules.descent_fsw_per_min}",
            f"{tables.descent_fsw_per_min_at_most} fsw/min at most",
            f"{tables.title} is for a slower descent.",
            here,
        )
    for place, person in enumerate(job.people):
        for row, past in enumerate(person.past_dives):
            if past.group_after is not None and past.group_after not in tables.groups:
                yield Contradiction(
                    ("people", place, "past_dives", row, "group_after"),
                    past.group_after,
                    f"{tables.groups_words}; a dive made by other tables is entered once the diver is clean "
                    "by them, or not at all",
                    f"{tables.title} has no group {past.group_after}.",
                    here,
                )


def _stations_and_water(job: Job) -> Iterator[Contradiction]:
    names = [s.name for s in job.stations]
    yield from duplicate_names(name_places(("stations",), job.stations), "stations")
    if not job.stations and (job.dive_items or not job.surface_items):
        yield Contradiction(
            ("stations",), "", "one row or more", "Diving needs a station, and the job has none."
        )
    clock = wall_clock(job)
    for i, window in enumerate(job.water_windows):
        path = ("water_windows", i)
        yield from backward_span(path, window, clock, f"The water window {window.label}")
        for j, station in enumerate(window.stations):
            yield from unknown_reference((*path, "stations", j), station, names, "station")


def _rules(job: Job) -> Iterator[Contradiction]:
    rules = job.rules
    known = known_duties(job)
    if not rules.minima:
        yield Contradiction(
            ("rules", "minima"),
            "",
            "one row or more; 0 in a row where none is wanted",
            "The rules ask for no crew at all.",
        )
    for i, row in enumerate(rules.minima):
        if row.duty == DIVER:
            yield Contradiction(
                ("rules", "minima", i, "duty"),
                row.duty,
                "any other duty",
                "How many divers go down is a matter of each dive item, not of a crew row.",
                (("dive_items",),),
            )
        yield from _known_duty(("rules", "minima", i, "duty"), row.duty, known)
        if not row.source.strip():
            yield Contradiction(
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
            yield Contradiction(
                path,
                f"{pair.duty} with {pair.with_duty}",
                "each pair once, in either order",
                f"The pair {pair.duty} with {pair.with_duty} stands there twice.",
                (before,),
            )
        yield from _known_duty((*path, "duty"), pair.duty, known)
        yield from _known_duty((*path, "with_duty"), pair.with_duty, known)
        if fold(pair.duty) == fold(pair.with_duty):
            yield Contradiction(
                (*path, "with_duty"),
                pair.with_duty,
                "two different duties",
                f"A pair joins two duties, and this one names {pair.duty} twice.",
                ((*path, "duty"),),
            )
        for field in ("duty", "with_duty"):
            duty = getattr(pair, field)
            if duty in DRESSED_DUTIES:
                yield Contradiction(
                    (*path, field),
                    duty,
                    "duties on deck other than the standby diver",
                    f"One who is {duty} can hold no second duty at the same time.",
                )
    asked: dict[tuple[str, str], Path] = {}
    for i, held in enumerate(rules.duty_certificates):
        path = ("rules", "duty_certificates", i)
        yield from _known_duty((*path, "duty"), held.duty, known)
        before = asked.setdefault((fold(held.duty), fold(held.certificate)), path)
        if before != path:
            yield Contradiction(
                path,
                f"{held.duty}: {held.certificate}",
                "each certificate of a duty once",
                f"That a {held.duty} holds {held.certificate} stands there twice.",
                (before,),
            )
    weights = rules.priority_weights
    for i in range(1, len(weights)):
        if weights[i] > weights[i - 1]:
            yield Contradiction(
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
    for steps in lists.values():
        yield from duplicate_names(steps, "steps of one list")


def _known_duty(path: Path, duty: str, known: tuple[str, ...]) -> Iterator[Contradiction]:
    if duty not in known:
        allowed, sentence = unknown_name("duty", duty, known)
        yield Contradiction(path, duty, allowed, sentence, DUTIES_COME_FROM)


def tide_contradictions(job: Job, says: Says = IN_FEET) -> Iterator[Contradiction]:
    """All of them."""
    yield from _marks(job)
    if job.site.slack_length_min > 0 and not job.tide_marks:
        yield Contradiction(
            ("site", "slack_length_min"),
            str(job.site.slack_length_min),
            "0, or a tide table",
            "Slack water is to be made from the tide, but the job has no tide marks.",
            (("tide_marks",),),
        )
    starts = [window.start_min for window in job.day_windows] if _zone_known(job) else []
    for i, item in enumerate(job.dive_items):
        if not item.depth_follows_tide:
            continue
        path: Path = ("dive_items", i, "depth_follows_tide")
        uncovered = not starts or not covers(
            job.tide_marks, min(starts), max(window.end_min for window in job.day_windows)
        )
        if uncovered and (starts or not job.tide_marks):
            yield Contradiction(
                path,
                "yes",
                "no, or a tide table from before the first day's start to after the last day's end",
                f"The depth of {item.name} follows the tide, and the tide is not known over the job's days.",
                (("tide_marks",),),
            )
        elif deepest_fsw(job, item) > DEEPEST_SHORT_FSW:
            yield Contradiction(
                ("dive_items", i, "depth_fsw"),
                says.depth(item.depth_fsw),
                f"a depth that stays within {says.depth(DEEPEST_SHORT_FSW)} at the highest tide",
                f"At the highest tide {item.name} lies at {says.depth(deepest_fsw(job, item))}.",
                (path, ("tide_marks",)),
            )


def _zone_known(job: Job) -> bool:
    # an unknown time zone is a contradiction of its own; without it no day window can be worked out
    return wall_clock(job).time_zone == job.site.time_zone


def _marks(job: Job) -> Iterator[Contradiction]:
    for one, other, why in out_of_turn(job.tide_marks, wall_clock(job)):
        path: Path = ("tide_marks", other)
        # every cell that the pair rests on: one in doubt makes the contradiction doubtful too
        rests_on: tuple[Path, ...] = (
            ("tide_marks",),
            *(("tide_marks", i, field) for i in (one, other) for field in ("minute", "level_ft", "high")),
        )
        where = (*path, "level_ft") if why.of_level else path
        yield Contradiction(where, why.found, why.allowed, why.sentence, rests_on)

"""What the program could not check and a person must tick, and how long each diver waits before flying."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from planner.job.crew_rules import LONGEST_BOTTOM, LONGEST_IN_DRESS, CrewRules, StandbyWayUp
from planner.job.duties import DIVER, duty_qualifies
from planner.job.job import Job
from planner.job.site import Policy
from planner.job.units import WATER_TEMPERATURE
from planner.plan.model import Plan, in_range
from planner.table_sets import DEFAULT_ID, table_words
from planner.table_sets.table_set import SEA_LEVEL_UP_TO_FT
from planner.tables.past_dives import past_groups
from planner.tables.schedule import LEAVES_WATER_FROM_FSW, OnDeck


@dataclass(frozen=True)
class NoFlight:
    """One diver's wait before a commercial flight (8,000 ft column)."""

    person: str
    """The diver."""
    surfaced_min: int
    """When the last dive of the plan was out of pressure: at the surface, or out of the chamber."""
    group: str | None
    """The repetitive group that decides: the highest of the 24 hours before that, dives before the job among
    them; None when the table prints none, which waits 48 h."""
    until_min: int
    """No flight before this job minute."""


def no_flight(plan: Plan, job: Job) -> tuple[NoFlight, ...]:
    """The wait of everyone who dives, by all dives of the plan and before it; in order of name.

    The groups are the plan's own, so the plan must have passed the check. A group that no table has waits
    as long as one that is not printed. Nobody where the job's tables print no such waits (`unchecked` tells).
    """
    if not job.tables.flight_waits:
        return ()
    made: dict[str, list[tuple[int, str | None]]] = defaultdict(list)
    for dive in plan.dives:
        for diver in dive.divers if in_range(dive.out_min) else ():
            group = diver.group_after if diver.group_after in job.tables.groups else None
            made[diver.person].append((dive.out_min, group))
    for person in job.people:
        if person.name in made:
            made[person.name] += past_groups(person, job.site)
    return tuple(NoFlight(name, *job.tables.flight_wait(dives)) for name, dives in sorted(made.items()))


#: What must be ticked for every job, with the subject of planning that asks for it before issuing
#: (planner/log/planning_subjects.toml).
ALWAYS = {
    "Weather, sea state and visibility at the site are fit for the dives.": "conditions",
    "Every diver and standby diver is fit on the day and says so.": "team",
    "Current at the work is within what the crew and the dress can take.": "conditions",
    "Vessel traffic, propellers, intakes and lifting gear near the divers are stopped or kept clear; flag "
    "'A' is shown.": "conditions",
    "The bottom is clear of unexploded and other dangerous things.": "conditions",
    "Emergency calls are posted: chamber, hospitals, physicians, transport, rescue "
    "(29 CFR 1910.421(b)).": "emergency",
    "First-aid kit, first-aid handbook and bag-type resuscitator are at the dive location "
    "(29 CFR 1910.421(c)).": "first-aid",
    "The safe practices manual is at the dive location (29 CFR 1910.420(a)).": "manual",
}
NO_PLANT = "Air supply and reserve carry the planned dives: the job gives no air plant to check them by."
_HOURS = "The hours that everyone worked in the 7 days before the job are given in full."


def _rest(job: Job) -> Iterator[str]:
    """What of the hours of rest no rule of the job checks, and what the rules that do must rely on."""
    asked = {
        "any 24 hours": job.rules.rest_in_24h_min > 0,
        "any 7 days": job.rules.rest_in_7d_min > 0,
    }
    if not all(asked.values()):
        over = " and ".join(window for window, checked in asked.items() if not checked)
        yield f"Everyone's hours of rest hold over {over} (MLC 2006, Standard A2.3)."
    if any(asked.values()):
        yield _HOURS


def _gates(job: Job) -> Iterator[str]:
    """What of the isolations, permits and hazards only the eye can see."""
    for gate in job.gates:
        by, items = gate.held_by or "nobody named", ", ".join(gate.items)
        if gate.span is None:
            yield f"{gate.what} is held ({by}) before anyone starts on {items}: the job gives no times."
    if any(gate.span is not None for gate in job.gates):
        yield "Every isolation and permit on the sheet Gates is held at its times by the one named there."
    near = {item for gate in job.gates if gate.hazard_distance_ft is not None for item in gate.items}
    kinds = {item.gear for item in job.dive_items if item.name in near}
    unknown = [o.name for o in job.outfits if o.kind in kinds and o.umbilical_length_ft == 0]
    if unknown:
        yield (
            f"These umbilicals, of no given length, do not reach the hazards of {', '.join(sorted(near))}: "
            f"{', '.join(unknown)}."
        )


def unchecked(job: Job, plan: Plan | None = None) -> tuple[str, ...]:
    """Statements that a person must be able to tick before the plan is used; nothing of it is assumed.

    With a plan, each diver's wait before flying is told too.
    """
    flights = flight_words(plan, job) if plan is not None else ()
    return (*ALWAYS, *_of_job(job, plan), *flights)


def asked_beside_planning(job: Job, plan: Plan) -> tuple[str, ...]:
    """What of it none of the subjects of planning asks for already."""
    return tuple(sentence for sentence in _of_job(job, plan) if sentence != NO_PLANT)


def flight_words(plan: Plan, job: Job) -> tuple[str, ...]:
    """Each diver's wait before flying in a sentence: to be told, there is nothing to settle."""
    told = []
    for wait in no_flight(plan, job):
        until = job.clock.at(wait.until_min)
        told.append(
            f"{wait.person} does not fly before {until:%a} {until.day} {until:%b %H:%M} (highest group of "
            f"24 hours: {wait.group or 'none printed'}; {job.tables.title}, "
            f"{table_words(job.tables.called['before_altitude'])})."
        )
    return tuple(told)


def _of_job(job: Job, plan: Plan | None) -> list[str]:
    """What only this job must have ticked."""
    own: list[str] = list(_rest(job))
    if not job.air.compressors and not job.air.banks:
        own.append(NO_PLANT)
    site = job.site
    if site.daylight_only and (site.latitude_deg is None or site.longitude_deg is None):
        own.append("All dives lie in daylight: the job gives no position, so sunrise and sunset are unknown.")
    divers = [p for p in job.people if duty_qualifies(p.duties, DIVER)]
    here_before = [p.name for p in divers if p.arrived_min is None]
    if site.altitude_ft > SEA_LEVEL_UP_TO_FT and here_before:
        # 12 h: what the U.S. Navy recommends after arriving, as an encyclopedia tells it (seen 29 Nov 2026)
        told = "Every diver has" if len(here_before) == len(divers) else f"{', '.join(here_before)} have"
        own.append(f"{told} been at the site's {site.altitude_ft} ft for at least 12 hours.")
    rules, away_min = job.rules, site.chamber_minutes_away
    if site.policy is Policy.SURFACE_DECOMPRESSION and away_min is not None:
        own += [
            f"A diver who goes into the chamber is out of {gear.value} in {rules.out_of_dress_min(gear)} "
            f"min, and the way to it takes {away_min} min: measured by this crew."
            for gear in dict.fromkeys(item.gear for item in job.dive_items)
            if OnDeck(gear.value, rules.out_of_dress_min(gear), away_min).in_time(LEAVES_WATER_FROM_FSW)
        ]
    if rules.standby_no_stop_min < CrewRules().standby_no_stop_min:
        counted = "without stops" if rules.standby_way_up is StandbyWayUp.NO_STOP else "by the job's policy"
        own.append(
            f"{rules.standby_no_stop_min} min left at the working depth, {counted}, is enough for a standby "
            "diver who is sent down."
        )
    if divers and not any(p.past_dives for p in divers):
        own.append(
            "No dives before this job are given, so every diver is taken as clean: each was asked, and made "
            "none that the surface interval table has not yet cleared."
        )
    no_medical = [p.name for p in divers if p.medical_expires is None]
    if no_medical:
        own.append(f"The medical of these divers is valid, no date is given: {', '.join(no_medical)}.")
    own += _gates(job)
    if site.water_temp_f is None and any(
        rules.longest_min(fields[gear], rules.cold_water_f - 1) != rules.longest_min(fields[gear], None)
        for fields in (LONGEST_BOTTOM, LONGEST_IN_DRESS)
        for gear in {item.gear for item in job.dive_items}
    ):
        cold, units = WATER_TEMPERATURE, site.units
        own.append(
            f"The water is not colder than {cold.typed(rules.cold_water_f, units):g} {cold.unit(units)}: the "
            "job gives no temperature, and dives in cold water are shorter."
        )
    undated = [o.name for o in job.outfits if o.inspection_due is None]
    if undated:
        own.append(f"These outfits are not due for inspection, no date is given: {', '.join(undated)}.")
    if any(item.depth_follows_tide for item in job.dive_items):
        own.append(
            "Wind, weather and river water have not raised the tide above the table that the depths are "
            "reckoned with."
        )
    if plan is not None and plan.dives and not job.tables.flight_waits:
        own.append(f"{job.tables.no_flight_rows} Each diver has been told one, from elsewhere.")
    if site.table_set != DEFAULT_ID and any(p.past_dives for p in divers):
        own.append(
            f"The dives before this job were made by {job.tables.title}; one made by other tables is "
            "entered as clean, or not at all."
        )
    return own

"""What the program could not check and a person must tick, and how long each diver waits before flying."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from planner.job.crew_rules import CrewRules, StandbyWayUp
from planner.job.duties import DIVER, duty_qualifies
from planner.job.job import Job
from planner.job.site import Policy
from planner.plan.model import Plan, in_range
from planner.tables import GROUPS, flight_wait
from planner.tables.past_dives import past_groups
from planner.tables.schedule import LEAVES_WATER_FROM_FSW, OnDeck


@dataclass(frozen=True)
class NoFlight:
    """One diver's wait before a commercial flight (8,000 ft column of table 9-6).

    Parameters
    ----------
    person
        The diver.
    surfaced_min
        When the last dive of the plan was out of pressure: at the surface, or out of the chamber.
    group
        The repetitive group that decides: the highest of the 24 hours before that, dives before the job among
        them (table 9-6, note 1); None when the table prints none, which waits 48 h.
    until_min
        No flight before this job minute.
    """

    person: str
    surfaced_min: int
    group: str | None
    until_min: int


def no_flight(plan: Plan, job: Job) -> tuple[NoFlight, ...]:
    """The wait of everyone who dives, by all dives of the plan and before it; in order of name.

    The groups are the plan's own, so the plan must have passed the check. A group that no table has waits
    as long as one that is not printed.
    """
    made: dict[str, list[tuple[int, str | None]]] = defaultdict(list)
    for dive in plan.dives:
        for diver in dive.divers if in_range(dive.out_min) else ():
            group = diver.group_after if diver.group_after in GROUPS else None
            made[diver.person].append((dive.out_min, group))
    for person in job.people:
        if person.name in made:
            made[person.name] += past_groups(person, job.site)
    return tuple(NoFlight(name, *flight_wait(dives)) for name, dives in sorted(made.items()))


#: Up to this altitude the tables are used as at sea level (U.S. Navy Diving Manual, Revision 7).
SEA_LEVEL_FT = 300

_ALWAYS = (
    "Weather, sea state and visibility at the site are fit for the dives.",
    "Every diver and standby diver is fit on the day and says so.",
    "Current at the work is within what the crew and the dress can take.",
    "Vessel traffic, propellers, intakes and lifting gear near the divers are stopped or kept clear; flag "
    "'A' is shown.",
    "The bottom is clear of unexploded and other dangerous things.",
    "Emergency calls are posted: chamber, hospitals, physicians, transport, rescue (29 CFR 1910.421(b), from "
    "memory).",
)
_AIR = "Air supply and reserve carry the planned dives: the job gives no air plant to check them by."
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


def unchecked(job: Job, plan: Plan | None = None) -> tuple[str, ...]:
    """Statements that a person must be able to tick before the plan is used; nothing of it is assumed.

    Parameters
    ----------
    job
        The job.
    plan
        Its plan, where there is one: then each diver's wait before flying is told too.
    """
    own: list[str] = list(_rest(job))
    if not job.air.compressors and not job.air.banks:
        own.append(_AIR)
    site = job.site
    if site.daylight_only and (site.latitude_deg is None or site.longitude_deg is None):
        own.append("All dives lie in daylight: the job gives no position, so sunrise and sunset are unknown.")
    divers = [p for p in job.people if duty_qualifies(p.duties, DIVER)]
    here_before = [p.name for p in divers if p.arrived_min is None]
    if site.altitude_ft > SEA_LEVEL_FT and here_before:
        told = "Every diver has" if len(here_before) == len(divers) else f"{', '.join(here_before)} have"
        own.append(f"{told} been at the site's {site.altitude_ft} ft for at least 12 hours (from memory).")
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
    no_medical = [p.name for p in divers if p.medical_expires is None]
    if no_medical:
        own.append(f"The medical of these divers is valid, no date is given: {', '.join(no_medical)}.")
    undated = [o.name for o in job.outfits if o.inspection_due is None]
    if undated:
        own.append(f"These outfits are not due for inspection, no date is given: {', '.join(undated)}.")
    if any(item.depth_follows_tide for item in job.dive_items):
        own.append(
            "Wind, weather and river water have not raised the tide above the table that the depths are "
            "reckoned with."
        )
    for wait in no_flight(plan, job) if plan is not None else ():
        until = job.clock.at(wait.until_min)
        own.append(
            f"{wait.person} does not fly before {until:%a} {until.day} {until:%b %H:%M} (highest group of "
            f"24 hours: {wait.group or 'none printed'}; U.S. Navy Diving Manual, Revision 7, table 9-6, note "
            "1)."
        )
    return (*_ALWAYS, *own)

"""What a person brings into the job from the dives before it: nitrogen, and a watch by the chamber."""

from __future__ import annotations

from dataclasses import dataclass

from planner.errors import TableRefusal
from planner.job.crew_rules import CrewRules
from planner.job.people import PastDive, Person
from planner.job.site import Site
from planner.table_sets import TableSet
from planner.tables import (
    ExposureOptions,
    groups_of_past_dives,
)
from planner.tables.series import Carried


@dataclass(frozen=True)
class CarriedIn:
    """The nitrogen a person brings: when the last dive surfaced, and the group it left.

    Where the person came up to the site's altitude after it, the moment of that and the group from then on.
    ``group`` None: the tables print none for it, so no dive until clean.
    """

    tables: TableSet
    surfaced_min: int
    group: str | None

    @property
    def clean_at_min(self) -> int:
        """Job minute from which the next dive is no repetitive dive."""
        return self.surfaced_min + self.tables.minutes_until_clean(self.group)


def carried_in(person: Person, site: Site) -> CarriedIn | None:
    """What a person brings from past dives, and from coming up to the site's altitude; None without any."""
    found = carried_before(person, site)
    return CarriedIn(site.tables, found[-1].at_min, found[-1].group) if found else None


def carried_before(person: Person, site: Site) -> tuple[Carried, ...]:
    """What a person carries after each past dive, made at the site's altitude, and after arriving at it."""
    group = site.tables.group_on_arrival(site.altitude_ft)
    arrival = None if group is None or person.arrived_min is None else (person.arrived_min, group)
    made_with = ExposureOptions(tables=site.tables, altitude_ft=site.altitude_ft)
    return groups_of_past_dives(person.past_dives, made_with, arrival)


def past_groups(person: Person, site: Site) -> tuple[tuple[int, str | None], ...]:
    """When each of a person's past dives surfaced, and with which group (None: none printed), in order."""
    return tuple((one.at_min, one.group) for one in carried_before(person, site) if one.dived)


def past_watches(person: Person, rules: CrewRules, tables: TableSet) -> tuple[tuple[int, int], ...]:
    """Watches by the chamber after dives before the job: (surfaced, end of the watch), job minutes."""
    return tuple(
        (past.surfaced_min, past.surfaced_min + rules.chamber_watch_min)
        for past in person.past_dives
        if past.depth_fsw > rules.chamber_trigger_fsw or _outside_no_stop(past, tables)
    )


def _outside_no_stop(past: PastDive, tables: TableSet) -> bool:
    try:
        limit = tables.no_stop_limit(past.depth_fsw)
    except TableRefusal:
        # deeper than the last row of the no-stop table
        return True
    return limit is not None and past.bottom_time_min > limit

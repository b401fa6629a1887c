"""Arrival at altitude: the group of table 9-5, its credit by table 9-8, and dives before and after it."""

from __future__ import annotations

import pytest

from planner.job import PastDive, Person
from planner.job.site import Site
from planner.table_sets import table_set
from planner.tables import ExposureOptions, plan_exposure
from planner.tables.past_dives import CarriedIn, carried_before, carried_in, past_groups
from planner.tables.series import groups_together
from tests.world.quay import a_job

NAVY = table_set()


SITE: Site = a_job().site.replace(altitude_ft=4000)
MEG = Person(name="Meg", duties=frozenset({"diver"}), depth_rating_fsw=100)
ARRIVED = -60


def at_altitude(*dives: PastDive, site: Site = SITE) -> Person:
    """Meg, up at the site an hour before midnight."""
    assert site.altitude_ft
    return MEG.replace(arrived_min=ARRIVED, past_dives=dives)


def test_the_group_on_arrival_and_what_five_hours_leave_of_it() -> None:
    """4,000 ft: C (table 9-5, worked example). Five hours on: C is clean since 4:32; of 8,000 ft B is left.

    The manual lets the group on arrival decay by table 9-8 (its letters, Revision 4, are of older tables).
    """
    assert NAVY.group_on_arrival(4000) == "C"
    assert carried_in(at_altitude(), SITE) == CarriedIn(NAVY, ARRIVED, "C")
    assert NAVY.minutes_until_clean("C") == 272
    assert NAVY.group_after_interval("C", 300) is None
    high = carried_in(at_altitude(), SITE.replace(altitude_ft=8000))
    assert high == CarriedIn(NAVY, ARRIVED, "G")
    assert NAVY.group_after_interval("G", 300) == "B"


def test_who_is_used_to_the_altitude_brings_nothing() -> None:
    """Blank: there from before; at sea level (300 ft and less) an arrival counts for nothing."""
    assert carried_in(MEG, SITE) is None
    assert carried_in(at_altitude(), SITE.replace(altitude_ft=300)) is None


def test_a_dive_after_arrival_starts_from_what_is_left_of_its_group() -> None:
    """60 fsw for 20 min is on the 70 fsw row at 4,000 ft; after C it is a repetitive dive and leaves more."""
    dive = PastDive(depth_fsw=60, bottom_time_min=20, surfaced_min=ARRIVED + 50 + 22)
    alone = carried_in(MEG.replace(past_dives=(dive,)), SITE)
    after = carried_in(at_altitude(dive), SITE)
    assert (alone, after) == (CarriedIn(NAVY, 12, "E"), CarriedIn(NAVY, 12, "H"))
    assert past_groups(at_altitude(dive), SITE) == ((12, "H"),)
    assert [one.dived for one in carried_before(at_altitude(dive), SITE)] == [False, True]
    logged = dive.replace(group_after="D")
    assert carried_in(at_altitude(logged), SITE) == CarriedIn(NAVY, 12, "D")


def test_what_is_left_of_a_dive_before_arrival_is_added() -> None:
    """Two tensions add up: C and C make G, 2 · 3 + 1 (own reading of 9-8, one compartment), never less."""
    assert groups_together(NAVY, "C", "C") == "G"
    assert groups_together(NAVY, "A", "B") == "D"
    assert (groups_together(NAVY, "O", "C"), groups_together(NAVY, None, "C")) == (None, None)
    dive = PastDive(depth_fsw=40, bottom_time_min=30, surfaced_min=ARRIVED - 20, group_after="C")
    assert carried_in(at_altitude(dive), SITE) == CarriedIn(NAVY, ARRIVED, "G")
    long_ago = dive.replace(surfaced_min=ARRIVED - 600)
    assert carried_in(at_altitude(long_ago), SITE) == CarriedIn(NAVY, ARRIVED, "C")
    assert past_groups(at_altitude(dive), SITE) == ((ARRIVED - 20, "C"),)


@pytest.mark.parametrize(("group_after", "hours", "left"), [("Z", 1, None), ("Z", 24, "C")])
def test_past_the_last_group_there_is_none(group_after: str, hours: int, left: str | None) -> None:
    """Z and C together are past Z: no dive until clean; a day after Z nothing is left of it."""
    dive = PastDive(
        depth_fsw=60, bottom_time_min=120, surfaced_min=ARRIVED - hours * 60, group_after=group_after
    )
    assert carried_in(at_altitude(dive), SITE) == CarriedIn(NAVY, ARRIVED, left)


def test_a_dive_right_after_arrival_is_a_dive_of_its_own() -> None:
    """Down five minutes after he is up at the site: no second half of what he dived below. It starts from G,
    what C of that dive and C of the arrival make together."""
    before = PastDive(depth_fsw=40, bottom_time_min=30, surfaced_min=ARRIVED - 20, group_after="C")
    after = PastDive(depth_fsw=30, bottom_time_min=20, surfaced_min=ARRIVED + 5 + 20 + 1)
    person = at_altitude(before, after)
    told = carried_before(person, SITE)
    assert [(one.dived, one.group) for one in told[:2]] == [(True, "C"), (False, "G")]
    alone = plan_exposure(30, 20, "G", ExposureOptions(altitude_ft=4000))
    assert (told[2].dived, told[2].group) == (True, alone.group_after)

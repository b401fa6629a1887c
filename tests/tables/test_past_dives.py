"""What a person brings in from the dives before the job."""

from __future__ import annotations

from datetime import date

from planner.job import CrewRules, PastDive, Person, Site
from planner.table_sets import table_set
from planner.tables.past_dives import CarriedIn, carried_in, past_watches

NAVY = table_set()


SITE = Site(name="Test Quay", first_day=date(2026, 5, 12), time_zone="UTC")


def carried(*dives: PastDive) -> CarriedIn | None:
    return carried_in(Person(name="Ana", duties=frozenset({"diver"}), past_dives=dives), SITE)


def past(depth_fsw: int, minutes: int, surfaced: int, group: str | None = None) -> PastDive:
    return PastDive(depth_fsw=depth_fsw, bottom_time_min=minutes, surfaced_min=surfaced, group_after=group)


def test_nothing_brings_nothing() -> None:
    """Without a past dive nothing is carried in."""
    assert carried() is None


def test_one_dive_by_the_table() -> None:
    """Table 9-7: 60 fsw for 41 min is H. Table 9-8: H is clean after 8:52, so from 8:53 on (533 min)."""
    state = carried(past(60, 41, -600))
    assert state == CarriedIn(NAVY, -600, "H")
    assert state is not None and state.clean_at_min == -67


def test_a_second_dive_is_counted_on_top_of_the_first() -> None:
    """Leave surface 600 − 33 min before midnight, 167 min after H: E, 29 min at 60 fsw, 31 more is 60: K."""
    assert carried(past(60, 41, -800), past(60, 31, -600)) == CarriedIn(NAVY, -600, "K")


def test_the_logged_group_is_believed() -> None:
    """A group that the log holds is taken as it stands."""
    assert carried(past(60, 41, -600, "Z")) == CarriedIn(NAVY, -600, "Z")


def test_no_group_bars_for_two_days() -> None:
    """After an exceptional exposure the tables print no group; the longest wait of table 9-6 is 48 h."""
    state = carried(past(150, 90, -600))
    assert state == CarriedIn(NAVY, -600, None)
    assert state is not None and state.clean_at_min == -600 + 48 * 60


def test_watches_from_the_night() -> None:
    """29 CFR 1910.423(b)(2): deeper than 100 fsw or outside the no-stop limits (63 min at 60 fsw, table 9-7;
    past 190 fsw there is none) is an hour by the chamber."""
    dives = (past(60, 63, 0), past(60, 64, 10), past(101, 1, 20), past(100, 5, 30), past(200, 1, 40))
    person = Person(name="Ana", duties=frozenset({"diver"}), past_dives=dives)
    assert past_watches(person, CrewRules(), NAVY) == ((10, 70), (20, 80), (40, 100))

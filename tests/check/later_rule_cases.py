"""Cases of the rules of hours, rest, standby dressing and pins, one each way."""

from __future__ import annotations

from datetime import date

from planner.job import Job, Pin, PinKind, WorkSpell
from tests.check.rule_cases import JOB, Case, Pair, on
from tests.world.chamber_day import out_of_heavy_dress, through_the_chamber, two_through_the_chamber
from tests.world.changed import with_person, with_rules
from tests.world.longer_days import a_dressed_standby, over_two_days, two_teams
from tests.world.parts import at
from tests.world.quay import WRAP


def worked(name: str, start_min: int, end_min: int) -> Job:
    """The sound job with hours that a person worked before it."""
    return with_person(JOB, name, past_work=(WorkSpell(start_min=start_min, end_min=end_min),))


def two_days(rest_min: int) -> Pair:
    """Two days with that much rest asked before and between them."""
    plan, job = over_two_days()
    return plan, with_rules(with_person(job, "Tom", last_duty_end_min=None), rest_before_duty_min=rest_min)


def pinned(*pins: Pin) -> Pair:
    return on(JOB.replace(pins=pins))


def with_stage(**gear: object) -> Pair:
    """The dive through the chamber from a station with a stage and a spare hose just long enough."""
    plan, job = through_the_chamber()
    hose = {"spare_hose_length_ft": 60, "spare_hose_tested_on": date(2025, 5, 12)}
    stations = (s.replace(in_water_stage=True, **{**hose, **gear}) for s in job.stations)
    return plan, with_rules(job.replace(stations=tuple(stations)), stage_deeper_than_fsw=100)


LATER_CASES: dict[str, Case] = {
    # the other dive surfaces 09:18; 43 min later is the first minute after
    "one-team-an-item": Case(lambda: two_teams(42), lambda: two_teams(43)),
    "rest-between-days": Case(lambda: two_days(1278), lambda: two_days(1277)),
    # Tom: 07:00 to 09:33 and 11:30 to 12:53 with a gap of 30 min in the first stretch
    "meal-break": Case(
        lambda: on(with_rules(JOB, meal_break_min=31, meal_break_after_min=152)),
        lambda: on(with_rules(JOB, meal_break_min=30, meal_break_after_min=152)),
    ),
    # Sam and Cal: 08:00 to 09:13 and 11:30 to 12:33, with 137 min between
    "watch-relief": Case(
        lambda: on(with_rules(JOB, watch_max_min=240, watch_break_min=138)),
        lambda: on(with_rules(JOB, watch_max_min=240, watch_break_min=137)),
    ),
    # Ana leaves the surface 08:30, 480 min after half past midnight
    "night-duty": Case(
        lambda: on(with_rules(worked("Ana", -100, 30), rest_after_night_min=481)),
        lambda: on(with_rules(worked("Ana", -100, 30), rest_after_night_min=480)),
    ),
    # worked example 13 is in tests/check; here Tom's 236 min of the day and 604 before leave 10 h in the 24
    # hours up to 12:53, the two parts of 483 and 117 min
    "rest-10-in-24": Case(
        lambda: on(with_rules(worked("Tom", -667, -62), rest_in_24h_min=600)),
        lambda: on(with_rules(worked("Tom", -667, -63), rest_in_24h_min=600)),
    ),
    # 10 080 − 236 min
    "rest-77-in-7-days": Case(
        lambda: on(with_rules(JOB, rest_in_7d_min=9845)), lambda: on(with_rules(JOB, rest_in_7d_min=9844))
    ),
    # in the 24 hours from 07:00 the longest part of Tom's rest begins 12:53: 1087 min
    "rest-two-parts": Case(
        lambda: on(with_rules(JOB, rest_in_24h_min=1088, rest_parts=1)),
        lambda: on(with_rules(JOB, rest_in_24h_min=1088, rest_parts=2)),
    ),
    "rest-six-hours": Case(
        lambda: on(with_rules(JOB, rest_in_24h_min=600, rest_long_part_min=1088)),
        lambda: on(with_rules(JOB, rest_in_24h_min=600, rest_long_part_min=1087)),
    ),
    # 07:00 to 09:33 with less than an hour between
    "rest-14-between": Case(
        lambda: on(with_rules(JOB, rest_in_24h_min=600, work_between_rests_max_min=152)),
        lambda: on(with_rules(JOB, rest_in_24h_min=600, work_between_rests_max_min=153)),
    ),
    # undressed 12:58, out of the chamber 12:59
    "in-the-chamber": Case(lambda: through_the_chamber(at(12, 58)), through_the_chamber),
    # 1:20 from 40 fsw to the surface and 0:30 of compression leave 3:10 of the five minutes
    "chamber-in-time": Case(lambda: out_of_heavy_dress(4), lambda: out_of_heavy_dress(3)),
    # the one before is at the surface 12:38 and out of the chamber 12:59
    "chamber-one-at-a-time": Case(lambda: two_through_the_chamber(20), lambda: two_through_the_chamber(21)),
    # 60 fsw and no way out; the day is 12 May 2026
    "heavy-stage-and-hose": Case(
        lambda: with_stage(spare_hose_tested_on=date(2025, 5, 11)), lambda: with_stage()
    ),
    "standby-dressing": Case(lambda: a_dressed_standby(42), lambda: a_dressed_standby(43)),
    "pins-kept": Case(
        lambda: pinned(Pin(kind=PinKind.DIVES, item=WRAP, person="Ana", start_min=at(8, 31))),
        lambda: pinned(Pin(kind=PinKind.DIVES, item=WRAP, person="Ana", start_min=at(8, 30))),
    ),
}

"""The schedule that applies to a dive as it was made. Numbers are read off the published tables 9-6 to 9-9 of
the U.S. Navy Diving Manual, Revision 7, not computed by the program."""

from __future__ import annotations

import pytest

from planner.job import Job, PastDive, Policy
from planner.log.day_log import Kind
from planner.log.exposures import ActualExposure, actual_exposures, after_dives, on_row_until_min
from planner.log.wording import after_lines
from planner.plan import Plan
from tests.log.logging import day_of, dived, entry
from tests.world.changed import with_person, with_rules
from tests.world.parts import PLAIN_RULES, at
from tests.world.quay import ANODES, WRAP, a_plan, with_air

JOB: Job = with_air()
PLAN: Plan = a_plan()


def _of(dive: str, *entries: object, now: int = at(12), job: Job = JOB) -> ActualExposure:
    found = actual_exposures(day_of(job, PLAN, *entries), now)  # type: ignore[arg-type]
    return next(a for a in found if a.dive.id == dive)


def test_a_dive_as_planned_stays_on_its_row() -> None:
    """58 fsw for 41 min is no-stop (limit 63) and leaves group H (table 9-7): as planned, nothing flagged."""
    one = _of("1", *dived("1", at(8, 30), at(9, 11), at(9, 13)), entry(Kind.DEPTH, at(9), "1", depth_fsw=58))
    assert (one.group_after, one.off_row, one.flags) == ("H", False, ())
    assert one.schedule is not None
    assert one.schedule.way_up == "no-stop"


def test_a_dive_that_runs_long_gets_stops() -> None:
    """70 min at 58 fsw is row 60/70 of table 9-9: 7 min at 20 fsw on air, ascent 9:00, group L. The job
    allows no stops, so it is off the plan's row and outside the policy, and the surface is reached nine
    minutes after leave bottom."""
    one = _of("1", *dived("1", at(8, 30), at(9, 40), None))
    assert one.schedule is not None
    assert (one.schedule.depth_fsw, one.schedule.time_min) == (60, 70)
    assert [(s.depth_fsw, s.minutes, s.gas) for s in one.schedule.stops] == [(20, 7, "air")]
    assert "9-9" in one.schedule.table
    assert (one.group_after, one.off_row, one.outside_policy) == ("L", True, True)
    assert one.up_at_min() == at(9, 49)


def test_a_dive_that_goes_deep_changes_its_row() -> None:
    """72 fsw for 41 min enters 80 fsw, limit 39: row 80/45 of table 9-9, with stops at 20 fsw."""
    one = _of("1", *dived("1", at(8, 30), at(9, 11), None), entry(Kind.DEPTH, at(9), "1", depth_fsw=72))
    assert one.schedule is not None
    assert (one.schedule.depth_fsw, one.schedule.time_min) == (80, 45)
    assert one.schedule.decompression
    assert one.off_row


def test_a_shorter_and_shallower_dive_is_no_alarm() -> None:
    """30 min at 40 fsw is less than planned: no-stop, a lower group, not off the row."""
    one = _of("1", *dived("1", at(8, 30), at(9), at(9, 2)), entry(Kind.DEPTH, at(9), "1", depth_fsw=40))
    assert not one.off_row
    assert one.flags == ()


def test_before_leave_bottom_the_row_is_told_as_if_he_left_now() -> None:
    """While he is down the bottom time runs; at 09:33 it is 63 min, the last on the row without stops."""
    entries = dived("1", at(8, 30), None, None)
    one = _of("1", *entries, now=at(9, 33))
    assert not one.off_row
    assert on_row_until_min(one, JOB) == at(9, 33)
    assert _of("1", *entries, now=at(9, 34)).off_row


def test_under_ten_minutes_is_one_dive() -> None:
    """60 fsw 30 min then 50 fsw 25 min, 8 min between: one dive, 60 fsw for 55 min, no stop, group J (worked
    example in the manual's rule for intervals under ten minutes; table 9-7)."""
    entries = (
        *dived("A", at(8), at(8, 30), at(8, 32), item=WRAP, people=("Ana",), station="North side"),
        entry(Kind.DEPTH, at(8, 10), "A", depth_fsw=60),
        *dived("B", at(8, 40), at(9, 5), at(9, 7), item=WRAP, people=("Ana",), station="North side"),
        entry(Kind.DEPTH, at(8, 50), "B", depth_fsw=50),
    )
    one = _of("B", *entries)
    assert (one.series_depth_fsw, one.series_bottom_min, one.group_after) == (60, 55, "J")
    assert one.schedule is not None
    assert not one.schedule.decompression
    assert "counted as one dive" in one.flags[0]


def test_the_second_dive_counts_the_first() -> None:
    """H, 2:47 on the surface, is E (table 9-8); residual nitrogen 29 min at 60 fsw; with 31 min 60: K."""
    entries = (*dived("1", at(8, 30), at(9, 11), at(9, 13)), *dived("3", at(12), at(12, 31), at(12, 33)))
    one = _of("3", *entries, now=at(13))
    assert one.exposure is not None
    assert (one.group_before, one.exposure.residual_nitrogen_min, one.exposure.equivalent_min) == (
        "E",
        29,
        60,
    )
    assert one.group_after == "K"
    assert not one.off_row


def test_a_late_first_dive_moves_the_second_off_its_group() -> None:
    """Up at 10:13 instead of 09:13: 1:47 on the surface is F, not E (table 9-8); residual 35 min at 60 fsw
    and 31 min are 66, over 63: stops."""
    entries = (*dived("1", at(9, 30), at(10, 11), at(10, 13)), *dived("3", at(12), at(12, 31), None))
    one = _of("3", *entries, now=at(13))
    assert one.group_before == "F"
    assert one.off_row
    assert "At leave surface group F; the plan has group E." in one.flags


def test_exceptional_exposure_has_no_row_here() -> None:
    """190 fsw for 120 min is an exceptional exposure (table 9-9): no row, said so, off the row."""
    entries = (*dived("1", at(8, 30), at(10, 30), None), entry(Kind.DEPTH, at(9), "1", depth_fsw=190))
    one = _of("1", *entries)
    assert one.exposure is None
    assert one.off_row
    assert "190 fsw" in one.refusal


def test_up_too_soon_is_told() -> None:
    """Nine minutes of ascent are asked after 70 min; two were taken: stops were left out."""
    one = _of("1", *dived("1", at(8, 30), at(9, 40), at(9, 42)))
    assert any("stops were left out" in f for f in one.flags)


def test_what_comes_after_a_dive() -> None:
    """Group H: no flight for 11:04 (table 9-6, 8,000 ft: 664 min); at 60 fsw H leaves 63 - 46 = 17 no-stop
    minutes, so he may stand by at once after ten minutes; the next dive after the job's hour of interval."""
    after = after_dives(day_of(JOB, PLAN, *dived("1", at(8, 30), at(9, 11), at(9, 13))), at(10))[0]
    assert (after.person, after.group, after.chamber_until_min) == ("Ana", "H", None)
    assert after.fly_from_min == at(9, 13) + 664
    assert after.standby_from_min == at(9, 23)
    assert after.dive_from_min == at(10, 13)


def test_the_highest_group_of_24_hours_decides_when_to_fly() -> None:
    """Table 9-6, note 1 (NOAA Diving Center newsletter, October 1999): a dive before the job left M, the dive
    of today H; M's 18:00 counts from today's dive on."""
    before = PastDive(depth_fsw=60, bottom_time_min=80, surfaced_min=at(17) - 1440, group_after="M")
    job = with_person(JOB, "Ana", past_dives=(before,))
    after = after_dives(day_of(job, PLAN, *dived("1", at(8, 30), at(9, 11), at(9, 13))), at(10))[0]
    assert after.fly_from_min == at(9, 13) + 18 * 60
    assert "Does not fly before Wed" in "\n".join(after_lines(after, job))


def test_the_hour_by_the_chamber_follows_a_dive_with_stops() -> None:
    """29 CFR 1910.423(b)(2): at least 1 h near the chamber after a dive outside the no-stop limits. Group L
    must fall to H (residual 46 min, 17 left) before he stands by at 60 fsw: 3:30 (table 9-8)."""
    after = after_dives(day_of(JOB, PLAN, *dived("1", at(8, 30), at(9, 40), at(9, 49))), at(10))[0]
    assert after.chamber_until_min == at(10, 49)
    assert after.standby_from_min == at(9, 49) + 210


@pytest.mark.parametrize(("trigger_fsw", "until_min"), [(58, None), (57, at(10, 13))])
def test_the_hour_by_the_chamber_at_the_trigger_itself(trigger_fsw: int, until_min: int | None) -> None:
    """Deeper than the trigger: 58 fsw without stops are not deeper than 58."""
    job = with_rules(JOB, chamber_trigger_fsw=trigger_fsw)
    after = after_dives(day_of(job, PLAN, *dived("1", at(8, 30), at(9, 11), at(9, 13))), at(10))[0]
    assert after.chamber_until_min == until_min


def test_two_dives_a_day_end_the_diving() -> None:
    """The job's limit of dives a day (common practice: two)."""
    entries = (*dived("1", at(8, 30), at(9, 11), at(9, 13)), *dived("3", at(12), at(12, 31), at(12, 33)))
    after = after_dives(day_of(JOB, PLAN, *entries), at(13))[0]
    assert after.dive_from_min is None
    assert "2 a day at most" in after.no_dive_because


def test_the_next_day_counts_its_own_dives() -> None:
    """Two dives a day, by the calendar day: what was dived yesterday does not count today."""
    entries = (*dived("1", at(8, 30), at(9, 11), at(9, 13)), *dived("3", at(12), at(12, 31), at(12, 33)))
    job = JOB.replace(site=JOB.site.replace(days=2))
    after = after_dives(day_of(job, PLAN, *entries), at(24 + 7))[0]
    assert after.no_dive_because == ""
    assert after.dive_from_min is not None


def test_the_jobs_margin_is_kept_and_told() -> None:
    """With 25 min of margin the longest no-stop dive at 58 fsw is 38 min; 41 min are within the table's limit
    of 63 all the same: the row without stops applies, outside the job's own rule."""
    job = JOB.replace(site=JOB.site.replace(margin_min=25))
    one = _of("1", *dived("1", at(8, 30), at(9, 11), None), job=job)
    assert one.schedule is not None
    assert not one.schedule.decompression
    assert one.outside_policy


@pytest.mark.parametrize("watch", [0, 90])
def test_the_watch_is_the_jobs(watch: int) -> None:
    """The length of the watch by the chamber is a rule of the job."""
    job = JOB.replace(rules=PLAIN_RULES.replace(chamber_watch_min=watch, minima=JOB.rules.minima))
    after = after_dives(day_of(job, PLAN, *dived("1", at(8, 30), at(9, 40), at(9, 49))), at(10))[0]
    assert after.chamber_until_min == at(9, 49) + watch


def test_the_entry_diver_is_in_the_water_too() -> None:
    """Both people of dive 2 get their own line: 36 fsw for 41 min is group E (table 9-7, 40 fsw)."""
    found = actual_exposures(day_of(JOB, PLAN, *dived("2", at(8, 35), at(9, 16), at(9, 18))), at(10))
    assert [(a.person, a.group_after) for a in found] == [("Bo", "E"), ("Cruz", "E")]
    assert found[0].dive.item.name == ANODES


def test_longer_than_planned_is_told_though_the_row_holds() -> None:
    """41 min were planned; after 55 min the row without stops still holds (63), and the 14 min are told."""
    one = _of("1", *dived("1", at(8, 30), None, None), now=at(9, 25))
    assert not one.off_row
    assert "14 min longer on the bottom than planned (41 min)." in one.flags


def test_surface_decompression_counts_from_the_end_of_the_chamber() -> None:
    """80 fsw for 60 min by surface decompression (table 9-9): the surface comes after the water part of the
    ascent, everything else (flying, clean, the next dive) counts from the end of the chamber."""
    site = JOB.site.replace(policy=Policy.SURFACE_DECOMPRESSION)
    job = JOB.replace(site=site, rules=JOB.rules.replace(chamber_heavy_min=3))
    down = (*dived("1", at(8, 30), at(9, 30), None), entry(Kind.DEPTH, at(9), "1", depth_fsw=80))
    one = _of("1", *down, job=job)
    assert one.schedule is not None
    assert one.schedule.way_up == "surface decompression"
    up, out = one.up_at_min(), one.out_at_min()
    assert up is not None
    assert out is not None
    assert out == at(9, 30) + -(-one.schedule.ascent_s // 60)
    assert up < out
    rest = after_dives(day_of(job, PLAN, *down, entry(Kind.REACH_SURFACE, up, "1")), at(13))[0]
    assert rest.surfaced_min == out
    assert rest.chamber_until_min == out + 60

"""Rules that say *deeper than* take the gauge's corrections in: 58 fsw read by pneumofathometer are 59.

U.S. Navy Diving Manual, Revision 7, chapter 9 study material: the corrected depth is the greatest depth.
"""

from __future__ import annotations

from pathlib import Path

from planner.check import check
from planner.day import crew_counts
from planner.hours.worked import CHAMBER_WATCH, from_plan
from planner.job import CrewMinimum, Job
from planner.job.duties import CHAMBER_OPERATOR
from planner.job.site import DepthGauge
from planner.log.day_log import Kind
from planner.log.exposures import after_dives
from planner.log.happened import dives_by_person
from planner.log.judge import depth_flags
from planner.plan import Plan
from planner.schedule.problem.prepare import prepare
from planner.sheets.dive_record_book import DEEPER_FSW
from planner.workbook.job_reader import read_job
from tests.log.logging import day_of, dived, entry
from tests.world.changed import with_rules, with_site
from tests.world.parts import PLAIN, at
from tests.world.quay import a_job, a_plan

PLAN: Plan = a_plan()
AS_READ: Job = with_rules(a_job(), chamber_trigger_fsw=58)
CORRECTED: Job = with_site(AS_READ, pneumofathometer_correction=True)
CASE = Path(__file__).parents[1] / "cases" / "hundred_by_pneumofathometer.xlsx"


def broken(job: Job) -> set[str]:
    """Ids of the rules that the plan of the quay breaks on a job."""
    return {b.rule for b in check(job, PLAN)}


def test_the_trigger_of_the_chamber() -> None:
    """59 fsw are past a trigger of 58: a chamber within five minutes."""
    far = with_site(AS_READ, chamber_minutes_away=6)
    assert broken(far) == set()
    found = check(with_site(far, pneumofathometer_correction=True), PLAN)
    told = next(b.sentence for b in found if b.rule == "chamber-at-location")
    assert "59 fsw (58 read) is deeper than 58 fsw" in told


def test_the_greatest_depth_of_the_job() -> None:
    """The job's greatest depth holds for what is there, not for what is read."""
    assert broken(with_rules(AS_READ, greatest_depth_fsw=58)) == set()
    assert "greatest-depth" in broken(with_rules(CORRECTED, greatest_depth_fsw=58))
    assert "greatest-depth" not in broken(
        with_rules(CORRECTED, greatest_depth_fsw=59, chamber_trigger_fsw=59)
    )


def test_a_crew_row_by_depth() -> None:
    """A row for dives deeper than 58 fsw holds at 59, in the check and in what the search asks for."""
    row = CrewMinimum(duty="crane", count=2, deeper_than_fsw=58, source="this job, for the test")
    with_row = {
        job: with_rules(job, minima=(*job.rules.minima, row), chamber_trigger_fsw=100)
        for job in (AS_READ, CORRECTED)
    }
    assert "crew-other" not in broken(with_row[AS_READ])
    assert "crew-other" in broken(with_row[CORRECTED])
    for job, count in ((with_row[AS_READ], None), (with_row[CORRECTED], 2)):
        deepest = max(job.dive_items, key=lambda i: i.depth_fsw)
        assert crew_counts(job, deepest).get("crane") == count


def test_a_gauge_with_a_fixed_reference() -> None:
    """At 1,200 ft it reads 2 fsw too little (U.S. Navy Diving Manual, Revision 4, 9-44)."""
    high = with_site(AS_READ, altitude_ft=1200, depth_gauge=DepthGauge.FIXED, chamber_minutes_away=6)
    told = [b.sentence for b in check(high, PLAN) if b.rule == "chamber-at-location"]
    assert any("60 fsw (58 read)" in sentence for sentence in told)


def test_hours_and_log_take_the_same_depth() -> None:
    """Depth premium and hour by the chamber, the log's chamber watch, its past dives and flags."""
    for job, depth, watched in ((AS_READ, 58, False), (CORRECTED, 59, True)):
        record = from_plan(PLAN, job)
        assert max(d.greatest_depth_fsw for d in record.dives) == depth
        assert any(s.duty == CHAMBER_WATCH for s in record.spells) is watched
        log = (*dived("1", at(8, 30), at(9, 11), at(9, 13)), entry(Kind.DEPTH, at(9), "1", depth_fsw=58))
        day = day_of(job, PLAN, *log)
        after = after_dives(day, at(10))[0]
        assert (after.chamber_until_min == at(10, 13)) is watched
        assert dives_by_person(day, at(10))["Ana"][0].depth_fsw == depth
        flags = " ".join(depth_flags(58, with_rules(job, greatest_depth_fsw=58), None))
        assert ("59 fsw (58 read) is deeper than this job's greatest depth" in flags) is watched


def test_a_hundred_by_pneumofathometer_asks_for_a_chamber() -> None:
    """100 fsw read are 101: without a chamber in reach nothing; with one, an operator comes along.

    29 CFR 1910.423(c): deeper than 100 fsw; 101 fsw by the manual's correction.
    """
    job = with_rules(read_job(CASE), **PLAIN)
    deep = prepare(job).work_of("Sling the sunken winch")
    assert deep.item.depth_fsw == DEEPER_FSW == 100
    assert deep.chamber_watch_always
    assert not deep.modes
    near = prepare(with_site(job, chamber_minutes_away=0)).work_of("Sling the sunken winch")
    assert near.modes
    assert CHAMBER_OPERATOR in {post.duty for post in near.posts}
    plain = prepare(with_site(job, pneumofathometer_correction=False)).work_of("Sling the sunken winch")
    assert plain.modes
    assert not plain.chamber_watch_always

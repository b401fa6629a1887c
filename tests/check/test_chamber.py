"""Surface decompression on oxygen in the check: when the surface is reached, and when the chamber is left."""

from __future__ import annotations

import json

import pytest

from planner.check import check
from planner.job import CrewMinimum, CrewRules, Gear, Job, Policy
from planner.job.duties import CHAMBER_OPERATOR, DEFAULT_MINIMA, DIVER, STANDBY, TENDER
from planner.job.presets import PRESETS
from planner.plan import Plan, from_json, no_flight, to_json
from tests.world.chamber_day import (
    operator_until,
    out_of_heavy_dress,
    through_the_chamber,
    two_through_the_chamber,
)
from tests.world.changed import (
    shifted,
    with_dive,
    with_diver,
    with_item,
    with_person,
    with_rules,
    with_site,
    with_spells,
    without,
)
from tests.world.parts import at
from tests.world.quay import ANODES, BOAT, SOUTH, WRAP, a_job, a_plan


def broken(plan: Plan, job: Job) -> set[str]:
    """Ids of the rules that a plan breaks."""
    return {b.rule for b in check(job, plan)}


def test_surface_and_chamber_follow_from_table_9_9() -> None:
    """60 fsw / 65 min, half a period: 2 min to the surface, 22:20 until out, from leave bottom 12:36."""
    plan, job = through_the_chamber()
    assert check(job, plan) == ()
    for out in (None, at(12, 58), at(13, 0)):
        assert "times-in-order" in broken(with_dive(plan, "3", out_of_chamber_min=out), job)
    late = with_dive(plan, "3", reach_surface_min=at(12, 59))
    assert "times-in-order" in broken(late, job)


def test_a_dive_in_the_water_only_has_no_time_in_the_chamber() -> None:
    """Nobody goes through it: a time out of the chamber is a wrong time."""
    plan, job = through_the_chamber()
    assert "times-in-order" in broken(with_dive(plan, "1", out_of_chamber_min=at(9, 40)), job)


def test_the_operator_stays_an_hour_after_the_chamber() -> None:
    """29 CFR 1910.423(c): until an hour after the dive, which ends 12:59 in the chamber."""
    assert broken(*operator_until(at(13, 58))) == {"crew-chamber-operator"}
    assert broken(*operator_until(at(13, 59))) == set()


def test_the_day_holds_the_chamber() -> None:
    """Undressed 12:58 and out of the chamber 12:59: the day may not end before."""
    plan, job = operator_until(at(12, 59))
    job = with_rules(job, chamber_watch_min=0)
    plan = with_spells(plan, "3", DIVER, "Ana", end_min=at(12, 58))
    early = with_site(job, day_end=job.clock.at(at(12, 58)).time())
    outside = {b.where for b in check(early, plan) if b.rule == "day-window"}
    assert f"dive 3 ({WRAP})" in outside
    assert broken(plan, early) == {"day-window", "in-the-chamber"}
    assert broken(plan, job) == {"in-the-chamber"}


def test_a_diver_in_the_chamber_does_nothing_else() -> None:
    """He may not tend another dive between undressing and leaving the chamber."""
    plan, job = through_the_chamber(at(12, 58))
    ana = next(s for s in plan.duties if (s.dive, s.duty) == ("3", DIVER))
    rig = next(s for s in plan.duties if s.dive is None and s.duty == TENDER)
    job = with_person(job, "Ana", duties=frozenset({DIVER, TENDER}))
    extra = rig.replace(person="Ana", start_min=at(12, 58), end_min=at(13, 10))
    found = [b for b in check(job, plan.replace(duties=(*plan.duties, extra))) if b.rule == "in-the-chamber"]
    assert len(found) == 2
    assert any("12:59" in b.sentence and "tender" in b.sentence for b in found)
    # with the whole spell held it is a second duty at once
    whole = plan.replace(duties=(*(s for s in plan.duties if s is not ana), ana.replace(end_min=at(12, 59))))
    assert broken(whole, job) == set()
    assert broken(whole.replace(duties=(*whole.duties, extra)), job) == {"one-duty-at-a-time"}


def test_a_lowered_trigger_brings_the_operator_whatever_the_rows_say() -> None:
    """29 CFR 1910.423(c): an operator wherever a dive needs the chamber. The dives to 58 fsw need one under a
    trigger of 57 fsw and none under 58; rows that ask for nobody, rows of a named team (whose deepest asks
    from 100 fsw) and a row of nought change nothing of it."""
    plan, job = a_plan(), a_job()
    nobody = without(without(plan, "1", CHAMBER_OPERATOR, "Pia"), "3", CHAMBER_OPERATOR, "Pia")
    none = tuple(row for row in job.rules.minima if row.duty != CHAMBER_OPERATOR)
    nought = CrewMinimum(duty=CHAMBER_OPERATOR, count=0, source="test")
    enclosed_only = CrewMinimum(
        duty=CHAMBER_OPERATOR, count=1, gear=Gear.HEAVY, enclosed_space=True, source="test"
    )
    boat = tuple(row for row in job.rules.minima if row.duty == BOAT)
    for rows in (none, (*none, nought), (*none, enclosed_only), (*DEFAULT_MINIMA, *boat)):
        low = with_rules(job, minima=rows, chamber_trigger_fsw=57)
        assert broken(plan, low) == set()
        assert broken(nobody, low) == {"crew-chamber-operator"}
        assert broken(nobody, with_rules(low, chamber_trigger_fsw=58)) == set()
        short = with_spells(plan, "1", CHAMBER_OPERATOR, "Pia", end_min=at(10, 12))
        assert broken(short, low) == {"crew-chamber-operator"}
        assert broken(plan, with_site(low, chamber_minutes_away=6)) == {"chamber-at-location"}


def test_rows_that_ask_for_the_operator_stay_as_they_are() -> None:
    """Nothing is added where the job's own rows ask for one wherever the chamber is needed: as shipped, with
    every named team, and with one row that always holds."""
    for rows in (
        *(team.minima for team in PRESETS.values()),
        (CrewMinimum(duty=CHAMBER_OPERATOR, count=2, source="test"),),
    ):
        assert CrewRules(minima=rows).asked_rows == rows
    low = CrewRules(minima=DEFAULT_MINIMA, chamber_trigger_fsw=40)
    (added,) = low.asked_rows[len(DEFAULT_MINIMA) :]
    assert (added.duty, added.count, added.deeper_than_fsw) == (CHAMBER_OPERATOR, 1, 40)


@pytest.mark.parametrize(("watch", "rules"), [(0, {"standby-able-to-go"}), (60, {"chamber-watch"})])
def test_nobody_stands_by_from_the_chamber(watch: int, rules: set[str]) -> None:
    """The anode dive moved to leave the surface 12:45: a diver who is up since 12:38 and in the chamber
    until 12:59 is neither clean nor free, whatever the watch afterwards."""
    plan, job = through_the_chamber()
    plan = shifted(with_diver(plan, "2", "Bo", surface_interval_min=885), "2", at(12, 45) - at(8, 35))
    plan = with_spells(plan, "2", STANDBY, "Eli", person="Ana", start_min=at(12, 45))
    job = with_item(job, ANODES, needs_slack=False, station=SOUTH)
    found = broken(plan, with_rules(job, chamber_watch_min=watch))
    assert rules <= found
    assert "one-duty-at-a-time" in found


def test_the_chamber_has_the_places_that_the_job_gives_it() -> None:
    """Two dives in it together: convicted with one place, held with two."""
    assert broken(*two_through_the_chamber(0)) == {"chamber-one-at-a-time"}
    assert broken(*two_through_the_chamber(0, places=2)) == set()


def test_from_40_fsw_to_the_chamber_in_five_minutes() -> None:
    """U.S. Navy Diving Manual, surface decompression: at most 5 min from leaving 40 fsw to 50 fsw in the
    chamber. 1:20 up at 30 fsw a minute and 0:30 of compression leave 3:10 for dress and way; the sum is told.
    """
    for dress, way, sound in ((3, 0, True), (2, 1, True), (0, 3, True), (2, 2, False), (0, 4, False)):
        assert broken(*out_of_heavy_dress(dress, way)) == (set() if sound else {"chamber-in-time"})
    plan, job = out_of_heavy_dress(20, 5)
    (found,) = check(job, plan)
    assert found.rule == "chamber-in-time"
    parts = ("leaving 40 fsw", "1:20 up", "20 min out of heavy dress", "5 min to the chamber", "26:50 in all")
    assert [part for part in (*parts, "5:00 at most") if part not in found.sentence] == []
    assert CrewRules().chamber_heavy_min == 20


def test_without_surface_decompression_the_row_is_refused() -> None:
    """The same times under a policy without stops: no way up."""
    plan, job = through_the_chamber()
    assert "way-up-policy" in broken(plan, with_site(job, policy=Policy.NO_STOP))


def test_the_wait_before_flying_counts_from_the_chamber() -> None:
    """Table 9-6 counts from the end of the dive: 12:59, not 12:38."""
    plan, job = through_the_chamber()
    ana = next(wait for wait in no_flight(plan, job) if wait.person == "Ana")
    assert (ana.surfaced_min, ana.group) == (at(12, 59), "L")


def test_out_of_the_chamber_is_written_and_read_back() -> None:
    """A time where there is one, null where not; a plan written before the key existed reads as null."""
    plan, job = through_the_chamber()
    text = to_json(plan, job)
    assert from_json(text, job).dives == plan.dives
    content = json.loads(text)
    assert [d["out_of_chamber"] for d in content["dives"]] == [None, None, "2026-05-12T12:59:00+01:00"]
    for dive in content["dives"]:
        del dive["out_of_chamber"]
    old = from_json(json.dumps(content), job)
    assert [d.out_of_chamber_min for d in old.dives] == [None, None, None]

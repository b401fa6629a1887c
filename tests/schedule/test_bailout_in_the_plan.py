"""Bailout bottles decide which dives are planned, and in which outfits (29 CFR 1910.425(c)(4))."""

from __future__ import annotations

from planner.air.bailout import bottles_carried
from planner.check import check
from planner.job import Job, Policy
from planner.schedule import solve
from planner.schedule.problem.prepare import prepare
from planner.schedule.what_it_takes import candidates
from tests.schedule.test_policies import chamber_job


def with_bottles(made: Job, *shown_psi: float | None) -> Job:
    """The bottles of the outfits in order: what each shows; None for an outfit without one."""
    outfits = [
        o.replace(bailout_psi=psi, bailout_cuft=None if psi is None else 0.4, bailout_working_psi=3000)
        for o, psi in zip(made.outfits, shown_psi, strict=True)
    ]
    return made.replace(outfits=tuple(outfits))


def stops_job(*shown_psi: float | None) -> Job:
    """One item of 50 min at 78 fsw in a light helmet: with stops (80/55) in one dive."""
    return with_bottles(chamber_job(Policy.IN_WATER_STOPS), *shown_psi)


def in_pieces(made: Job) -> Job:
    return made.replace(dive_items=tuple(i.replace(splittable=True) for i in made.dive_items))


def test_without_bottles_no_dive_with_stops() -> None:
    """78 fsw for 50 min in one dive has stops, and nobody carries a bottle: left, and the rule is named."""
    outcome = solve(stops_job(None, None, None, None), seconds=3)
    assert outcome.plan is None
    (reason,) = outcome.reasons["Deep"]
    assert reason.rule == "bailout-carried"
    assert "there are 0" in reason.sentence
    assert "none given" in reason.sentence


def test_without_bottles_it_is_done_in_dives_without_stops() -> None:
    """To 100 fsw and without stops no bottle is asked for: the same minutes in two dives."""
    made = in_pieces(stops_job(None, None, None, None))
    outcome = solve(made, seconds=6, workers=1, only_work=True)
    assert outcome.plan is not None
    assert check(made, outcome.plan) == ()
    assert outcome.plan.worked_min("Deep") == 50
    assert not any(d.schedule.decompression for dive in outcome.plan.dives for d in dive.divers)


def test_only_full_bottles_go_down() -> None:
    """Two of four bottles are full: diver and standby of the dive with stops wear those two."""
    made = stops_job(100, 2800, 400, 2800)
    outcome = solve(made, seconds=6, workers=1, only_work=True)
    assert outcome.plan is not None
    (dive,) = outcome.plan.dives
    carried = bottles_carried(outcome.plan, made, dive)
    assert {b.outfit.name for b in carried} == {made.outfits[1].name, made.outfits[3].name}
    assert all(b.asked and b.needed_psi is not None and b.needed_psi <= 2800 for b in carried)


def test_one_full_bottle_is_too_few() -> None:
    """Diver and standby carry one each: with one full bottle the dive with stops is left."""
    outcome = solve(stops_job(100, 2800, 400, 0), seconds=3)
    assert outcome.plan is None
    assert outcome.reasons["Deep"][0].rule == "bailout-carried"


def test_charging_the_bottles_is_offered() -> None:
    """Among what would make the item possible: every bottle charged to its working pressure."""
    told = {kind: sentence for kind, sentence, _ in candidates(stops_job(100, 2800, 400, 0), "Deep")}
    assert told["bottles"] == "every bailout bottle charged to its working pressure"


def test_a_bottle_for_some_ways_up_only_is_not_called_proven() -> None:
    """Asked for at any depth, 0.4 cu ft at 78 fsw: 919 psi to a first stop at 20 fsw, 991 psi to none.

    A bottle of 950 psi is left out of both, so the bounds of that model are no proofs of every plan.
    """
    every = in_pieces(stops_job(2800, 2800, 2800, 2800))
    every = every.replace(rules=every.rules.replace(bailout_deeper_than_fsw=50))
    (full,) = prepare(every).dives
    assert len(full.outfits) == 4
    for shown_psi, left_out in ((918, False), (950, True), (991, False)):
        (work,) = prepare(with_bottles(every, 2800, 2800, 2800, shown_psi)).dives
        assert work.shut_out_by_bottle is left_out
        assert len(work.outfits) == (4 if shown_psi == 991 else 3)
    assert prepare(every).as_wide_as_the_check
    assert not prepare(with_bottles(every, 2800, 2800, 2800, 950)).as_wide_as_the_check

"""The model is as wide as the check, or claims no proof; a refused candidate never ends a run with nothing.

The workbooks in ``tests/cases`` are jobs on which an independent reader of the rules found a better plan than
one called proven best, or a run that ended with no plan; people and places are invented.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from planner.check import check
from planner.cli.main import main
from planner.errors import PlanRefused
from planner.job import AirRole, CrewNeed, Job, Person, SurfaceItem, WaterWindow
from planner.job.duties import STANDBY_TENDER, TENDER, DutyPair
from planner.plan.finding import Finding
from planner.plan.model import Plan, Status
from planner.plan.plan_json import read_plan
from planner.schedule import first_plan, solve
from planner.schedule.model.deadline import SECONDS_A_COUNTED
from planner.schedule.search.goals import PEOPLE
from planner.workbook.job_reader import read_job
from tests.attack.claims import broken_bound, values_of
from tests.schedule.day import PEOPLE as EIGHT
from tests.schedule.day import item, job
from tests.workbook.job_files import workbook_of
from tests.world import parts
from tests.world.changed import with_rules
from tests.world.parts import PLAIN

CASES = Path(__file__).parents[1] / "cases"


def case(name: str) -> Job:
    return with_rules(read_job(CASES / f"{name}.xlsx"), **PLAIN)


def better(name: str, of: Job) -> Plan:
    return read_plan(CASES / f"{name}.better.json", of)


@cache
def planned(of: Job, seconds: float = 20.0, *, only_work: bool = False) -> Plan:
    """The plan that one worker comes to; searched for once."""
    plan = solve(of, seconds=seconds, workers=1, only_work=only_work).plan
    assert plan is not None and not check(of, plan)
    return plan


def values(plan: Plan) -> dict[str, float]:
    return {stage.name: stage.value for stage in plan.stages}


# ------------------------------------------------------------------ pieces of an item


@pytest.mark.long
def test_nothing_is_proven_where_an_item_may_come_in_more_pieces_than_are_offered() -> None:
    """Six slack windows of 23 min and 120 min of work at 30 fsw: six dives of 20 min do all of it, a thing
    that a model with fewer dives cannot rule out."""
    windows = tuple(WaterWindow(start_min=480 + 90 * k, end_min=503 + 90 * k) for k in range(6))
    of = job(item("A", 30, 120, needs_slack=True, least_useful_min=10), water_windows=windows)
    plan = planned(of, 4.0 * SECONDS_A_COUNTED)
    assert plan.status is Status.LOOKED_FOR
    [work] = [stage for stage in plan.stages if stage.name == "work finished"]
    assert not work.proven and work.bound >= 480


def test_what_has_no_weight_is_no_part_of_all_the_work() -> None:
    """Two dives, the second of a priority with weight 0: a plan without it holds and ends after the first, 92
    min from 07:00. The search took all items for the work there is and called 10:04 proven best."""
    of = with_rules(job(item("A", 30, 40), item("B", 30, 40, priority=5)), priority_weights=(16, 8, 4, 2, 0))
    plan = planned(of, seconds=4.0)
    assert plan.status is Status.PROVEN_BEST
    assert values(plan)["finish"] == 420 + 92
    (left,) = plan.leftovers
    assert left.item == "B" and "weight 0" in left.reasons[0].sentence


def test_surface_work_without_weight_bounds_nothing() -> None:
    """Three surface items of a priority with weight 0, one after another by the only rigger: no hour of them
    is told as a finish that no plan beats, beside a dive of 92 min."""
    rig = tuple(
        SurfaceItem(name=f"Rig {k}", duration_min=120, crew=(CrewNeed(duty="rigger", count=1),), priority=5)
        for k in range(3)
    )
    rigger = parts.person("Rob", "rigger")
    of = job(item("A", 30, 40), people=(*EIGHT, rigger), surface_items=rig)
    of = with_rules(of, priority_weights=(16, 8, 4, 2, 0))
    plan = planned(of, seconds=4.0)
    finish = next(s for s in plan.stages if s.name == "finish")
    assert finish.bound <= finish.value == 420 + 92


# ------------------------------------------------------------------ one dive, one crew


def test_who_dresses_the_diver_tends_him() -> None:
    """A tender relieved at leave surface: the plan of 240 weighted minutes breaks ``hand-over``,
    so the 188 of the plan with one tender from dressing to undressed may be called proven best (who has
    dressed the diver stays with him: common practice)."""
    of = case("hand_over_at_leave")
    found = {f.rule for f in check(of, better("hand_over_at_leave", of))}
    assert found == {"hand-over", "standby-dressing"}
    plan = planned(of)
    assert plan.status is Status.PROVEN_BEST
    assert values(plan)["work finished"] == 188


def test_nothing_is_proven_where_a_duty_may_change_hands_in_mid_dive() -> None:
    """The check allows it where the job does, the model never plans it: best of the plans looked for."""
    of = case("hand_over_at_leave")
    of = of.replace(rules=of.rules.replace(hand_over_min=5, hand_over_lead_min=10))
    plan = planned(of)
    assert plan.status is Status.LOOKED_FOR
    assert not next(s for s in plan.stages if s.name == "work finished").proven


# ------------------------------------------------------------------ a plan, whatever the order


def test_a_pair_with_the_chamber_operator_in_either_order() -> None:
    """A duty that may be held with that by the chamber: one plan, whichever cell names which."""
    plans = [planned(case(f"pair_chamber_operator{order}")) for order in ("", "_other_order")]
    assert values(plans[0]) == values(plans[1])
    assert {p.status for p in plans} == {Status.PROVEN_BEST}
    assert values(plans[0])["work finished"] == 160


def test_a_pair_holds_for_one_dive() -> None:
    """The chamber operator of one dive is not the second half of a pair on the next: one person, one dive."""
    of = case("pair_chamber_operator")
    pair = of.rules.pairs[-1]
    plan = planned(of)
    held = [s for s in plan.duties if s.duty in (pair.duty, pair.with_duty)]
    both = next(p for p in {s.person for s in held} if sum(s.person == p for s in held) == 2)
    away = plan.replace(
        duties=tuple(
            s.replace(dive="D9") if s.person == both and s.duty == pair.duty else s for s in plan.duties
        )
    )
    assert "one-duty-at-a-time" in {f.rule for f in check(of, away)}


def test_a_standby_diver_goes_on_as_a_tender() -> None:
    """He is a tender in the minute in which he is undressed: the model's bound on people-hours was above the
    value of such a plan, and the run ended with nothing."""
    plan = planned(case("standby_goes_on_as_tender"), seconds=4.0)
    hours = next(s for s in plan.stages if s.name == PEOPLE.name)
    assert hours.value >= hours.bound and hours.value <= 1615


def test_a_standby_diver_asked_for_by_stops_alone() -> None:
    """Crew rows that ask for a standby diver outside the no-stop limits only: a dive with stops has him."""
    plan = planned(case("standby_for_stops_only"))
    assert plan.dives and any(s.duty == "standby diver" for s in plan.duties)


def test_the_rule_of_thumb_knows_a_past_dive_of_the_standby() -> None:
    """One who dived before the job and dives later that day stands by in between only if he could go."""
    of = case("standby_past_dive")
    plan = first_plan(of)
    assert plan is not None and not check(of, plan)


def tending_two(people: tuple[Person, ...]) -> Job:
    """One dive; who dresses its diver may have a hand in dressing the standby diver too."""
    of = job(item("A", 30, 40), people=people)
    pair = DutyPair(duty=STANDBY_TENDER, with_duty=TENDER)
    return with_rules(of, pairs=(*of.rules.pairs, pair), overtime_after_min=30)


def test_nothing_is_proven_where_who_dresses_the_standby_diver_may_hold_another_duty() -> None:
    """Six people, the diver's two tenders being the standby's as well: he dresses with the divers and the day
    ends 08:32 (30 min of dressing from 07:00, 41 on the bottom, one up, 20 of undressing), a plan that holds.
    A model that gave each hand to somebody of his own found that nothing can be planned."""
    seven = planned(tending_two(tuple(p for p in EIGHT if p.name != "Gus")), seconds=4.0)
    names = {spell.person for spell in seven.duties}
    six = tending_two(tuple(p for p in EIGHT if p.name in names))
    held = seven.replace(stages=())
    assert len(names) == 6 and check(six, held) == ()
    found = values_of(six, held)
    assert found["finish"] == 420 + 30 + 41 + 1 + 20
    own = planned(six, seconds=4.0)
    assert values(own)["finish"] == found["finish"]
    assert broken_bound(own.stages, found) is None
    assert own.status is not Status.PROVEN_BEST


# ------------------------------------------------------------------ what the check refuses


def refusing(monkeypatch: pytest.MonkeyPatch, refuse: Callable[[Plan], bool]) -> None:
    """The check as the search asks it, refusing more than it should."""
    real = check

    def stricter(of: Job, plan: Plan, **beside: Plan | None) -> tuple[Finding, ...]:
        more = (Finding("one-duty-at-a-time", "Refused for the test.", "D1"),) if refuse(plan) else ()
        return (*real(of, plan, **beside), *more)

    # the package's face gives the name of this file to the function in it
    monkeypatch.setattr(sys.modules["planner.schedule.search.incumbent"], "check", stricter)


def who_dives_when(plan: Plan) -> list[tuple[str, int, tuple[str, ...]]]:
    """Item, leave surface and divers of each dive; not the outfits, which every naming gives out anew."""
    return [(d.item, d.leave_surface_min, tuple(x.person for x in d.divers)) for d in plan.dives]


def test_a_refused_candidate_is_dropped_and_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """The last plan that holds is given; its status is not proven, and what was refused is kept apart."""
    of = job(item(work_min=90), item("Second", work_min=80), item("Third", work_min=70, priority=1))
    first = first_plan(of)
    assert first is not None
    refusing(monkeypatch, lambda plan: who_dives_when(plan) != who_dives_when(first))
    ended = solve(of, seconds=2.0, workers=1)
    assert ended.plan is not None and who_dives_when(ended.plan) == who_dives_when(first)
    assert ended.refused is not None and ended.refused.findings[0].sentence == "Refused for the test."
    assert ended.plan.status is Status.FEASIBLE
    assert not any(s.proven for s in ended.plan.stages)
    assert "one-duty-at-a-time" in ended.sentence


def test_no_plan_at_all_is_the_only_refusal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where every candidate is refused, and only then, the run ends with `PlanRefused` and tells which."""
    refusing(monkeypatch, lambda plan: bool(plan.dives))
    with pytest.raises(PlanRefused) as refused:
        solve(job(item()), seconds=1.0, workers=1)
    assert refused.value.refused is not None


def test_the_command_keeps_what_was_refused(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """``refused_plan.json`` holds the findings; a sentence names it."""
    refusing(monkeypatch, lambda plan: bool(plan.dives))
    (tmp_path / "job.xlsx").write_bytes(workbook_of(case("hand_over_at_leave")))
    arguments = ["plan", str(tmp_path / "job.xlsx"), "--seconds", "2", "--workers", "1"]
    assert main([*arguments, "--out", str(tmp_path)]) != 0
    assert "Refused for the test" in (tmp_path / "refused_plan.json").read_text(encoding="utf-8")
    assert "refused_plan.json" in capsys.readouterr().err


# ------------------------------------------------------------------ outfits


def no_proof_is_beaten(of: Job, found: Plan, held: Plan) -> None:
    """No proven stage of a plan is worse than that of another plan that the check accepts."""
    assert not check(of, held)
    theirs = values(held)
    for stage in found.stages:
        if stage.name not in theirs:
            return
        gain = (theirs[stage.name] - stage.value) * (1 if stage.maximise else -1)
        assert gain <= 0 or not stage.proven, stage
        if gain:
            return


def test_each_outfit_rests_its_own_turnaround() -> None:
    """Two outfits, 0 and 180 min of turnaround: the divers share the one that is ready at once (by hand:
    finish 10:06, minute 606; with the longest for all it was 13:06)."""
    of = case("turnaround")
    plan = planned(of)
    no_proof_is_beaten(of, plan, better("turnaround", of))
    assert values(plan)["finish"] == 606
    assert plan.status is Status.PROVEN_BEST


def test_the_rule_of_thumb_gives_each_its_own_turnaround() -> None:
    """The first plan, too, has the second dive as soon as the outfit that needs no turnaround is off."""
    of = case("turnaround")
    plan = first_plan(of)
    assert plan is not None and not check(of, plan)
    assert max(d.undressed_min for d in plan.dives) == 606


@pytest.mark.parametrize(
    ("turns", "finish"),
    [((0, 0), 606), ((60, 180), 666), pytest.param((180, 180), 786, marks=pytest.mark.long)],
)
def test_a_longer_turnaround_puts_the_second_dive_off(turns: tuple[int, int], finish: int) -> None:
    """Undressed 08:33 and dressed 30 min before leave surface: by hand, the next one begins as long after
    that as the shorter turnaround, whatever the longer one is."""
    of = case("turnaround")
    outfits = tuple(o.replace(turnaround_min=t) for o, t in zip(of.outfits, turns, strict=True))
    assert values(planned(of.replace(outfits=outfits), SECONDS_A_COUNTED))["finish"] == finish


# ------------------------------------------------------------------ air


def with_primary_bank(of: Job, psi: float) -> Job:
    banks = tuple(b.replace(pressure_psi=psi) if b.role is AirRole.PRIMARY else b for b in of.air.banks)
    return of.replace(air=of.air.replace(banks=banks))


def test_a_primary_bank_carries_two_dives_at_once() -> None:
    """The compressor gives 8.0 scfm, two dives with their standbys ask for 12.4: the bank gives the rest, so
    both go down together and the day ends 08:08 (minute 488) instead of 08:56."""
    of = case("bank_two_stations")
    plan = planned(of)
    no_proof_is_beaten(of, plan, better("bank_two_stations", of))
    assert values(plan)["finish"] == 488
    assert plan.status is Status.PROVEN_BEST


def test_what_stays_on_the_safe_side_is_not_called_proven() -> None:
    """A bank that holds no more than its regulator's minimum carries nothing: the dives follow one another,
    by limits on the safe side, so the finish is the best of the plans looked for; the work stands proven. The
    finish that is told as a bound asks nothing of the air: it is the one with a bank for both (488)."""
    of = with_primary_bank(case("bank_two_stations"), 300)
    plan = planned(of)
    assert plan.status is Status.LOOKED_FOR
    work, finish, *_ = plan.stages
    assert work.proven and not finish.proven
    assert finish.bound == 488


def test_only_what_a_weak_compressor_lacks_comes_from_the_bank() -> None:
    """31.7 scfm against the 33.1 of the deepest item: until now all of its flow was taken from the bank, and
    nothing could be planned, 'proven'; the day of the sample with the stronger compressor holds here."""
    of = case("weak_compressor")
    plan = planned(of, only_work=True)
    assert values(plan)["work finished"] == 2560


def test_without_a_bank_for_it_nothing_is_proven_that_air_alone_forbids() -> None:
    """The same with a bank for a few minutes only: less is planned, and no bound below all the work is
    claimed by a model that counts air on the safe side."""
    of = with_primary_bank(case("weak_compressor"), 330)
    outcome = solve(of, seconds=6.0, workers=1, only_work=True)
    if outcome.plan is None:
        assert "not proven" in outcome.sentence
        return
    assert not check(of, outcome.plan)
    (work,) = outcome.plan.stages
    assert work.value == 2560 or not work.proven

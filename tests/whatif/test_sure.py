"""Drawn days: the plan re-timed keeps every rule, draws repeat, and what spare time is worth is told."""

from __future__ import annotations

import threading
from functools import cache
from unittest import mock

import pytest
from hypothesis import strategies as st

from planner import plan as solved
from planner.check import check
from planner.day import comes_dressed_from
from planner.errors import InputFaults
from planner.job import Gate, Job, Policy
from planner.job.duties import DRESSED_DUTIES
from planner.plan import Plan
from planner.schedule import first_plan
from planner.whatif.retime import retime
from planner.whatif.spread import Draw, Spread, draw
from planner.whatif.stand_in import StandIns
from planner.whatif.sure import how_sure
from planner.whatif.ties import TiedPlan, tied_plan
from tests.schedule.day import PEOPLE, person
from tests.schedule.day import item as work_item
from tests.schedule.day import job as job_of
from tests.whatif.as_plan import plan_of
from tests.world.random_cases import held_for
from tests.world.sample_plans import SAMPLES, planned

#: Rules about how much of an item is done; a drawn day does more or less than planned, so they do not apply.
OF_AMOUNT = {
    "work-not-exceeded",
    "precedence",
    "item-whole",
    "least-useful",
    "leftovers-told",
    "objective-values",
}
NEVER = Spread(
    work_least_percent=0,
    work_likely_percent=0,
    work_most_percent=0,
    late_chance_percent=0,
    unfit_chance_percent=0,
    window_lost_percent=0,
)
WILD = Spread(
    work_least_percent=-30,
    work_likely_percent=20,
    work_most_percent=120,
    late_chance_percent=60,
    late_most_min=180,
    unfit_chance_percent=3,
    window_lost_percent=40,
)


def _with_stops(policy: Policy) -> tuple[Job, Plan]:
    """The small sample at 95 fsw with a chamber, so that dives decompress."""
    job = SAMPLES["small heavy dress"]()
    site = job.site.replace(policy=policy, in_water_stop_max_min=60, chamber_minutes_away=0)
    people = tuple(
        p.replace(duties=p.duties | {"chamber operator"}, depth_rating_fsw=120 if "diver" in p.duties else 0)
        for p in job.people
    )
    items = tuple(i.replace(depth_fsw=95, certificates=frozenset()) for i in job.dive_items)
    rules = job.rules.replace(chamber_heavy_min=3)
    deep = job.replace(site=site, people=people, dive_items=items, rules=rules)
    plan = first_plan(deep)
    assert plan is not None
    return deep, plan


def _gated() -> tuple[Job, Plan]:
    """The small sample with its first item under a gate until an hour before the day ends, and dives of an
    hour at most."""
    job = SAMPLES["small heavy dress"]()
    day = job.day_windows[0]
    tag = Gate(
        what="Sluice tagged out",
        items=(job.dive_items[0].name,),
        held_by="A. Reis",
        start_min=day.start_min + 60,
        end_min=day.end_min - 60,
    )
    rules = job.rules.replace(longest_bottom_heavy_min=60, longest_in_dress_heavy_min=125)
    gated = job.replace(gates=(tag,), rules=rules)
    plan = first_plan(gated)
    assert plan is not None
    return gated, plan


TENDERS = (person("Ulf", "tender"), person("Pia", "tender"))
STOPS = {str(policy): policy for policy in (Policy.IN_WATER_STOPS, Policy.SURFACE_DECOMPRESSION)}
GATED = "under a gate"
PLANS = ("small heavy dress", "tidal pier", "too much work", GATED, *STOPS)


@cache
def made(name: str) -> tuple[Job, Plan, TiedPlan]:
    """A sample, or the small one with stops, with its plan and that plan tied."""
    if name == GATED:
        job, plan = _gated()
    else:
        job, plan = _with_stops(STOPS[name]) if name in STOPS else planned(name)
    return job, plan, tied_plan(plan, job)


@cache
def stand_ins(name: str) -> StandIns:
    """Who goes in whose place in such a plan."""
    job, plan, _ = made(name)
    return StandIns(plan, job)


@pytest.mark.parametrize("name", PLANS)
def test_a_day_that_goes_as_planned_is_the_plan(name: str) -> None:
    """Without overrun, delay or loss the re-timed day has the plan's dives and duties to the minute."""
    job, plan, tied = made(name)
    again = plan_of(tied, retime(tied, Draw({}, (), frozenset())))
    assert sorted(again.dives, key=lambda d: d.id) == sorted(plan.dives, key=lambda d: d.id)
    assert again.surface_tasks == plan.surface_tasks or set(again.surface_tasks) == set(plan.surface_tasks)
    assert set(again.duties) == set(plan.duties)
    assert check(job, again) == ()


@held_for(st.sampled_from(PLANS), st.integers(0, 10_000), quick=150, long=900)
def test_a_drawn_day_keeps_every_rule(name: str, number: int) -> None:
    """The independent check clears every re-timed day, however wild, but for the amounts of work."""
    job, drawn = made(name)[0], draw(made(name)[0], WILD, 7, number)
    tied, air = stand_ins(name).manned(drawn.unfit)
    day = retime(tied, drawn, air=air)
    made_on_it = plan_of(tied, day)
    # Who would have gone on in dress from or to a dive that is not made has that dive's hands.
    down = {d.id for d in made_on_it.dives}
    links = [{s.dive, was.dive} for s, was in comes_dressed_from(tied.plan.duties).items()]
    stay = {f"dive {one}" for link in links if not link <= down for one in link}
    broken = [
        b
        for b in check(job, made_on_it)
        if b.rule not in OF_AMOUNT
        # the crew's one briefing was held when they were called for, however late the work begins
        and b.rule != "briefing-in-time"
        and not (b.rule == "standby-dressing" and any(b.where.startswith(f"{d} ") for d in stay))
    ]
    assert broken == []


@held_for(st.sampled_from(PLANS), st.integers(0, 10_000), quick=150, long=900)
def test_nobody_begins_before_the_plan(name: str, number: int) -> None:
    """Everything is pushed to the right: no dive leaves the surface earlier than planned."""
    job, plan, tied = made(name)
    planned_at = {d.id: d.leave_surface_min for d in plan.dives}
    day = retime(tied, draw(job, WILD, 3, number))
    assert all(d.leave_surface_min >= planned_at[d.id] for d in plan_of(tied, day).dives)
    assert all(0 <= part <= 1 for part in day.done.values())
    assert set(day.causes) == {item for item, part in day.done.items() if part < 1}


def test_the_same_seed_draws_the_same_days_and_more_draws_keep_the_first() -> None:
    """Draw 5 of seed 1 is the same whenever it is made; another seed draws another day."""
    job, plan, _ = made("tidal pier")
    assert draw(job, Spread(), 1, 5) == draw(job, Spread(), 1, 5) != draw(job, Spread(), 2, 5)
    one, same = (how_sure(plan, job, draws=20, seed=4) for _ in range(2))
    assert one == same
    assert how_sure(plan, job, draws=20, seed=5) != one


def test_without_any_spread_everything_planned_is_done() -> None:
    """Nothing goes otherwise: the whole day in every draw, and all the planned work."""
    job, plan, _ = made("tidal pier")
    sure = how_sure(plan, job, NEVER, draws=20)
    assert sure.day_percent == 100
    assert sure.expected_min == sure.planned_min
    assert sure.breaks == ()
    assert all(s.day_points == 0 and s.work_min == 0 for s in sure.spare)
    assert sure.end_p50_min == sure.end_p90_min == plan.end_min


def test_one_who_is_unfit_stays_on_deck_and_another_goes() -> None:
    """Each of those in dress unfit in turn: the plan so changed holds every rule without him in dress."""
    job, _, _ = made("tidal pier")
    changed = 0
    for one in sorted(stand_ins("tidal pier").in_dress):
        tied, _ = stand_ins("tidal pier").manned(frozenset({one}))
        assert check(job, tied.plan.replace(stages=())) == ()
        left = {p.dive.id for p in tied.pieces if p.unmanned and p.dive is not None}
        for spell in tied.plan.duties:
            if spell.person == one[0] and spell.dive not in left:
                assert spell.duty not in DRESSED_DUTIES
        changed += not left
    assert changed


def test_a_standby_who_would_come_in_dress_from_a_dive_that_is_not_made_is_dressed_first() -> None:
    """Planned: he stands by on two dives in one dressing. Without the first, whose diver is unfit, the second
    leaves the surface once he is dressed for it, half an hour later; unfit himself, he goes on neither."""
    made_of = job_of(work_item("A", 30, 40), work_item("B", 25, 30), people=(*PEOPLE, *TENDERS))
    plan = solved(made_of, seconds=3, workers=1).plan
    assert plan is not None
    ((second, first),) = comes_dressed_from(plan.duties).items()
    dives = {d.id: d for d in plan.dives}
    unfit = frozenset({(dives[str(first.dive)].divers[0].person, 0)})
    tied, air = StandIns(plan, made_of).manned(unfit)
    day = retime(tied, Draw({}, (), frozenset(), unfit), air=air)
    (left,) = (run for run in day.runs if run.made and run.piece.dive is not None)
    assert left.piece.dive is not None and left.piece.dive.id == second.dive
    assert left.times.leave_surface_min == second.start_min + 30
    himself, _ = StandIns(plan, made_of).manned(frozenset({(first.person, 0)}))
    gone = {bool(p.unmanned) for p in himself.pieces if p.dive is not None}
    assert len(gone) == 1


def test_without_another_diver_a_dive_is_not_made() -> None:
    """When all who may dive are unfit nothing is dived, and the cause says who is missing."""
    job, _, _ = made("small heavy dress")
    everyone = frozenset((p.name, 0) for p in job.people)
    tied, air = stand_ins("small heavy dress").manned(everyone)
    day = retime(tied, Draw({}, (), frozenset(), everyone), air=air)
    assert not any(run.made for run in day.runs if run.piece.dive is not None)
    assert any("unfit and nobody in his place" in cause for cause in day.causes.values())


def test_an_item_left_over_in_the_plan_is_never_finished() -> None:
    """Its chance is 0, and it does not spoil the chance of what is planned."""
    job, plan, _ = made("too much work")
    sure = how_sure(plan, job, NEVER, draws=10)
    left = {left.item for left in plan.leftovers}
    for item in sure.items:
        if item.item in left:
            assert item.chance_percent == 0 and item.planned_percent < 100
    assert sure.day_percent == 100


def test_a_lost_window_takes_its_dives_with_it() -> None:
    """With every slack window lost nothing that needs slack is done, and the cause says so."""
    job, _, tied = made("tidal pier")
    day = retime(tied, Draw({}, (), frozenset(range(len(tied.slack)))))
    needing = [i.name for i in job.dive_items if i.needs_slack]
    assert needing
    for name in needing:
        assert day.done[name] == 0
        assert "slack" in day.causes[name] or day.causes[name].startswith("waits for")


def test_a_late_start_moves_the_first_dive_by_as_much() -> None:
    """Forty minutes late, the first dive leaves the surface forty minutes later (arithmetic)."""
    _, plan, tied = made("small heavy dress")
    day = retime(tied, Draw({}, (40,), frozenset()))
    first = min(plan.dives, key=lambda d: d.leave_surface_min)
    run = next(r for r in day.runs if r.piece.dive is not None and r.piece.dive.id == first.id)
    assert run.times.leave_surface_min == first.leave_surface_min + 40
    assert run.blame == "a late start"


def test_work_that_takes_half_as_long_again_lengthens_its_dive() -> None:
    """A dive whose work takes 1.1 of the plan lasts as many minutes longer, where the tables allow it."""
    job, plan, tied = made("small heavy dress")
    dive = min(plan.dives, key=lambda d: d.bottom_time_min)
    item = job.dive_item(dive.item)
    day = retime(tied, Draw({item.name: 1.1}, (), frozenset()))
    run = next(r for r in day.runs if r.piece.dive is not None and r.piece.dive.id == dive.id)
    longer = run.times.leave_bottom_min - run.times.leave_surface_min - dive.bottom_time_min
    if plan.worked_min(item.name) == dive.work_min == item.bottom_work_min:
        wanted = -(-item.bottom_work_min * 11 // 10) - item.bottom_work_min
        assert 0 < longer <= wanted
        assert (longer == wanted) == (day.done[item.name] == 1)
    else:
        assert longer >= 0


def test_spare_time_is_measured_on_the_same_days() -> None:
    """Planned in the items' own order, the dives fill the slack: half an hour more is worth something."""
    job = SAMPLES["tidal pier"]()
    with mock.patch("planner.schedule.greedy.local_search.TURNS", 1):
        plan = first_plan(job)
    assert plan is not None
    sure = how_sure(plan, job, draws=200, seed=1)
    slack = next(s for s in sure.spare if "slack" in s.what)
    assert slack.day_points > 0 and slack.work_min > 0
    assert 0 < sure.day_percent < 100
    assert abs(sum(p for _, p in sure.breaks) - 100) < 1e-6


def test_progress_and_stop() -> None:
    """It tells how far it is, and a stop keeps the draws made."""
    job, plan, _ = made("small heavy dress")
    told: list[tuple[int, int]] = []
    stop = threading.Event()

    def note(done: int, of: int) -> None:
        told.append((done, of))
        if done >= 40:
            stop.set()

    sure = how_sure(plan, job, draws=500, on_progress=note, stop=stop)
    assert told == [(20, 500), (40, 500)]
    assert (sure.draws, sure.asked, sure.stopped) == (40, 500, True)


def test_a_spread_that_contradicts_itself_and_draws_out_of_range() -> None:
    """The likeliest must lie between least and most; draws are 1 to 100 000."""
    job, plan, _ = made("small heavy dress")
    with pytest.raises(InputFaults, match="does not lie between"):
        how_sure(plan, job, Spread(work_likely_percent=90, work_most_percent=40))
    with pytest.raises(ValueError, match="draws must be"):
        how_sure(plan, job, draws=0)

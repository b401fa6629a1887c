"""A deliberately broken copy of a scheduler's plan is convicted by the check, by the rule that was broken."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import strategies as st

from planner.check import check
from planner.job import After, Job, OutfitState, Policy
from planner.job.duties import (
    CHAMBER_OPERATOR,
    CONSOLE,
    DIVER,
    LOG_KEEPER,
    STANDBY,
    STANDBY_TENDER,
    SUPERVISOR,
    TENDER,
)
from planner.plan import Dive, DutySpell, Plan
from planner.schedule import first_plan
from planner.table_sets import table_set
from tests.schedule.test_policies import chamber_job
from tests.schedule.test_random_jobs import jobs
from tests.world.random_cases import held_for
from tests.world.sample_plans import SAMPLES, planned

NAVY = table_set()


#: A broken copy of a plan and its job; None where the plan has nothing to break that way.
Broken = tuple[Plan, Job] | None


def with_dive(plan: Plan, dive: Dive, **changes: Any) -> Plan:
    return plan.replace(dives=tuple(d.replace(**changes) if d.id == dive.id else d for d in plan.dives))


def with_spell(plan: Plan, spell: DutySpell, **changes: Any) -> Plan:
    return plan.replace(duties=tuple(s.replace(**changes) if s is spell else s for s in plan.duties))


def with_diver(plan: Plan, dive: Dive, **changes: Any) -> Plan:
    first, *rest = dive.divers
    return with_dive(plan, dive, divers=(first.replace(**changes), *rest))


def moved(plan: Plan, dive: Dive, minutes: int) -> Plan:
    """A dive and its duties at another time; nothing else in the plan knows of it."""
    names = ("dress_start", "leave_surface", "reach_bottom", "leave_bottom", "reach_surface", "undressed")
    times = {f"{n}_min": getattr(dive, f"{n}_min") + minutes for n in names}
    if dive.out_of_chamber_min is not None:
        times["out_of_chamber_min"] = dive.out_of_chamber_min + minutes
    spells = tuple(
        s.replace(start_min=s.start_min + minutes, end_min=s.end_min + minutes) if s.dive == dive.id else s
        for s in plan.duties
    )
    return with_dive(plan, dive, **times).replace(duties=spells)


def spells(plan: Plan, dive: Dive, duty: str) -> list[DutySpell]:
    return [s for s in plan.duties if s.dive == dive.id and s.duty == duty]


def without_duty(duty: str) -> Callable[[Plan, Job, Dive], Broken]:
    """Everyone in a duty of the dive taken away."""

    def broken(plan: Plan, job: Job, dive: Dive) -> Broken:
        gone = spells(plan, dive, duty)
        if not gone:
            return None
        return plan.replace(duties=tuple(s for s in plan.duties if s not in gone)), job

    return broken


def before_the_day(plan: Plan, job: Job, dive: Dive) -> Broken:
    return moved(plan, dive, job.day_windows[0].start_min - dive.dress_start_min - 1), job


def on_top_of_another(plan: Plan, job: Job, dive: Dive) -> Broken:
    others = [d for d in plan.dives if d.station == dive.station and d.id != dive.id]
    if not others:
        return None
    return moved(plan, dive, others[0].leave_surface_min - dive.leave_surface_min), job


def longer_on_paper(plan: Plan, job: Job, dive: Dive) -> Broken:
    return with_dive(plan, dive, bottom_time_min=dive.bottom_time_min + 5), job


def leaves_the_bottom_late(plan: Plan, job: Job, dive: Dive) -> Broken:
    return with_dive(plan, dive, leave_bottom_min=dive.leave_bottom_min + 5), job


def shallower_on_paper(plan: Plan, job: Job, dive: Dive) -> Broken:
    return with_dive(plan, dive, depth_fsw=dive.depth_fsw - 1), job


def lower_group_after(plan: Plan, job: Job, dive: Dive) -> Broken:
    after = dive.divers[0].group_after
    return (with_diver(plan, dive, group_after="A" if after != "A" else "B"), job) if after else None


def higher_group_before(plan: Plan, job: Job, dive: Dive) -> Broken:
    before = dive.divers[0].group_before
    return with_diver(
        plan, dive, group_before=NAVY.groups[NAVY.groups.index(before) + 1 if before else 0]
    ), job


def deeper_row(plan: Plan, job: Job, dive: Dive) -> Broken:
    schedule = dive.divers[0].schedule
    return with_diver(plan, dive, schedule=schedule.replace(depth_fsw=schedule.depth_fsw + 10)), job


def outfit_of_the_standby(plan: Plan, job: Job, dive: Dive) -> Broken:
    standby = spells(plan, dive, STANDBY)
    if not standby:
        return None
    changed = with_diver(plan, dive, outfit=standby[0].outfit)
    (own,) = [s for s in spells(plan, dive, DIVER) if s.person == dive.divers[0].person]
    return with_spell(changed, own, outfit=standby[0].outfit), job


def outfit_of_another_kind(plan: Plan, job: Job, dive: Dive) -> Broken:
    own = dive.divers[0]
    kind = job.outfit(own.outfit).kind
    other = next((o.name for o in job.outfits if o.kind is not kind), None)
    if other is None:
        return None
    (spell,) = [s for s in spells(plan, dive, DIVER) if s.person == own.person]
    return with_spell(with_diver(plan, dive, outfit=other), spell, outfit=other), job


def outfit_with_a_defect(plan: Plan, job: Job, dive: Dive) -> Broken:
    worn = dive.divers[0].outfit
    outfits = tuple(o.replace(state=OutfitState.DEFECT_OPEN) if o.name == worn else o for o in job.outfits)
    return plan, job.replace(outfits=outfits)


def two_duties_at_once(plan: Plan, job: Job, dive: Dive) -> Broken:
    lead, tenders = spells(plan, dive, SUPERVISOR), spells(plan, dive, TENDER)
    return (with_spell(plan, tenders[0], person=lead[0].person), job) if lead and tenders else None


def standby_who_is_no_diver(plan: Plan, job: Job, dive: Dive) -> Broken:
    landsman = next((p.name for p in job.people if DIVER not in p.duties), None)
    standby = spells(plan, dive, STANDBY)
    return (with_spell(plan, standby[0], person=landsman), job) if landsman and standby else None


def standby_swapped_with_the_diver_on_paper(plan: Plan, job: Job, dive: Dive) -> Broken:
    standby = spells(plan, dive, STANDBY)
    return (with_spell(plan, standby[0], person=dive.divers[0].person), job) if standby else None


def supervisor_who_leaves_in_mid_dive(plan: Plan, job: Job, dive: Dive) -> Broken:
    lead = spells(plan, dive, SUPERVISOR)
    if not lead:
        return None
    return with_spell(plan, lead[0], end_min=dive.leave_surface_min + 1), job


def diver_rated_too_shallow(plan: Plan, job: Job, dive: Dive) -> Broken:
    name = dive.divers[0].person
    people = tuple(
        p.replace(depth_rating_fsw=dive.depth_fsw - 1) if p.name == name else p for p in job.people
    )
    return plan, job.replace(people=people)


def medical_run_out(plan: Plan, job: Job, dive: Dive) -> Broken:
    name = dive.divers[0].person
    day = job.site.first_day
    ran_out = day.replace(year=day.year - 1)
    people = tuple(p.replace(medical_expires=ran_out) if p.name == name else p for p in job.people)
    return plan, job.replace(people=people)


def arrives_late(plan: Plan, job: Job, dive: Dive) -> Broken:
    name = dive.divers[0].person
    person = job.person(name)
    spans = tuple(s.replace(start_min=dive.dress_start_min + 1) for s in job.available(person)[:1])
    people = tuple(p.replace(available=spans) if p.name == name else p for p in job.people)
    return plan, job.replace(people=people)


def after_what_comes_later(plan: Plan, job: Job, dive: Dive) -> Broken:
    later = [d for d in plan.dives if d.item != dive.item and d.leave_surface_min > dive.leave_surface_min]
    if not later:
        return None
    items = tuple(
        i.replace(after=(*i.after, After(item=later[-1].item))) if i.name == dive.item else i
        for i in job.dive_items
    )
    return plan, job.replace(dive_items=items)


def more_than_there_is(plan: Plan, job: Job, dive: Dive) -> Broken:
    done = plan.worked_min(dive.item)
    items = tuple(
        i.replace(bottom_work_min=done - 1, least_useful_min=1) if i.name == dive.item else i
        for i in job.dive_items
    )
    return (plan, job.replace(dive_items=items)) if done > 1 else None


def from_an_unknown_station(plan: Plan, job: Job, dive: Dive) -> Broken:
    return with_dive(plan, dive, station="nowhere"), job


def left_over_untold(plan: Plan, job: Job, dive: Dive) -> Broken:
    return (plan.replace(leftovers=()), job) if plan.leftovers else None


def duty_of_another_dive(plan: Plan, job: Job, dive: Dive) -> Broken:
    lead = spells(plan, dive, SUPERVISOR)
    return (with_spell(plan, lead[0], item="nothing"), job) if lead else None


BREAKS: dict[str, tuple[str, Callable[[Plan, Job, Dive], Broken]]] = {
    "a dive before the day": ("day-window", before_the_day),
    "a dive on top of another": ("one-dive-a-station", on_top_of_another),
    "a bottom time longer on paper": ("times-in-order", longer_on_paper),
    "the bottom left late": ("times-in-order", leaves_the_bottom_late),
    "a depth shallower on paper": ("depth-of-item", shallower_on_paper),
    "a lower group after": ("residual-nitrogen", lower_group_after),
    "a higher group before": ("residual-nitrogen", higher_group_before),
    "another row of the table": ("table-row", deeper_row),
    "the standby's outfit on the diver": ("outfit-one-wearer", outfit_of_the_standby),
    "an outfit of another kind": ("outfit-kind", outfit_of_another_kind),
    "an outfit with a defect": ("outfit-ready", outfit_with_a_defect),
    "two duties at once": ("one-duty-at-a-time", two_duties_at_once),
    "a standby who is no diver": ("duty-qualified", standby_who_is_no_diver),
    "the diver standing by for himself": ("one-duty-at-a-time", standby_swapped_with_the_diver_on_paper),
    "no supervisor": ("crew-supervisor", without_duty(SUPERVISOR)),
    "no tender": ("crew-tenders", without_duty(TENDER)),
    "no standby": ("crew-standby", without_duty(STANDBY)),
    "no standby's tender": ("crew-standby-tender", without_duty(STANDBY_TENDER)),
    "no console": ("crew-console", without_duty(CONSOLE)),
    "no log keeper": ("crew-log-keeper", without_duty(LOG_KEEPER)),
    "a supervisor gone in mid-dive": ("crew-supervisor", supervisor_who_leaves_in_mid_dive),
    "a diver rated too shallow": ("depth-rating", diver_rated_too_shallow),
    "a medical that ran out": ("medical", medical_run_out),
    "a diver who arrives late": ("hours-available", arrives_late),
    "before what it comes after": ("precedence", after_what_comes_later),
    "more work than there is": ("work-not-exceeded", more_than_there_is),
    "an unknown station": ("known-names", from_an_unknown_station),
    "a left-over not told": ("leftovers-told", left_over_untold),
    "a duty for no item": ("known-names", duty_of_another_dive),
}


def convict(
    plan: Plan, job: Job, rule: str, breaks: Callable[[Plan, Job, Dive], Broken], most: int | None = None
) -> int:
    """Break every dive in turn; the number of copies broken, each of them convicted by that rule.

    ``most``: no more copies than so many.
    """
    count = 0
    for dive in plan.dives:
        broken = None if count == most else breaks(plan, job, dive)
        if broken is not None:
            count += 1
            found = {f.rule for f in check(broken[1], broken[0])}
            assert rule in found, (dive.id, found)
    return count


@pytest.mark.parametrize("name", SAMPLES)
def test_the_plans_hold_before_they_are_broken(name: str) -> None:
    """The scheduler's plan of every sample is clear: what follows is convicted for the change alone."""
    job, plan = planned(name)
    assert check(job, plan) == ()


@pytest.mark.parametrize("most", [1, pytest.param(None, marks=pytest.mark.long)])
@pytest.mark.parametrize("name", BREAKS)
def test_a_broken_copy_of_a_sample_plan_is_convicted(name: str, most: int | None) -> None:
    """A dive of every sample's plan broken that way is convicted by that rule, and each way finds a dive; in
    the long run every dive."""
    rule, breaks = BREAKS[name]
    samples = [planned(of) for of in SAMPLES]
    copies = sum(convict(plan, job, rule, breaks, most) for job, plan in samples)
    assert copies > 0


@held_for(jobs, st.sampled_from(sorted(BREAKS)), quick=8, long=60)
def test_a_broken_copy_of_any_plan_is_convicted(made: Job, name: str) -> None:
    """The same for the plan of any small job."""
    plan = first_plan(made)
    if plan is None:
        return
    assert check(made, plan) == ()
    rule, breaks = BREAKS[name]
    convict(plan, made, rule, breaks)


CHAMBER_BREAKS: dict[str, tuple[str, Callable[[Plan, Job, Dive], Broken]]] = {
    "no operator": ("crew-chamber-operator", without_duty(CHAMBER_OPERATOR)),
    "out of the chamber too soon": (
        "times-in-order",
        lambda plan, job, dive: (
            with_dive(plan, dive, out_of_chamber_min=(dive.out_of_chamber_min or 0) - 5),
            job,
        ),
    ),
    "a policy without stops": (
        "way-up-policy",
        lambda plan, job, _: (plan, job.replace(site=job.site.replace(policy=Policy.NO_STOP))),
    ),
    "a chamber too far": (
        "chamber-at-location",
        lambda plan, job, _: (plan, job.replace(site=job.site.replace(chamber_minutes_away=6))),
    ),
}


@pytest.mark.parametrize("name", CHAMBER_BREAKS)
def test_a_broken_dive_through_the_chamber_is_convicted(name: str) -> None:
    """Surface decompression: operator, stay in the chamber, policy and distance each convict by their id."""
    job = chamber_job(Policy.SURFACE_DECOMPRESSION)
    plan = first_plan(job)
    assert plan is not None
    assert check(job, plan) == ()
    rule, breaks = CHAMBER_BREAKS[name]
    assert convict(plan, job, rule, breaks) == len(plan.dives) > 0

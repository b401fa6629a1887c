"""The air rules applied to a plan: what breaks them, and what a person must look at instead."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from planner.air.capacity import delivered_psi, has_plant
from planner.air.catalog import AIR_RULES
from planner.air.demand import demand_steps, dive_manifold_psi
from planner.air.due import HOSE_TEST_FACTOR, TestDue, hose_test, plant_tests
from planner.air.flow import manifold_psi
from planner.air.primary import SupplyStep, supply_steps
from planner.air.reserve import (
    ReserveNeed,
    independent_reserve,
    reserve_capacity_scfm,
    reserve_need_at,
    reserve_needs,
    reserve_short_scf,
    reserve_sources,
    reserve_stored_scf,
    shared_needs,
)
from planner.job import AirRole, Job, Outfit
from planner.plan.model import Dive, Plan

NO_PLANT = "No air plant is given: air was not checked. Check primary and reserve air before the dive."

_GUARD = 1e-6
_RULE_OF_TEST = {"air": "air-test-due", "hose": "hose-test-due", "gauges": "gauge-test-due"}


@dataclass(frozen=True)
class AirBreach:
    """One air rule broken by a plan.

    Parameters
    ----------
    rule
        Id of the rule, a key of `AIR_RULES`.
    sentence
        What is wrong, with the numbers.
    where
        Dive, compressor or outfit.
    """

    rule: str
    sentence: str
    where: str

    @property
    def source(self) -> str:
        """Where the rule comes from."""
        return AIR_RULES[self.rule].source


def air_breaches(plan: Plan, job: Job) -> tuple[AirBreach, ...]:
    """Every air rule that a plan breaks; empty when none (see `air_to_tick` for what is not known)."""
    if not plan.dives:
        return ()
    found = list(_hose_breaches(plan, job))
    if has_plant(job.air):
        found = [
            *_primary_pressure(plan, job),
            *_primary_flow(plan, job),
            *_reserve(plan, job),
            *_plant_tests(plan, job),
            *found,
        ]
    return tuple(found)


def air_to_tick(plan: Plan, job: Job) -> tuple[str, ...]:
    """What could not be checked for want of data, for a person to look at and tick."""
    if not plan.dives:
        return ()
    asks: list[str] = []
    if has_plant(job.air):
        asks += [f"No date is given for the test of {_name(t)}." for t in plant_tests(job.air) if _open(t)]
    else:
        asks.append(NO_PLANT)
    for name in outfits_used(plan):
        outfit = {o.name: o for o in job.outfits}.get(name)
        if outfit is None:
            continue
        if outfit.hose_tested_on is None:
            asks.append(f"No date is given for the test of the {hose_test(outfit).what}.")
        if outfit.umbilical_length_ft == 0:
            asks.append(f"Outfit {name}: the length of the hose is not given.")
    if has_plant(job.air) and any(d.schedule.chamber_periods for dive in plan.dives for d in dive.divers):
        asks.append("Air and oxygen for the chamber are not counted in the air plan.")
    return tuple(asks)


def _name(test: TestDue) -> str:
    return f"the air of {test.what}" if test.kind == "air" else f"the {test.what}"


def _open(test: TestDue) -> bool:
    return test.tested_on is None


def outfits_used(plan: Plan) -> tuple[str, ...]:
    """Names of the outfits that divers and standby divers of a plan wear, in order of first use."""
    names: dict[str, None] = {}
    for dive in plan.dives:
        for diver in dive.divers:
            names.setdefault(diver.outfit)
        for spell in plan.duties:
            if spell.dive == dive.id and spell.outfit:
                names.setdefault(spell.outfit)
    return tuple(names)


def _primary_pressure(plan: Plan, job: Job) -> Iterator[AirBreach]:
    held = delivered_psi(job, AirRole.PRIMARY)
    known = {o.name: o for o in job.outfits}
    for dive in plan.dives:
        needed = dive_manifold_psi(dive, plan, job)
        if held < needed - _GUARD:
            yield AirBreach(
                "air-primary-pressure",
                f"{dive.item} at {dive.depth_fsw} fsw needs {needed:.0f} psi at the manifold; the primary "
                f"holds {held:.0f} psi.",
                dive.id,
            )
        for name in _worn(dive, plan):
            outfit = known.get(name)
            if outfit is None or outfit.hose_working_psi is None:
                continue
            psi = manifold_psi(job.air, outfit.kind, dive.depth_fsw, outfit.umbilical_length_ft).value
            if psi > outfit.hose_working_psi + _GUARD:
                yield AirBreach(
                    "air-primary-pressure",
                    f"{dive.item} at {dive.depth_fsw} fsw needs {psi:.0f} psi at the manifold; the hose of "
                    f"outfit {name} works at {outfit.hose_working_psi:.0f} psi at most.",
                    dive.id,
                )


def _worn(dive: Dive, plan: Plan) -> tuple[str, ...]:
    standby = [s.outfit for s in plan.duties if s.dive == dive.id and s.outfit]
    return tuple(dict.fromkeys([*(d.outfit for d in dive.divers), *standby]))


def _primary_flow(plan: Plan, job: Job) -> Iterator[AirBreach]:
    """One breach for each dive that is in the water while the primary falls short, at its worst."""
    worst: dict[str, SupplyStep] = {}
    for step in supply_steps(demand_steps(plan, job), job, required=True):
        if step.short_scf <= _GUARD:
            continue
        for dive in _on_air(plan, step):
            if dive.id not in worst or step.margin_scfm < worst[dive.id].margin_scfm:
                worst[dive.id] = step
    for dive in plan.dives:
        if dive.id not in worst:
            continue
        step = worst[dive.id]
        yield AirBreach(
            "air-primary-flow",
            f"At {job.clock.hhmm(step.demand.start_min, with_day=True)} divers, standby and tools need "
            f"{step.flow_scfm:.1f} scfm; the primary gives {step.capacity_scfm:.1f} scfm at "
            f"{step.demand.manifold_psi:.0f} psi, and tank and banks cannot make up the rest.",
            dive.id,
        )


def _on_air(plan: Plan, step: SupplyStep) -> list[Dive]:
    start, end = step.demand.start_min, step.demand.end_min
    on = [d for d in plan.dives if d.leave_surface_min < end and start < d.reach_surface_min]
    return on or [d for d in plan.dives if d.dress_start_min < end and start < d.undressed_min]


def _reserve(plan: Plan, job: Job) -> Iterator[AirBreach]:
    alone = job.replace(air=independent_reserve(job.air))
    shared = [(s.name, shared_needs(job.air, s)) for s in reserve_sources(job.air)]
    named = "; ".join(f"{name} relies on {', '.join(sorted(on))}" for name, on in shared if on)
    for need in reserve_needs(plan, job):
        where = ", ".join(need.dives)
        when = job.clock.hhmm(need.at_min, with_day=True)
        if reserve_short_scf(need, job) > _GUARD:
            yield AirBreach("air-reserve", f"{_lost(when, need)} {_has(need, job)}", where)
        elif reserve_short_scf(reserve_need_at(plan, alone, need.at_min), alone) > _GUARD:
            yield AirBreach(
                "air-reserve-independent",
                f"{_lost(when, need)} The part of the reserve that shares nothing with the primary is not "
                f"enough: {named}, as the primary does.",
                where,
            )


def _lost(when: str, need: ReserveNeed) -> str:
    return (
        f"With the primary lost at {when}, the way up needs {need.scf:.0f} scf at up to {need.scfm:.1f} scfm "
        f"and {need.manifold_psi:.0f} psi."
    )


def _has(need: ReserveNeed, job: Job) -> str:
    if not reserve_sources(job.air):
        return "No reserve is on line."
    return (
        f"The reserve's compressors give {reserve_capacity_scfm(job, need.manifold_psi):.1f} scfm at that "
        f"pressure, its banks and tanks {reserve_stored_scf(job, need.manifold_psi):.0f} scf of the "
        f"{need.stored_scf:.0f} scf that is left to them."
    )


def last_dive_day(plan: Plan, job: Job) -> date:
    """Calendar day of the plan's last reach surface."""
    return job.clock.day_of(max(d.reach_surface_min for d in plan.dives))


def _plant_tests(plan: Plan, job: Job) -> Iterator[AirBreach]:
    day = last_dive_day(plan, job)
    for test in plant_tests(job.air):
        if test.overdue(day):
            yield _overdue(test, day)


def _overdue(test: TestDue, day: date) -> AirBreach:
    return AirBreach(
        _RULE_OF_TEST[test.kind],
        f"The test of {_name(test)} ran out on {test.due_on}; the plan dives on {day}.",
        test.what,
    )


def _hose_breaches(plan: Plan, job: Job) -> Iterator[AirBreach]:
    known = {o.name: o for o in job.outfits}
    for name in outfits_used(plan):
        outfit = known.get(name)
        if outfit is None:
            continue
        day = max(job.clock.day_of(d.reach_surface_min) for d in plan.dives if name in _worn(d, plan))
        if hose_test(outfit).overdue(day):
            yield _overdue(hose_test(outfit), day)
        yield from _hose_pressure(outfit)


def _hose_pressure(outfit: Outfit) -> Iterator[AirBreach]:
    if outfit.hose_working_psi is None or outfit.hose_test_psi is None:
        return
    needed = HOSE_TEST_FACTOR * outfit.hose_working_psi
    if outfit.hose_test_psi < needed - _GUARD:
        yield AirBreach(
            "hose-test-due",
            f"The hose of outfit {outfit.name} was tested to {outfit.hose_test_psi:.0f} psi; 1.5 times its "
            f"working pressure of {outfit.hose_working_psi:.0f} psi is {needed:.0f} psi.",
            outfit.name,
        )

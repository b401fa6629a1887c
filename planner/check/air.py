"""The air rules, and what in a plan breaks them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from planner.air.demand import demand_steps, dive_manifold_psi
from planner.air.flow import DEMAND_PRESSURE_SOURCE, HEAVY_PRESSURE_SOURCE, manifold_psi
from planner.air.report import outfits_used, outfits_worn, test_name
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
from planner.air.running import (
    AIR_TEST_SOURCE,
    GAUGE_TEST_SOURCE,
    HOSE_TEST_FACTOR,
    HOSE_TEST_SOURCE,
    TestDue,
    hose_test,
    plant_tests,
)
from planner.air.supply import SupplyStep, delivered_psi, has_plant, supply_steps
from planner.check.rule import Basis, Rule
from planner.job import AirRole, Job, Outfit
from planner.plan.finding import Finding
from planner.plan.model import Dive, Plan

_RULES = (
    Rule(
        "air-primary-flow",
        "At every moment the primary supply carries all divers in the water, every standby diver sent down "
        "to them, and the air tools, for the whole dive with its stops.",
        "29 CFR 1910.425(c)(3), paragraph from memory; the standby at depth: common practice",
        Basis.REGULATION,
    ),
    Rule(
        "air-primary-pressure",
        "A primary source on line holds the manifold pressure that the depth, the gear and the hose of each "
        "dive ask for, and no hose works above its own working pressure.",
        f"{DEMAND_PRESSURE_SOURCE}; {HEAVY_PRESSURE_SOURCE}",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "air-reserve",
        "When the primary dies at the worst moment, the reserve on line brings up all divers and the standby "
        "with their stops.",
        "29 CFR 1910.425(c)(4) deeper than 100 fsw or outside the no-stop limits; for every dive: "
        "common practice; gas of an ascent: U.S. Navy Diving Manual",
        Basis.REGULATION,
    ),
    Rule(
        "air-reserve-independent",
        "The reserve does so with sources that rely on nothing the primary relies on.",
        "29 CFR 1910.425(c)(4): on line and independent",
        Basis.REGULATION,
    ),
    Rule(
        "air-test-due",
        "The air of every compressor on line was tested in the six months before the dive.",
        AIR_TEST_SOURCE,
        Basis.REGULATION,
    ),
    Rule(
        "hose-test-due",
        "Every hose in use was tested in the year before the dive, to 1.5 times its working pressure.",
        HOSE_TEST_SOURCE,
        Basis.REGULATION,
    ),
    Rule(
        "gauge-test-due",
        "The depth gauges were tested in the six months before the dive.",
        GAUGE_TEST_SOURCE,
        Basis.REGULATION,
    ),
)

AIR_RULES: dict[str, Rule] = {rule.id: rule for rule in _RULES}


_GUARD = 1e-6
_RULE_OF_TEST = {"air": "air-test-due", "hose": "hose-test-due", "gauges": "gauge-test-due"}


def air_findings(job: Job, plan: Plan) -> tuple[Finding, ...]:
    """Every air rule that a plan breaks; empty when none (not known: `air_to_tick`)."""
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


def _primary_pressure(plan: Plan, job: Job) -> Iterator[Finding]:
    held = delivered_psi(job, AirRole.PRIMARY)
    known = {o.name: o for o in job.outfits}
    for dive in plan.dives:
        needed = dive_manifold_psi(dive, plan, job)
        if held < needed - _GUARD:
            yield Finding(
                "air-primary-pressure",
                f"{dive.item} at {dive.depth_fsw} fsw needs {needed:.0f} psi at the manifold; the primary "
                f"holds {held:.0f} psi.",
                dive.id,
            )
        for name in outfits_worn(dive, plan):
            outfit = known.get(name)
            if outfit is None or outfit.hose_working_psi is None:
                continue
            psi = manifold_psi(job.air, outfit.kind, dive.depth_fsw, outfit.umbilical_length_ft).value
            if psi > outfit.hose_working_psi + _GUARD:
                yield Finding(
                    "air-primary-pressure",
                    f"{dive.item} at {dive.depth_fsw} fsw needs {psi:.0f} psi at the manifold; the hose of "
                    f"outfit {name} works at {outfit.hose_working_psi:.0f} psi at most.",
                    dive.id,
                )


def _primary_flow(plan: Plan, job: Job) -> Iterator[Finding]:
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
        yield Finding(
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


def _reserve(plan: Plan, job: Job) -> Iterator[Finding]:
    alone = job.replace(air=independent_reserve(job.air))
    shared = [(s.name, shared_needs(job.air, s)) for s in reserve_sources(job.air)]
    named = "; ".join(f"{name} relies on {', '.join(sorted(on))}" for name, on in shared if on)
    for need in reserve_needs(plan, job):
        where = ", ".join(need.dives)
        when = job.clock.hhmm(need.at_min, with_day=True)
        if reserve_short_scf(need, job) > _GUARD:
            yield Finding("air-reserve", f"{_lost(when, need)} {_has(need, job)}", where)
        elif reserve_short_scf(reserve_need_at(plan, alone, need.at_min), alone) > _GUARD:
            yield Finding(
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


def _plant_tests(plan: Plan, job: Job) -> Iterator[Finding]:
    day = last_dive_day(plan, job)
    for test in plant_tests(job.air):
        if test.overdue(day):
            yield _overdue(test, day)


def _overdue(test: TestDue, day: date) -> Finding:
    return Finding(
        _RULE_OF_TEST[test.kind],
        f"The test of {test_name(test)} ran out on {test.due_on}; the plan dives on {day}.",
        test.what,
    )


def _hose_breaches(plan: Plan, job: Job) -> Iterator[Finding]:
    known = {o.name: o for o in job.outfits}
    for name in outfits_used(plan):
        outfit = known.get(name)
        if outfit is None:
            continue
        day = max(job.clock.day_of(d.reach_surface_min) for d in plan.dives if name in outfits_worn(d, plan))
        if hose_test(outfit).overdue(day):
            yield _overdue(hose_test(outfit), day)
        yield from _hose_pressure(outfit)


def _hose_pressure(outfit: Outfit) -> Iterator[Finding]:
    if outfit.hose_working_psi is None or outfit.hose_test_psi is None:
        return
    needed = HOSE_TEST_FACTOR * outfit.hose_working_psi
    if outfit.hose_test_psi < needed - _GUARD:
        yield Finding(
            "hose-test-due",
            f"The hose of outfit {outfit.name} was tested to {outfit.hose_test_psi:.0f} psi; 1.5 times its "
            f"working pressure of {outfit.hose_working_psi:.0f} psi is {needed:.0f} psi.",
            outfit.name,
        )

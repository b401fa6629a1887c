"""Air: what the primary holds and carries, what the reserve brings up, and which tests have run out."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from planner.air.demand import demand_steps, dive_manifold_psi
from planner.air.flow import DEMAND_PRESSURE_SOURCE, EMERGENCY_SOURCE, HEAVY_PRESSURE_SOURCE, manifold_psi
from planner.air.report import outfits_used, outfits_worn
from planner.air.reserve import (
    ReserveNeed,
    emergency_words,
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
from planner.air.supply import ROUNDING, SupplyStep, delivered_psi, has_plant, supply_steps
from planner.check import chamber
from planner.check.facts import Facts
from planner.check.rule import Basis, Rule, convicts_by
from planner.job import AirRole, Job
from planner.plan.finding import Finding
from planner.plan.model import Dive, Plan


def _weighed(facts: Facts) -> Plan:
    """The plan with the dives whose air can be worked out; ``depth-of-item`` convicts one above the water."""
    dives = tuple(dive for dive in facts.weighed.dives if dive.depth_fsw >= 0)
    return facts.plan.model_copy(update={"dives": dives})


@convicts_by(
    Rule(
        "air-primary-pressure",
        "A primary source on line holds the manifold pressure that the depth, the gear and the hose of each "
        "dive ask for, and no hose works above its own working pressure.",
        f"{DEMAND_PRESSURE_SOURCE}; {HEAVY_PRESSURE_SOURCE}",
    )
)
def primary_pressure(facts: Facts) -> Iterator[Finding]:
    job, plan = facts.job, _weighed(facts)
    if not has_plant(job.air):
        return
    held = delivered_psi(job, AirRole.PRIMARY)
    for dive in plan.dives:
        needed = dive_manifold_psi(dive, plan, job)
        if held < needed - ROUNDING:
            yield Finding(
                "air-primary-pressure",
                f"{dive.item} at {dive.depth_fsw} fsw needs {needed:.0f} psi at the manifold; the primary "
                f"holds {held:.0f} psi.",
                dive.id,
            )
        for outfit in (o for name in outfits_worn(dive, plan) for o in job.outfits if o.name == name):
            psi = manifold_psi(job.air, outfit.kind, dive.depth_fsw, outfit.umbilical_length_ft)
            if outfit.hose_working_psi is not None and psi > outfit.hose_working_psi + ROUNDING:
                yield Finding(
                    "air-primary-pressure",
                    f"{dive.item} at {dive.depth_fsw} fsw needs {psi:.0f} psi at the manifold; the hose of "
                    f"outfit {outfit.name} works at {outfit.hose_working_psi:.0f} psi at most.",
                    dive.id,
                )


@convicts_by(
    Rule(
        "air-primary-flow",
        "At every moment the primary supply carries all divers in the water, every standby diver sent down "
        "to them, and the air tools, for the whole dive with its stops.",
        "29 CFR 1910.425(c)(3); the standby diver too: 46 CFR 197.340(a)(2); at depth: common practice",
        Basis.REGULATION,
    )
)
def primary_flow(facts: Facts) -> Iterator[Finding]:
    """One finding for each dive that is in the water while the primary falls short, at its worst."""
    job, plan = facts.job, _weighed(facts)
    if not has_plant(job.air):
        return
    worst: dict[str, SupplyStep] = {}
    for step in supply_steps(demand_steps(plan, job), job, required=True):
        if step.short_scf <= ROUNDING:
            continue
        for dive in _on_air(plan, step):
            if dive.id not in worst or step.margin_scfm < worst[dive.id].margin_scfm:
                worst[dive.id] = step
    for dive in plan.dives:
        if dive.id in worst:
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


@convicts_by(
    Rule(
        "air-reserve",
        "When the primary dies at the worst moment, the reserve on line carries all divers and every "
        "standby, at the flow of an emergency, for the plant's minutes at depth and the whole way up with "
        "its stops.",
        "29 CFR 1910.425(c)(4) deeper than 100 fsw or outside the no-stop limits; for every dive and 10 min "
        f"at depth: common practice; {EMERGENCY_SOURCE}",
        Basis.REGULATION,
    ),
    Rule(
        "air-reserve-independent",
        "The reserve does so with sources that rely on nothing the primary relies on.",
        "29 CFR 1910.425(c)(4): on line and independent",
        Basis.REGULATION,
    ),
)
def reserve(facts: Facts) -> Iterator[Finding]:
    job, plan = facts.job, _weighed(facts)
    if not has_plant(job.air):
        return
    shared = [(s.name, on) for s in reserve_sources(job.air) if (on := shared_needs(job.air, s))]
    # where nothing is shared, the part that stands alone is the whole
    alone = job.replace(air=independent_reserve(job.air)) if shared else job
    for need in reserve_needs(plan, job):
        where = ", ".join(need.dives)
        if reserve_short_scf(need, job) > ROUNDING:
            yield Finding("air-reserve", f"{_lost(need, job)} {_has(need, job)}", where)
        elif shared and reserve_short_scf(reserve_need_at(plan, alone, need.at_min), alone) > ROUNDING:
            named = "; ".join(f"{name} relies on {', '.join(sorted(on))}" for name, on in shared)
            yield Finding(
                "air-reserve-independent",
                f"{_lost(need, job)} The part of the reserve that shares nothing with the primary is not "
                f"enough: {named}, as the primary does.",
                where,
            )


def _lost(need: ReserveNeed, job: Job) -> str:
    return (
        f"With the primary lost at {job.clock.hhmm(need.at_min, with_day=True)}, the reserve must give "
        f"{need.scf:.0f} scf for {emergency_words(job.air)}, at up to {need.scfm:.1f} scfm and "
        f"{need.manifold_psi:.0f} psi."
    )


def _has(need: ReserveNeed, job: Job) -> str:
    if not reserve_sources(job.air):
        return "No reserve is on line."
    return (
        f"The reserve's compressors give {reserve_capacity_scfm(job, need.manifold_psi):.1f} scfm at that "
        f"pressure, its banks and tanks {reserve_stored_scf(job, need.manifold_psi):.0f} scf of the "
        f"{need.stored_scf:.0f} scf that is left to them."
    )


@convicts_by(
    Rule(
        "air-test-due",
        "The air of every compressor on line was tested in the six months before the dive.",
        AIR_TEST_SOURCE,
        Basis.REGULATION,
    ),
    Rule(
        "gauge-test-due",
        "The depth gauges were tested in the six months before the dive.",
        GAUGE_TEST_SOURCE,
        Basis.REGULATION,
    ),
)
def plant_tested(facts: Facts) -> Iterator[Finding]:
    job, dives = facts.job, _weighed(facts).dives
    if not dives or not has_plant(job.air):
        return
    day = job.clock.day_of(max(d.reach_surface_min for d in dives))
    for test in plant_tests(job.air):
        if test.overdue(day):
            yield _ran_out("air-test-due" if test.kind == "air" else "gauge-test-due", test, day)


@convicts_by(
    Rule(
        "hose-test-due",
        "Every hose in use was tested in the year before the dive, to 1.5 times its working pressure.",
        HOSE_TEST_SOURCE,
        Basis.REGULATION,
    )
)
def hoses_tested(facts: Facts) -> Iterator[Finding]:
    job, plan = facts.job, _weighed(facts)
    for outfit in (o for name in outfits_used(plan) for o in job.outfits if o.name == name):
        worn = [d.reach_surface_min for d in plan.dives if outfit.name in outfits_worn(d, plan)]
        day, test = job.clock.day_of(max(worn)), hose_test(outfit)
        if test.overdue(day):
            yield _ran_out("hose-test-due", test, day)
        if outfit.hose_working_psi is None or outfit.hose_test_psi is None:
            continue
        needed = HOSE_TEST_FACTOR * outfit.hose_working_psi
        if outfit.hose_test_psi < needed - ROUNDING:
            yield Finding(
                "hose-test-due",
                f"The hose of outfit {outfit.name} was tested to {outfit.hose_test_psi:.0f} psi; 1.5 times "
                f"its working pressure of {outfit.hose_working_psi:.0f} psi is {needed:.0f} psi.",
                outfit.name,
            )


def _ran_out(rule: str, test: TestDue, day: date) -> Finding:
    return Finding(
        rule, f"The test of {test.of} ran out on {test.due_on}; the plan dives on {day}.", test.what
    )


#: The checks of air, for what asks about nothing else.
AIR_CHECKS = (primary_pressure, primary_flow, reserve, chamber.chamber_gas, plant_tested, hoses_tested)


def air_findings(job: Job, plan: Plan) -> tuple[Finding, ...]:
    """Every air rule that a plan breaks; empty when none (what is not known: `planner.air.air_to_tick`)."""
    facts = Facts(job, plan)
    return tuple(finding for one in AIR_CHECKS for finding in one(facts))

"""The air of a plan in one place, for the watchbill's air sheet, the charts and the screens."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.air.bailout import BAILOUT_SOURCE, BottleCarried, bottles_carried
from planner.air.chamber import CHAMBER_SOURCE, ChamberDay, chamber_days, plan_uses
from planner.air.demand import demand_steps, dive_manifold_psi, dive_scf
from planner.air.flow import (
    DEMAND_PRESSURE_SOURCE,
    DEMAND_SOURCE,
    EMERGENCY_SOURCE,
    FLOW_SOURCE,
    FREE_FLOW_PRESSURE_SOURCE,
    FREE_FLOW_SOURCE,
    HEAVY_PRESSURE_SOURCE,
)
from planner.air.reserve import (
    ReserveNeed,
    reserve_need_at,
    reserve_worst,
)
from planner.air.running import (
    BankDay,
    CompressorRun,
    TestDue,
    bank_days,
    compressor_run,
    hose_test,
    plant_tests,
    spare_hose_test,
)
from planner.air.supply import (
    BANK_SOURCE,
    DERATING_SOURCE,
    SupplyStep,
    delivered_psi,
    has_plant,
    supply_steps,
)
from planner.job import AirRole, Gear, Job
from planner.plan.model import Dive, Plan
from planner.plan.unchecked import NO_PLANT


@dataclass(frozen=True)
class DiveAir:
    """Air of one dive."""

    dive: str
    item: str
    depth_fsw: int
    """Which dive."""
    scf: float
    """Air drawn when all goes to plan."""
    peak_scfm: float
    """Highest flow that the rule asks for, standby sent down and tools running."""
    needed_psi: float
    delivered_psi: float
    """Manifold pressure needed and the highest that the primary holds."""
    reserve_scf: float
    reserve_scfm: float
    """What the reserve must give for this dive's minutes at depth and way up, from its worst moment."""


@dataclass(frozen=True)
class AirReport:
    """The air of a whole plan."""

    plant_given: bool
    """Whether the job has any compressor or bank; without one only demand is told."""
    dives: tuple[DiveAir, ...]
    """Air of each dive, in the plan's order."""
    supply: tuple[SupplyStep, ...]
    """The day as steps at the flow that the rule asks for (for charts)."""
    peak: SupplyStep | None
    """Step of the highest required flow; None without dives."""
    least_margin: SupplyStep | None
    """Step of the least compressor margin; None without dives."""
    reserve_worst: ReserveNeed | None
    """Worst moment for the reserve; None without dives."""
    compressors: tuple[CompressorRun, ...]
    banks: tuple[BankDay, ...]
    tests: tuple[TestDue, ...]
    """Hours and fuel; banks after the plan; tests with their dates."""
    chamber: tuple[ChamberDay, ...]
    """What each day's dives ask of the chamber's gas; empty where its air is not given or not needed."""
    bottles: tuple[BottleCarried, ...]
    """Bailout bottles carried, or asked for and not there, dive by dive."""
    to_tick: tuple[str, ...]
    """What a person must look at because the data is missing."""
    sources: tuple[str, ...]
    """Where the formulas come from."""

    @property
    def scf(self) -> float:
        """Air drawn by all dives when all goes to plan."""
        return sum(d.scf for d in self.dives)

    @property
    def fuel_gal(self) -> float:
        return sum(c.fuel_gal for c in self.compressors)


def air_report(plan: Plan, job: Job) -> AirReport:
    """Everything about the air of a plan.

    Works for a job without an air plant (capacity 0, `plant_given` false) and for a plan without dives.
    """
    steps = demand_steps(plan, job)
    required = supply_steps(steps, job, required=True)
    expected = supply_steps(steps, job, required=False)
    highest_psi = max((s.manifold_psi for s in steps), default=0.0)
    worst = reserve_worst(plan, job)
    bottles = tuple(b for d in plan.dives for b in bottles_carried(plan, job, d))
    known = {o.name: o for o in job.outfits}
    hoses = [hose_test(known[name]) for name in outfits_used(plan) if name in known]
    dived_from = {dive.station for dive in plan.dives}
    hoses += [spare_hose_test(s) for s in job.stations if s.name in dived_from and s.spare_hose_length_ft]
    return AirReport(
        plant_given=has_plant(job.air),
        dives=tuple(_dive_air(d, plan, job) for d in plan.dives),
        supply=required,
        peak=max(required, key=lambda s: s.flow_scfm, default=None),
        least_margin=min(required, key=lambda s: s.margin_scfm, default=None),
        reserve_worst=worst,
        compressors=tuple(compressor_run(c, steps, job) for c in job.air.compressors),
        banks=bank_days(job, expected, worst, highest_psi),
        tests=(*(plant_tests(job.air) if has_plant(job.air) else ()), *hoses),
        chamber=chamber_days(job.air, plan_uses(plan, job)) if job.air.chamber_air_given else (),
        bottles=bottles,
        to_tick=air_to_tick(plan, job),
        sources=(*_sources(plan, job), *((BAILOUT_SOURCE,) if bottles else ())),
    )


def _chamber_to_tick(plan: Plan, job: Job) -> Iterator[str]:
    """What of the chamber's gas is not counted and the plan's dives need."""
    uses = plan_uses(plan, job)
    air = bool(uses) and not job.air.chamber_air_given
    oxygen = any(use.periods for use in uses) and job.air.chamber_oxygen_scf is None
    if air or oxygen:
        gas = "Air and oxygen" if air and oxygen else "Air" if air else "Oxygen"
        yield f"{gas} for the chamber {'are' if air and oxygen else 'is'} not counted in the air plan."


def _dive_air(dive: Dive, plan: Plan, job: Job) -> DiveAir:
    steps = demand_steps(plan, job, (dive,))
    alone = plan.replace(dives=(dive,))
    reserve = reserve_need_at(alone, job, dive.leave_bottom_min)
    return DiveAir(
        dive=dive.id,
        item=dive.item,
        depth_fsw=dive.depth_fsw,
        scf=dive_scf(dive, plan, job),
        peak_scfm=max((s.required_scfm for s in steps), default=0.0),
        needed_psi=dive_manifold_psi(dive, plan, job),
        delivered_psi=delivered_psi(job, AirRole.PRIMARY),
        reserve_scf=reserve.scf,
        reserve_scfm=reserve.scfm,
    )


def _sources(plan: Plan, job: Job) -> tuple[str, ...]:
    """Sources of the formulas that this plan's numbers rest on."""
    kinds = {job.dive_item(d.item).gear for d in plan.dives}
    said = [FLOW_SOURCE]
    if Gear.HEAVY in kinds:
        said += [FREE_FLOW_SOURCE, HEAVY_PRESSURE_SOURCE]
    if Gear.LIGHT in kinds:
        free = job.air.light_free_flow
        said += [FREE_FLOW_SOURCE if free else DEMAND_SOURCE]
        said += [FREE_FLOW_PRESSURE_SOURCE if free else DEMAND_PRESSURE_SOURCE]
    if job.air.compressors:
        said.append(DERATING_SOURCE)
    if job.air.banks or job.air.tanks:
        said.append(BANK_SOURCE)
    if has_plant(job.air):
        said.append(EMERGENCY_SOURCE)
    if job.air.chamber_air_given:
        said.append(CHAMBER_SOURCE)
    return tuple(dict.fromkeys(said))


def outfits_worn(dive: Dive, plan: Plan) -> tuple[str, ...]:
    """Names of the outfits that the divers and the standby divers of one dive wear, each once."""
    standby = [s.outfit for s in plan.duties if s.dive == dive.id and s.outfit]
    return tuple(dict.fromkeys([*(d.outfit for d in dive.divers), *standby]))


def outfits_used(plan: Plan) -> tuple[str, ...]:
    """Names of the outfits that divers and standby divers of a plan wear, in order of first use."""
    return tuple(dict.fromkeys(name for dive in plan.dives for name in outfits_worn(dive, plan)))


def air_to_tick(plan: Plan, job: Job) -> tuple[str, ...]:
    """What could not be checked for want of data, for a person to look at and tick."""
    if not plan.dives:
        return ()
    asks: list[str] = []
    if has_plant(job.air):
        asks += [
            f"No date is given for the test of {t.of}." for t in plant_tests(job.air) if t.tested_on is None
        ]
    else:
        asks.append(NO_PLANT)
    for name in outfits_used(plan):
        outfit = {o.name: o for o in job.outfits}.get(name)
        if outfit is None:
            continue
        if outfit.hose_tested_on is None:
            asks.append(f"No date is given for the test of the {hose_test(outfit).what}.")
        if outfit.umbilical_length_ft == 0:
            asks.append(f"The length of the hose of {name} is not given.")
    if has_plant(job.air):
        asks += _chamber_to_tick(plan, job)
    return tuple(asks)

"""Air asked of the plant through the day, from the dives of a plan, as steps of constant flow."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from planner.air.flow import AIR_ON_AFTER_MIN, AIR_ON_BEFORE_MIN, Leg, dive_legs, diver_scfm, manifold_psi
from planner.job import DiveItem, Gear, Job
from planner.job.duties import STANDBY
from planner.plan.model import Dive, DutySpell, Plan


@dataclass(frozen=True)
class DemandStep:
    """Flows that hold from ``start_min`` up to ``end_min``, all in scfm."""

    start_min: int
    end_min: int
    """Job minutes."""
    divers_scfm: float
    """Divers in the water and divers in closed helmets on the bench."""
    bench_scfm: float
    """Standby divers breathing on the bench."""
    rescue_scfm: float
    """Standby divers sent down to the divers' depth."""
    tools_scfm: float
    """Tools that run on air."""
    manifold_psi: float
    """Highest pressure that anyone needs at this time, psi gauge."""

    @property
    def minutes(self) -> int:
        return self.end_min - self.start_min

    @property
    def expected_scfm(self) -> float:
        """What is drawn when all goes to plan: the standby breathes on the bench."""
        return self.divers_scfm + self.bench_scfm + self.tools_scfm

    @property
    def required_scfm(self) -> float:
        """What the primary must be able to carry: every standby sent down, tools not yet shut off."""
        return self.divers_scfm + max(self.bench_scfm, self.rescue_scfm) + self.tools_scfm


@dataclass(frozen=True)
class _Flow:
    start_min: int
    end_min: int
    kind: str
    scfm: float
    psi: float = 0.0


@dataclass(frozen=True)
class Breather:
    """Who draws air on a dive: the gear and the hose, and whether it is the standby diver."""

    person: str
    gear: Gear
    hose_ft: int
    standby: bool = False
    spell: DutySpell | None = None


def breathers(dive: Dive, plan: Plan, job: Job) -> tuple[Breather, ...]:
    """Divers of a dive and the standby divers posted for it, with the gear that each wears."""
    item = job.dive_item(dive.item)
    found = [Breather(d.person, *_worn(job, item, d.outfit)) for d in dive.divers]
    for spell in plan.duties:
        if spell.duty == STANDBY and spell.dive == dive.id:
            worn = _worn(job, item, spell.outfit)
            found.append(Breather(spell.person, *worn, standby=True, spell=spell))
    return tuple(found)


def _worn(job: Job, item: DiveItem, outfit: str | None) -> tuple[Gear, int]:
    known = {o.name: o for o in job.outfits}.get(outfit or "")
    return (item.gear, 0) if known is None else (known.kind, known.umbilical_length_ft)


def dive_manifold_psi(dive: Dive, plan: Plan, job: Job) -> float:
    """Pressure that the manifold must hold for everyone on a dive, the standby sent down, psi gauge."""
    return max(
        (manifold_psi(job.air, b.gear, dive.depth_fsw, b.hose_ft) for b in breathers(dive, plan, job)),
        default=0.0,
    )


def _dive_flows(dive: Dive, plan: Plan, job: Job) -> list[_Flow]:
    item = job.dive_item(dive.item)
    legs = dive_legs(dive)
    before = Leg(dive.leave_surface_min - AIR_ON_BEFORE_MIN, dive.leave_surface_min, 0, 0)
    after = Leg(legs[-1].end_min, legs[-1].end_min + AIR_ON_AFTER_MIN, 0, 0)
    flows = []
    for breather in breathers(dive, plan, job):
        for leg in legs if breather.standby else (before, *legs, after):
            psi = manifold_psi(job.air, breather.gear, leg.deepest_fsw, breather.hose_ft)
            scfm = diver_scfm(job.air, breather.gear, leg.deepest_fsw)
            kind = "rescue" if breather.standby else "divers"
            flows.append(_Flow(leg.start_min, leg.end_min, kind, scfm, psi))
        if breather.spell is not None:
            bench = diver_scfm(job.air, breather.gear, 0)
            start = max(breather.spell.start_min, before.start_min)  # his helmet is closed when theirs is,
            end = min(breather.spell.end_min, after.end_min)  # and off when theirs is: he undresses without
            flows.append(_Flow(start, end, "bench", bench))
    if item.tool_air_scfm:
        flows.append(_Flow(dive.reach_bottom_min, dive.leave_bottom_min, "tools", item.tool_air_scfm))
    return [f for f in flows if f.end_min > f.start_min]


def demand_steps(plan: Plan, job: Job, dives: tuple[Dive, ...] | None = None) -> tuple[DemandStep, ...]:
    """Demand from the first diver on air to the last off, in order; stretches without demand are left out.

    Parameters
    ----------
    dives
        Only these dives; None means all of the plan.
    """
    flows = [f for d in (plan.dives if dives is None else dives) for f in _dive_flows(d, plan, job)]
    marks = sorted({t for f in flows for t in (f.start_min, f.end_min)})
    steps: list[DemandStep] = []
    for start, end in pairwise(marks):
        on = [f for f in flows if f.start_min < end and start < f.end_min]
        if not on:
            continue
        flow = {k: sum(f.scfm for f in on if f.kind == k) for k in ("divers", "bench", "rescue", "tools")}
        steps.append(
            DemandStep(
                start,
                end,
                divers_scfm=flow["divers"],
                bench_scfm=flow["bench"],
                rescue_scfm=flow["rescue"],
                tools_scfm=flow["tools"],
                manifold_psi=max(f.psi for f in on),
            )
        )
    return tuple(steps)


def dive_scf(dive: Dive, plan: Plan, job: Job) -> float:
    """Air drawn by one dive when all goes to plan, scf (divers, standby on the bench, tools)."""
    return sum(step.minutes * step.expected_scfm for step in demand_steps(plan, job, (dive,)))

"""The primary supply through the day: what compressors carry, what comes out of tank and banks."""

from __future__ import annotations

from dataclasses import dataclass

from planner.air.capacity import primary_bank_scf, primary_capacity_scfm, primary_tank_scf
from planner.air.demand import DemandStep
from planner.job import AirRole, Job


@dataclass(frozen=True)
class SupplyStep:
    """One step of demand with what carries it.

    Parameters
    ----------
    demand
        The step of demand.
    flow_scfm
        The flow looked at (expected or required).
    capacity_scfm
        Flow of the primary compressors at the step's manifold pressure.
    from_tank_scf, from_bank_scf
        Gas out of the volume tank and the primary banks during the step.
    short_scf
        Gas that nothing primary can give.
    """

    demand: DemandStep
    flow_scfm: float
    capacity_scfm: float
    from_tank_scf: float
    from_bank_scf: float
    short_scf: float

    @property
    def margin_scfm(self) -> float:
        """Compressor flow over the flow looked at; below 0 the tank and the banks give the rest."""
        return self.capacity_scfm - self.flow_scfm


def supply_steps(steps: tuple[DemandStep, ...], job: Job, *, required: bool) -> tuple[SupplyStep, ...]:
    """Run the day.

    The volume tank starts full, gives to peaks and fills from what the compressors have over; primary
    banks give after it and are charged again only while nobody is on air and only by their own charging
    compressor. Both keep back what the day's highest manifold pressure needs.

    Parameters
    ----------
    steps
        Demand, in order.
    job
        Whose plant it is.
    required
        True: every standby sent down (the rule); False: what is expected to be drawn.
    """
    psi = max((s.manifold_psi for s in steps), default=0.0)
    tank_full, bank_full = primary_tank_scf(job, psi), primary_bank_scf(job, psi)
    charging = sum(b.recharge_scfm for b in job.air.banks if b.role is AirRole.PRIMARY and b.on_line)
    tank, bank, last_end = tank_full, bank_full, None
    out = []
    for step in steps:
        capacity = primary_capacity_scfm(job, step.manifold_psi)
        if last_end is not None and step.start_min > last_end:
            tank = min(tank_full, tank + capacity * (step.start_min - last_end))
            bank = min(bank_full, bank + charging * (step.start_min - last_end))
        last_end = step.end_min
        flow = step.required_scfm if required else step.expected_scfm
        over = (capacity - flow) * step.minutes
        tank_before = tank
        tank = min(tank_full, max(0.0, tank + over))
        short = max(0.0, -over - tank_before)
        from_tank = max(0.0, tank_before - tank)
        from_bank = min(bank, short)
        bank -= from_bank
        out.append(SupplyStep(step, flow, capacity, from_tank, from_bank, short - from_bank))
    return tuple(out)

"""What the plant can deliver through the day: compressors derated and in parallel, volume tank, banks.

Compressors are derated by the density of the air that they draw in (ideal gas): pressure at the site's
altitude over sea level, times the absolute temperature of the rating over that of the day. Colder air
never counts as a gain. Their discharge pressure is taken as the maker gives it.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.air.demand import DemandStep
from planner.job import AirPlant, AirRole, Bank, Compressor, Job, VolumeTank

#: Atmosphere at sea level, psi. Source: gas volume formula of the U.S. Navy Diving Manual.
ATMOSPHERE_PSI = 14.7

#: Standard atmosphere below 36,089 ft: pressure ratio (1 − 6.87559e-6 h)^5.25588.
#: Source: U.S. Standard Atmosphere 1976 (the same there as the ICAO standard atmosphere).
LAPSE_PER_FT = 6.87559e-6
PRESSURE_EXPONENT = 5.25588

#: Zero degrees Fahrenheit on the absolute (Rankine) scale. Source: NIST SP 811, appendix B.
RANKINE_OF_0_F = 459.67

#: Flows, pressures and gas nearer to each other than this are equal: rounding of their arithmetic.
ROUNDING = 1e-6

DERATING_SOURCE = (
    "ideal gas, density of the inlet air: U.S. Standard Atmosphere 1976 for altitude, absolute temperature"
)
BANK_SOURCE = "FV × N × (P − P_min)/14.7: gas volume formula of the U.S. Navy Diving Manual"


def pressure_ratio(altitude_ft: float) -> float:
    """Pressure of the air at an altitude over that at sea level (standard atmosphere)."""
    return float((1 - LAPSE_PER_FT * altitude_ft) ** PRESSURE_EXPONENT)


def density_ratio(altitude_ft: float, inlet_temp_f: float | None, rated_temp_f: float) -> float:
    """Density of the inlet air over that of the rating, at most 1.

    Parameters
    ----------
    inlet_temp_f
        Warmest air drawn in; None: as rated.
    rated_temp_f
        Temperature that the delivery is rated at.
    """
    warmth = 1.0
    if inlet_temp_f is not None:
        warmth = (rated_temp_f + RANKINE_OF_0_F) / (inlet_temp_f + RANKINE_OF_0_F)
    return pressure_ratio(altitude_ft) * min(1.0, warmth)


def compressor_scfm(compressor: Compressor, altitude_ft: float, inlet_temp_f: float | None) -> float:
    """Flow that a compressor is planned on, scfm: derated unless measured here, times its load factor."""
    ratio = 1.0
    if not compressor.measured_here:
        ratio = density_ratio(altitude_ft, inlet_temp_f, compressor.rated_inlet_temp_f)
    return compressor.delivered_scfm * ratio * compressor.load_factor


def capacity_scfm(job: Job, role: AirRole, manifold_psi: float) -> float:
    """Flow of all compressors of a role that are on line and reach the pressure, in parallel, scfm."""
    return sum(
        compressor_scfm(c, job.site.altitude_ft, job.air.inlet_temp_f)
        for c in job.air.compressors
        if c.role is role and c.on_line and c.discharge_psi >= manifold_psi
    )


def primary_capacity_scfm(job: Job, manifold_psi: float) -> float:
    """Flow of the primary compressors at a manifold pressure, scfm; tanks and banks come on top."""
    return capacity_scfm(job, AirRole.PRIMARY, manifold_psi)


def stored_scf(floodable_cuft_each: float, bottles: int, pressure_psi: float, least_psi: float) -> float:
    """Usable gas of cylinders, scf: ``FV × N × (P − P_min)/14.7``, never below 0.

    Raises
    ------
    ValueError
        For a negative volume or pressure.
    """
    if min(floodable_cuft_each, bottles, pressure_psi, least_psi) < 0:
        raise ValueError("volumes and pressures may not be negative")
    return floodable_cuft_each * bottles * max(0.0, pressure_psi - least_psi) / ATMOSPHERE_PSI


def bank_least_psi(bank: Bank, manifold_psi: float) -> float:
    """Pressure under which a bank no longer feeds the manifold: regulator minimum + manifold pressure."""
    return bank.regulator_min_psi + manifold_psi


def bank_scf(bank: Bank, manifold_psi: float) -> float:
    """Usable gas of a bank at a manifold pressure, scf; 0 when it is not on line."""
    if not bank.on_line:
        return 0.0
    least = bank_least_psi(bank, manifold_psi)
    return stored_scf(bank.floodable_cuft_each, bank.bottles, bank.pressure_psi, least)


def tank_scf(tank: VolumeTank, manifold_psi: float) -> float:
    """Usable gas of a volume tank at a manifold pressure, scf; 0 when it is not on line."""
    if not tank.on_line:
        return 0.0
    return stored_scf(tank.volume_cuft, 1, tank.pressure_psi, tank.least_psi + manifold_psi)


def primary_tank_scf(job: Job, manifold_psi: float) -> float:
    """Usable gas of the primary volume tanks, scf: carries short peaks and fills again."""
    return sum(tank_scf(t, manifold_psi) for t in job.air.tanks if t.role is AirRole.PRIMARY)


def primary_bank_scf(job: Job, manifold_psi: float) -> float:
    """Usable gas of the primary banks, scf: drawn once, not filled again during the day."""
    return sum(bank_scf(b, manifold_psi) for b in job.air.banks if b.role is AirRole.PRIMARY)


def has_plant(plant: AirPlant) -> bool:
    """Whether any compressor or bank is given; without one the air rules cannot be checked."""
    return bool(plant.compressors or plant.banks)


def delivered_psi(job: Job, role: AirRole) -> float:
    """Highest manifold pressure that an on-line source of a role can hold, psi gauge; 0 without one.

    A bank holds its pressure less the regulator's minimum.
    """
    held = [c.discharge_psi for c in job.air.compressors if c.role is role and c.on_line]
    held += [b.pressure_psi - b.regulator_min_psi for b in job.air.banks if b.role is role and b.on_line]
    return max(0.0, *held) if held else 0.0


@dataclass(frozen=True)
class SupplyStep:
    """One step of demand with what carries it."""

    demand: DemandStep
    """The step of demand."""
    flow_scfm: float
    """The flow looked at (expected or required)."""
    capacity_scfm: float
    """Flow of the primary compressors at the step's manifold pressure."""
    from_tank_scf: float
    from_bank_scf: float
    """Gas out of the volume tank and the primary banks during the step."""
    short_scf: float
    """Gas that nothing primary can give."""

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

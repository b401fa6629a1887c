"""Air: flow and pressure at depth, demand through the day, primary and reserve, hours, tests."""

from planner.air.capacity import (
    has_plant,
    primary_bank_scf,
    primary_capacity_scfm,
    primary_tank_scf,
)
from planner.air.catalog import AIR_RULES
from planner.air.demand import DemandStep, demand_steps
from planner.air.faults import air_faults
from planner.air.flow import item_manifold_psi
from planner.air.item_air import item_air_breach
from planner.air.limits import dive_demand_scfm, standby_reserve_scfm
from planner.air.report import AirReport, DiveAir, Moment, air_report
from planner.air.reserve import (
    ReserveNeed,
    independent_reserve,
    reserve_ascent_scf,
    reserve_capacity_scfm,
    reserve_flow_scfm,
    reserve_stored_scf,
)
from planner.air.rules import NO_PLANT, AirBreach, air_breaches, air_to_tick
from planner.air.running import BankDay, CompressorRun, RunningDay

__all__ = [
    "AIR_RULES",
    "NO_PLANT",
    "AirBreach",
    "AirReport",
    "BankDay",
    "CompressorRun",
    "DemandStep",
    "DiveAir",
    "Moment",
    "ReserveNeed",
    "RunningDay",
    "air_breaches",
    "air_faults",
    "air_report",
    "air_to_tick",
    "demand_steps",
    "dive_demand_scfm",
    "has_plant",
    "independent_reserve",
    "item_air_breach",
    "item_manifold_psi",
    "primary_bank_scf",
    "primary_capacity_scfm",
    "primary_tank_scf",
    "reserve_ascent_scf",
    "reserve_capacity_scfm",
    "reserve_flow_scfm",
    "reserve_stored_scf",
    "standby_reserve_scfm",
]

"""Air: flow and pressure at depth, demand through the day, primary and reserve, hours, tests."""

from planner.air.demand import demand_steps
from planner.air.flow import item_manifold_psi
from planner.air.item import (
    dive_demand_scfm,
    item_air_finding,
    reserve_flow_scfm,
    reserve_scf,
    standby_reserve_scfm,
)
from planner.air.report import AirReport, DiveAir, air_report, air_to_tick
from planner.air.reserve import (
    independent_reserve,
    reserve_capacity_scfm,
    reserve_stored_scf,
)
from planner.air.running import BankDay, CompressorRun, RunningDay
from planner.air.supply import (
    has_plant,
    primary_bank_scf,
    primary_capacity_scfm,
    primary_tank_scf,
)

"""What a plan is, and the solver-free check that convicts or clears it."""

from planner.plan.breach import Breach, BreachLike, FurtherBreach
from planner.plan.changed import ChangedDuties, changed_duties, still_ahead
from planner.plan.check import FurtherCheck, check
from planner.plan.flight import NoFlight, no_flight
from planner.plan.model import (
    Dive,
    DiverExposure,
    DutySpell,
    Leftover,
    Plan,
    Reason,
    Stage,
    Status,
    SurfaceTask,
)
from planner.plan.plan_json import from_json, to_json
from planner.plan.unchecked import unchecked

__all__ = [
    "Breach",
    "BreachLike",
    "ChangedDuties",
    "Dive",
    "DiverExposure",
    "DutySpell",
    "FurtherBreach",
    "FurtherCheck",
    "Leftover",
    "NoFlight",
    "Plan",
    "Reason",
    "Stage",
    "Status",
    "SurfaceTask",
    "changed_duties",
    "check",
    "from_json",
    "no_flight",
    "still_ahead",
    "to_json",
    "unchecked",
]

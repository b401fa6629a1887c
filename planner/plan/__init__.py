"""What a plan is, and the solver-free check that convicts or clears it."""

from planner.plan.breach import Breach, BreachLike, FurtherBreach
from planner.plan.check import FurtherCheck, check
from planner.plan.flight import NoFlight, no_flight
from planner.plan.json_form import from_json, to_json
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
from planner.plan.unchecked import unchecked

__all__ = [
    "Breach",
    "BreachLike",
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
    "check",
    "from_json",
    "no_flight",
    "to_json",
    "unchecked",
]

"""What a plan is, and the solver-free check that convicts or clears it."""

from planner.plan.breach import Breach
from planner.plan.check import check
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
    "Dive",
    "DiverExposure",
    "DutySpell",
    "Leftover",
    "Plan",
    "Reason",
    "Stage",
    "Status",
    "SurfaceTask",
    "check",
    "from_json",
    "to_json",
    "unchecked",
]

"""What a plan is, what a new one changes, its JSON, and what a check says of it."""

import sys

from planner import CallableRoom
from planner.plan.changed import changed_duties, still_ahead
from planner.plan.finding import Finding
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
from planner.plan.unchecked import no_flight, unchecked

# `planner.plan` may be called by the name of what is done in it
sys.modules[__name__].__class__ = CallableRoom

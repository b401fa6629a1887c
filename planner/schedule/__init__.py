"""The scheduler. OR-Tools is imported in this package only; every plan it gives has passed the check."""

from planner.schedule.outcome import Outcome, Progress
from planner.schedule.solve import first_plan, solve

__all__ = ["Outcome", "Progress", "first_plan", "solve"]

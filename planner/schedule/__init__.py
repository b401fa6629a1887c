"""The scheduler. OR-Tools is imported in this package only; every plan it gives has passed the check."""

from planner.schedule.outcome import Outcome, Progress
from planner.schedule.solve import first_plan, solve
from planner.schedule.what_it_takes import Change, what_it_takes

__all__ = ["Change", "Outcome", "Progress", "first_plan", "solve", "what_it_takes"]

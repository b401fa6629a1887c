"""The day as it happens: what was logged, what the tables then say, the rest of the day, and tomorrow.

Nothing here stores anything: the store keeps the entries (`planner.store`).
"""

from planner.log.before_issue import (
    CARD_LABELS,
    Change,
    PlanningItem,
    all_to_tick,
    changes,
    emergency_card,
    planning_items,
    work_changes,
)
from planner.log.day_log import DIVE_TIMES, ActualDay, ActualDive, DayLog, Entry, Kind, Written
from planner.log.exposures import (
    ActualExposure,
    actual_exposures,
    after_dives,
    on_row_until_min,
)
from planner.log.happened import happened, whole_day
from planner.log.judge import judge, things
from planner.log.replan import Replanned, replan, replan_input
from planner.log.tomorrow import NextDay, next_day, tomorrow

__all__ = [
    "CARD_LABELS",
    "DIVE_TIMES",
    "ActualDay",
    "ActualDive",
    "ActualExposure",
    "Change",
    "DayLog",
    "Entry",
    "Kind",
    "NextDay",
    "PlanningItem",
    "Replanned",
    "Written",
    "actual_exposures",
    "after_dives",
    "all_to_tick",
    "changes",
    "emergency_card",
    "happened",
    "judge",
    "next_day",
    "on_row_until_min",
    "planning_items",
    "replan",
    "replan_input",
    "things",
    "tomorrow",
    "whole_day",
    "work_changes",
]

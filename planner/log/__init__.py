"""The day as it happens: what was logged, what the tables then say, the rest of the day, and tomorrow.

Nothing here stores anything: the store keeps the entries (`planner.store`).
"""

from planner.log.actual import ActualDay, ActualDive
from planner.log.after import After, after_dives
from planner.log.applies import Applies, applies, on_row_until_min
from planner.log.before_issue import (
    CARD_LABELS,
    CardLine,
    PlanningItem,
    all_to_tick,
    emergency_card,
    planning_items,
)
from planner.log.changes import Change, changes, work_changes
from planner.log.entry import DIVE_TIMES, DayLog, Entry, Kind, Written
from planner.log.history import Held, held, hours_worked
from planner.log.judge import Judged, judge, things
from planner.log.projected import Happened, happened
from planner.log.replan import ReplanInput, Replanned, replan, replan_input
from planner.log.tomorrow import NextDay, next_day, tomorrow
from planner.log.whole_day import whole_day

__all__ = [
    "CARD_LABELS",
    "DIVE_TIMES",
    "ActualDay",
    "ActualDive",
    "After",
    "Applies",
    "CardLine",
    "Change",
    "DayLog",
    "Entry",
    "Happened",
    "Held",
    "Judged",
    "Kind",
    "NextDay",
    "PlanningItem",
    "ReplanInput",
    "Replanned",
    "Written",
    "after_dives",
    "all_to_tick",
    "applies",
    "changes",
    "emergency_card",
    "happened",
    "held",
    "hours_worked",
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

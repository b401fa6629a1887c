"""The day as it happens: what was logged, what the tables then say, the rest of the day, and tomorrow.

Nothing here stores anything: the store keeps the entries (`planner.store`).
"""

from planner.log.before_after import Change, WorkChange, changes, work_changes
from planner.log.before_issue import (
    CARD_LABELS,
    PlanningItem,
    all_to_tick,
    card_lacks,
    emergency_card,
    planning_items,
)
from planner.log.day_log import (
    CHAMBER_TIMES,
    DIVE_TIMES,
    STOP_TIMES,
    ActualDay,
    ActualDive,
    DayLog,
    Entry,
    Kind,
    Written,
)
from planner.log.exposures import (
    ActualExposure,
    actual_exposures,
    after_dives,
    on_row_until_min,
)
from planner.log.guard import ASKED_BACK_S, DEAD_S, UNDO_S, just_written, too_soon
from planner.log.happened import happened, whole_day
from planner.log.hold_points import Bench, benches, signatures
from planner.log.judge import judge, things
from planner.log.replan import Replanned, replan, replan_input
from planner.log.station_card import Figure, StationCard, Tone, station_cards, steps_ahead
from planner.log.tomorrow import NextDay, next_day, tomorrow
from planner.log.way_up import next_steps

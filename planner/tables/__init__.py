"""Dives by a set of tables: which row, which schedule, which group. No solver, no screen."""

from planner.tables.altitude import equivalent_depth_fsw, stop_held_at_fsw
from planner.tables.exposure import (
    Exposure,
    plan_exposure,
    standby_minutes_left,
)
from planner.tables.look_up import look_up, next_deeper_fsw, next_longer_min
from planner.tables.options import ExposureOptions, options_for, standby_options
from planner.tables.profile import Segment, profile, total_s
from planner.tables.schedule import Stop, TableSchedule
from planner.tables.series import (
    combined_dive,
    groups_of_past_dives,
    plan_in_series,
)
from planner.tables.ways import Mode, modes

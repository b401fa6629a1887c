"""Decompression tables: the published data and every look-up on it. No solver, no screen."""

from planner.job.bounds import GROUPS, SAME_DIVE_UNDER_MIN
from planner.tables.altitude import (
    equivalent_depth_fsw,
    flight_wait,
    group_on_arrival,
    stop_held_at_fsw,
    wait_before_altitude_min,
)
from planner.tables.exposure import (
    Exposure,
    no_stop_limit,
    plan_exposure,
    residual_nitrogen,
    standby_minutes_left,
)
from planner.tables.intervals import (
    NO_GROUP_CLEAN_MIN,
    group_after_interval,
    minutes_to_group,
    minutes_until_clean,
)
from planner.tables.look_up import LookUp, look_up, next_deeper_fsw, next_longer_min
from planner.tables.options import ExposureOptions, options_for, standby_options
from planner.tables.profile import Segment, profile, total_s
from planner.tables.published import GROUP_RANK, rank_after
from planner.tables.schedule import Stop, TableSchedule
from planner.tables.series import (
    combined_dive,
    group_after_past_dives,
    group_of_past_dive,
    groups_of_past_dives,
    plan_in_series,
)
from planner.tables.ways import Mode, modes

__all__ = [
    "GROUPS",
    "GROUP_RANK",
    "NO_GROUP_CLEAN_MIN",
    "SAME_DIVE_UNDER_MIN",
    "Exposure",
    "ExposureOptions",
    "LookUp",
    "Mode",
    "Segment",
    "Stop",
    "TableSchedule",
    "combined_dive",
    "equivalent_depth_fsw",
    "flight_wait",
    "group_after_interval",
    "group_after_past_dives",
    "group_of_past_dive",
    "group_on_arrival",
    "groups_of_past_dives",
    "look_up",
    "minutes_to_group",
    "minutes_until_clean",
    "modes",
    "next_deeper_fsw",
    "next_longer_min",
    "no_stop_limit",
    "options_for",
    "plan_exposure",
    "plan_in_series",
    "profile",
    "rank_after",
    "residual_nitrogen",
    "standby_minutes_left",
    "standby_options",
    "stop_held_at_fsw",
    "total_s",
    "wait_before_altitude_min",
]

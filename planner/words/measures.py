"""A depth, a pressure, a length of time, a time of day, a date and a number in words."""

from __future__ import annotations

import math
from enum import StrEnum

from planner.job import CrewRules, Job, StandbyWayUp, UnitSystem
from planner.job.units import METRES_PER_FOOT, bar_from_psi, metres_from_fsw

NO_LIMIT = "no limit"


class Metric(StrEnum):
    """How a depth is said to a user who works in metres; one who works in feet reads fsw alone."""

    ALONE = "metres alone"
    FIRST = "metres, the fsw of the tables behind them"
    BEHIND = "fsw, the metres behind them"


def depth_words(
    depth_fsw: float,
    units: UnitSystem,
    metric: Metric = Metric.BEHIND,
    *,
    table_fsw: float | None = None,
) -> str:
    """A depth in the user's units: ``60 fsw``; in metres ``60 fsw (18.3 m)``, rounded up to 0.1 m.

    Parameters
    ----------
    depth_fsw
        The depth at which the diver is.
    table_fsw
        The depth that the tables print for it, where that is another: at altitude. It stands beside the
        depth, ``16.6 fsw (table 20)``, and never alone.
    """
    fsw = f"{depth_fsw:g} fsw"
    said, beside = fsw, []
    if units is UnitSystem.METRIC:
        metres = f"{metres_from_fsw(depth_fsw):.1f} m"
        said = fsw if metric is Metric.BEHIND else metres
        beside = [] if metric is Metric.ALONE else [metres if metric is Metric.BEHIND else fsw]
    if table_fsw is not None and table_fsw != depth_fsw:
        unit = " fsw" if said != fsw and not beside else ""
        beside.append(f"table {table_fsw:g}{unit}")
    return f"{said} ({', '.join(beside)})" if beside else said


def altitude_words(altitude_ft: int, units: UnitSystem) -> str:
    """``5,000 ft``; in metres ``1,524 m (5,000 ft)``, rounded up to the metre."""
    feet = f"{altitude_ft:,} ft"
    metric = units is UnitSystem.METRIC
    return f"{math.ceil(altitude_ft * METRES_PER_FOOT):,} m ({feet})" if metric else feet


def pressure_words(pressure_psi: float, units: UnitSystem) -> str:
    """Gauge pressure: ``2,600 psi`` or ``179.2 bar``, rounded down to 0.1 bar."""
    if units is UnitSystem.METRIC:
        return f"{bar_from_psi(pressure_psi):,.1f} bar"
    return f"{pressure_psi:,.0f} psi"


def number_words(value: float) -> str:
    """A value without needless decimals."""
    return f"{value:,.0f}" if value == int(value) else f"{value:,.1f}"


def minutes_words(minutes: int) -> str:
    """``2 h 05``; ``45 min`` below an hour."""
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d}"


def hours_minutes(minutes: int) -> str:
    """``15:35`` for 15 h 35 min."""
    return f"{minutes // 60}:{minutes % 60:02d}"


def minutes_seconds(seconds: int) -> str:
    """``19:40`` for 19 min 40 s: how the tables print an ascent."""
    return f"{seconds // 60}:{seconds % 60:02d}"


def several_days(job: Job) -> bool:
    """Whether a time of the job needs its day beside it."""
    return len(job.day_windows) > 1


def time_words(job: Job, minute: int) -> str:
    """Local wall time of a job minute: ``07:30``; ``Tue 07:30`` in a job of several days."""
    return job.clock.hhmm(minute, with_day=several_days(job))


def span_words(job: Job, start_min: int, end_min: int) -> str:
    """``09:10–10:05``, with the day of its start in a job of several days."""
    return f"{time_words(job, start_min)}–{job.clock.hhmm(end_min)}"


def date_words(job: Job, day: int = 0) -> str:
    """``Tuesday 3 March 2026``: a day window of the job, counted from 0."""
    moment = job.clock.at(job.day_windows[day].start_min)
    return f"{moment:%A} {moment.day} {moment:%B %Y}"


def dates_words(job: Job) -> str:
    """The job's day, or its first and last."""
    last = len(job.day_windows) - 1
    return date_words(job, 0) if last == 0 else f"{date_words(job, 0)} to {date_words(job, last)}"


def standby_minutes_words(rules: CrewRules) -> str:
    """What the minutes are called that a standby diver has left: as the crew rules count them."""
    no_stop = rules.standby_way_up is StandbyWayUp.NO_STOP
    return "no-stop minutes" if no_stop else "minutes by the job's policy"

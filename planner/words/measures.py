"""A depth, a pressure, a length of time, a time of day, a date and a number in words."""

from __future__ import annotations

import math
from enum import StrEnum

from planner.job import CrewRules, DiveItem, Job, Site, StandbyWayUp, TideMark, UnitSystem
from planner.job.units import (
    DEPTH,
    DEPTH_TRIGGER,
    KPA_PER_PSI,
    LENGTH,
    METRES_PER_FOOT,
    PRESSURE,
    REACH,
    TIDE_LEVEL,
    WATER_TEMPERATURE,
    Measure,
    Measured,
    Toward,
    bar_from_psi,
    metres_from_fsw,
)
from planner.tables.gauge import depth_as_read_words

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
    typed_m: float | None = None,
) -> str:
    """A depth in the user's units: ``60 fsw``; in metres ``60 fsw (18.3 m)``, rounded up to 0.1 m.

    One that was typed in metres stands first, as it was typed: ``9 m (30 fsw)``.

    Parameters
    ----------
    depth_fsw
        The depth at which the diver is.
    table_fsw
        The depth that the tables print for it, where that is another: at altitude. It stands beside the
        depth, ``16.6 fsw (table 20)``, and never alone.
    typed_m
        The figure in metres that was typed (`own_depth_words`).
    """
    fsw = f"{depth_fsw:g} fsw"
    said, beside = fsw, []
    if units is UnitSystem.METRIC:
        metres = f"{metres_from_fsw(depth_fsw):.1f} m"
        if typed_m is not None:
            metres, metric = f"{_figure(typed_m)} m", Metric.FIRST if metric is Metric.BEHIND else metric
        said = fsw if metric is Metric.BEHIND else metres
        beside = [] if metric is Metric.ALONE else [metres if metric is Metric.BEHIND else fsw]
    if table_fsw is not None and table_fsw != depth_fsw:
        unit = " fsw" if said != fsw and not beside else ""
        beside.append(f"table {table_fsw:g}{unit}")
    return f"{said} ({', '.join(beside)})" if beside else said


def _figure(typed: float) -> str:
    """A figure as typed, to two decimals at most."""
    return f"{round(typed, 2):,.10g}"


def own_depth_words(
    part: Measured,
    job_in: UnitSystem,
    field: str = "depth_fsw",
    *,
    reads: UnitSystem | None = None,
    metric: Metric = Metric.FIRST,
    measure: Measure = DEPTH,
) -> str:
    """A depth of a job in these units, the part's ``field``: ``58 fsw``; as it was typed in metres, ``9 m (30
    fsw)``.

    ``reads``: what the reader chose in place of the job's units. A depth that was not typed in metres is told
    in them as any other.
    """
    typed_m = part.metric_as_typed(field, measure, job_in)
    return depth_words(getattr(part, field), reads or job_in, metric, typed_m=typed_m)


def dive_depth_words(
    job: Job, item: str, depth_fsw: int, reads: UnitSystem | None = None, metric: Metric = Metric.FIRST
) -> str:
    """The depth of a dive on an item of the job: as it was typed, where no tide is added to it."""
    work = next((i for i in job.dive_items if i.name == item), None)
    if work is not None and work.depth_fsw == depth_fsw:
        return own_depth_words(work, job.site.units, reads=reads, metric=metric)
    return depth_words(depth_fsw, reads or job.site.units, metric)


def read_depth_words(job: Job, item: DiveItem, read_fsw: int, greatest_fsw: int) -> str:
    """The depth of a dive on an item with what the gauge does not show: ``101 fsw (100 read)``."""
    if greatest_fsw != read_fsw:
        return depth_as_read_words(read_fsw, greatest_fsw)
    return dive_depth_words(job, item.name, read_fsw)


def depth_limit_words(rules: Measured, job_in: UnitSystem, field: str) -> str:
    """A depth past which a crew rule asks for more, or the greatest one that it allows."""
    measure = DEPTH if field == "greatest_depth_fsw" else DEPTH_TRIGGER
    return own_depth_words(rules, job_in, field, measure=measure)


def own_length_words(
    part: Measured,
    job_in: UnitSystem,
    field: str,
    *,
    measure: Measure = LENGTH,
) -> str:
    """A length of a job, such as of a hose: ``131 ft``; as it was typed in metres, ``40 m``."""
    typed_m = part.metric_as_typed(field, measure, job_in)
    if job_in is UnitSystem.METRIC and typed_m is not None:
        return f"{_figure(typed_m)} m"
    return length_words(getattr(part, field), job_in, needed=measure.toward is Toward.MORE)


def down_and_out_words(item: DiveItem, depth_fsw: int, job_in: UnitSystem) -> str:
    """What a hose must reach over: ``46 down and 60 out``, in a job in metres ``14 m down and 18 m out``."""
    if job_in is UnitSystem.FEET:
        return f"{depth_fsw} down and {item.reach_ft} out"
    reach_m = own_length_words(item, job_in, "reach_ft", measure=REACH)
    if depth_fsw == item.depth_fsw:
        return f"{own_depth_words(item, job_in, metric=Metric.ALONE)} down and {reach_m} out"
    return f"{depth_words(depth_fsw, job_in, Metric.ALONE)} down and {reach_m} out"


def own_pressure_words(
    part: Measured, job_in: UnitSystem, field: str, reads: UnitSystem, *, measure: Measure = PRESSURE
) -> str:
    """A pressure of a job that is there: ``2,900 psi``; as it was typed in bar, ``200 bar``."""
    typed_bar = part.metric_as_typed(field, measure, job_in)
    if reads is UnitSystem.METRIC and typed_bar is not None:
        return f"{_figure(typed_bar)} bar"
    return pressure_words(getattr(part, field), reads)


def altitude_words(altitude_ft: int, units: UnitSystem) -> str:
    """``5,000 ft``; in metres ``1,524 m (5,000 ft)``, rounded up to the metre."""
    feet = f"{altitude_ft:,} ft"
    metric = units is UnitSystem.METRIC
    return f"{math.ceil(altitude_ft * METRES_PER_FOOT):,} m ({feet})" if metric else feet


def water_words(site: Site, units: UnitSystem) -> str:
    """How warm the water is: ``57 °F``; in metric units ``13.9 °C``, or as it was typed there."""
    if site.water_temp_f is None:
        raise ValueError("the site gives no water temperature")
    if units is not UnitSystem.METRIC:
        return f"{site.water_temp_f:g} °F"
    typed_c = site.metric_as_typed("water_temp_f", WATER_TEMPERATURE, site.units)
    return f"{WATER_TEMPERATURE.typed(site.water_temp_f, units, typed_c):g} °C"


def length_words(length_ft: int, units: UnitSystem, *, needed: bool = False) -> str:
    """A hose or a way: ``131 ft`` or ``39.9 m``, rounded down to 0.1 m; up where it is ``needed``."""
    if units is not UnitSystem.METRIC:
        return f"{length_ft:,} ft"
    metres = length_ft * METRES_PER_FOOT
    return f"{metres_from_fsw(length_ft) if needed else math.floor(metres * 10 + 1e-9) / 10:,.1f} m"


def level_words(mark: TideMark, units: UnitSystem) -> str:
    """A level of the tide in a job in these units: ``5.2 ft``; as it was typed in metres, ``1.6 m``."""
    level_m = mark.metric_as_typed("level_ft", TIDE_LEVEL, units)
    return f"{mark.level_ft:g} ft" if level_m is None or units is UnitSystem.FEET else f"{_figure(level_m)} m"


def pressure_words(pressure_psi: float, units: UnitSystem, *, needed: bool = False) -> str:
    """Gauge pressure: ``2,600 psi`` or ``179.2 bar``, rounded down to 0.1 bar; up where it is ``needed``."""
    if needed:
        if units is UnitSystem.METRIC:
            return f"{math.ceil(pressure_psi * KPA_PER_PSI / 10 - 1e-9) / 10:,.1f} bar"
        return f"{math.ceil(pressure_psi - 1e-9):,} psi"
    if units is UnitSystem.METRIC:
        return f"{bar_from_psi(pressure_psi):,.1f} bar"
    return f"{pressure_psi:,.0f} psi"


def number_words(value: float) -> str:
    """A value without needless decimals."""
    return f"{value:,.0f}" if value == int(value) else f"{value:,.1f}"


def count_words(count: int, word: str) -> str:
    """``1 dive``, ``3 dives``."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


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

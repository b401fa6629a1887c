"""A table schedule in words, for every screen, sheet, log and command: row, way up, stops, groups.

At altitude a stop is said at the depth at which the diver is held, the depth of the tables beside it.
"""

from __future__ import annotations

from planner.job import UnitSystem
from planner.table_sets import table_words
from planner.tables.schedule import AIR, Stop, TableSchedule
from planner.words.measures import NO_LIMIT, Metric, depth_words, minutes_seconds

#: Without a user's own units a schedule is said as the tables print it, in fsw.
_TABLES_OWN = UnitSystem.FEET


def stop_words(
    stop: Stop,
    units: UnitSystem = _TABLES_OWN,
    metric: Metric = Metric.ALONE,
    *,
    air_named: bool = False,
) -> str:
    """``10 min at 20 fsw on oxygen``; at altitude ``10 min at 16.6 fsw (table 20)``; by a metric set ``10 min
    at 10 fsw (table 3 msw)``, in metres ``10 min at 3 msw``.

    Air is breathed where no gas is said, unless a record asks for it by name.
    """
    gas = "" if stop.gas == AIR and not air_named else f" on {stop.gas}"
    return f"{stop.minutes} min at {stop_depth_words(stop, units, metric)}{gas}"


def stop_depth_words(stop: Stop, units: UnitSystem = _TABLES_OWN, metric: Metric = Metric.ALONE) -> str:
    """Where a stop is held, and what the tables print for it where that is another figure."""
    if stop.depth_msw is None:
        return depth_words(stop.held_fsw, units, metric, table_fsw=stop.depth_fsw)
    if stop.held_at_fsw is None and units is UnitSystem.METRIC:
        return f"{stop.depth_msw} msw"
    return f"{depth_words(stop.held_fsw, units, metric)} (table {stop.depth_msw} msw)"


def chamber_words(schedule: TableSchedule) -> str:
    """``1.5 chamber oxygen periods``; empty for a schedule without the chamber."""
    periods = schedule.chamber_periods
    return f"{periods:g} chamber oxygen period{'s' if periods > 1 else ''}" if periods else ""


def stops_words(
    schedule: TableSchedule, units: UnitSystem = _TABLES_OWN, metric: Metric = Metric.ALONE
) -> str:
    """``10 min at 30 fsw, 25 min at 20 fsw on oxygen``, the chamber behind them; empty without stops."""
    parts = [stop_words(stop, units, metric) for stop in schedule.stops if stop.minutes]
    return ", ".join(part for part in (*parts, chamber_words(schedule)) if part)


def row_words(schedule: TableSchedule) -> str:
    """The row as it is printed: ``60 fsw / 63 min``, ``15 fsw / no limit``; ``18 msw / 9 min``."""
    depth = f"{schedule.depth_fsw} fsw" if schedule.depth_msw is None else f"{schedule.depth_msw} msw"
    return f"{depth} / " + (NO_LIMIT if schedule.unlimited else f"{schedule.time_min} min")


def short_row_words(schedule: TableSchedule) -> str:
    """The row in few letters, as it is printed: ``60/63``."""
    return (
        f"{schedule.depth_msw or schedule.depth_fsw}/{NO_LIMIT if schedule.unlimited else schedule.time_min}"
    )


def table_row_words(schedule: TableSchedule) -> str:
    """The row and where it stands: ``60 fsw / 63 min, table 9-9``."""
    return f"{row_words(schedule)}, {table_words(schedule.table)}"


def way_up_words(
    schedule: TableSchedule, units: UnitSystem = _TABLES_OWN, metric: Metric = Metric.ALONE
) -> str:
    """``no-stop``; ``air: 10 min at 30 fsw, 25 min at 20 fsw``."""
    stops = stops_words(schedule, units, metric)
    return f"{schedule.way_up}: {stops}" if stops else schedule.way_up


def schedule_words(schedule: TableSchedule, units: UnitSystem = _TABLES_OWN) -> str:
    """Row and way up: ``60 fsw / 70 min, air: 7 min at 20 fsw``."""
    return f"{row_words(schedule)}, {way_up_words(schedule, units)}"


def whole_schedule_words(schedule: TableSchedule) -> str:
    """Row, table, way up and ascent: ``60 fsw / 70 min, table 9-9, air: 7 min at 20 fsw; ascent 9:00``."""
    return (
        f"{table_row_words(schedule)}, {way_up_words(schedule)}; ascent {minutes_seconds(schedule.ascent_s)}"
    )


def group_words(group: str | None) -> str:
    """What is carried into a dive, short: ``C``, ``×1.3`` where a factor counts, ``clean`` for nothing."""
    return f"×{group}" if group and group[0].isdigit() else group or "clean"


def group_after_words(group: str | None, *, short: bool = False) -> str:
    """Group after a dive; ``none printed`` (short: ``none``) where the table prints none.

    Without a printed group no repetitive dive is made until clean.
    """
    return group or ("none" if short else "none printed")


def group_of_minutes_words(group: str | None, bottom_time_min: int) -> str:
    """``H after 41 min``: the group beside a row, with the minutes that it is of.

    The group of the whole row can be higher: table 9-7 prints K for 60/63.
    """
    return f"{group_after_words(group, short=True)} after {bottom_time_min} min"

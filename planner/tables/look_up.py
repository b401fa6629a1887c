"""Everything a person asks of the tables about one dive, as data; in words: `planner.words.look_up`."""

from __future__ import annotations

from dataclasses import dataclass, replace

from planner.errors import TableRefusal
from planner.job import Policy
from planner.table_sets import IN_CHAMBER, NO_STOP, ON_AIR, ON_OXYGEN
from planner.tables.exposure import (
    Exposure,
    plan_exposure,
    standby_minutes_left,
)
from planner.tables.options import ANY_STOPS_MIN, ExposureOptions
from planner.tables.ways import entry_for, no_stop_row, row_depth_fsw


@dataclass(frozen=True)
class Answer:
    """One way up: its exposure, or the sentence with which the tables refuse it."""

    way_up: str
    exposure: Exposure | None
    refusal: str = ""


@dataclass(frozen=True)
class Card:
    """One dive with every way up. No depth: there is no such dive, and ``refusal`` says why."""

    title: str
    depth_fsw: int | None
    bottom_time_min: int | None
    answers: tuple[Answer, ...] = ()
    refusal: str = ""

    @property
    def first(self) -> Exposure | None:
        """The first exposure that is allowed."""
        return next((a.exposure for a in self.answers if a.exposure is not None), None)


@dataclass(frozen=True)
class LookUp:
    """The whole answer. Depth in fsw, altitude in ft, times in minutes."""

    depth_fsw: int
    bottom_time_min: int
    group_asked: str | None
    interval_min: int | None
    group_before: str | None
    """Group or factor after the interval; None: clean."""
    options: ExposureOptions
    table_depth_fsw: int
    """Row of the no-stop table."""
    no_stop_limit_min: int | None
    """Of that row; None: unlimited."""
    no_stop_left_min: int | None
    """Bottom time without stops for this diver; None: unlimited."""
    residual_undetermined: bool
    """The tables print no residual nitrogen time for the group at this depth."""
    this_dive: Card
    next_deeper: Card
    next_longer: Card
    group_after: str | None
    flight_wait_min: int | None
    """Before a commercial flight; None where the tables print no such wait."""
    clean_after_min: int
    arrival_group: str | None
    """Group of a person who has only just come up to the site's altitude."""

    @property
    def tables(self) -> tuple[str, ...]:
        """Numbers of all tables used."""
        called = self.options.tables.called
        asked = {
            "before_altitude": self.flight_wait_min is not None,
            "intervals": self.group_asked is not None,
            "arrival_at_altitude": self.arrival_group is not None,
        }
        numbers = {called[table] for table, used in asked.items() if used}
        for card in (self.this_dive, self.next_deeper, self.next_longer):
            for answer in card.answers:
                if answer.exposure is not None:
                    numbers.update(answer.exposure.schedule.table.split(", "))
        return tuple(sorted(numbers))


def ways_up(options: ExposureOptions) -> tuple[tuple[str, ExposureOptions], ...]:
    """The options once for each way up with stops, whatever the job's policy is."""
    in_water = replace(options, policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=ANY_STOPS_MIN)
    return (
        (ON_AIR, replace(in_water, oxygen_in_water=False)),
        (ON_OXYGEN, replace(in_water, oxygen_in_water=True)),
        (IN_CHAMBER, replace(in_water, policy=Policy.SURFACE_DECOMPRESSION, on_deck=None)),
    )


def _answers(
    depth_fsw: int, bottom_time_min: int, group: str | None, options: ExposureOptions
) -> tuple[Answer, ...]:
    """Each way up; one answer for a dive without stops."""
    answers = []
    for name, own in ways_up(options):
        try:
            exposure = plan_exposure(depth_fsw, bottom_time_min, group, own)
        except TableRefusal as refused:
            answers.append(Answer(name, None, str(refused)))
            continue
        if exposure.schedule.way_up == NO_STOP:
            return (Answer(NO_STOP, exposure),)
        answers.append(Answer(name, exposure))
    return tuple(answers)


def _card(
    title: str, depth_fsw: int, bottom_time_min: int, group: str | None, options: ExposureOptions
) -> Card:
    answers = _answers(depth_fsw, bottom_time_min, group, options)
    if all(answer.exposure is None for answer in answers):
        return Card(title, None, None, (), answers[0].refusal)
    return Card(title, depth_fsw, bottom_time_min, answers)


def next_deeper_fsw(depth_fsw: int, options: ExposureOptions) -> int:
    """The least depth that enters a deeper row. TableRefusal when there is none."""
    own = _row_depth(depth_fsw, options)
    deeper = depth_fsw + 1
    while _row_depth(deeper, options) == own:
        deeper += 1
    return deeper


def _row_depth(depth_fsw: int, options: ExposureOptions) -> int:
    """Depth of the row that a dive enters, whatever its time."""
    return no_stop_row(entry_for(depth_fsw, options)).depth_fsw


def next_longer_min(depth_fsw: int, bottom_time_min: int, group: str | None, options: ExposureOptions) -> int:
    """The least bottom time that leads to another schedule than ``bottom_time_min`` does.

    That time may be one that the tables refuse; so may ``bottom_time_min`` (TableRefusal).
    """
    left = plan_exposure(depth_fsw, bottom_time_min, group, options).row_left_min
    return bottom_time_min + left + 1


def _next_deeper(depth_fsw: int, bottom_time_min: int, group: str | None, options: ExposureOptions) -> Card:
    title = "next deeper"
    try:
        deeper = next_deeper_fsw(depth_fsw, options)
    except TableRefusal as refused:
        return Card(title, None, None, (), str(refused))
    return _card(title, deeper, bottom_time_min, group, options)


def _next_longer(depth_fsw: int, bottom_time_min: int, group: str | None, options: ExposureOptions) -> Card:
    on_air = ways_up(options)[0][1]
    longer = next_longer_min(depth_fsw, bottom_time_min, group, on_air)
    return _card("next longer", depth_fsw, longer, group, options)


def look_up(
    depth_fsw: int,
    bottom_time_min: int,
    *,
    group: str | None = None,
    interval_min: int | None = None,
    options: ExposureOptions | None = None,
) -> LookUp:
    """Ask the tables about one dive of one diver.

    Parameters
    ----------
    group
        Repetitive group: at the last surfacing when ``interval_min`` is given, else at leave surface (the
        factor there, where the set counts by one).
    interval_min
        Minutes on the surface since then.
    options
        How to read the tables; the policy in it is not looked at, every way up is answered.

    Raises
    ------
    TableRefusal
        No way up is allowed, or the depth, time or group is none of the tables'.
    ValueError
        An interval without a group, a negative one, or one under 10 minutes.
    """
    options = options or ExposureOptions()
    tables = options.tables
    if group is not None and interval_min is None:
        tables.known_carried(group)
    if interval_min is not None and group is None:
        raise ValueError("A surface interval needs the group at the last surfacing.")
    before = group
    if group is not None and interval_min is not None:
        before = tables.group_after_interval(group, interval_min)
    entry = entry_for(depth_fsw, options)
    this_dive = _card("this dive", depth_fsw, bottom_time_min, before, options)
    exposure = this_dive.first
    if exposure is None:
        raise TableRefusal(this_dive.refusal)
    row = no_stop_row(entry, before)
    return LookUp(
        depth_fsw=depth_fsw,
        bottom_time_min=bottom_time_min,
        group_asked=group,
        interval_min=interval_min,
        group_before=before,
        options=options,
        table_depth_fsw=row.depth_fsw,
        no_stop_limit_min=row.limit_min,
        no_stop_left_min=standby_minutes_left(depth_fsw, before, options.no_stop_only),
        residual_undetermined=tables.counted(row_depth_fsw(entry, before), before) is None,
        this_dive=this_dive,
        next_deeper=_next_deeper(depth_fsw, bottom_time_min, before, options),
        next_longer=_next_longer(depth_fsw, bottom_time_min, before, options),
        group_after=exposure.group_after,
        flight_wait_min=tables.wait_before_altitude_min(exposure.group_after)
        if tables.flight_waits
        else None,
        clean_after_min=tables.minutes_until_clean(exposure.group_after),
        arrival_group=tables.group_on_arrival(options.altitude_ft) if entry.at_altitude else None,
    )

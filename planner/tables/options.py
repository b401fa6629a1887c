"""How a job wants the tables read."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache

from planner.job import DiveItem, Job, Policy, StandbyWayUp
from planner.job.bounds import CHAMBER_REACH_MIN, DEEPEST_FSW
from planner.job.site import DepthGauge
from planner.table_sets import TableSet, table_set
from planner.tables.schedule import OnDeck, Way

#: A longest total of stops that no schedule reaches, to look up every row whatever a job allows.
ANY_STOPS_MIN = 100_000


@dataclass(frozen=True)
class ExposureOptions:
    """Everything beside depth, time and group that decides which row of the tables is used."""

    tables: TableSet = field(default_factory=table_set)
    """The set of tables that is read."""
    policy: Policy = Policy.NO_STOP
    """Ways up that are allowed."""
    in_water_stop_max_min: int = 0
    """Longest total of stops, air breaks included, under the policy *in-water stops*."""
    oxygen_in_water: bool = False
    """Use the rows with oxygen for in-water stops."""
    margin_min: int = 0
    """Plan to at most each limit and each row's time less this many minutes."""
    next_longer_row: bool = False
    """Arduous or cold dive: enter the next longer schedule (common practice). For a dive without stops the
    printed group times of the no-stop table are the schedules."""
    pneumofathometer_correction: bool = False
    """Depth is read by pneumofathometer: +1 fsw to 100, +2 to 200, +4 to 300 (U.S. Navy Diving Manual)."""
    fixed_reference_gauge: bool = False
    """Depth is read on a gauge with a fixed one-atmosphere reference: about +1 fsw for each 1,000 ft."""
    altitude_ft: int = 0
    """Altitude of the site; up to 300 ft counts as sea level."""
    one_foot_rows: bool = False
    """Between 30 and 50 fsw use the one-foot tables (2A-1 and 2A-2) for dives without stops. Left aside with
    ``next_longer_row``: an arduous or cold dive takes no finer row."""
    rnt_exception: bool = False
    """Allow the RNT exception where the earlier dives are known (`plan_exposure`); noted when used."""
    descent_fsw_per_min: int = 60
    """Descent rate of the profile, at most that of the tables."""
    greatest_depth_fsw: int = DEEPEST_FSW
    """Deepest dive that the job's rules allow."""
    on_deck: OnDeck | None = None
    """What a diver does between surface and chamber, where that is to be held against the five minutes of
    surface decompression; None: every such row is in time."""
    ways: dict[tuple[int, str | None], Way] = field(
        default_factory=dict, init=False, repr=False, compare=False, hash=False
    )
    """Ways already worked out (depth and group before); filled by `planner.tables.ways`."""

    def __post_init__(self) -> None:
        most = self.tables.descent_fsw_per_min_at_most
        if not 1 <= self.descent_fsw_per_min <= most:
            raise ValueError(
                f"A descent rate of {self.descent_fsw_per_min} fsw/min is outside 1 to {most} fsw/min."
            )
        if self.margin_min < 0 or self.in_water_stop_max_min < 0:
            raise ValueError("A margin and a greatest total of stops cannot be negative.")

    @property
    def one_foot(self) -> bool:
        """Whether the one-foot rows are used."""
        return self.one_foot_rows and not self.next_longer_row

    def in_time_from(self, leaves_fsw: int) -> bool:
        """Whether a diver who leaves the water from that depth is in the chamber in time."""
        return self.on_deck is None or self.on_deck.in_time(leaves_fsw)

    @cached_property
    def any_time_on_deck(self) -> ExposureOptions:
        """The same options whatever a diver does between surface and chamber."""
        return self if self.on_deck is None else _shared(replace(self, on_deck=None))

    @cached_property
    def no_stop_only(self) -> ExposureOptions:
        """The same options under the policy *no-stop only*."""
        if self.policy is Policy.NO_STOP:
            return self
        return _shared(replace(self, policy=Policy.NO_STOP, on_deck=None))


@lru_cache(maxsize=256)
def _shared(options: ExposureOptions) -> ExposureOptions:
    """One object for equal options, so that they share the ways already worked out."""
    return options


def standby_options(job: Job, item: DiveItem) -> ExposureOptions:
    """How the tables are read for a diver who stands by for an item and may be sent down.

    Without stops, unless the crew rules count as the job's policy and a chamber is at the location: a dive
    with stops needs one (29 CFR 1910.423(c)(1)).
    """
    options, away_min = options_for(job, item), job.site.chamber_minutes_away
    chamber = away_min is not None and away_min <= CHAMBER_REACH_MIN
    return options if chamber and job.rules.standby_way_up is StandbyWayUp.POLICY else options.no_stop_only


def options_for(job: Job, item: DiveItem) -> ExposureOptions:
    """Options that a job's site and rules and the item itself ask for."""
    site, away_min, on_deck = job.site, job.site.chamber_minutes_away, None
    if site.policy is Policy.SURFACE_DECOMPRESSION and away_min is not None:
        on_deck = OnDeck(item.gear.value, job.rules.out_of_dress_min(item.gear), away_min)
    return _shared(
        ExposureOptions(
            tables=job.tables,
            policy=site.policy,
            in_water_stop_max_min=site.in_water_stop_max_min,
            oxygen_in_water=site.oxygen_in_water,
            margin_min=site.margin_min,
            next_longer_row=site.next_longer_row or item.arduous_or_cold,
            pneumofathometer_correction=site.pneumofathometer_correction,
            fixed_reference_gauge=site.depth_gauge is DepthGauge.FIXED,
            altitude_ft=site.altitude_ft,
            descent_fsw_per_min=job.rules.descent_fsw_per_min,
            greatest_depth_fsw=job.rules.greatest_depth_fsw,
            on_deck=on_deck,
        )
    )

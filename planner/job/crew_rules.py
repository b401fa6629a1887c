"""The rules a user may edit, as values. What each means, with its id and source, is in `planner.check`."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import Annotated, Any

from pydantic import Field, field_validator, model_validator

from planner.job.bounds import DEEPEST_FSW, DEEPEST_SHORT_FSW, SAME_DIVE_UNDER_MIN
from planner.job.duties import (
    CHAMBER_OPERATOR,
    DEFAULT_MINIMA,
    DEFAULT_PAIRS,
    DRESSED_DUTIES,
    DUTY_OF,
    CrewMinimum,
    DutyCertificate,
    DutyPair,
    qualifying,
)
from planner.job.gear import TENDERS, BenchList, BenchStep, Gear, dressing_minutes
from planner.job.units import Measured

#: What one minute of finished work counts in the objective.
Weight = Annotated[int, Field(ge=0, le=1000)]


#: Sums of the built-in lists of steps with one tender and with two (`planner.gear` ships them; a test holds
#: these numbers to them).
BUILT_IN_MIN: dict[tuple[Gear, BenchList], tuple[int, int]] = {
    (Gear.HEAVY, BenchList.DRESSING): (53, 30),
    (Gear.HEAVY, BenchList.UNDRESSING): (40, 20),
    (Gear.LIGHT, BenchList.DRESSING): (15, 15),
    (Gear.LIGHT, BenchList.UNDRESSING): (10, 10),
}


#: The stages of the objective that a job may put in another order. *Work finished* stays before them: on a
#: day without work every other one is at its best.
STAGE_ORDER: tuple[str, ...] = (
    "minutes in hand",
    "finish",
    "overtime",
    "decompression",
    "nitrogen",
    "same diver",
    "in one go",
    "fair shares",
    "people-hours",
)


class StandbyWayUp(StrEnum):
    """How the minutes are counted that a standby diver must have left at the working depth."""

    NO_STOP = "no-stop"
    POLICY = "as the job's policy"


@dataclass(frozen=True)
class OlderValue:
    """A value that crew rules written before some field existed may hold, and what stands for it today."""

    field: str
    was: int
    now: int
    before: str
    """The field that such crew rules do not have."""
    sentence: str


OLDER_VALUES: tuple[OlderValue, ...] = (
    OlderValue(
        "standby_no_stop_min",
        0,
        1,
        "standby_way_up",
        "The standby diver was asked to have 0 minutes left at the working depth; a diver without a minute "
        "cannot be sent down, so the job is opened with 1.",
    ),
)


#: Limits that a workbook of an earlier version has no row for: it is opened with what is
#: shipped, and told so.
LATER_LIMITS: tuple[str, ...] = (
    "margin_wanted_min",
    "station_turnaround_min",
    "bailout_min",
    "stage_deeper_than_fsw",
    "briefing_min",
    "longest_bottom_heavy_min",
    "longest_bottom_light_min",
    "longest_in_dress_heavy_min",
    "longest_in_dress_light_min",
    "watch_max_min",
    "inspection_heavy_min",
    "inspection_light_min",
    "station_set_up_min",
    "station_strike_min",
    "cleaning_min",
)


#: Why a chamber operator is asked for where no crew row does.
BY_CHAMBER = "this job's trigger; until 1 h after the dive: 29 CFR 1910.423(c)(6)"


def _always(row: CrewMinimum) -> bool:
    """Whether neither gear nor the kind of space keeps a row from holding."""
    return row.gear is None and not row.enclosed_space


#: Field that says how long a diver takes out of each kind of dress for the chamber.
OUT_OF_DRESS: dict[Gear, str] = {Gear.HEAVY: "chamber_heavy_min", Gear.LIGHT: "chamber_light_min"}


#: Longest bottom time, and longest time in dress, in each kind of dress: the fields for ordinary water, and
#: for water colder than the job's cold.
LONGEST_BOTTOM: dict[Gear, tuple[str, str]] = {
    Gear.HEAVY: ("longest_bottom_heavy_min", "longest_bottom_heavy_cold_min"),
    Gear.LIGHT: ("longest_bottom_light_min", "longest_bottom_light_cold_min"),
}
LONGEST_IN_DRESS: dict[Gear, tuple[str, str]] = {
    Gear.HEAVY: ("longest_in_dress_heavy_min", "longest_in_dress_heavy_cold_min"),
    Gear.LIGHT: ("longest_in_dress_light_min", "longest_in_dress_light_cold_min"),
}

#: Longest minutes of a dive; 0: no limit.
_Longest = Annotated[int, Field(ge=0, le=1440)]


class CrewRules(Measured):
    """All editable rules of a job. Minutes and fsw; each field's source stands in `planner.check.limits`."""

    minima: tuple[CrewMinimum, ...] = DEFAULT_MINIMA
    pairs: tuple[DutyPair, ...] = DEFAULT_PAIRS
    duty_certificates: tuple[DutyCertificate, ...] = ()
    preset: str = "five and a console"

    greatest_depth_fsw: Annotated[int, Field(ge=10, le=DEEPEST_SHORT_FSW)] = DEEPEST_FSW
    chamber_trigger_fsw: Annotated[int, Field(ge=10, le=DEEPEST_SHORT_FSW)] = 100
    chamber_watch_min: Annotated[int, Field(ge=0, le=600)] = 60
    descent_fsw_per_min: Annotated[int, Field(ge=10, le=75)] = 60
    dives_a_day: Annotated[int, Field(ge=1, le=5)] = 2
    least_surface_interval_min: Annotated[int, Field(ge=SAME_DIVE_UNDER_MIN, le=1440)] = 60
    bottom_minutes_a_day: Annotated[int, Field(ge=10, le=1440)] = 240
    standby_no_stop_min: Annotated[int, Field(ge=1, le=120)] = 15
    standby_way_up: StandbyWayUp = StandbyWayUp.NO_STOP
    standby_send_min: Annotated[int, Field(ge=0, le=30)] = 2
    along_bottom_ft_per_min: Annotated[int, Field(ge=5, le=200)] = 30
    stage_deeper_than_fsw: Annotated[int, Field(ge=0, le=DEEPEST_SHORT_FSW)] = 100
    dressing_heavy_min: Annotated[int, Field(ge=0, le=180)] = 30
    undressing_heavy_min: Annotated[int, Field(ge=0, le=180)] = 20
    dressing_light_min: Annotated[int, Field(ge=0, le=180)] = 15
    undressing_light_min: Annotated[int, Field(ge=0, le=180)] = 10
    chamber_heavy_min: Annotated[int, Field(ge=0, le=60)] = 20
    chamber_light_min: Annotated[int, Field(ge=0, le=60)] = 2
    duty_span_max_min: Annotated[int, Field(ge=60, le=1440)] = 720
    overtime_after_min: Annotated[int, Field(ge=0, le=1440)] = 480
    rest_before_duty_min: Annotated[int, Field(ge=0, le=1440)] = 480
    rest_in_24h_min: Annotated[int, Field(ge=0, le=1440)] = 0
    rest_in_7d_min: Annotated[int, Field(ge=0, le=10_080)] = 0
    rest_parts: Annotated[int, Field(ge=1, le=24)] = 2
    rest_long_part_min: Annotated[int, Field(ge=0, le=1440)] = 360
    work_between_rests_max_min: Annotated[int, Field(ge=60, le=2880)] = 840
    rest_least_min: Annotated[int, Field(ge=1, le=360)] = 60
    meal_break_min: Annotated[int, Field(ge=0, le=240)] = 30
    meal_break_after_min: Annotated[int, Field(ge=60, le=1440)] = 360
    watch_max_min: Annotated[int, Field(ge=0, le=1440)] = 240
    watch_break_min: Annotated[int, Field(ge=1, le=240)] = 15
    rest_after_night_min: Annotated[int, Field(ge=0, le=2880)] = 0
    standby_dressed_max_min: Annotated[int, Field(ge=0, le=1440)] = 0
    hand_over_min: Annotated[int, Field(ge=0, le=120)] = 0
    hand_over_lead_min: Annotated[int, Field(ge=0, le=120)] = 0
    station_turnaround_min: Annotated[int, Field(ge=0, le=240)] = 10
    bailout_min: Annotated[int, Field(ge=0, le=60)] = 3
    bailout_deeper_than_fsw: Annotated[int, Field(ge=0, le=DEEPEST_SHORT_FSW)] = 100
    briefing_min: Annotated[int, Field(ge=0, le=120)] = 15
    one_briefing: bool = False
    longest_bottom_heavy_min: _Longest = 180
    longest_bottom_light_min: _Longest = 240
    longest_in_dress_heavy_min: _Longest = 240
    longest_in_dress_light_min: _Longest = 300
    cold_water_f: Annotated[int, Field(ge=28, le=100)] = 50
    longest_bottom_heavy_cold_min: _Longest = 120
    longest_bottom_light_cold_min: _Longest = 120
    longest_in_dress_heavy_cold_min: _Longest = 180
    longest_in_dress_light_cold_min: _Longest = 180
    inspection_heavy_min: Annotated[int, Field(ge=0, le=180)] = 29
    inspection_light_min: Annotated[int, Field(ge=0, le=180)] = 17
    inspection_pairs: Annotated[int, Field(ge=0, le=10)] = 2
    station_set_up_min: Annotated[int, Field(ge=0, le=480)] = 30
    set_up_hands: Annotated[int, Field(ge=0, le=20)] = 2
    warm_up_hands: Annotated[int, Field(ge=0, le=5)] = 1
    station_strike_min: Annotated[int, Field(ge=0, le=480)] = 20
    cleaning_min: Annotated[int, Field(ge=0, le=480)] = 20
    cleaning_hands: Annotated[int, Field(ge=0, le=20)] = 2
    priority_weights: tuple[Weight, Weight, Weight, Weight, Weight] = (16, 8, 4, 2, 1)
    margin_wanted_min: Annotated[int, Field(ge=0, le=60)] = 5
    stage_order: tuple[str, ...] = STAGE_ORDER
    """Whole: stages that were not named follow the named ones in the order of `STAGE_ORDER`."""
    bench_steps: tuple[BenchStep, ...] = ()
    """The crew's own inspection and dressing steps. For each list of each gear kind that has steps here
    they stand in place of the built-in ones."""

    @model_validator(mode="before")
    @classmethod
    def _of_an_earlier_version(cls, given: Any) -> Any:
        """Crew rules of an earlier version with what stands today for a value that is no longer allowed."""
        if isinstance(given, dict):
            for older in OLDER_VALUES:
                if older.before not in given and given.get(older.field) == older.was:
                    given = {**given, older.field: older.now}
        return given

    @field_validator("stage_order")
    @classmethod
    def _each_stage_once(cls, given: tuple[str, ...]) -> tuple[str, ...]:
        named = tuple(" ".join(name.split()).lower() for name in given)
        for name in named:
            if name not in STAGE_ORDER:
                raise ValueError(f"{name} is no stage that can be moved; there are {', '.join(STAGE_ORDER)}")
            if named.count(name) > 1:
                raise ValueError(f"{name} stands there twice")
        return (*named, *(name for name in STAGE_ORDER if name not in named))

    @cached_property
    def asked_rows(self) -> tuple[CrewMinimum, ...]:
        """The crew rows that a dive is held to: those of the job and, wherever a dive needs the chamber and
        they leave it without, one chamber operator.

        A dive needs the chamber deeper than this job's trigger and outside the no-stop limits, so a lower
        trigger brings the operator with it whatever the rows say.
        """
        rows = tuple(r for r in self.minima if r.duty == CHAMBER_OPERATOR and r.count and _always(r))
        trigger = self.chamber_trigger_fsw
        least = []
        if not any(r.deeper_than_fsw is None for r in rows):
            least.append(CrewMinimum(duty=CHAMBER_OPERATOR, count=1, decompression=True, source=BY_CHAMBER))
        if not any(
            not r.decompression and (r.deeper_than_fsw is None or r.deeper_than_fsw <= trigger) for r in rows
        ):
            least.append(
                CrewMinimum(duty=CHAMBER_OPERATOR, count=1, deeper_than_fsw=trigger, source=BY_CHAMBER)
            )
        return (*self.minima, *least)

    def dressing_min(self, gear: Gear, tenders: int | None = None) -> int:
        """Minutes to dress one diver: the crew's own measured time, or (0) the sum of its list of steps.

        Parameters
        ----------
        tenders
            Tenders he has. With fewer than the list takes (`planner.job.gear.TENDERS`; None: as many) it
            takes longer, as the list with so few hands does beside the list with all, rounded up; a measured
            time is that with all of them.
        """
        measured = self.dressing_heavy_min if gear is Gear.HEAVY else self.dressing_light_min
        return self._on_the_bench(measured, gear, BenchList.DRESSING, tenders)

    def undressing_min(self, gear: Gear, tenders: int | None = None) -> int:
        """Minutes to undress one diver; see `dressing_min`."""
        measured = self.undressing_heavy_min if gear is Gear.HEAVY else self.undressing_light_min
        return self._on_the_bench(measured, gear, BenchList.UNDRESSING, tenders)

    def longest_min(self, fields: tuple[str, str], water_temp_f: float | None) -> int | None:
        """One of the longest times of a dive in water of a temperature; None: no limit. Water whose
        temperature is not known counts as not cold: that is for a person to check."""
        cold = water_temp_f is not None and water_temp_f < self.cold_water_f
        return int(getattr(self, fields[cold])) or None

    def out_of_dress_min(self, gear: Gear) -> int:
        """Minutes from reaching the surface until out of dress as far as the chamber asks."""
        return int(getattr(self, OUT_OF_DRESS[gear]))

    def _on_the_bench(self, measured: int, gear: Gear, name: BenchList, tenders: int | None) -> int:
        hands = TENDERS[gear]
        whole = self._of_list(gear, name, hands)
        if tenders is None or tenders >= hands:
            return measured or whole
        return math.ceil((measured or whole) * self._of_list(gear, name, max(1, tenders)) / whole)

    def _of_list(self, gear: Gear, name: BenchList, tenders: int) -> int:
        own = [s for s in self.bench_steps if s.gear is gear and s.list is name]
        return max(1, dressing_minutes(own, tenders)) if own else BUILT_IN_MIN[gear, name][tenders - 1]

    def certificates_for(self, duty: str) -> frozenset[str]:
        """Certificates that whoever holds a duty must have, those of the duty that qualifies for it too."""
        by = qualifying(duty)
        return frozenset(row.certificate for row in self.duty_certificates if row.duty in by)

    def handed_over_min(self, duty: str) -> int:
        """How long both hold a duty that changes hands in mid-dive; 0 where it may not."""
        if duty in DRESSED_DUTIES:
            return 0
        return self.hand_over_lead_min if duty in DUTY_OF and DUTY_OF[duty].leads else self.hand_over_min

    def may_combine(self, one: str, other: str) -> bool:
        """Whether one person may hold both duties at once on one station."""
        return any({p.duty, p.with_duty} == {one, other} for p in self.pairs)


#: What a job begins with that is made anew; a workbook that lacks a setting is opened with the fields'
#: defaults, so that an earlier job stays what it was.
NEW_JOB_RULES = CrewRules(one_briefing=True, standby_dressed_max_min=180)

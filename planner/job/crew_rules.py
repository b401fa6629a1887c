"""The rules a user may edit, as values. What each means, with its id and source, is in `planner.check`."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import Annotated, Any

from pydantic import Field, model_validator

from planner.job.base import Part
from planner.job.bounds import DEEPEST_FSW, DEEPEST_SHORT_FSW, SAME_DIVE_UNDER_MIN
from planner.job.duties import CHAMBER_OPERATOR, DEFAULT_MINIMA, DEFAULT_PAIRS, CrewMinimum, DutyPair
from planner.job.gear import TENDERS, BenchList, BenchStep, Gear, dressing_minutes

#: What one minute of finished work counts in the objective.
Weight = Annotated[int, Field(ge=0, le=1000)]


#: Sums of the built-in lists of steps (`planner.gear` ships them; a test holds these numbers to them).
BUILT_IN_MIN: dict[tuple[Gear, BenchList], int] = {
    (Gear.HEAVY, BenchList.DRESSING): 30,
    (Gear.HEAVY, BenchList.UNDRESSING): 20,
    (Gear.LIGHT, BenchList.DRESSING): 15,
    (Gear.LIGHT, BenchList.UNDRESSING): 10,
}


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


#: Why a chamber operator is asked for where no crew row does.
BY_CHAMBER = "this job's trigger; until 1 h after the dive: 29 CFR 1910.423(c)"


def _always(row: CrewMinimum) -> bool:
    """Whether neither gear nor the kind of space keeps a row from holding."""
    return row.gear is None and not row.enclosed_space


#: Field that says how long a diver takes out of each kind of dress for the chamber.
OUT_OF_DRESS: dict[Gear, str] = {Gear.HEAVY: "chamber_heavy_min", Gear.LIGHT: "chamber_light_min"}


class CrewRules(Part):
    """All editable rules of a job. Minutes and fsw; each field's source stands in `planner.check.limits`."""

    minima: tuple[CrewMinimum, ...] = DEFAULT_MINIMA
    pairs: tuple[DutyPair, ...] = DEFAULT_PAIRS
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
    meal_break_min: Annotated[int, Field(ge=0, le=240)] = 0
    meal_break_after_min: Annotated[int, Field(ge=60, le=1440)] = 360
    rest_after_night_min: Annotated[int, Field(ge=0, le=2880)] = 0
    standby_dressed_max_min: Annotated[int, Field(ge=0, le=1440)] = 0
    hand_over_min: Annotated[int, Field(ge=0, le=120)] = 0
    hand_over_lead_min: Annotated[int, Field(ge=0, le=120)] = 0
    priority_weights: tuple[Weight, Weight, Weight, Weight, Weight] = (16, 8, 4, 2, 1)
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

    def dressing_min(self, gear: Gear) -> int:
        """Minutes to dress: the crew's own measured time, or (0) the sum of its own list of steps."""
        measured = self.dressing_heavy_min if gear is Gear.HEAVY else self.dressing_light_min
        return measured or self._of_list(gear, BenchList.DRESSING)

    def undressing_min(self, gear: Gear) -> int:
        """Minutes to undress: measured, or (0) the sum of the crew's own list of steps."""
        measured = self.undressing_heavy_min if gear is Gear.HEAVY else self.undressing_light_min
        return measured or self._of_list(gear, BenchList.UNDRESSING)

    def out_of_dress_min(self, gear: Gear) -> int:
        """Minutes from reaching the surface until out of dress as far as the chamber asks."""
        return int(getattr(self, OUT_OF_DRESS[gear]))

    def _of_list(self, gear: Gear, name: BenchList) -> int:
        own = [s for s in self.bench_steps if s.gear is gear and s.list is name]
        return max(1, dressing_minutes(own, TENDERS[gear])) if own else BUILT_IN_MIN[gear, name]

    def may_combine(self, one: str, other: str) -> bool:
        """Whether one person may hold both duties at once on one station."""
        return any({p.duty, p.with_duty} == {one, other} for p in self.pairs)

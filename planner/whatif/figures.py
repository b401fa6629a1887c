"""The figures of one case, worked out from its plan alone: work, people, air, and what it costs.

Cost: pay by the pay rules, a least day's pay for everybody on site, and gear by the day.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from pydantic import Field

from planner.air import air_report
from planner.check.stages import WORK_FINISHED
from planner.day import on_duty_min
from planner.hours import EXAMPLE_RULES, PayRules, cents, from_plan, timesheets
from planner.job import Job, OutfitState
from planner.job.base import Part
from planner.job.duties import DIVER, ENTRY_DIVER
from planner.plan.model import Plan

Money = Annotated[Decimal, Field(ge=0, le=1_000_000)]


class CostRates(Part):
    """Money for people and gear.

    Everybody in the job is paid at least ``least_paid_min`` a working day, posted or not: someone who came is
    not sent home without pay (common practice). The day rates that ship are invented.
    """

    pay: PayRules = EXAMPLE_RULES
    least_paid_min: Annotated[int, Field(ge=0, le=1440)] = 480
    station_day: Money = Decimal("350.00")
    outfit_day: Money = Decimal("60.00")
    compressor_day: Money = Decimal("180.00")
    chamber_day: Money = Decimal("900.00")
    source: str = "invented example"


EXAMPLE_COSTS = CostRates()


@dataclass(frozen=True)
class Cost:
    """A plan's cost, to the cent."""

    worked_pay: Decimal
    """Hours, premiums and overtime of those who are posted."""
    waiting_pay: Decimal
    """What it takes to bring everybody on site to the least paid day."""
    gear: Decimal
    currency: str

    @property
    def total(self) -> Decimal:
        return self.worked_pay + self.waiting_pay + self.gear


def cost_of(plan: Plan, job: Job, rates: CostRates = EXAMPLE_COSTS) -> Cost:
    """What a plan costs with all the people and the gear of its job on site for all its days."""
    days = len(job.day_windows)
    sheets = timesheets([from_plan(plan, job)], rates.pay)
    worked: dict[str, int] = {}
    for week in sheets.weeks:
        worked[week.person] = worked.get(week.person, 0) + week.worked_min
    waiting = sum(
        (
            cents(
                rates.pay.rate(person.pay_class).per_hour
                * max(0, rates.least_paid_min * days - worked.get(person.name, 0))
                / 60
            )
            for person in job.people
        ),
        Decimal(0),
    )
    stations = min(len(job.stations), job.site.stations_at_once)
    ready = sum(1 for o in job.outfits if o.state is OutfitState.READY)
    here = job.site.chamber_minutes_away is not None and job.site.chamber_minutes_away <= 5
    gear = days * (
        stations * rates.station_day
        + ready * rates.outfit_day
        + len(job.air.compressors) * rates.compressor_day
        + (rates.chamber_day if here else Decimal(0))
    )
    return Cost(sheets.pay, waiting, gear, rates.pay.currency)


@dataclass(frozen=True)
class Figures:
    """What a plan comes to.

    Parameters
    ----------
    work_min, needed_min
        Minutes of work done and asked for, all items alike.
    weighted, weighted_needed
        Minutes done, and asked for, times the weight of their priority: what the scheduler maximises.
    end_min
        When the last person is free, job minutes.
    people_min
        Minutes on duty of all people, two duties at once once.
    overtime_min
        Minutes past the job's overtime limit, as the scheduler counts them: spans of days.
    cost
        In money.
    dives_a_diver, bottom_min_a_diver
        Averages over the people who may dive.
    dives
        Number of dives.
    air_margin_scfm
        Least compressor flow over the required flow; None without an air plant or without dives.
    gap_percent, proven
        How far the work done may still be from the most there is; whether the whole plan is proven best.
    """

    work_min: int
    needed_min: int
    weighted: int
    weighted_needed: int
    end_min: int
    people_min: int
    overtime_min: int
    cost: Cost
    dives: int
    dives_a_diver: float
    bottom_min_a_diver: float
    air_margin_scfm: float | None
    gap_percent: float
    proven: bool

    @property
    def work_percent(self) -> float:
        """Work done of all work, weighted by priority."""
        return 100 * self.weighted / self.weighted_needed if self.weighted_needed else 100.0

    @property
    def total_cost(self) -> Decimal:
        return self.cost.total


def weighted_min(plan: Plan, job: Job) -> int:
    """Minutes done times the weight of each item's priority."""
    weights = job.rules.priority_weights
    return sum(weights[item.priority - 1] * plan.worked_min(item.name) for item in job.items)


def overtime_min(plan: Plan, job: Job) -> int:
    """Minutes of each person's span of a day past the job's limit, added up."""
    total = 0
    for window in job.day_windows:
        ends: dict[str, tuple[int, int]] = {}
        for spell in plan.duties:
            if window.start_min <= spell.start_min < window.end_min:
                start, end = ends.get(spell.person, (spell.start_min, spell.end_min))
                ends[spell.person] = (min(start, spell.start_min), max(end, spell.end_min))
        total += sum(max(0, end - start - job.rules.overtime_after_min) for start, end in ends.values())
    return total


def rank(plan: Plan, job: Job) -> tuple[int, int, int]:
    """The scheduler's order of what is better: more work, then an earlier end, then less overtime."""
    return weighted_min(plan, job), -plan.end_min, -overtime_min(plan, job)


def figures_of(plan: Plan, job: Job, rates: CostRates) -> Figures:
    """All figures of a plan."""
    weights = job.rules.priority_weights
    needed = sum(i.needed_min for i in job.items)
    divers = sum(1 for p in job.people if {DIVER, ENTRY_DIVER} & p.duties) or 1
    seats = sum(len(d.divers) for d in plan.dives)
    bottom = sum(len(d.divers) * d.bottom_time_min for d in plan.dives)
    air = air_report(plan, job)
    margin = air.least_margin.margin_scfm if air.plant_given and air.least_margin is not None else None
    work = next((s for s in plan.stages if s.name == WORK_FINISHED.name), None)
    return Figures(
        work_min=sum(plan.worked_min(item.name) for item in job.items),
        needed_min=needed,
        weighted=weighted_min(plan, job),
        weighted_needed=sum(weights[i.priority - 1] * i.needed_min for i in job.items),
        end_min=plan.end_min,
        people_min=sum(on_duty_min(plan.duties_of(p)) for p in {s.person for s in plan.duties}),
        overtime_min=overtime_min(plan, job),
        cost=cost_of(plan, job, rates),
        dives=len(plan.dives),
        dives_a_diver=seats / divers,
        bottom_min_a_diver=bottom / divers,
        air_margin_scfm=None if margin is None else round(margin, 1),
        gap_percent=100.0 if work is None else work.gap_percent,
        proven=bool(plan.stages) and all(s.proven for s in plan.stages),
    )

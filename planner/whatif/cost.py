"""What a plan costs: pay by the pay rules, a least day's pay for everybody on site, and gear by the day."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from pydantic import Field

from planner.hours import EXAMPLE_RULES, PayRules, cents, from_plan, timesheets
from planner.job import Job, OutfitState
from planner.job.base import Part
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

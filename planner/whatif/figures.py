"""The figures of one case, worked out from its plans alone: work, people, air, and what it costs.

Cost: pay by the pay rules, a least day's pay for everybody on site, and gear by the day.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Annotated

from pydantic import Field

from planner.air import air_report
from planner.check.stages import WORK_FINISHED
from planner.day import on_duty_min, weighted_min, weighted_needed_min
from planner.hours.pay_rules import EXAMPLE_RULES, PayRules, cents
from planner.hours.timesheets import timesheets
from planner.hours.worked import from_plan
from planner.job import Job, OutfitState
from planner.job.base import Part
from planner.job.duties import DIVER, ENTRY_DIVER
from planner.plan.model import Plan, Stage

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


#: Plans with their jobs.
Planned = Sequence[tuple[Plan, Job]]


def cost_of(planned: Planned) -> Cost:
    """What plans cost with all the people and the gear of their jobs on site for all their days.

    Hours of several jobs are paid together, week by week, where the jobs lie on different days in one time
    zone; others are paid each by itself. Who is on site for two jobs on one day has one least paid day.
    """
    rates = EXAMPLE_COSTS
    sheets = [timesheets([from_plan(*one) for one in group], rates.pay) for group in _paid_together(planned)]
    worked: Counter[str] = Counter()
    for week in (week for sheet in sheets for week in sheet.weeks):
        worked[week.person] += week.worked_min
    days: dict[str, set[date]] = defaultdict(set)
    pay_class: dict[str, str] = {}
    gear = Decimal(0)
    for _, job in planned:
        for person in job.people:
            days[person.name] |= set(_dates(job))
            pay_class.setdefault(person.name, person.pay_class)
        gear += _gear_of(job)
    waiting = (
        cents(
            rates.pay.rate(pay_class[name]).per_hour
            * max(0, rates.least_paid_min * len(on_site) - worked[name])
            / 60
        )
        for name, on_site in days.items()
    )
    pay = sum((sheet.pay for sheet in sheets), Decimal(0))
    return Cost(pay, sum(waiting, Decimal(0)), gear, rates.pay.currency)


def _dates(job: Job) -> list[date]:
    return [job.clock.day_of(window.start_min) for window in job.day_windows]


def _paid_together(planned: Planned) -> list[list[tuple[Plan, Job]]]:
    """Plans in groups that one set of timesheets takes: one time zone, each day once."""
    groups: list[list[tuple[Plan, Job]]] = []
    taken: list[tuple[str, set[date]]] = []
    for plan, job in sorted(planned, key=lambda one: one[1].clock.origin):
        site = job.site
        days = {site.first_day + timedelta(days=n) for n in range(site.days)}
        found = (n for n, (zone, used) in enumerate(taken) if zone == site.time_zone and not used & days)
        at = next(found, len(groups))
        if at == len(groups):
            groups.append([])
            taken.append((site.time_zone, set()))
        groups[at].append((plan, job))
        taken[at][1].update(days)
    return groups


def _gear_of(job: Job) -> Decimal:
    rates = EXAMPLE_COSTS
    stations = min(len(job.stations), job.site.stations_at_once)
    ready = sum(1 for o in job.outfits if o.state is OutfitState.READY)
    here = job.site.chamber_minutes_away is not None and job.site.chamber_minutes_away <= 5
    return len(job.day_windows) * (
        stations * rates.station_day
        + ready * rates.outfit_day
        + len(job.air.compressors) * rates.compressor_day
        + (rates.chamber_day if here else Decimal(0))
    )


@dataclass(frozen=True)
class Figures:
    """What a plan comes to, or the plans of several jobs together."""

    work_min: int
    needed_min: int
    """Minutes of work done and asked for, all items alike."""
    weighted: int
    weighted_needed: int
    """Minutes done, and asked for, times the weight of their priority: what the scheduler maximises."""
    end_min: int
    """When the last person is free, job minutes (of several jobs, of the earliest)."""
    people_min: int
    """Minutes on duty of all people, two duties at once once."""
    overtime_min: int
    """Minutes past the job's overtime limit, as the scheduler counts them: spans of days."""
    cost: Cost
    """In money."""
    dives: int
    """Number of dives."""
    dives_a_diver: float
    bottom_min_a_diver: float
    """Averages over the people who may dive."""
    air_margin_scfm: float | None
    """Least compressor flow over the required flow; None without an air plant or without dives."""
    gap_percent: float
    proven: bool
    """How far the work done may still be from the most there is; whether the whole plan is proven best."""
    people: int = 0
    """On site, posted or not; who is at several jobs counts once."""

    @property
    def work_percent(self) -> float:
        """Work done of all work, weighted by priority."""
        return 100 * self.weighted / self.weighted_needed if self.weighted_needed else 100.0

    @property
    def total_cost(self) -> Decimal:
        return self.cost.total


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


def figures_of(planned: Planned) -> Figures:
    """All figures of a plan, or of several of one case, the earliest first."""
    plans, jobs = [plan for plan, _ in planned], [job for _, job in planned]
    names = {person.name for job in jobs for person in job.people}
    divers = {p.name for job in jobs for p in job.people if {DIVER, ENTRY_DIVER} & p.duties}
    dives = [dive for plan in plans for dive in plan.dives]
    bottom = sum(len(d.divers) * d.bottom_time_min for d in dives)
    works = [next((s for s in plan.stages if s.name == WORK_FINISHED.name), None) for plan in plans]
    first = jobs[0].clock
    margins = []
    for plan, job in planned:
        air = air_report(plan, job)
        if air.plant_given and air.least_margin is not None:
            margins.append(air.least_margin.margin_scfm)
    return Figures(
        work_min=sum(plan.worked_min(item.name) for plan, job in planned for item in job.items),
        needed_min=sum(i.needed_min for job in jobs for i in job.items),
        weighted=sum(weighted_min(plan, job) for plan, job in planned),
        weighted_needed=sum(weighted_needed_min(job) for job in jobs),
        end_min=max(plan.end_min + first.minute(job.clock.origin) for plan, job in planned),
        people_min=sum(
            on_duty_min(plan.duties_of(p)) for plan in plans for p in {s.person for s in plan.duties}
        ),
        overtime_min=sum(overtime_min(plan, job) for plan, job in planned),
        cost=cost_of(planned),
        dives=len(dives),
        dives_a_diver=sum(len(d.divers) for d in dives) / (len(divers) or 1),
        bottom_min_a_diver=bottom / (len(divers) or 1),
        air_margin_scfm=round(min(margins), 1) if margins else None,
        gap_percent=_gap_percent([work for work in works if work is not None]) if all(works) else 100.0,
        proven=all(plan.stages and all(s.proven for s in plan.stages) for plan in plans),
        people=len(names),
    )


def _gap_percent(works: Sequence[Stage]) -> float:
    """How far the work may still be from the most there is, per cent of what is done."""
    done = sum(work.value for work in works)
    return 100 * sum(abs(w.bound - w.value) for w in works if not w.proven) / max(1.0, abs(done))

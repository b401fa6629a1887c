"""Tests of the plant that fall due; hours and fuel of the compressors; what the banks give and take back.

A compressor on line runs from its warm-up before the first diver on air of a day to the last diver off,
without a pause between dives, and for its standby minutes on top. Fuel: hours × fuel at full load ×
(unloaded part + (1 − unloaded part) × load), the load being demand over capacity; during warm-up and
standby it runs unloaded.
"""

from __future__ import annotations

import calendar
import math
from dataclasses import dataclass
from datetime import date, timedelta

from planner.air.demand import DemandStep
from planner.air.reserve import ReserveNeed
from planner.air.supply import ATMOSPHERE_PSI, SupplyStep, bank_scf, capacity_scfm, compressor_scfm
from planner.job import AirPlant, AirRole, Compressor, Job, Outfit, Station

#: Months between tests, and where that comes from.
AIR_TEST_MONTHS = 6
HOSE_TEST_MONTHS = 12
GAUGE_TEST_MONTHS = 6
#: A hose is tested to this many times its working pressure.
HOSE_TEST_FACTOR = 1.5

AIR_TEST_SOURCE = "every 6 months at the connection to the distribution system: 29 CFR 1910.430(b)(4)"
HOSE_TEST_SOURCE = "yearly to 1.5 times the working pressure: 29 CFR 1910.430(c)(1)(iii)"
GAUGE_TEST_SOURCE = "depth gauges every 6 months: 29 CFR 1910.430(g)(2)"


@dataclass(frozen=True)
class TestDue:
    """One test with its date."""

    kind: str
    """``air``, ``hose`` or ``gauges``."""
    what: str
    """Which compressor, outfit or gauges."""
    tested_on: date | None
    """Day of the last test; None when none is given."""
    due_on: date | None
    """Last day on which it still holds; None when no test is given."""
    source: str
    """The rule."""

    @property
    def of(self) -> str:
        return f"the air of {self.what}" if self.kind == "air" else f"the {self.what}"

    def overdue(self, day: date) -> bool:
        """Whether the test has run out on a day. An unknown date is a question, not a finding: False."""
        return self.due_on is not None and self.due_on < day


def months_later(day: date, months: int) -> date:
    """The same day of the month, or its last day when it has fewer."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def _due(kind: str, what: str, tested_on: date | None, months: int, source: str) -> TestDue:
    due_on = None if tested_on is None else months_later(tested_on, months)
    return TestDue(kind, what, tested_on, due_on, source)


def plant_tests(plant: AirPlant) -> tuple[TestDue, ...]:
    """Air tests of the compressors on line, then the gauges."""
    air = [
        _due("air", f"compressor {c.name}", c.air_tested_on, AIR_TEST_MONTHS, AIR_TEST_SOURCE)
        for c in plant.compressors
        if c.on_line
    ]
    gauges = _due("gauges", "depth gauges", plant.gauges_tested_on, GAUGE_TEST_MONTHS, GAUGE_TEST_SOURCE)
    return (*air, gauges)


def hose_test(outfit: Outfit) -> TestDue:
    """The hose test of an outfit."""
    what = f"hose {outfit.hose_no} of outfit {outfit.name}" if outfit.hose_no else f"hose of {outfit.name}"
    return _due("hose", what, outfit.hose_tested_on, HOSE_TEST_MONTHS, HOSE_TEST_SOURCE)


def spare_hose_test(station: Station) -> TestDue:
    """The hose test of a station's spare hose."""
    what = " ".join(("spare hose", station.spare_hose_no, "of", station.name)).replace("  ", " ")
    return _due("hose", what, station.spare_hose_tested_on, HOSE_TEST_MONTHS, HOSE_TEST_SOURCE)


@dataclass(frozen=True)
class RunningDay:
    """One day of one compressor."""

    day: date
    """Calendar day on which the first diver goes on air."""
    start_min: int
    end_min: int
    """Start of the warm-up and last diver off air, job minutes."""
    running_min: int
    """Minutes on the hour meter, standby minutes included."""
    load: float
    """Mean demand over capacity from first diver on air to last off, 0 to 1."""
    hour_meter_end: float
    """Hour meter at the day's end."""
    fuel_gal: float
    """Fuel burnt that day."""


@dataclass(frozen=True)
class CompressorRun:
    """A compressor over the whole plan."""

    name: str
    role: AirRole
    """Which compressor."""
    planned_scfm: float
    """Flow it is planned on, derated."""
    discharge_psi: float
    """Pressure it delivers."""
    days: tuple[RunningDay, ...]
    """Its days, in order; empty for a plan without dives or a compressor that is not on line."""
    hour_meter_start: float
    hour_meter_end: float
    """Hour meter before the plan and after it."""
    service_at_hours: float | None
    """Reading at which the next service is due; None when not given."""
    hours_to_service: float | None
    """What is left at the plan's end, below 0 when it is overdue; None when not given."""
    service_due_on: date | None
    """Day on which the service falls due at the plan's hours a day; None when not known."""
    fuel_gal: float
    """Fuel of all days."""
    air_test_due_on: date | None
    """Day on which its air test runs out; None when none is given."""

    @property
    def running_min(self) -> int:
        """Minutes run over all days."""
        return sum(d.running_min for d in self.days)

    @property
    def service_overdue(self) -> bool:
        """Whether the service falls due within the plan."""
        return self.hours_to_service is not None and self.hours_to_service < 0


@dataclass(frozen=True)
class BankDay:
    """A bank after the plan."""

    name: str
    role: AirRole
    """Which bank."""
    usable_scf: float
    """Usable gas at the highest manifold pressure of the plan, before it."""
    drawn_scf: float
    """Gas that the plan is expected to draw."""
    left_scf: float
    left_psi: float
    """Usable gas and pressure left."""
    worst_scf: float
    """For the reserve: the part of the worst way up that falls on the bank, 0 for a primary bank."""
    recharge_scf: float
    """Gas to bring it up to its working pressure."""
    recharge_min: int | None
    """Minutes that takes; None without a charging compressor."""
    recharged_by: str
    """Which compressor that is."""


def steps_by_day(steps: tuple[DemandStep, ...], job: Job) -> dict[date, tuple[DemandStep, ...]]:
    """Demand by the working day it falls in; work past midnight stays with the day it began in."""
    days: dict[date, list[DemandStep]] = {}
    for step in steps:
        windows = [w for w in job.day_windows if w.overlaps(step.start_min, step.end_min)]
        day = job.clock.day_of(windows[0].start_min if windows else step.start_min)
        days.setdefault(day, []).append(step)
    return {day: tuple(found) for day, found in days.items()}


def compressor_run(compressor: Compressor, steps: tuple[DemandStep, ...], job: Job) -> CompressorRun:
    """Hours, service and fuel of one compressor.

    A reserve compressor on line runs with the primary, unloaded.
    """
    days: list[RunningDay] = []
    meter = compressor.hours_run
    for day, own in steps_by_day(steps, job).items() if compressor.on_line else ():
        start, end = own[0].start_min - compressor.warm_up_min, own[-1].end_min
        running = end - start + compressor.standby_min
        load = _load(compressor, own, job)
        loaded_min = end - own[0].start_min
        part = compressor.unloaded_fuel_part
        full_load_min = running * part + loaded_min * (1 - part) * load
        meter += running / 60
        fuel = compressor.fuel_gal_per_hour * full_load_min / 60
        days.append(RunningDay(day, start, end, running, load, meter, fuel))
    left = None if compressor.service_at_hours is None else compressor.service_at_hours - meter
    tested = compressor.air_tested_on
    return CompressorRun(
        name=compressor.name,
        role=compressor.role,
        planned_scfm=compressor_scfm(compressor, job.site.altitude_ft, job.air.inlet_temp_f),
        discharge_psi=compressor.discharge_psi,
        days=tuple(days),
        hour_meter_start=compressor.hours_run,
        hour_meter_end=meter,
        service_at_hours=compressor.service_at_hours,
        hours_to_service=left,
        service_due_on=_service_day(compressor, days, left),
        fuel_gal=sum(d.fuel_gal for d in days),
        air_test_due_on=None if tested is None else months_later(tested, AIR_TEST_MONTHS),
    )


def _load(compressor: Compressor, steps: tuple[DemandStep, ...], job: Job) -> float:
    if compressor.role is not AirRole.PRIMARY:
        return 0.0
    span = steps[-1].end_min - steps[0].start_min
    capacity = capacity_scfm(job, AirRole.PRIMARY, max(s.manifold_psi for s in steps))
    drawn = sum(s.expected_scfm * s.minutes for s in steps)
    return min(1.0, drawn / (capacity * span)) if capacity > 0 and span > 0 else 1.0


def _service_day(compressor: Compressor, days: list[RunningDay], left: float | None) -> date | None:
    """The day the meter reaches the service, each later day run like the plan's mean day."""
    if left is None or compressor.service_at_hours is None or not days:
        return None
    for day in days:
        if day.hour_meter_end > compressor.service_at_hours:
            return day.day
    a_day = (days[-1].hour_meter_end - compressor.hours_run) / len(days)
    days_on = math.floor(left / a_day) + 1 if a_day > 0 else None
    if days_on is None or days_on > (date.max - days[-1].day).days:
        return None
    return days[-1].day + timedelta(days=days_on)


def bank_days(
    job: Job, supply: tuple[SupplyStep, ...], worst: ReserveNeed | None, highest_psi: float
) -> tuple[BankDay, ...]:
    """Every bank of the plant after the plan.

    Primary banks share what the plan draws by their usable gas; the reserve's banks share the worst way up.
    """
    drawn_all = sum(s.from_bank_scf for s in supply)
    worst_all = 0.0 if worst is None else worst.stored_scf
    out = []
    for bank in job.air.banks:
        primary = bank.role is AirRole.PRIMARY
        psi = highest_psi if primary or worst is None else worst.manifold_psi
        usable = bank_scf(bank, psi)
        total = sum(bank_scf(b, psi) for b in job.air.banks if b.role is bank.role)
        part = usable / total if total > 0 else 0.0
        drawn = min(usable, drawn_all * part) if primary else 0.0
        volume = bank.floodable_cuft_each * bank.bottles
        left_psi = bank.pressure_psi - drawn * ATMOSPHERE_PSI / volume
        recharge = max(0.0, bank.working_pressure_psi - left_psi) * volume / ATMOSPHERE_PSI
        minutes = math.ceil(recharge / bank.recharge_scfm) if bank.recharge_scfm > 0 else None
        out.append(
            BankDay(
                name=bank.name,
                role=bank.role,
                usable_scf=usable,
                drawn_scf=drawn,
                left_scf=usable - drawn,
                left_psi=left_psi,
                worst_scf=0.0 if primary else worst_all * part,
                recharge_scf=recharge,
                recharge_min=minutes,
                recharged_by=bank.recharged_by,
            )
        )
    return tuple(out)

"""Tables for reading about gear and air: outfits through the day, air of dives, compressors, banks, tests."""

from __future__ import annotations

from datetime import date

import pandas as pd

from planner.air import AirReport
from planner.air.due import TestDue
from planner.gear import DressingCard, OutfitDay
from planner.job import Job, UnitSystem
from planner.job.units import bar_from_psi, litres_from_cubic_feet
from planner.screens.wording import depth_text


class Amounts:
    """Pressures, volumes and flows in the units of the screen."""

    def __init__(self, units: UnitSystem) -> None:
        self.metric = units is UnitSystem.METRIC
        self.pressure_unit = "bar" if self.metric else "psi"
        self.volume_unit = "litres" if self.metric else "scf"
        self.flow_unit = "litres/min" if self.metric else "scfm"

    def pressure(self, psi: float) -> float:
        """Gauge pressure in the unit of the screen."""
        return bar_from_psi(psi) if self.metric else round(psi, 1)

    def volume(self, scf: float) -> float:
        """Free air in the unit of the screen."""
        return round(litres_from_cubic_feet(scf)) if self.metric else round(scf, 1)

    def flow(self, scfm: float) -> float:
        """Flow of free air in the unit of the screen."""
        return round(litres_from_cubic_feet(scfm)) if self.metric else round(scfm, 1)


def outfits_frame(days: tuple[OutfitDay, ...], job: Job) -> pd.DataFrame:
    """One row an outfit: its set, whether it is ready, who wears it when."""
    clock, several = job.clock, len(job.day_windows) > 1
    return pd.DataFrame(
        [
            {
                "Outfit": day.outfit.name,
                "Kind": day.outfit.kind.value,
                "Numbers": day.set_numbers,
                "Size": day.outfit.size or "–",
                "State": "ready" if day.not_ready is None else day.not_ready,
                "Inspection due": _day(day.outfit.inspection_due),
                "Worn": "; ".join(
                    f"{clock.hhmm(u.start_min, with_day=several)}–{clock.hhmm(u.end_min)} {u.person}"
                    + (" (standby)" if u.standby else "")
                    for u in day.uses
                )
                or "not worn",
            }
            for day in days
        ],
        columns=["Outfit", "Kind", "Numbers", "Size", "State", "Inspection due", "Worn"],
    )


def card_frame(card: DressingCard) -> pd.DataFrame:
    """The steps of one dressing card."""
    return pd.DataFrame(
        [
            {
                "No.": line.number,
                "Who": line.step.who.value,
                "Step": line.step.do,
                "Good when": line.step.good or "–",
                "Else": line.step.when_not or "–",
                "Hold point": f"signed by {line.step.signed_by}" if line.step.hold_point else "",
            }
            for line in card.lines
        ],
        columns=["No.", "Who", "Step", "Good when", "Else", "Hold point"],
    )


def dive_air_frame(report: AirReport, units: UnitSystem) -> pd.DataFrame:
    """One row a dive: air drawn, highest flow, pressure needed and held, reserve."""
    amounts = Amounts(units)
    return pd.DataFrame(
        [
            {
                "Dive": d.dive,
                "Item": d.item,
                "Depth": depth_text(d.depth_fsw, units),
                f"Air, {amounts.volume_unit}": amounts.volume(d.scf),
                f"Peak, {amounts.flow_unit}": amounts.flow(d.peak_scfm),
                f"Needed, {amounts.pressure_unit}": amounts.pressure(d.needed_psi),
                f"Held, {amounts.pressure_unit}": amounts.pressure(d.delivered_psi),
                f"Reserve to come up, {amounts.volume_unit}": amounts.volume(d.reserve_scf),
            }
            for d in report.dives
        ]
    )


def compressors_frame(report: AirReport, units: UnitSystem) -> pd.DataFrame:
    """One row a compressor: what it gives, its hour meter before and after, service and fuel."""
    amounts = Amounts(units)
    return pd.DataFrame(
        [
            {
                "Compressor": run.name,
                "Supply": run.role.value,
                f"Planned on, {amounts.flow_unit}": amounts.flow(run.planned_scfm),
                f"Discharge, {amounts.pressure_unit}": amounts.pressure(run.discharge_psi),
                "Hour meter, start": round(run.hour_meter_start, 1),
                "Hour meter, end": round(run.hour_meter_end, 1),
                "Hours to service": "–" if run.hours_to_service is None else f"{run.hours_to_service:.1f}",
                "Fuel, US gal": round(run.fuel_gal, 1),
                "Air test due": _day(run.air_test_due_on),
            }
            for run in report.compressors
        ]
    )


def banks_frame(report: AirReport, units: UnitSystem) -> pd.DataFrame:
    """One row a bank: usable, drawn, left, and what a worst moment would take."""
    amounts = Amounts(units)
    return pd.DataFrame(
        [
            {
                "Bank": bank.name,
                "Supply": bank.role.value,
                f"Usable, {amounts.volume_unit}": amounts.volume(bank.usable_scf),
                f"Drawn, {amounts.volume_unit}": amounts.volume(bank.drawn_scf),
                f"Left, {amounts.volume_unit}": amounts.volume(bank.left_scf),
                f"Left, {amounts.pressure_unit}": amounts.pressure(bank.left_psi),
                f"Worst moment asks, {amounts.volume_unit}": amounts.volume(bank.worst_scf),
            }
            for bank in report.banks
        ]
    )


def tests_frame(tests: tuple[TestDue, ...], day: date) -> pd.DataFrame:
    """One row a test with its dates and source; overdue ones say so."""
    return pd.DataFrame(
        [
            {
                "Test": test.kind,
                "Of": test.what,
                "Tested": _day(test.tested_on),
                "Due": _day(test.due_on),
                "State": _state(test, day),
                "Source": test.source,
            }
            for test in tests
        ],
        columns=["Test", "Of", "Tested", "Due", "State", "Source"],
    )


def _state(test: TestDue, day: date) -> str:
    if test.due_on is None:
        return "not known"
    return "overdue" if test.overdue(day) else "in date"


def _day(day: date | None) -> str:
    return day.isoformat() if day else "–"

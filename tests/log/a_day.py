"""The day that the tests of the store and the day log share: the hand-made job and plan of the check's tests,
with an air plant. Its table numbers are read off the published tables (see `tests/plan/a_plan.py`)."""

from __future__ import annotations

from planner.job import AirPlant, Bank, Compressor, Job
from planner.plan import Plan
from tests.plan import a_plan as by_hand

AIR = AirPlant(
    compressors=(Compressor(name="Compressor 1", delivered_scfm=95, discharge_psi=175, hours_run=1204.5),),
    banks=(
        Bank(
            name="Bank A", bottles=8, floodable_cuft_each=1.76, pressure_psi=2750, working_pressure_psi=3000
        ),
    ),
)


def a_job() -> Job:
    """Two stations, three dive items, two surface items, twenty people; all names invented."""
    return by_hand.a_job().replace(air=AIR)


def a_plan(job: Job) -> Plan:
    """Dive 1: Ana on the piles, 08:30 to 09:13. Dive 2: Bo and Cruz, 08:35 to 09:18. Dive 3: Ana, 12:00."""
    assert job.site.name == "Test Quay"
    return by_hand.a_plan()

"""Tests of the air plant that fall due: air, hoses, gauges."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from datetime import date

from planner.job import AirPlant, Outfit

#: Months between tests, and where that comes from.
AIR_TEST_MONTHS = 6
HOSE_TEST_MONTHS = 12
GAUGE_TEST_MONTHS = 6
#: A hose is tested to this many times its working pressure.
HOSE_TEST_FACTOR = 1.5

AIR_TEST_SOURCE = "every 6 months at the connection to the distribution system: 29 CFR 1910.430(b)(4)"
HOSE_TEST_SOURCE = "yearly to 1.5 times the working pressure: 29 CFR 1910.430(c), paragraph from memory"
GAUGE_TEST_SOURCE = "depth gauges every 6 months: 29 CFR 1910.430(g)"

#: Greatest amounts in breathing air. Source: 29 CFR 1910.430(b)(3).
CO_PPM_MAX = 20
CO2_PPM_MAX = 1000
OIL_MIST_MG_PER_M3_MAX = 5


@dataclass(frozen=True)
class TestDue:
    """One test with its date.

    Parameters
    ----------
    kind
        ``air``, ``hose`` or ``gauges``.
    what
        Which compressor, outfit or gauges.
    tested_on
        Day of the last test; None when none is given.
    due_on
        Last day on which it still holds; None when no test is given.
    source
        The rule.
    """

    kind: str
    what: str
    tested_on: date | None
    due_on: date | None
    source: str

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

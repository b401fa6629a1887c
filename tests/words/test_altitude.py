"""At altitude every place says a stop at the depth at which the diver is held, the table's depth beside it.

60 fsw at 5,000 ft is 72.1 fsw at sea level, so row 80/45 of table 9-9: 10 min at 20 fsw. The stop is taken at
20 x 843/1013 = 16.6 fsw (U.S. Navy Diving Manual, Revision 7, altitude chapter, worked by hand).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import pytest
from openpyxl.worksheet.worksheet import Worksheet

from planner.charts import depth
from planner.charts.look import FigureLook
from planner.cli.main import main
from planner.hours.pay_rules import EXAMPLE_RULES
from planner.hours.timesheets import timesheets
from planner.hours.worked import from_plan
from planner.job import Job, Policy, UnitSystem
from planner.log.wording import day_text
from planner.plan import Plan
from planner.screens.frames import beside_frame, dives_frame
from planner.sheets.dive_record_book import dive_record_book
from planner.sheets.summary import summary_text
from planner.tables import options_for, plan_exposure
from tests.log.logging import day_of, dived
from tests.sheets.watchbill_reading import sheet
from tests.world.quay import WRAP, a_job, a_plan

HELD, HELD_METRIC = "16.6 fsw (table 20)", "5.1 m (table 20 fsw)"
#: The stop told at the depth of the tables and no other.
TABLE_ALONE = re.compile(r"(?:at|stop) (?:20 fsw|6\.1 m)")
LEAVE_SURFACE_MIN, BOTTOM_TIME_MIN = 8 * 60 + 30, 45


def _job() -> Job:
    job = a_job()
    items = tuple(i.replace(depth_fsw=60) if i.name == WRAP else i for i in job.dive_items)
    site = job.site.replace(altitude_ft=5000, policy=Policy.IN_WATER_STOPS, in_water_stop_max_min=60)
    return job.replace(site=site, dive_items=items)


def _plan(job: Job) -> Plan:
    """The first dive of the plan made by hand, moved to 5,000 ft."""
    exposure = plan_exposure(60, BOTTOM_TIME_MIN, None, options_for(job, job.dive_item(WRAP)))
    plan = a_plan()
    first = plan.dives[0]
    leave_bottom = LEAVE_SURFACE_MIN + BOTTOM_TIME_MIN
    up = leave_bottom + math.ceil(exposure.schedule.ascent_s / 60)
    divers = tuple(
        d.replace(
            group_before=None,
            residual_nitrogen_min=0,
            equivalent_min=BOTTOM_TIME_MIN,
            group_after=exposure.group_after,
            schedule=exposure.schedule,
        )
        for d in first.divers
    )
    dive = first.replace(
        depth_fsw=60,
        bottom_time_min=BOTTOM_TIME_MIN,
        leave_surface_min=LEAVE_SURFACE_MIN,
        leave_bottom_min=leave_bottom,
        reach_surface_min=up,
        undressed_min=up + 15,
        divers=divers,
    )
    return plan.replace(dives=(dive,))


JOB = _job()
PLAN = _plan(JOB)
DIVE = PLAN.dives[0]


def _texts(*sheets: Worksheet) -> str:
    return "\n".join(str(c.value) for ws in sheets for row in ws.iter_rows() for c in row if c.value)


def _dive_records() -> str:
    return _texts(*dive_record_book(timesheets([from_plan(PLAN, JOB)], EXAMPLE_RULES)).worksheets)


def _log_words() -> str:
    leave_bottom = LEAVE_SURFACE_MIN + BOTTOM_TIME_MIN
    return day_text(
        day_of(JOB, PLAN, *dived(DIVE.id, LEAVE_SURFACE_MIN, leave_bottom, None)), leave_bottom + 1
    )


def _frames(units: UnitSystem) -> str:
    beside = beside_frame(JOB, DIVE, DIVE.divers[0], units)
    return dives_frame(PLAN, JOB, units).to_csv() + beside.to_csv()


def _figure(units: UnitSystem) -> str:
    """Labels, hovers and the words for who cannot see the figure; the axis is left out."""
    look = FigureLook(units=units)
    figure = depth.depth_of_dive(DIVE, DIVE.divers[0], JOB, look)
    day = depth.depth_through_day(PLAN, JOB, look)
    told = [str(a.text) for f in (figure, day) for a in f.layout.annotations]
    told += [str(h) for f in (figure, day) for trace in f.data for h in trace.hovertext or ()]
    return "\n".join([*told, depth.alt_depth_of_dive(DIVE, DIVE.divers[0], JOB, look)])


PLACES: dict[str, Callable[[], str]] = {
    "Dives": lambda: _texts(sheet(PLAN, JOB, "Dives")),
    "Dive sheets": lambda: _texts(sheet(PLAN, JOB, "Dive sheets")),
    "dive records": _dive_records,
    "the command's page": lambda: summary_text(PLAN, JOB),
    "the day log": _log_words,
    "tables on screen": lambda: _frames(UnitSystem.FEET),
    "figures": lambda: _figure(UnitSystem.FEET),
}


def test_the_dive_is_the_one_worked_by_hand() -> None:
    """Row 80/45 with 10 min at 20 fsw on air, held at 16.6 fsw."""
    row = DIVE.divers[0].schedule
    assert (row.depth_fsw, row.time_min) == (80, 45)
    assert [(s.minutes, s.depth_fsw, s.held_fsw) for s in row.stops] == [(10, 20, 16.6)]


@pytest.mark.parametrize("place", PLACES)
def test_a_place_says_where_the_diver_is_held(place: str) -> None:
    """16.6 fsw with 20 beside it, and nowhere 20 fsw alone."""
    said = PLACES[place]()
    assert HELD in said
    assert not TABLE_ALONE.search(said)


def test_the_command_tables_says_where_the_diver_is_held(capsys: pytest.CaptureFixture[str]) -> None:
    """Ways up and profile: held depth first, the table's beside it."""
    assert main(["tables", "--depth", "60", "--bottom", "45", "--altitude", "5000", "--profile"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert f"10 min at {HELD}" in said
    assert not TABLE_ALONE.search(said)


@pytest.mark.parametrize("place", [_frames, _figure])
def test_in_metres_too(place: Callable[[UnitSystem], str]) -> None:
    """16.6 ft are 5.06 m, rounded up to 5.1 (1 ft = 0.3048 m by definition); the table's depth is in fsw."""
    said = place(UnitSystem.METRIC)
    assert HELD_METRIC in said
    assert not TABLE_ALONE.search(said)

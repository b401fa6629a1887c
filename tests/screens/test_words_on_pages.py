"""What the pages say: the team's words, each number with its unit, one time for one dive."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from app_pages import page_of, words_of
from fakes import FakeSolve, Said, all_clear
from written import tables, written

from planner.charts.search import SearchStep, alt_gap_closing
from planner.job import UnitSystem
from planner.log.before_issue import planning_items
from planner.log.station_card import station_cards
from planner.plan.model import Plan
from planner.screens.backend import REAL
from planner.screens.board.choices import _where_posted
from planner.screens.chrome import CONTROLS
from planner.screens.desk import ShownPlan
from planner.screens.frames import DIVE_HEADINGS, dives_frame
from planner.screens.navigation import PAGES
from planner.screens.plan_view import HOW_GOOD
from planner.words.plan import NO_BOUND
from tests.log.logging import day_of, dived
from tests.world.harbour import harbour_job, harbour_plan
from tests.world.parts import at
from tests.world.quay import a_plan, with_air

JOB = harbour_job()
PLAN = harbour_plan(JOB)

#: Words of the solver, which nobody of a dive team needs.
SOLVERS = re.compile(r"\b(gaps?|bounds?|incumbents?|objectives?|optimal|solver|workers?)\b", re.IGNORECASE)

#: Pages where a source says that it is from memory: what it says can be changed there.
CHANGED_THERE = {"crew-rules", "table-sets", "gear-and-air"}

#: Headings of numbers that count things or rank them, or that the tables themselves print.
COUNTS = {"Dive", "Priority", "dives", "times", "Row", "case", "people"} | {
    # Of pay rules of several kinds; a line beside the table says what each is in.
    "from",
    "to",
    "amount",
}


def wait_for(true: Callable[[], bool]) -> bool:
    """Whether it comes true while a thread beside works: looked at again and again, not after a set time."""
    until = time.monotonic() + 20
    while not true() and time.monotonic() < until:
        time.sleep(0.01)
    return true()


@pytest.fixture(params=[p.address for p in PAGES])
def address(request: pytest.FixtureRequest) -> str:
    """Every page of the app in turn."""
    return str(request.param)


def test_no_page_speaks_as_the_solver_does_but_behind_one_link(address: str) -> None:
    """Labels, helps, cells, alternatives of figures, with a job and its plan; and the one link is there."""
    test, here = page_of(address, JOB)
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    test.run()
    texts = written(test, but=HOW_GOOD)
    assert len(texts) > 20
    assert {text for text in texts if SOLVERS.search(text)} == set()
    links = [e.label for e in test.expander if e.label == HOW_GOOD]
    assert len(links) == (address == "tomorrow")
    if address not in CHANGED_THERE:
        assert {text for text in texts if "from memory" in text} == set()


def test_the_walk_finds_what_it_looks_for() -> None:
    """Behind the link the words stand: the walk reads labels, cells and alternatives."""
    test, here = page_of("tomorrow", JOB)
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    found = {word.lower() for text in written(test.run()) for word in SOLVERS.findall(text)}
    assert {"gap", "bound", "workers"} <= found


def test_every_number_in_a_table_has_its_unit_in_the_heading(address: str) -> None:
    """A column of bare numbers says what they are in: ``Work, min``; counts and ranks need nothing."""
    if address == "table-sets":
        # There stand the files of a set, word for word; their headings are fields: depth_fsw.
        return
    test, here = page_of(address, JOB)
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    for heading, cells in tables(test.run()):
        numbers = [cell for cell in cells if re.fullmatch(r"-?[\d.,]+", cell)]
        if numbers and heading not in COUNTS:
            assert re.search(r", \S+$|\(\S+\)$", heading), (heading, numbers[:3])


def test_no_control_speaks_as_the_solver_does() -> None:
    """Every field and button of every page, whether it is drawn just now or not."""
    said = [f"{c.label} {c.help} {c.placeholder}" for c in CONTROLS.values()]
    assert [text for text in said if SOLVERS.search(text)] == []


def test_where_nothing_is_known_it_is_said() -> None:
    """Before the search has proven anything: words in place of an empty figure, beside the figure too."""
    step = SearchStep(1.0, "work finished", 90.0, None)
    assert "no bound known" in alt_gap_closing([step])
    solve = FakeSolve(says=(Said(1.0, "work finished", 90, None, None),), until_stopped=True)
    test, here = page_of("tomorrow", JOB, replace(REAL, solve=solve, check=all_clear))
    test.button(key="plan").click().run()
    assert here.run is not None
    assert wait_for(lambda: bool(here.run and here.run.steps))
    assert words_of(test.run()).count(f"<b>{NO_BOUND}</b>") == 2
    here.stop_run()


def test_a_dive_has_one_time_in_all_lists() -> None:
    """It is the minute it leaves the surface: in the table of dives, in the choice of posts to swap."""
    leaves = {d.id: JOB.clock.hhmm(d.leave_surface_min) for d in PLAN.dives}
    for row in dives_frame(PLAN, JOB, UnitSystem.FEET).to_dict("records"):
        assert row["LS"] == leaves[row["Dive"]]
    people = sorted({s.person for s in PLAN.duties})
    listed = _where_posted(PLAN, JOB, people[0], people[1]) | _where_posted(PLAN, JOB, *people[-2:])
    told = {name.partition(" ")[2]: text for name, text in listed.items() if name.startswith("dive ")}
    assert told
    for dive, text in told.items():
        assert text.startswith(f"dive {dive} · {leaves[dive]}")


def test_the_manuals_letters_stand_where_room_is_short() -> None:
    """LS left surface, RB reached bottom, LB left bottom, RS reached surface (U.S. Navy Diving Manual, the
    dive chart), in the order of a dive, each with its meaning."""
    letters = [heading for heading in DIVE_HEADINGS if heading in ("LS", "RB", "LB", "RS")]
    assert letters == ["LS", "RB", "LB", "RS"]
    columns = list(dives_frame(PLAN, JOB, UnitSystem.FEET).columns)
    assert [c for c in columns if c in letters] == letters
    assert "surface" in DIVE_HEADINGS["LS"] and "bottom" in DIVE_HEADINGS["RB"]


def test_stops_and_subjects_follow_the_units_switch() -> None:
    """The stop that comes next on a station's card: 20 fsw are 6.1 m; water of 57 °F is 13.9 °C."""
    job, plan = with_air(), a_plan()
    day = day_of(job, plan, *dived("1", at(8, 30), at(9, 40), None))
    now = job.clock.at(at(9, 41)) + timedelta(seconds=5)

    def coming(units: UnitSystem, when: datetime = now) -> str:
        return next(c for c in station_cards(day, when, units) if c.dive == "1").coming[0]

    assert coming(UnitSystem.FEET) == "reach stop 20 fsw"
    assert "6.1 m" in coming(UnitSystem.METRIC)
    cold = job.replace(site=job.site.replace(water_temp_f=57.0))

    def thermal(units: UnitSystem | None, of: Plan = plan) -> str:
        return next(item.to_tick for item in planning_items(cold, of, units) if "warm enough" in item.to_tick)

    assert "water 57 °F" in thermal(None)
    assert "water 13.9 °C" in thermal(UnitSystem.METRIC)

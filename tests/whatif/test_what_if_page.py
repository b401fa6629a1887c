"""The page What if in Streamlit's own test runner: it asks, plans, shows, opens a case, draws days."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from planner.job import Job
from planner.plan import Plan
from planner.screens.desk import ShownPlan
from planner.screens.pages.what_if import cases_frame
from planner.screens.runs import CountedRun, EarlierRun
from planner.store import Store
from planner.whatif.best import knee_of
from planner.whatif.cases import cases_of, parse_variations
from planner.whatif.results import Sweep
from planner.whatif.spread import Spread
from planner.whatif.sweep import Solved
from tests.screens.app_pages import page_of, words_of
from tests.world.changed import with_site
from tests.world.sample_plans import planned

JOB, PLAN = planned("small heavy dress")
SWEEP = import_module("planner.whatif.sweep")


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """A solver that knows one plan at once, on a thread."""

    def given(number: int, job: Job, seconds: float, seed: int, start: Plan | None) -> Solved:
        return Solved(number, PLAN.replace(job_name=job.site.name), "made up", 0.0)

    monkeypatch.setattr(SWEEP, "solve_case", given)
    page = import_module("planner.screens.pages.what_if")
    whole = SWEEP.sweep
    monkeypatch.setattr(page, "run_sweep", lambda *lanes, **more: whole(*lanes, **more, backend="threading"))


def _waited(here: Any, name: str) -> Any:
    run = here.beside[name]
    assert isinstance(run, CountedRun) and run.wait(60)
    return run


def test_without_a_job_it_says_what_to_do() -> None:
    """No job: a hint and no widget to press."""
    test, _ = page_of("what-if")
    assert not test.exception
    assert "No job is open" in words_of(test)


def test_it_compares_and_opens_a_case() -> None:
    """Compare, read, take a case: its job stands on the desk with its plan, and undo brings back."""
    test, here = page_of("what-if", JOB)
    assert not test.exception
    test.text_input(key="values_1_tenders").set_value("2..3").run()
    test.number_input(key="case_draws").set_value(100).run()
    test.button(key="compare").click().run()
    run = _waited(here, "what-if run")
    test.run()
    assert not test.exception
    assert isinstance(run.result, Sweep)
    said = words_of(test).replace("\\", "")
    assert "and costs the least: no other case is likelier" in said and "2 of 2 case(s)" in said
    test.text_input(key="says").set_value("tenders 3").run()
    assert "1 of 2 cases" in words_of(test)
    test.text_input(key="says").set_value("").run()
    test.selectbox(key="open_case").set_value(2).run()
    test.button(key="take_case").click().run()
    assert not test.exception
    assert here.job is not None and len(here.job.people) == len(JOB.people) + 1
    assert here.shown is not None and here.shown.job == here.job
    assert here.undo() is not None and here.job == JOB


def test_saved_jobs_are_compared_with_the_one_on_the_desk_as_one(tmp_path: Path) -> None:
    """A job from the store beside it: every case is told over both, one of its jobs is taken."""
    place = str(tmp_path / "store.sqlite")
    later = with_site(JOB, first_day=JOB.site.first_day + timedelta(days=1), name="The day after")
    with Store(place) as kept:
        kept.save_job(later, "Ana Reyes")
    test, here = page_of("what-if", JOB)
    test.session_state["store_place"] = place
    test.run()
    test.multiselect(key="beside").set_value(["The day after"]).run()
    test.text_input(key="values_1_tenders").set_value("2..3").run()
    test.number_input(key="case_draws").set_value(20).run()
    test.button(key="compare").click().run()
    run = _waited(here, "what-if run")
    test.run()
    assert not test.exception
    assert "2 of 2 case(s) of 2 jobs together" in words_of(test).replace("\\", "")
    assert isinstance(run.result, Sweep) and all(len(r.parts) == 2 for r in run.result.results)
    test.selectbox(key="open_case").set_value(2).run()
    test.selectbox(key="open_job").set_value(1).run()
    test.button(key="take_case").click().run()
    assert not test.exception
    assert here.job is not None and here.job.site.name == "The day after"
    assert len(here.job.people) == len(JOB.people) + 1


@pytest.mark.parametrize(
    ("values", "words"), [("6..2", "is empty"), ("1..1900", "1900 cases"), ("", "No value is given")]
)
def test_bad_ranges_are_told_and_cannot_be_run(values: str, words: str) -> None:
    """The sentence of the fault stands on the page and the button is off."""
    test, _ = page_of("what-if", JOB)
    test.text_input(key="values_1_tenders").set_value(values).run()
    assert any(words in w.value.replace("\\", "") for w in test.warning)
    assert test.button(key="compare").disabled


def test_every_thing_to_vary_proposes_values_that_can_be_run() -> None:
    """Whatever is chosen, the proposed values make cases (page test; no outside source)."""
    test, _ = page_of("what-if", JOB)
    for key in test.selectbox(key="vary_1").options:
        test.selectbox(key="vary_1").select(key).run()
        assert not test.exception
        assert not test.warning, key


def test_the_draws_are_made_and_shown() -> None:
    """Days are drawn for the plan on show; the chance and what breaks the day are written out."""
    test, here = page_of("what-if", JOB)
    here.shown = ShownPlan(PLAN, JOB, "made up", (), True)
    test.run()
    test.number_input(key="odds_draws").set_value(50).run()
    test.button(key="odds_go").click().run()
    _waited(here, "odds run")
    test.run()
    assert not test.exception
    said = words_of(test)
    assert "of 50 drawn days" in said and "invented" in said


def test_the_plans_own_chance_stands_on_tomorrow() -> None:
    """One line under the dives, drawn from what this page was told of how days go."""
    test, here = page_of("tomorrow", JOB)
    here.shown = ShownPlan(PLAN, JOB, "made up", (), True)
    here.beside["how days go"] = Spread(late_chance_percent=0, source="the log of 12 days")
    test.run()
    assert not test.exception
    said = words_of(test)
    assert "of 100 drawn days" in said and "Drawn from the log of 12 days" in said


def test_a_contradicting_spread_is_told() -> None:
    """A likeliest over the most is told and nothing can be drawn."""
    test, here = page_of("what-if", JOB)
    here.shown = ShownPlan(PLAN, JOB, "made up", (), True)
    test.run()
    test.number_input(key="work_likely").set_value(90.0).run()
    assert any("does not lie between" in w.value for w in test.warning)
    assert test.button(key="odds_go").disabled


def test_the_table_has_every_figure() -> None:
    """Each figure that a planner asks for has a column."""
    result = SWEEP.sweep(
        cases_of(JOB, parse_variations(JOB, ["tenders=2..3"])), processes=1, backend="threading"
    )
    frame = cases_frame(result, JOB, knee_of(result.results))
    for column in (
        "work, min",
        "end",
        "on duty, h",
        "overtime, h",
        "cost, USD",
        "dives a diver",
        "bottom min a diver",
        "least air margin, scfm",
        "work still to gain, %",
    ):
        assert column in frame.columns
    assert list(frame["case"]) == [1, 2]


def test_a_thousand_cases_are_a_table_of_numbers_and_some_are_kept() -> None:
    """Every figure sorts as a number; the cases that were ticked are what the page then shows and saves."""
    one = SWEEP.sweep(
        cases_of(JOB, parse_variations(JOB, ["tenders=2"])), processes=1, backend="threading", draws=20
    ).results[0]
    many = tuple(replace(one, case=replace(one.case, number=n)) for n in range(1, 1001))
    result = Sweep(many, 1000, False, 1.0)
    frame = cases_frame(result, JOB, knee_of(many))
    assert len(frame) == 1000
    for column in (
        "case",
        "chance, %",
        "cost, USD",
        "people",
        "work, min",
        "overtime, h",
        "work still to gain, %",
    ):
        assert frame[column].dtype.kind in "if", column
    test, here = page_of("what-if", JOB)
    run = EarlierRun(lambda: result)
    here.beside["what-if run"], here.beside["what-if job"] = run, JOB
    here.beside["what-if cases kept"] = (3, 500)
    test.run()
    assert not test.exception
    assert "2 of 1000 cases" in words_of(test)
    test.button(key="all_cases").click().run()
    assert "2 of 1000 cases" not in words_of(test)
    assert "what-if cases kept" not in here.beside


class _EndsMeanwhile(CountedRun[Any]):
    """Said to run when first asked, and ended ever after, as work that ends while a page is drawn."""

    asked = 0

    @property
    def running(self) -> bool:
        self.asked += 1
        return self.asked == 1


@pytest.mark.parametrize(("kept_as", "stop"), [("what-if run", "stop_cases"), ("odds run", "odds_stop")])
def test_what_ends_while_the_page_is_drawn_leaves_no_stop_button(kept_as: str, stop: str) -> None:
    """The page is drawn again as of one moment, with the button to begin and without the one to stop."""
    test, here = page_of("what-if", JOB)
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    run = _EndsMeanwhile(lambda told, flag: None)
    here.beside[kept_as] = run
    test.run()
    assert not test.exception
    assert run.asked > 1
    assert stop not in {b.key for b in test.button}

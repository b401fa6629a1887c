"""What-ifs outlive a restart of the server; a record of the present form is read."""

from __future__ import annotations

import json
import sqlite3
import threading
from collections.abc import Iterator
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from app_pages import page_again, page_of, words_of
from fakes import all_clear
from streamlit.testing.v1 import AppTest

from planner.hours.pay_rules import EXAMPLE_RULES
from planner.job import Job, UnitSystem
from planner.plan import Finding, Plan
from planner.screens import session, what_if_record
from planner.screens.backend import REAL
from planner.screens.desk import Desk, ShownPlan
from planner.screens.desk_record import UnreadableDesk, desk_of, record_of
from planner.screens.editing.sheets import TypedFigure
from planner.screens.pages import what_if
from planner.screens.runs import CountedRun
from planner.screens.session import shelf
from planner.screens.what_if_record import COMPARED, ODDS, ODDS_OF, PART, SPREAD_AT, TAKEN, ended_out
from planner.store import kept_desks
from planner.whatif.results import Sweep
from planner.whatif.spread import Spread
from planner.whatif.sure import Sure
from planner.whatif.sweep import Solved
from tests.world.harbour import harbour_job, harbour_plan
from tests.world.sample_plans import planned

JOB, PLAN = planned("small heavy dress")
MACHINE = replace(REAL, check=all_clear)


@pytest.fixture
def place(tmp_path: Path) -> Iterator[str]:
    """A store of the test's own."""
    yield str(tmp_path / "store.sqlite")
    session._opened.clear()


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch) -> Iterator[threading.Event]:
    """A solver that knows one plan as soon as the gate is open, on a thread; a few days drawn for it."""
    opened = threading.Event()
    sweep = import_module("planner.whatif.sweep")
    page = import_module("planner.screens.pages.what_if")
    whole = sweep.sweep

    def given(number: int, job: Job, seconds: float, seed: int, start: Plan | None) -> Solved:
        assert opened.wait(60)
        return Solved(number, PLAN, "made up", 0.0)

    monkeypatch.setattr(sweep, "solve_case", given)
    monkeypatch.setattr(page, "CASE_DRAWS", 10)
    monkeypatch.setattr(page, "run_sweep", lambda *lanes, **more: whole(*lanes, **more, backend="threading"))
    yield opened
    opened.set()


def _begun(place: str) -> tuple[AppTest, Desk]:
    """The page What if with a comparison of two cases begun."""
    test, here = page_of("what-if", JOB, MACHINE)
    test.session_state["store_place"] = place
    test.text_input(key="values_1_tenders").set_value("2..3").run()
    test.button(key="compare").click().run()
    return test, here


def _compared(place: str) -> tuple[AppTest, Desk, Sweep]:
    test, here = _begun(place)
    run = here.beside[COMPARED]
    assert isinstance(run, CountedRun) and run.wait(60)
    test.run()
    assert isinstance(run.result, Sweep)
    return test, here, run.result


def _restarted(place: str, token: str, check: Any = all_clear) -> tuple[AppTest, Desk]:
    """The page What if of a server started anew, found by the token."""
    shelf.clear()
    session._opened.clear()
    test = AppTest.from_file(str(Path(__file__).resolve().parents[2] / "app.py"), default_timeout=30)
    test.session_state["store_place"] = place
    test.session_state["backend"] = replace(REAL, check=check)
    test.query_params["desk"] = token
    test.run()
    back = shelf().find(token)
    assert back is not None
    # In the store from its first run on: in another one the comparison would be written down anew, beside a
    # record that is not the one read here.
    return page_again("what-if", back, place), back


def test_a_comparison_is_there_after_a_restart(place: str, gate: threading.Event) -> None:
    """The same cases, plans and figures; a case can be taken; an edit of the job is told as before."""
    gate.set()
    _, here, result = _compared(place)
    test, back = _restarted(place, here.token)
    assert not test.exception
    run = back.beside[COMPARED]
    assert isinstance(run, CountedRun)
    assert run is not here.beside[COMPARED]
    assert run.result == result
    said = words_of(test).replace("\\", "")
    assert "2 of 2 case(s)" in said
    assert "has been edited since" not in said
    test.selectbox(key="open_case").set_value(2).run()
    test.button(key="take_case").click().run()
    assert back.beside[TAKEN] == 2
    assert back.job == result.results[1].case.job
    assert "has been edited since these cases were planned" in words_of(test)
    again, twice = _restarted(place, here.token)
    assert twice.beside[TAKEN] == 2
    assert twice.job == back.job
    assert "has been edited since these cases were planned" in words_of(again)


def test_ticks_that_were_kept_and_the_spread_are_there_after_a_restart(
    place: str, gate: threading.Event
) -> None:
    """Case 2 alone is kept, half of the days begin late: both stand as before on the server started anew."""
    gate.set()
    test, here, _ = _compared(place)
    what_if._keep(here, (2,))
    test.number_input(key="late_chance").set_value(50.0).run()
    assert not test.exception
    test, back = _restarted(place, here.token)
    assert "1 of 2 cases" in words_of(test)
    spread = back.having(SPREAD_AT, Spread)
    assert spread is not None and (spread.late_chance_percent, spread.source) == (50, "as typed")
    assert test.number_input(key="late_chance").value == 50


def test_drawn_days_are_there_after_a_restart(place: str) -> None:
    """The odds as they were drawn, of the plan that they were drawn for."""
    test, here = page_of("what-if", JOB, MACHINE)
    test.session_state["store_place"] = place
    here.shown = ShownPlan(PLAN, JOB, "made up", (), True)
    test.run()
    test.number_input(key="odds_draws").set_value(50).run()
    test.button(key="odds_go").click().run()
    run = here.beside[ODDS]
    assert isinstance(run, CountedRun) and run.wait(60)
    test.run()
    back, there = _restarted(place, here.token)
    assert not back.exception
    found = there.beside[ODDS]
    assert isinstance(found, CountedRun)
    assert isinstance(found.result, Sure)
    assert found.result == run.result
    assert there.beside[ODDS_OF] == here.beside[ODDS_OF]
    assert "of 50 drawn days" in words_of(back)


def test_what_was_going_on_is_told_to_be_cut_off(place: str, gate: threading.Event) -> None:
    """Neither comparison nor draws had ended: each says so, can be begun again, and says so after a further
    restart."""
    test, here = _begun(place)
    here.shown = ShownPlan(PLAN, JOB, "made up", (), True)
    here.beside[ODDS_OF] = ("the plan", JOB)
    here.beside[ODDS] = CountedRun[Any](lambda told, stop: gate.wait(60)).begin()
    test.run()
    for _ in range(2):
        back, there = _restarted(place, here.token)
        assert not back.exception
        said = words_of(back)
        assert "The comparison was cut off" in said
        assert "The drawing of days was cut off" in said
        assert {"compare", "odds_go"} <= {b.key for b in back.button}
        assert not {"stop_cases", "odds_stop"} & {b.key for b in back.button}
    gate.set()
    back.button(key="compare").click().run()
    run = there.beside[COMPARED]
    assert isinstance(run, CountedRun) and run.wait(60)
    back.run()
    assert "The comparison was cut off" not in words_of(back)


def test_a_case_whose_plan_breaks_a_rule_now_has_no_plan(place: str, gate: threading.Event) -> None:
    """Judged again when it is looked at, with the rule's sentence; it cannot be taken."""
    gate.set()
    _, here, _ = _compared(place)

    def convicts(job: Job, plan: Plan) -> tuple[Finding, ...]:
        return (Finding("dives-a-day", "Three dives on one day.", "Ines"),) if job != JOB else ()

    test, back = _restarted(place, here.token, convicts)
    assert not test.exception
    run = back.beside[COMPARED]
    assert isinstance(run, CountedRun)
    result = run.result
    assert isinstance(result, Sweep)
    broken = [one for one in result.results if one.case.job != JOB]
    assert broken
    assert all(one.plan is None and "Three dives on one day." in one.sentence for one in broken)


def test_a_damaged_comparison_leaves_the_rest(place: str, gate: threading.Event) -> None:
    """The job is there; the page says that the comparison is damaged, and it can be made again."""
    gate.set()
    _, here, _ = _compared(place)
    with sqlite3.connect(kept_desks.desks_file(f"sqlite:///{place}")) as raw:
        raw.execute("UPDATE parts SET content = substr(content, 1, 100)")
    test, back = _restarted(place, here.token)
    assert not test.exception
    assert back.job == JOB
    assert "It is damaged. Press Compare again." in words_of(test)


def test_a_comparison_is_written_once(
    place: str, gate: threading.Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Edits afterwards write the desk and not the comparison again; another job takes it away."""
    written: list[str | None] = []
    put = kept_desks.KeptDesks.put

    def counted(self: Any, token: str, content: str, parts: Any = None) -> tuple[str, ...]:
        written.append((parts or {}).get(PART, "none"))
        return put(self, token, content, parts)

    monkeypatch.setattr(kept_desks.KeptDesks, "put", counted)
    gate.set()
    test, here, _ = _compared(place)
    assert written[-1] not in (None, "none")
    here.change(JOB.replace(people=JOB.people[:-1]), "people")
    test.run()
    assert written[-1] is None
    here.open(harbour_job(), "x")
    test.run()
    assert written[-1] == "none"
    with sqlite3.connect(kept_desks.desks_file(f"sqlite:///{place}")) as raw:
        assert raw.execute("SELECT count(*) FROM parts").fetchone() == (0,)


def _after_two_restarts(place: str, token: str, kept_as: str, run: CountedRun[Any]) -> Iterator[str]:
    """What the page says after one restart and a second; what was kept is each time what `run` came to."""
    for _ in range(2):
        test, back = _restarted(place, token)
        assert not test.exception
        found = back.beside[kept_as]
        assert isinstance(found, CountedRun)
        assert found.result == run.result
        yield words_of(test).replace("\\", "")


def test_a_comparison_that_ends_with_no_page_open_is_kept(place: str, gate: threading.Event) -> None:
    """Begun from the page and never looked at again: it is there after one restart and a second."""
    _, here = _begun(place)
    run = here.beside[COMPARED]
    assert isinstance(run, CountedRun)
    gate.set()
    assert run.wait(60)
    for words in _after_two_restarts(place, here.token, COMPARED, run):
        assert "2 of 2 case(s)" in words
        assert "cut off" not in words


def test_drawn_days_that_end_with_no_page_open_are_kept(
    place: str, gate: threading.Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As with a comparison; the page had drawn itself while they were being drawn."""
    page = import_module("planner.screens.drawn_days")
    how_sure = page.how_sure
    monkeypatch.setattr(page, "how_sure", lambda *of, **more: gate.wait(60) and how_sure(*of, **more))
    test, here = page_of("what-if", JOB, MACHINE)
    test.session_state["store_place"] = place
    here.shown = ShownPlan(PLAN, JOB, "made up", (), True)
    test.run()
    test.number_input(key="odds_draws").set_value(50).run()
    test.button(key="odds_go").click().run()
    run = here.beside[ODDS]
    assert isinstance(run, CountedRun) and run.running
    gate.set()
    assert run.wait(60)
    assert isinstance(run.result, Sure)
    for words in _after_two_restarts(place, here.token, ODDS, run):
        assert "of 50 drawn days" in words


def test_the_end_of_another_comparison_is_not_taken_for_this_one(place: str, gate: threading.Event) -> None:
    """What another comparison came to counts only for that one; an end without a result says why."""
    _, here = _begun(place)
    run = here.beside[COMPARED]
    assert isinstance(run, CountedRun)
    record = record_of(here)
    for token, sentence, want in (("another", "", "was cut off"), (run.token, "No cases.", "No cases.")):
        text = ended_out(token, None, sentence)
        back = desk_of(record, "t", all_clear, lambda name, text=text: text)  # type: ignore[misc]
        found = back.beside[COMPARED]
        assert isinstance(found, CountedRun)
        assert found.result is None
        assert want in found.sentence


def test_a_comparison_too_large_to_be_handed_over_says_so(
    place: str, gate: threading.Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It had ended and is not there: told as too large, not as cut off."""
    monkeypatch.setattr(what_if_record, "MOST_CHARACTERS", 1000)
    _, here = _begun(place)
    run = here.beside[COMPARED]
    assert isinstance(run, CountedRun)
    gate.set()
    assert run.wait(60)
    test, _ = _restarted(place, here.token)
    assert "too large to be kept" in words_of(test)


def test_an_error_in_reading_a_comparison_is_told_and_logged(
    place: str, gate: threading.Event, caplog: pytest.LogCaptureFixture
) -> None:
    """A check that fails itself: the page stands, says so at every look, and Compare can be pressed again."""
    gate.set()
    _, here, _ = _compared(place)

    def fails(job: Job, plan: Plan) -> tuple[Finding, ...]:
        raise LookupError("no such table")

    test, _ = _restarted(place, here.token, fails)
    for _ in range(2):
        assert not test.exception
        assert "error of its own, which is written to the program" in words_of(test).replace("\\", "")
        test.run()
    assert "no such table" in caplog.text
    assert not test.button(key="compare").disabled


# ---------------------------------------------------------------------- more desks than are kept


def _crowd(place: str) -> None:
    """As many desks of others as are kept at all."""
    others = kept_desks.KeptDesks(kept_desks.desks_file(f"sqlite:///{place}"))
    for number in range(kept_desks.MOST_DESKS):
        others.put(f"other {number}", "record")
    assert others.part("other 0", PART) is None
    others.close()


def test_a_comparison_of_a_desk_that_was_cleared_away_is_written_anew(
    place: str, gate: threading.Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Still in memory, the desk is edited after others took its room: both records are kept again."""
    monkeypatch.setattr(kept_desks, "MOST_DESKS", 3)
    gate.set()
    test, here, result = _compared(place)
    _crowd(place)
    here.change(JOB.replace(people=JOB.people[:-1]), "people")
    test.run()
    assert here.not_kept == ""
    test, back = _restarted(place, here.token)
    run = back.beside[COMPARED]
    assert isinstance(run, CountedRun)
    assert run.result == result
    _crowd(place)
    back.change(JOB, "people")
    test.run()
    _, twice = _restarted(place, here.token)
    run = twice.beside[COMPARED]
    assert isinstance(run, CountedRun)
    assert run.result == result


def test_a_comparison_cleared_away_before_it_was_read_says_so(
    place: str, gate: threading.Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Brought back and not looked at when its room was needed: it is gone, and the page says why."""
    monkeypatch.setattr(kept_desks, "MOST_DESKS", 3)
    gate.set()
    _, here, _ = _compared(place)
    shelf.clear()
    session._opened.clear()
    test = AppTest.from_file(str(Path(__file__).resolve().parents[2] / "app.py"), default_timeout=30)
    test.session_state["store_place"] = place
    test.query_params["desk"] = here.token
    test.run()
    back = shelf().find(here.token)
    assert back is not None
    _crowd(place)
    back.change(JOB.replace(people=JOB.people[:-1]), "people")
    test.run()
    assert back.not_kept == ""
    for _ in range(2):
        test, back = _restarted(place, here.token)
        assert not test.exception
        assert "was cleared away" in words_of(test)
        assert "not the one that belongs" not in words_of(test)


# ---------------------------------------------------------------------- forms of the record


HARBOUR = harbour_job()
EDITED = HARBOUR.replace(people=HARBOUR.people[:-1])

METRES = "metres, bar, litres"


#: One row of the sheet People in a record, a depth rating typed into it; what is blank is not kept.
CELLS: dict[str, Any] = {
    "name": "Ines Faro",
    "duties": "diver; tender",
    "depth_rating_fsw": {"f": [20, METRES]},
    "medical_expires": {"d": "2028-01-01"},
}


#: A record of the third form, written out by hand: an edited job, a plan for the one before, a cell typed.
THIRD: dict[str, Any] = {
    "form": 3,
    "job": 0,
    "opened_from": "evening.xlsx",
    "before": [["people", 1]],
    "shown": {
        "job": 1,
        "plan": harbour_plan(HARBOUR).model_dump_json(),
        "sentence": "proven best",
        "steps": [[0.5, "finish", 9.0, None]],
    },
    "solving": False,
    "run": None,
    "compared": None,
    "odds": None,
    "units": METRES,
    "contrast": True,
    "seconds": 77,
    "workers": 3,
    "note": "",
    "edits": {"People": {"rows": [[0, CELLS]]}},
    "edits_in": METRES,
    "edit_faults": [["People!B3", "900", "less", "Too deep."]],
    "refused": None,
    "mending": None,
    "pay_rules": {"pay rules": EXAMPLE_RULES.model_dump_json()},
    "round": [4, 2],
    "jobs": [EDITED.model_dump_json(), HARBOUR.model_dump_json()],
}


#: The same by each form that is read: a new job begun came with the fourth, how days go with the fifth.
READ = {
    "third": THIRD,
    "fourth": THIRD | {"form": 4, "draft": None},
    "present": THIRD | {"form": 5, "draft": None, "spread": None},
}


@pytest.mark.parametrize("record", READ.values(), ids=READ)
def test_a_record_of_the_present_form_and_of_those_before_is_read(record: dict[str, Any]) -> None:
    """Everything in it comes back, and again when it is written down anew; the form goes up when a part is
    added, and those before, which had no new job begun and no drawn days asked, are read still."""
    back = desk_of(json.dumps(record), "t", all_clear)
    assert back.draft is None
    for desk in (back, desk_of(record_of(back), "t", all_clear)):
        assert (desk.job, desk.opened_from, [*desk.before]) == (EDITED, "evening.xlsx", [("people", HARBOUR)])
        assert desk.shown is not None
        assert (desk.shown.plan, desk.shown.job) == (harbour_plan(HARBOUR), HARBOUR)
        assert (desk.units, desk.contrast, desk.seconds, desk.workers) == (UnitSystem.METRIC, True, 77, 3)
        assert desk.edits.units == UnitSystem.METRIC
        typed = desk.edits.typed["People"]
        assert isinstance(typed, tuple)
        assert typed[0].cells["depth_rating_fsw"] == TypedFigure(20, UnitSystem.METRIC)
        assert desk.edits.faults[0].sentence == "Too deep."
        assert desk.beside == {"pay rules": EXAMPLE_RULES}
    assert json.loads(record_of(back))["form"] == 5


def test_a_column_that_is_no_more_is_refused() -> None:
    """What was typed under it is never dropped in silence."""
    gone = THIRD | {"edits": {"People": {"rows": [[0, CELLS | {"shoe_size": 44}]]}}}
    with pytest.raises(UnreadableDesk):
        desk_of(json.dumps(gone), "t", all_clear)


def test_a_record_of_an_earlier_form_is_told_and_left() -> None:
    """The program before wrote it; the sentence says so."""
    with pytest.raises(UnreadableDesk, match="earlier version"):
        desk_of(json.dumps(THIRD | {"form": 2}), "t", all_clear)


@pytest.mark.parametrize("part", ["compared", "odds"])
def test_the_present_form_without_its_what_ifs_is_refused(part: str) -> None:
    """A part that is missing is never taken for one that is empty."""
    whole = json.loads(record_of(desk_of(json.dumps(THIRD), "t", all_clear)))
    del whole[part]
    with pytest.raises(UnreadableDesk):
        desk_of(json.dumps(whole), "t", all_clear)


def test_a_file_of_desks_of_the_first_form_is_taken_over(tmp_path: Path) -> None:
    """A desk written by the version before is found, and a comparison can be kept beside it."""
    file = tmp_path / "desks.sqlite"
    text = json.dumps(THIRD)
    with sqlite3.connect(file) as raw:
        raw.execute(
            "CREATE TABLE desks (key VARCHAR(64) PRIMARY KEY, content TEXT NOT NULL, "
            "sha256 VARCHAR(64) NOT NULL, kept_at VARCHAR(40) NOT NULL)"
        )
        key, digest = kept_desks._hash("t"), kept_desks._hash(text)
        raw.execute("INSERT INTO desks VALUES (?, ?, ?, ?)", (key, text, digest, "2026-06-01T12:00:00+00:00"))
        raw.execute("PRAGMA user_version = 1")
    raw.close()
    desks = kept_desks.KeptDesks(file)
    assert desks.get("t") == text
    desks.put("t", text, {"compared": "a comparison"})
    assert desks.part("t", "compared") == "a comparison"
    desks.close()

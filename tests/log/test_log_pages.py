"""The pages of issuing and of the day log, in Streamlit's own test runner, on a store of their own."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from planner.job import Job, UnitSystem
from planner.log.before_issue import CARD_LABELS
from planner.log.day_log import Kind
from planner.plan import Plan
from planner.screens.backend import REAL
from planner.screens.desk import ShownPlan
from planner.screens.saved import CLOCK_KEY, PLACE_KEY
from planner.screens.session import shelf
from planner.store import Store
from planner.store.recording import read_log
from tests.screens.app_pages import words_of
from tests.world.parts import at
from tests.world.quay import a_plan, with_air

JOB: Job = with_air()
PLAN: Plan = a_plan()

_SCRIPT = """
from planner.screens.navigation import PAGES, frame
from planner.screens.session import desk

spec = next(p for p in PAGES if p.address == {address!r})
frame(desk(), spec.open)
"""
NAME, DAY = JOB.site.name, JOB.site.first_day


def _clock(hour: int, minute: int = 0) -> datetime:
    """A time of the job's day in Lisbon, which is an hour ahead of UTC in May."""
    return datetime(2026, 5, 12, hour - 1, minute, tzinfo=UTC)


def _open(address: str, place: Path, when: datetime, job: Job | None = JOB, backend: Any = None) -> AppTest:
    """The page as a person sees it at that time, on that store."""
    here = shelf().new()
    if job is not None:
        here.open(job, "made up")
        here.shown = ShownPlan(PLAN, job, "", (), True)
    fresh = AppTest.from_string(_SCRIPT.format(address=address), default_timeout=30)
    fresh.session_state["desk_token"] = here.token
    fresh.session_state[CLOCK_KEY] = when
    fresh.session_state[PLACE_KEY] = str(place)
    if backend is not None:
        fresh.session_state["backend"] = backend
    return fresh.run()


def _at(test: AppTest, when: datetime) -> AppTest:
    test.session_state[CLOCK_KEY] = when
    return test.run()


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A store with the hand-made plan issued as revision 1."""
    path = tmp_path / "store.sqlite"
    with Store(str(path)) as store:
        store.save_job(JOB, "Sam")
        store.issue(JOB, PLAN, "Sam")
    return path


def _logged(place: Path) -> list[tuple[Kind, int]]:
    with Store(str(place)) as store:
        return [(e.kind, e.at_min) for e in read_log(store, JOB).entries]


def _signed(test: AppTest) -> AppTest:
    test.selectbox(key="signs").set_value("Cal")
    return test.run()


def test_nothing_issued_is_told(tmp_path: Path) -> None:
    """An empty store: the day log says what comes first."""
    test = _open("day-log", tmp_path / "store.sqlite", _clock(8))
    assert not test.exception
    assert "No watchbill has been issued yet" in words_of(test)


def test_one_press_after_the_other(place: Path) -> None:
    """The big button names what comes next; each press is an entry with the minute of the clock; a time in
    the middle of a minute is rounded to the safe side."""
    test = _signed(_open("day-log", place, _clock(8, 30)))
    assert test.button(key="press_0").label == "Leave surface"
    test.button(key="press_0").click().run()
    for when, says in ((_clock(8, 31), "Reach bottom"), (_clock(9, 11), "Leave bottom")):
        _at(test, when)
        assert test.button(key="press_0_1").label == says
        test.button(key="press_0_1").click().run()
    _at(test, _clock(9, 12).replace(second=20))
    assert test.button(key="press_0_1").label == "Reach surface"
    test.button(key="press_0_1").click().run()
    assert not test.exception
    assert _logged(place) == [
        (Kind.LEAVE_SURFACE, at(8, 30)),
        (Kind.REACH_BOTTOM, at(8, 31)),
        (Kind.LEAVE_BOTTOM, at(9, 11)),
        (Kind.REACH_SURFACE, at(9, 13)),
    ]
    assert "group H" in words_of(test)


def test_two_presses_are_one_event(place: Path) -> None:
    """A quarter of a second after the first the second is refused; at twelve seconds it is asked back, and
    the answer is dead for two seconds too; a yes logs it at the minute of the press."""
    test = _signed(_open("day-log", place, _clock(8, 30)))
    test.button(key="press_0").click().run()
    moment = _clock(8, 30).replace(microsecond=250_000)
    _at(test, moment).button(key="press_0_1").click().run()
    assert "Not logged: reach bottom. Leave surface was logged 0.2 s before" in words_of(test)
    assert _logged(place) == [(Kind.LEAVE_SURFACE, at(8, 30))]
    _at(test, _clock(8, 30).replace(second=12)).button(key="press_0_1").click().run()
    assert "Leave surface logged 12 s ago: reach bottom now, really?" in words_of(test)
    test.button(key="press_yes_0").click().run()
    assert _logged(place) == [(Kind.LEAVE_SURFACE, at(8, 30))]
    _at(test, _clock(8, 30).replace(second=15)).button(key="press_yes_0").click().run()
    assert _logged(place) == [(Kind.LEAVE_SURFACE, at(8, 30)), (Kind.REACH_BOTTOM, at(8, 30))]
    assert test.button(key="press_0_1").label == "Leave bottom"


def test_a_slip_logs_nothing(place: Path) -> None:
    """After *No* the button stands as before."""
    test = _signed(_open("day-log", place, _clock(8, 30)))
    test.button(key="press_0").click().run()
    _at(test, _clock(8, 30).replace(second=20)).button(key="press_0_1").click().run()
    _at(test, _clock(8, 30).replace(second=23)).button(key="press_no_0").click().run()
    assert "really?" not in words_of(test)
    assert test.button(key="press_0_1").label == "Reach bottom"
    assert _logged(place) == [(Kind.LEAVE_SURFACE, at(8, 30))]


def test_off_the_row_is_shown_red_with_the_row_that_applies(place: Path) -> None:
    """70 min on the bottom at 58 fsw: row 60/70 of table 9-9, 7 min at 20 fsw, on an alert."""
    test = _signed(_open("day-log", place, _clock(8, 30)))
    test.button(key="press_0").click().run()
    words = words_of(_at(test, _clock(9, 40)))
    assert "OFF THE ROW" in words
    assert 'role="alert"' in words
    assert "row 60 fsw / 70 min, table 9-9" in words
    assert "7 min at 20 fsw" in words


def test_stops_have_their_buttons(place: Path) -> None:
    """After 70 min at 58 fsw the button is the stop at 20 fsw (table 9-9), then leaving it; beside it the
    surface."""
    test = _signed(_open("day-log", place, _clock(8, 30)))
    test.button(key="press_0").click().run()
    for when, says in (
        (_clock(8, 31), "Reach bottom"),
        (_clock(9, 40), "Leave bottom"),
        (_clock(9, 42), "Reach stop 20 fsw"),
        (_clock(9, 49), "Leave stop 20 fsw"),
    ):
        _at(test, when)
        assert test.button(key="press_0_1").label == says
        if "stop" in says:
            assert test.button(key="press_0_1_also").label == "Reach surface"
        test.button(key="press_0_1").click().run()
    assert not test.exception
    assert _logged(place)[-2:] == [(Kind.REACH_STOP, at(9, 42)), (Kind.LEAVE_STOP, at(9, 49))]


def test_the_day_log_follows_the_units_switch(place: Path) -> None:
    """In metres the depth is typed in metres and kept as the next foot down, 17.7 m (58.07 ft) as 59 fsw, and
    told as typed with the feet of the tables beside it."""
    test = _signed(_open("day-log", place, _clock(8, 30)))
    test.button(key="press_0").click().run()
    here = shelf().find(test.session_state["desk_token"])
    assert here is not None
    here.units = UnitSystem.METRIC
    test.run()
    test.number_input(key="depth_m_1").set_value(17.7).run()
    test.button(key="press_depth_1").click().run()
    assert not test.exception
    with Store(str(place)) as store:
        assert read_log(store, JOB).entries[-1].depth_fsw == 59
    assert "17.7 m (59 fsw)" in words_of(test).replace("\\", "")


def test_a_depth_deeper_than_the_rule_is_kept_and_told(place: Path) -> None:
    """200 fsw typed: in the log, flagged."""
    test = _signed(_open("day-log", place, _clock(8, 30)))
    test.button(key="press_0").click().run()
    test.number_input(key="depth_1").set_value(200)
    test.run()
    test.button(key="press_depth_1").click().run()
    assert "deeper than this job" in words_of(test)
    assert (Kind.DEPTH, at(8, 30)) in _logged(place)


def test_undo_by_correction(place: Path) -> None:
    """One press takes the last entry back; both stay in the store."""
    test = _signed(_open("day-log", place, _clock(8, 30)))
    test.button(key="press_0").click().run()
    test.button(key="log_undo").click().run()
    assert _logged(place) == []
    assert "entry 1 taken back" in words_of(test)
    with Store(str(place)) as store:
        assert len(store.log(NAME, DAY)) == 2


def test_so_many_minutes_ago(place: Path) -> None:
    """Five minutes ago, then now again for the next press."""
    test = _signed(_open("day-log", place, _clock(8, 35)))
    test.session_state["log_ago"] = 5
    test.run()
    test.button(key="press_0").click().run()
    assert _logged(place) == [(Kind.LEAVE_SURFACE, at(8, 30))]
    assert test.session_state["log_ago"] == 0


def test_without_a_name_nothing_can_be_pressed(place: Path) -> None:
    """Every entry is signed."""
    test = _open("day-log", place, _clock(8, 30))
    assert test.button(key="press_0").disabled
    assert "Choose your name first" in words_of(test)


def test_before_the_day_the_log_is_closed(place: Path) -> None:
    """Two days before: it says when it opens."""
    test = _open("day-log", place, datetime(2026, 5, 9, 8, 0, tzinfo=UTC))
    assert "that day has not come" in words_of(test)
    assert _logged(place) == []


def test_a_defect_is_logged_with_what_it_is(place: Path) -> None:
    """Refused without words, stored with them."""
    test = _signed(_open("day-log", place, _clock(10)))
    test.session_state["more_kind"] = Kind.DEFECT
    test.run()
    test.selectbox(key="more_thing").set_value("H1")
    test.run()
    test.button(key="more_press").click().run()
    assert "what it is" in words_of(test)
    assert _logged(place) == []
    test.text_input(key="more_text").set_value("exhaust valve sticks")
    test.run()
    test.button(key="more_press").click().run()
    assert _logged(place) == [(Kind.DEFECT, at(10))]


def test_a_hold_point_is_signed_on_the_page(place: Path) -> None:
    """The supervisor is offered, the tender who did the step is not; one press and the next step stands
    there, the signature below it."""
    test = _signed(_open("day-log", place, _clock(8, 20)))
    card = "Dive 1, Ana, H1"
    first, second = "heavy-air-heard", "heavy-telephone-heard"
    assert test.selectbox(key="hold_bench").value == card
    assert test.multiselect(key=f"hold_done_by_{card}_{first}").value == ["Tom"]
    signs = test.selectbox(key=f"hold_person_{card}_{first}")
    assert signs.options == ["Sam", "Sol", "Ned"]
    assert test.button(key="hold_press").disabled
    signs.set_value("Sam").run()
    test.button(key="hold_press").click().run()
    assert not test.exception
    with Store(str(place)) as store:
        (entry,) = read_log(store, JOB).entries
    assert (entry.kind, entry.step, entry.people, entry.done_by) == (
        Kind.HOLD_POINT,
        first,
        ("Sam",),
        ("Tom",),
    )
    assert "<b>08:20 Sam</b>" in words_of(test)
    assert test.multiselect(key=f"hold_done_by_{card}_{second}").value == ["Tia"]
    test.multiselect(key=f"hold_done_by_{card}_{second}").set_value(["Sam"]).run()
    assert test.selectbox(key=f"hold_person_{card}_{second}").options == ["Sol", "Ned"]


def test_a_forgotten_time_is_entered_later(place: Path) -> None:
    """Reach bottom of dive 1 at 08:31, entered at 09:00."""
    from datetime import time

    test = _signed(_open("day-log", place, _clock(8, 30)))
    test.button(key="press_0").click().run()
    _at(test, _clock(9))
    test.selectbox(key="fix_dive").set_value("1")
    test.session_state["fix_kind"] = Kind.REACH_BOTTOM
    test.time_input(key="fix_at").set_value(time(8, 31))
    test.run()
    test.button(key="fix_press").click().run()
    assert (Kind.REACH_BOTTOM, at(8, 31)) in _logged(place)


def test_long_after_the_day_only_given_times_count(place: Path) -> None:
    """A month later: a press means no minute of that day and is refused; a typed time is taken."""
    from datetime import time

    test = _signed(_open("day-log", place, datetime(2026, 6, 20, 8, 0, tzinfo=UTC)))
    test.button(key="press_0").click().run()
    assert not test.exception
    assert "none of the days of this watchbill" in words_of(test)
    assert _logged(place) == []
    test.selectbox(key="fix_dive").set_value("1")
    test.session_state["fix_kind"] = Kind.LEAVE_SURFACE
    test.time_input(key="fix_at").set_value(time(8, 30))
    test.run()
    test.button(key="fix_press").click().run()
    assert _logged(place) == [(Kind.LEAVE_SURFACE, at(8, 30))]


def test_the_rest_is_replanned_and_issued(place: Path) -> None:
    """With a scheduler that finds nothing the page says so and offers no stamp."""

    nothing = SimpleNamespace(plan=None, sentence="Nothing of this job can be planned.", reasons={})
    test = _signed(
        _open("day-log", place, _clock(10), backend=replace(REAL, solve=lambda job, **more: nothing))
    )
    test.button(key="replan").click().run()
    assert not test.exception
    assert "The rest of the day could not be planned" in words_of(test)
    assert test.button(key="replan_issue").disabled


def test_tomorrows_job_by_one_button(place: Path) -> None:
    """It lies open on the desk, with the notes on the page."""
    test = _signed(_open("day-log", place, _clock(18)))
    test.button(key="make_tomorrow").click().run()
    assert not test.exception
    assert "Wednesday 13 May" in words_of(test)


def test_the_running_day_stays_while_a_diver_is_down(place: Path) -> None:
    """A diver in the water: tomorrow's job cannot be made, also not from a page drawn before he left the
    surface, and the desk keeps the day's job and plan; once he is up it can."""
    test = _signed(_open("day-log", place, _clock(8, 30)))
    before = _open("day-log", place, _clock(8, 30))
    here = shelf().find(before.session_state["desk_token"])
    assert here is not None
    test.button(key="press_0").click().run()
    assert test.button(key="make_tomorrow").disabled
    assert "in the water" in test.button(key="make_tomorrow").help
    before.button(key="make_tomorrow").click().run()
    assert "Not while anyone is down" in words_of(before)
    assert here.job == JOB and here.shown is not None
    for minute, key in ((31, "press_0_1"), (41, "press_0_1"), (44, "press_0_1")):
        _at(test, _clock(8, minute)).button(key=key).click().run()
    assert not _at(test, _clock(8, 50)).button(key="make_tomorrow").disabled


def _in_charge(test: AppTest) -> AppTest:
    """The one who may lead signs: nobody else is offered."""
    signs = test.selectbox(key="signs_issue")
    assert signs.options == [p.name for p in JOB.people if "supervisor" in p.duties]
    return signs.set_value(signs.options[0]).run()


def test_issuing_takes_every_tick_a_whole_card_and_a_name(tmp_path: Path) -> None:
    """With all ticked, the card whole and one who may sign, the stamp works, once; what was ticked is frozen
    with it, and the page then says that it is issued and offers the workbook and the log."""
    path = tmp_path / "store.sqlite"
    test = _open("issue", path, _clock(6))
    assert not test.exception
    assert test.button(key="issue_now").disabled
    _in_charge(test)
    boxes = len(test.checkbox)
    for box in test.checkbox:
        box.check()
    test.run()
    assert test.button(key="issue_now").disabled
    assert "The emergency card lacks" in words_of(test)
    for name in CARD_LABELS:
        test.text_input(key=f"card_{name}").set_value(f"{name}, 555 0101")
    test.button(key="card_keep").click().run()
    assert not test.button(key="issue_now").disabled
    test.button(key="issue_now").click().run()
    assert not test.exception
    said = words_of(test)
    assert f"Issued: revision 1, signed by {_first_in_charge()}" in said and f"({JOB.site.time_zone})" in said
    assert not test.checkbox
    with Store(str(path)) as store:
        found = store.open_issued(NAME, DAY)
        assert (found.plan, found.line.issued_by) == (PLAN, _first_in_charge())
        assert found.printed.startswith(b"PK")
        assert len(found.ticked) == boxes


def _first_in_charge() -> str:
    return next(p.name for p in JOB.people if "supervisor" in p.duties)


def test_the_emergency_card_shows_what_is_missing(tmp_path: Path) -> None:
    """Five blanks; four after one is kept."""
    test = _in_charge(_open("issue", tmp_path / "store.sqlite", _clock(6)))
    assert "Missing: Decompression chamber; Hospital" in words_of(test)
    test.text_input(key="card_chamber").set_value("Harbour, 555 0101")
    test.run()
    test.button(key="card_keep").click().run()
    assert "Missing: Hospital" in words_of(test)


def test_a_store_that_cannot_be_opened_is_told(tmp_path: Path) -> None:
    """A text under the store's name: a sentence, no traceback."""
    bad = tmp_path / "letter.sqlite"
    bad.write_text("Dear all, " * 500)
    test = _open("day-log", bad, _clock(8))
    assert not test.exception
    assert "not a store of this program" in words_of(test)


def test_a_job_is_moved_to_today_to_practise(place: Path) -> None:
    """One press on the Job page: today in the site's zone, under its own name; Undo gives the job back."""
    test = _open("job", place, datetime(2027, 11, 3, 8, 0, tzinfo=UTC))
    test.button(key="practise").click().run()
    assert not test.exception
    assert "Moved to today to practise" in words_of(test)
    here = shelf().find(test.session_state["desk_token"])
    assert here is not None
    assert here.job is not None
    assert (here.job.site.first_day, here.job.site.name) == (date(2027, 11, 3), f"{NAME} (practice)")
    here.undo()
    assert here.job == JOB

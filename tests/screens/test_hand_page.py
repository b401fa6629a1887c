"""The page Tomorrow: what it would take to fit what is left, and moving a dive by hand."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from app_pages import page_of, words_of
from fakes import Ended, FakeSolve, all_clear
from streamlit.testing.v1 import AppTest

from planner.job import Job, Pin, PinKind
from planner.job.duties import BRIEFING, TENDER
from planner.plan.model import Dive, Plan
from planner.schedule import first_plan
from planner.schedule.what_it_takes import Change
from planner.screens.backend import REAL
from planner.screens.board.component import marks_of
from planner.screens.board.draft import draft_of, hear
from planner.screens.desk import Desk, ShownPlan
from planner.screens.what_it_takes import run_of
from tests.samples import small_heavy_dress
from tests.world.harbour import harbour_job, harbour_plan

JOB = harbour_job()
PLAN = harbour_plan(JOB)
LEFT = PLAN.leftovers[0].item
MORE = JOB.replace(people=(*JOB.people, JOB.people[0].replace(name="One More")))
SMALL = small_heavy_dress.plain_job()


@dataclass
class FakeSearch:
    """Says that it tries `says`, waits until stopped when `until_stopped`, then gives `gives`."""

    says: tuple[str, ...] = ("one more diver fit for 58 fsw",)
    gives: tuple[Change, ...] = ()
    until_stopped: bool = False
    asked: tuple[Job, Plan | None, str, float] | None = None

    def __call__(
        self,
        job: Job,
        plan: Plan | None,
        item: str,
        *,
        seconds_each: float,
        workers: int,
        stop: threading.Event,
        on_try: Callable[[str], None],
    ) -> tuple[Change, ...]:
        self.asked = (job, plan, item, seconds_each)
        for sentence in self.says:
            on_try(sentence)
        if self.until_stopped:
            stop.wait(20)
        return self.gives


def _page(search: FakeSearch, solve: FakeSolve | None = None) -> tuple[AppTest, Desk]:
    backend = replace(REAL, what_it_takes=search, solve=solve or FakeSolve(), check=all_clear)
    test, here = page_of("tomorrow", JOB, backend)
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    return test.run(), here


def _ended(test: AppTest, here: Desk) -> AppTest:
    run = run_of(here)
    assert run is not None
    assert run.wait(10)
    return test.run()


def test_changes_that_fit_are_listed_with_minutes_and_taken_as_an_edit() -> None:
    """Each change has its sentence and minutes; taking one is an edit that undo takes back."""
    change = Change(LEFT, "one more diver fit for 58 fsw", 30, 90, 90, MORE)
    search, solve = FakeSearch(gives=(change,)), FakeSolve(ends=Ended(PLAN))
    test, here = _page(search, solve)
    test.button(key="takes_1").click().run()
    test = _ended(test, here)
    assert not test.exception
    assert search.asked == (JOB, PLAN, LEFT, 4.0)
    words = words_of(test)
    assert "one more diver fit for 58 fsw" in words
    assert "30 → 90 min, fits" in words
    assert "a safety rule is never offered" in words
    test.button(key="takes_use_1_0").click().run()
    assert not test.exception
    assert here.job == MORE
    assert here.run is not None
    assert here.run.wait(10)
    assert here.run.job == MORE
    assert solve.started_from is PLAN
    assert here.undo() == f"for {LEFT}: one more diver fit for 58 fsw"
    assert here.job == JOB


def test_nothing_that_fits_is_said_so() -> None:
    """No change that fits: a sentence with how many were tried, and no promise either way."""
    test, here = _page(FakeSearch(says=("a", "b"), gives=(Change(LEFT, "b", 30, 60, 90, MORE),)))
    test.button(key="takes_1").click().run()
    words = words_of(_ended(test, here))
    assert "No single change that was tried fits" in words
    assert "2 changes tried" in words
    assert "30 → 60 min, not all of its 90 min" in words


def test_the_search_shows_what_it_tries_and_can_be_stopped() -> None:
    """While it goes the change at hand is named; stop ends it and keeps what was found."""
    test, here = _page(FakeSearch(until_stopped=True))
    test.button(key="takes_1").click().run()
    test.run()
    words = words_of(test)
    assert "Trying: **one more diver fit for 58 fsw**" in words
    test.button(key="takes_stop_1").click().run()
    words = words_of(_ended(test, here))
    assert "1 change tried, then stopped" in words
    first = run_of(here)
    test.button(key="takes_again_1").click().run()
    assert run_of(here) is not first
    test.run()
    test.button(key="takes_stop_1").click().run()
    _ended(test, here)


def test_an_edited_job_is_not_overwritten_by_a_change() -> None:
    """A change found for the job before an edit cannot be taken any more: it would lose the edit."""
    test, here = _page(FakeSearch(gives=(Change(LEFT, "x", 30, 90, 90, MORE),)))
    test.button(key="takes_1").click().run()
    here.change(JOB.replace(people=JOB.people[:-1]), "people")
    test = _ended(test, here)
    assert test.button(key="takes_use_1_0").disabled


@cache
def _small() -> Plan:
    plan = first_plan(SMALL)
    assert plan is not None
    return plan


def _keyed(elements: Any, start: str) -> Any:
    (found,) = [e for e in elements if str(e.key).startswith(start)]
    return found


def _by_hand(solve: FakeSolve, job: Job = SMALL) -> tuple[AppTest, Desk]:
    """The page with the choices of the first dive open."""
    test, here = page_of("tomorrow", job, replace(REAL, solve=solve))
    here.shown = ShownPlan(_small(), job, "", (), True)
    return _asks(test, here, what="open", moves=f"dive {_first().id}"), here


def _first() -> Dive:
    return min(_small().dives, key=lambda d: d.leave_surface_min)


def _asks(test: AppTest, here: Desk, **asked: Any) -> AppTest:
    """What the board asks for, as it comes from the browser."""
    assert here.shown is not None
    hear(here, here.shown, {"along": False, **asked}, REAL.check)
    return test.run()


def test_a_move_by_hand_tells_the_rule_and_keeping_it_pins_it() -> None:
    """0728 would have dressing before the day begins: told by sentence and rule; kept, it is a pin."""
    solve = FakeSolve(ends=Ended(None, "The pins cannot all be kept."))
    test, here = _by_hand(solve)
    first = min(_small().dives, key=lambda d: d.leave_surface_min)
    _keyed(test.text_input, "move_leave_").set_value("0728").run()
    assert not test.exception
    words = words_of(test)
    assert "breaks a rule." in words
    assert "`day-window`" in words
    assert "leaves the surface at 07:28" in words.replace("\\", "")
    _keyed(test.button, "move_keep_").click().run()
    assert not test.exception
    pin = Pin(kind=PinKind.DIVES, item=first.item, start_min=7 * 60 + 28)
    assert here.job is not None
    assert here.job.pins == (*SMALL.pins, pin)
    assert here.run is not None
    assert here.run.wait(10)
    assert solve.started_from is _small()
    # The people of the plan as it was moved are kept where they can be.
    assert solve.kept_near is not None
    assert min(d.leave_surface_min for d in solve.kept_near.dives) == 7 * 60 + 28
    assert "The pins cannot all be kept." in words_of(test.run())
    assert here.undo() is not None
    assert here.job == SMALL


def test_minutes_free_behind_a_dive_are_a_field_of_it_and_a_pin() -> None:
    """Typed beside the dive's other fields the plan stays, and what is pinned is said; kept, it is a pin of
    the dive at its time."""
    test, here = _by_hand(FakeSolve(ends=Ended(None, "The pins cannot all be kept.")))
    first = min(_small().dives, key=lambda d: d.leave_surface_min)
    _keyed(test.number_input, "move_free_").set_value(15).run()
    assert not test.exception
    assert "15 min free at its station behind it" in words_of(test)
    _keyed(test.button, "move_keep_").click().run()
    assert not test.exception and here.job is not None
    (pin,) = (p for p in here.job.pins if p not in SMALL.pins)
    assert (pin.kind, pin.item, pin.free_min) == (PinKind.DIVES, first.item, 15)
    assert pin.start_min == first.leave_surface_min


def test_a_move_that_holds_every_rule_is_said_so_and_planned_from() -> None:
    """Nothing broken: the page says so, and the search starts from the plan as it was moved."""
    solve = FakeSolve(ends=Ended(None))
    test, here = page_of("tomorrow", SMALL, replace(REAL, solve=solve, check=all_clear))
    here.shown = ShownPlan(_small(), SMALL, "", (), True)
    _asks(test, here, what="open", moves=f"dive {_first().id}")
    _keyed(test.toggle, "move_along").set_value(False).run()
    _keyed(test.text_input, "move_leave_").set_value("0740").run()
    assert "holds every rule" in words_of(test)
    _keyed(test.button, "move_keep_").click().run()
    assert here.run is not None
    assert here.run.wait(10)
    assert solve.started_from is not None
    assert solve.kept_near is solve.started_from
    assert min(d.leave_surface_min for d in solve.started_from.dives) == 7 * 60 + 40


def test_a_post_is_chosen_and_given_to_another() -> None:
    """The post's holder is offered first; another one is pinned to the post on every dive of the item."""
    test, _ = _by_hand(FakeSolve())
    spell = _keyed(test.selectbox, "move_post_")
    spell.set_value(next(o for o in spell.options if o.startswith("supervisor"))).run()
    holder = _keyed(test.selectbox, "move_holder_")
    assert f"supervisor: {holder.value}" == _keyed(test.selectbox, "move_post_").value
    assert "Change a field" in words_of(test)
    other = next(o for o in holder.options if o != holder.value)
    holder.set_value(other).run()
    assert f"{other} is supervisor on every dive of" in words_of(test).replace("\\", "")


def test_a_time_that_cannot_be_read_is_told() -> None:
    """Letters for a time: one sentence, no traceback, nothing to keep."""
    test, _ = _by_hand(FakeSolve())
    _keyed(test.text_input, "move_leave_").set_value("noon").run()
    assert not test.exception
    assert "is not a time of day such as 0700 or 07:00" in words_of(test)
    assert not [b for b in test.button if str(b.key).startswith("move_keep_")]


def test_a_pin_against_a_pin_cannot_be_kept() -> None:
    """The diver is pinned to stay up: the sentence is told and the button is off."""
    plan = _small()
    first = min(plan.dives, key=lambda d: d.leave_surface_min)
    was = first.divers[0].person
    test, here = _by_hand(FakeSolve())
    box = _keyed(test.selectbox, "move_diver_1_")
    now = next(o for o in box.options if o != was)
    job = SMALL.replace(pins=(Pin(kind=PinKind.STAYS_UP, person=now),))
    here.open(job, "again")
    here.shown = ShownPlan(plan, job, "", (), True)
    _asks(test, here, what="open", moves=f"dive {first.id}")
    _keyed(test.selectbox, "move_diver_1_").set_value(now).run()
    assert not test.exception
    words = words_of(test).replace("\\", "")
    assert f"{now} is pinned to dive {first.item}, and to stay up." in words
    assert _keyed(test.button, "move_keep_").disabled
    assert _keyed(test.button, "move_stands_").disabled


def test_a_move_that_holds_is_kept_without_a_search() -> None:
    """Kept as moved: the plan on show is the moved one, its pin is in the job, and nothing was solved."""
    solve = FakeSolve()
    test, here = page_of("tomorrow", SMALL, replace(REAL, solve=solve, check=all_clear))
    here.shown = ShownPlan(_small(), SMALL, "", (), True)
    _asks(test, here, what="open", moves=f"dive {_first().id}")
    _keyed(test.toggle, "move_along").set_value(False).run()
    _keyed(test.text_input, "move_leave_").set_value("0740").run()
    _keyed(test.button, "move_stands_").click().run()
    assert not test.exception
    assert solve.calls == 0
    assert here.job is not None
    assert len(here.job.pins) == len(SMALL.pins) + 1
    assert here.shown is not None
    assert here.shown.job == here.job
    assert min(d.leave_surface_min for d in here.shown.plan.dives) == 7 * 60 + 40
    assert "Moved by hand and kept as it stands" in words_of(test).replace("\\", "")


def test_two_names_pressed_swap_and_where_is_picked() -> None:
    """The first name opens the person's choices, the second swaps the two over the day: judged at once, with
    what is pinned; picked nowhere, nothing is swapped; the same name again lets go."""
    test, here = _by_hand(FakeSolve())
    one, other = sorted({d.divers[0].person for d in _small().dives})[:2]
    _asks(test, here, what="name", person=one)
    assert "Change a field" in words_of(test)
    _asks(test, here, what="name", person=other)
    assert not test.exception
    words = words_of(test).replace("\\", "")
    assert "The plan moved so" in words
    assert f"has {other} among its divers" in words
    _keyed(test.multiselect, "move_where_").set_value([]).run()
    assert "Change a field" in words_of(test)
    _asks(test, here, what="name", person=one)
    _asks(test, here, what="name", person=one)
    assert not [m for m in test.multiselect if str(m.key).startswith("move_where_")]


def test_a_block_dragged_to_another_row_swaps_two_people_in_it() -> None:
    """A diver changes posts with his tender on that dive alone; taken back, nothing is moved."""
    test, here = _by_hand(FakeSolve())
    dive = _first()
    diver, tender = (
        dive.divers[0].person,
        next(s.person for s in _small().duties if s.dive == dive.id and s.duty == TENDER),
    )
    _asks(test, here, what="hand", moves=f"dive {dive.id}", **{"from": diver, "to": tender})
    plan = draft_of(here, here.shown).plan  # type: ignore[arg-type]
    assert [d.person for d in plan.dives if d.id == dive.id for d in d.divers] == [tender]
    assert _people(plan, dive.id) == _people(_small(), dive.id)
    _keyed(test.button, "move_back").click().run()
    assert draft_of(here, here.shown).empty  # type: ignore[arg-type]


def _people(plan: Plan, but: str) -> list[tuple[str | None, str, str]]:
    """Who holds what on every dive but one."""
    return [(s.dive, s.duty, s.person) for s in plan.duties if s.dive != but and s.duty != BRIEFING]


def test_work_on_deck_is_moved_on_the_page() -> None:
    """A task on deck has its own fields; another start is judged, and pinned as its start."""
    test, here = page_of("tomorrow", JOB, replace(REAL, check=all_clear))
    here.shown = ShownPlan(PLAN, JOB, "", (), True)
    _asks(test, here, what="open", moves="task Shift the stage")
    _keyed(test.text_input, "move_start_").set_value("1400").run()
    assert not test.exception
    words = words_of(test).replace("\\", "")
    assert "Shift the stage is then done 14:00 to 15:00." in words
    assert "Kept as a pin: Shift the stage starts at 14:00." in words


def test_a_break_is_asked_for_judged_and_pinned() -> None:
    """Who is on duty in it is told by the rule of the pins; the break itself is the pin."""
    test, here = _by_hand(FakeSolve(ends=Ended(None, "The pins cannot all be kept.")))
    dive = _first()
    _asks(test, here, what="name", person=dive.divers[0].person)
    _keyed(test.text_input, "move_from_").set_value(SMALL.clock.hhmm(dive.leave_surface_min)).run()
    _keyed(test.text_input, "move_until_").set_value(SMALL.clock.hhmm(dive.leave_surface_min + 5)).run()
    assert not test.exception
    assert "`pins-kept`" in words_of(test)
    _keyed(test.button, "move_keep_").click().run()
    assert here.job is not None
    pin = here.job.pins[-1]
    assert (pin.kind, pin.person) == (PinKind.AWAY, dive.divers[0].person)
    assert pin.window == (dive.leave_surface_min, dive.leave_surface_min + 5)


def test_moves_add_up_each_with_its_pins_and_two_shifts_are_one() -> None:
    """Two shifts of a dive in a row are one step with one pin; another dive's is a second; moved back to
    where it stood, a step is gone; what is not on the plan is nothing."""
    test, here = _by_hand(FakeSolve())
    first, last = _first(), max(_small().dives, key=lambda d: d.leave_surface_min)
    for minutes in (5, 10):
        _asks(test, here, what="shift", moves=f"dive {first.id}", minutes=minutes)
    draft = draft_of(here, here.shown)  # type: ignore[arg-type]
    assert [s.move.start_min for s in draft.steps] == [first.leave_surface_min + 15]
    _asks(test, here, what="shift", moves=f"dive {last.id}", minutes=20)
    draft = draft_of(here, here.shown)  # type: ignore[arg-type]
    assert len(draft.steps) == 2 and len(draft.job.pins) == len(SMALL.pins) + 2
    _asks(test, here, what="shift", moves=f"dive {last.id}", minutes=-20)
    _asks(test, here, what="shift", moves="dive D99", minutes=5)
    assert len(draft_of(here, here.shown).steps) == 1  # type: ignore[arg-type]


def test_what_was_typed_stays_when_its_choices_are_closed_or_others_opened() -> None:
    """Two dives moved by their fields: closing keeps the first, opening another dive keeps it too."""
    test, here = _by_hand(FakeSolve())
    first, last = _first(), max(_small().dives, key=lambda d: d.leave_surface_min)
    _keyed(test.text_input, "move_leave_").set_value(SMALL.clock.hhmm(first.leave_surface_min + 10)).run()
    _keyed(test.button, "move_close").click().run()
    assert not [t for t in test.text_input if str(t.key).startswith("move_leave_")]
    _asks(test, here, what="open", moves=f"dive {last.id}")
    _keyed(test.text_input, "move_leave_").set_value(SMALL.clock.hhmm(last.leave_surface_min + 15)).run()
    _asks(test, here, what="open", moves=f"dive {first.id}")
    steps = draft_of(here, here.shown).steps  # type: ignore[arg-type]
    assert [s.move.start_min for s in steps] == [first.leave_surface_min + 10, last.leave_surface_min + 15]
    leaves = {d.id: d.leave_surface_min for d in steps[-1].plan.dives}
    assert leaves[first.id] == first.leave_surface_min + 10 and not test.exception


def test_each_broken_rule_is_told_once_and_numbered_where_it_is_broken() -> None:
    """The second dive into the first: each rule is one line however many it convicts, with the number that
    stands on the blocks of those that it names."""
    test, here = _by_hand(FakeSolve())
    first, second = sorted(_small().dives, key=lambda d: d.leave_surface_min)[:2]
    by = first.leave_surface_min + 5 - second.leave_surface_min
    _asks(test, here, what="shift", moves=f"dive {second.id}", minutes=by)
    assert not test.exception
    plan = draft_of(here, here.shown).plan  # type: ignore[arg-type]
    found = REAL.check(SMALL, plan)
    rules = list(dict.fromkeys(f.rule for f in found))
    assert len(found) > len(rules) > 1
    words = words_of(test)
    assert all(words.count(f"`{rule}`") == 1 for rule in rules)
    by_rule = {rule: [f for f in found if f.rule == rule] for rule in rules}
    marks = marks_of(plan, by_rule)
    twice = 1 + rules.index("one-duty-at-a-time")
    named = next(f.where for f in found if f.rule == "one-duty-at-a-time")
    assert twice in marks[named, f"dive {second.id}"]


def test_a_briefing_is_moved_on_the_page() -> None:
    """Held ten minutes later it runs into the first duties: told; and what is pinned."""
    job = SMALL.replace(rules=SMALL.rules.replace(briefing_min=15))
    plan = first_plan(job)
    assert plan is not None
    test, here = page_of("tomorrow", job, REAL)
    here.shown = ShownPlan(plan, job, "", (), True)
    test.run()
    at = min(s.start_min for s in plan.duties if s.duty == BRIEFING)
    _asks(test, here, what="open", moves=f"briefing {at}")
    _keyed(test.text_input, "move_start_").set_value(job.clock.hhmm(at + 10)).run()
    assert not test.exception
    words = words_of(test)
    assert "`briefed`" in words and " is briefed at " in words
    assert _keyed(test.button, "move_stands_").disabled


def test_pins_are_listed_and_taken_out() -> None:
    """Each pin in a sentence with its own control; one taken out, then all, and undo brings them back."""
    pins = (
        Pin(kind=PinKind.STARTS, item="Shift the stage", start_min=600),
        Pin(kind=PinKind.STAYS_UP, person="Ines Faro", note="cold"),
        Pin(kind=PinKind.HOLDS, person="Pia Sund", duty="supervisor", item="Anode count"),
    )
    test, here = page_of("tomorrow", JOB.replace(pins=pins))
    words = words_of(test).replace("\\", "")
    assert "Shift the stage starts at 10:00." in words
    assert "Ines Faro does not dive on anything." in words
    assert "cold" in words
    test.button(key="pin_off_1").click().run()
    assert here.job is not None
    assert here.job.pins == (pins[0], pins[2])
    test.button(key="pins_off").click().run()
    assert here.job.pins == ()
    assert not [b for b in test.button if str(b.key).startswith("pin")]
    here.undo()
    assert here.job.pins == (pins[0], pins[2])


def test_pins_stay_while_something_is_typed() -> None:
    """Typed and not applied: taking a pin out would lose it, so the control is off."""
    pins = (Pin(kind=PinKind.STAYS_UP, person="Ines Faro"),)
    test, here = page_of("tomorrow", JOB.replace(pins=pins))
    here.edits.typed["Site"] = {"day_end": "1600"}
    test.run()
    assert test.button(key="pin_off_0").disabled

"""What a new plan changes for the people of an old one: counted by hand on the sound plan of these tests."""

from __future__ import annotations

from planner.job.duties import DIVER, SUPERVISOR
from planner.plan import changed_duties, still_ahead
from tests.world.changed import shifted, with_diver, with_spells
from tests.world.quay import RIG, SCRAP, WRAP, a_job, a_plan

PLAN, JOB = a_plan(), a_job()


def test_a_shift_in_time_changes_no_duty() -> None:
    """Dive 3 an hour later, with another number and from another start: everyone does what he did."""
    later = shifted(PLAN, "3", 60)
    renamed = later.replace(
        dives=tuple(d.replace(id="9") if d.id == "3" else d for d in later.dives),
        duties=tuple(s.replace(dive="9") if s.dive == "3" else s for s in later.duties),
    )
    changed = changed_duties(PLAN, renamed)
    assert changed.count == 0
    assert changed.sentence == "nobody's duties changed"


def test_a_duty_that_passes_on_counts_for_both() -> None:
    """Dive 1 under Ned instead of Sam: taken from one, given to the other; Sam keeps dive 3."""
    changed = changed_duties(PLAN, with_spells(PLAN, "1", SUPERVISOR, "Sam", person="Ned"))
    assert changed.given == {("Ned", SUPERVISOR, WRAP, 0)}
    assert changed.taken == {("Sam", SUPERVISOR, WRAP, 0)}
    assert changed.sentence == "2 duties of 2 people changed"


def test_which_of_an_items_dives_counts() -> None:
    """Tia down on the second dive on the piles in Ana's place: a change there, none on the first."""
    plan = with_spells(with_diver(PLAN, "3", "Ana", person="Tia"), "3", DIVER, "Ana", person="Tia")
    changed = changed_duties(PLAN, plan)
    assert changed.given == {("Tia", DIVER, WRAP, 1)}
    assert changed.taken == {("Ana", DIVER, WRAP, 1)}


def test_a_dive_that_is_gone_takes_all_its_duties() -> None:
    """Dive 3 has ten duties of nine people: Cal holds two, and so does nobody else. Yan, the second of the
    two hands that dressing and undressing in heavy dress take, has one duty twice: counted once."""
    rest = PLAN.replace(
        dives=tuple(d for d in PLAN.dives if d.id != "3"),
        duties=tuple(s for s in PLAN.duties if s.dive != "3"),
    )
    changed = changed_duties(PLAN, rest)
    assert changed.sentence == "10 duties of 9 people changed"
    assert changed.people == {"Ana", "Cal", "Dan", "Pia", "Sam", "Tia", "Tom", "Uwe", "Yan"}
    assert changed.given == frozenset()


def test_what_has_begun_is_no_part_of_it() -> None:
    """With dive 1 made and the rigging done, dive 3 is the first that is still to come on the piles."""
    ahead = still_ahead(PLAN, {"1"}, {RIG})
    assert {d.id for d in ahead.dives} == {"2", "3"}
    assert {t.item for t in ahead.surface_tasks} == {SCRAP}
    rest = PLAN.replace(
        dives=tuple(d for d in PLAN.dives if d.id != "1"),
        surface_tasks=ahead.surface_tasks,
        duties=tuple(s for s in PLAN.duties if s.dive != "1" and s.item != RIG),
    )
    assert changed_duties(ahead, rest).count == 0

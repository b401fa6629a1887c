"""What would it take: each change is solved, and none relaxes a safety rule."""

from __future__ import annotations

from datetime import date, time

import pytest

from planner.check import check
from planner.job import Certificate, CrewNeed, DutyCertificate, OutfitState, Span, SurfaceItem
from planner.schedule import solve, what_it_takes
from planner.schedule.what_it_takes import candidates
from tests.schedule.day import PEOPLE, item, job, outfit


def test_the_outfit_to_repair_is_found() -> None:
    """One outfit short: the one with the open defect, made ready, fits the item; its plan holds."""
    worn = (outfit(1), outfit(2, state=OutfitState.DEFECT_OPEN))
    made = job(item(), outfits=worn)
    changes = what_it_takes(made, None, "Work", seconds_each=3)
    best = next(c for c in changes if "made ready" in c.sentence)
    assert best.fits
    plan = solve(best.job, seconds=4, workers=1, only_work=True).plan
    assert plan is not None
    assert check(best.job, plan) == ()


def test_the_smallest_longer_window_is_named() -> None:
    """40 min of work at 40 fsw take 43 min of water: a window of 30 min needs 20 min more."""
    made = job(item(windows=(Span(start_min=600, end_min=630),)))
    changes = what_it_takes(made, None, "Work", seconds_each=3)
    windows = [c for c in changes if "window" in c.sentence and c.fits]
    assert [c.sentence for c in windows] == ["its window 20 min longer"]


def test_one_more_person_with_the_duty_that_is_short() -> None:
    """A crew without one tender, or without its console, is fitted by one more of that duty."""
    for gone, wanted in (("Ola", "one more tender"), ("Marek", "one more air console")):
        short = job(item(), people=tuple(p for p in PEOPLE if p.name != gone))
        changes = what_it_takes(short, None, "Work", seconds_each=3)
        assert wanted in [c.sentence for c in changes if c.fits]


def test_safety_is_never_the_thing_to_change() -> None:
    """No candidate touches the rules, the policy, the medicals or what an item asks for."""
    made = job(item(depth_fsw=60, work_min=100, splittable=False))
    made = made.replace(site=made.site.replace(day_end=time(15)))
    for _, _, changed in candidates(made, "Work"):
        assert changed.rules == made.rules
        assert changed.site.policy is made.site.policy
        now, before = changed.dive_item("Work"), made.dive_item("Work")
        assert now.replace(windows=()) == before.replace(windows=())


def test_certificates_are_offered_to_as_many_as_it_takes() -> None:
    """Diver and standby both need the certificate that nobody holds: two divers given it fit the item."""
    made = job(item(certificates=frozenset({"wet welding"})))
    changes = what_it_takes(made, None, "Work", seconds_each=3)
    assert "Ciro and Dana holding wet welding" in [c.sentence for c in changes if c.fits]


def test_an_expired_certificate_is_offered_to_the_one_whom_it_takes() -> None:
    """Two of three divers hold it, one until the day before: given to that one the item is done."""
    valid, gone = Certificate(name="W"), Certificate(name="W", expires=date(2027, 3, 15))
    held = {"Ciro": (valid,), "Dana": (gone,)}
    made = job(
        item(certificates=frozenset({"W"})),
        people=tuple(p.replace(certificates=held.get(p.name, ())) for p in PEOPLE),
    )
    changes = what_it_takes(made, None, "Work", seconds_each=3)
    assert {"Dana holding W", "Efe holding W"} <= {c.sentence for c in changes if c.fits}


def test_a_duty_s_certificate_is_offered_to_each_who_lacks_it() -> None:
    """The only supervisor's first aid ran out the day before: renewed, the item is done."""
    gone = Certificate(name="first aid", expires=date(2027, 3, 15))
    made = job(
        item(), people=tuple(p.replace(certificates=(gone,)) if p.name == "Ines" else p for p in PEOPLE)
    )
    rows = (DutyCertificate(duty="supervisor", certificate="first aid"),)
    made = made.replace(rules=made.rules.replace(duty_certificates=rows))
    changes = what_it_takes(made, None, "Work", seconds_each=3)
    assert "Ines, as supervisor, holding first aid" in [c.sentence for c in changes if c.fits]
    (reason,) = solve(made, seconds=3).reasons["Work"]
    assert reason.rule == "duty-certificates"
    assert "Ines would need a valid first aid" in reason.sentence


def test_each_change_is_tried_once() -> None:
    """Console and log are one newcomer, a diver stands by too, a duty asked for twice is one line."""
    told = [sentence for _, sentence, _ in candidates(job(item()), "Work")]
    assert len(set(told)) == len(told)
    assert [s for s in told if "console" in s or "log" in s] == ["one more air console"]
    assert not {"one more standby diver", "one more standby's tender"} & set(told)
    rig = (CrewNeed(duty="tender", count=1), CrewNeed(duty="tender", count=2))
    above = job(surface_items=(SurfaceItem(name="Rig", duration_min=30, crew=rig),))
    assert [s for _, s, _ in candidates(above, "Rig") if "tender" in s] == ["one more tender"]


@pytest.mark.long
def test_a_larger_change_is_told_only_for_more_work() -> None:
    """Longer windows of which none fits all the work: each one told does more than the one before."""
    made = job(item(work_min=300, windows=(Span(start_min=600, end_min=620),)))
    changes = [c for c in what_it_takes(made, None, "Work", seconds_each=1) if "window" in c.sentence]
    gains = [c.after_min for c in changes]
    assert gains
    assert len(set(gains)) == len(gains)

"""Hold points signed in the day log: who may, who may not, what counts, what the log and the page say."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from planner.gear.steps import bench_steps
from planner.job import BenchHand, BenchList, Gear, Job
from planner.job.duties import TENDER
from planner.log.day_log import DayLog, Entry, Kind
from planner.log.hold_points import benches, signatures
from planner.log.judge import judge
from planner.log.wording import entry_text
from planner.plan import Plan
from planner.store import Store
from planner.store.recording import read_log, record
from tests.log.logging import NOON, day_of, dived, entry, log_of_day
from tests.world.parts import at
from tests.world.quay import a_plan, with_air

JOB: Job = with_air()
PLAN: Plan = a_plan()
NUTS, AIR_HEARD, VALVE = "heavy-nuts-again", "heavy-air-heard", "heavy-non-return"


def _sign(step: str = NUTS, person: str = "Sam", minute: int = at(8, 20), **more: Any) -> Entry:
    """The nuts of H1 before dive 1, by its supervisor, unless told otherwise."""
    given = {"dive": "1", "thing": "H1", "step": step, "people": (person,), **more}
    return entry(Kind.HOLD_POINT, minute, **given)


def _refused(new: Entry, *before: Entry, job: Job = JOB) -> str:
    found = judge(new, job, PLAN, log_of_day(*before), at(12))
    return " ".join(f.sentence for f in found.faults)


def test_the_supervisor_signs_what_a_tender_did() -> None:
    """Dive 1: Tom tries the nuts of H1, Sam signs: nothing is in the way, nothing to be told."""
    found = judge(_sign(), JOB, PLAN, log_of_day(), at(12))
    assert (found.faults, found.flags) == ((), ())


@pytest.mark.parametrize(
    ("new", "said"),
    [
        (_sign(person="Tia"), "Tia may not hold the duty that signs here (supervisor)"),
        (_sign(person="Zoe"), "There is no person called Zoe"),
        (_sign(done_by=("Sam",)), "Sam did this step"),
        (_sign(done_by=("Zoe",)), "There is no person called Zoe"),
        (_sign("heavy-collar"), "no such hold point"),
        (_sign(VALVE), "no such hold point"),
        (_sign(thing="Bank A"), "signed for an outfit"),
        (_sign(VALVE, dive=None), "Say who did the step"),
        (_sign(minute=at(12, 2)), "has not come yet"),
        (_sign(thing=None), "needs the outfit, the step and one name"),
        (_sign(people=("Sam", "Sol")), "needs the outfit, the step and one name"),
    ],
)
def test_what_is_no_signature_is_refused(new: Entry, said: str) -> None:
    """Each with a sentence: another duty, a stranger, who did it, a step or a thing that is none."""
    assert said in _refused(new)


def _own_list(**changes: Any) -> Job:
    """The crew's own dressing list: one step, both tenders', which a tender signs."""
    own = next(s for s in bench_steps(Gear.HEAVY, BenchList.DRESSING) if s.id == NUTS)
    rules = JOB.rules.replace(bench_steps=(own.replace(signed_by=TENDER, **changes),))
    return JOB.replace(rules=rules)


@pytest.mark.parametrize(
    ("hand", "refused"),
    [
        (BenchHand.FIRST, {"Tom"}),
        (BenchHand.SECOND, {"Tia"}),
        (BenchHand.BOTH, {"Tom", "Tia"}),
        (BenchHand.DIVER, set()),
    ],
)
def test_who_did_the_step_by_the_watchbill_does_not_sign_it(hand: BenchHand, refused: set[str]) -> None:
    """Tom is the first tender of dive 1, Tia the second: a step of both is signed by neither."""
    job = _own_list(who=hand)
    told = {name: _refused(_sign(person=name), job=job) for name in ("Tom", "Tia", "Vic")}
    assert {name for name, said in told.items() if said} == refused
    assert all("did this step" in told[name] for name in refused)


def test_who_wears_the_outfit_does_not_sign() -> None:
    """Ana may supervise, too, and is the one being dressed: another pair of eyes signs (common practice)."""
    people = tuple(
        p.replace(duties=p.duties | {"supervisor"}) if p.name in ("Ana", "Bo") else p for p in JOB.people
    )
    job = JOB.replace(people=people)
    assert "Ana wears this outfit" in _refused(_sign(person="Ana"), job=job)
    assert _refused(_sign(person="Bo"), job=job) == ""
    down = dived("2", at(8, 15), None, None)
    assert "Bo is in the water" in _refused(_sign(person="Bo"), *down, job=job)


def test_one_signature_for_one_outfit_and_one_dive() -> None:
    """Signed twice it is refused; for dive 3 the same outfit is signed for again; an inspection anew each
    day."""
    first = _sign()
    assert "Sam signed this at 08:20 already" in _refused(_sign(person="Sol", minute=at(8, 21)), first)
    assert _refused(_sign(dive="3", minute=at(11, 40)), first) == ""
    looked = {"dive": None, "done_by": ("Tom",)}
    day = day_of(JOB, PLAN, first, _sign(VALVE, minute=at(7, 10), **looked))
    inspection = next(b for b in benches(day) if b.dive is None and b.outfit == "H1")
    assert list(signatures(day, inspection, at(18))) == [VALVE]
    assert signatures(day, inspection, at(7, day=1)) == {}


def test_a_struck_signature_does_not_count() -> None:
    """Taken back, it can be signed again."""
    signed, back = log_of_day(_sign(), entry(Kind.TAKEN_BACK, at(8, 21))).written
    log = DayLog((signed, replace(back, corrects=1)))
    assert judge(_sign(person="Sol"), JOB, PLAN, log, at(12)).faults == ()


def test_what_is_left_open_is_told_when_the_dive_leaves_the_surface() -> None:
    """A crew that signs here is told of what nobody signed; one that signs on paper is told nothing."""
    leaves = entry(Kind.LEAVE_SURFACE, at(8, 30), "1")
    told = judge(leaves, JOB, PLAN, log_of_day(_sign()), at(12)).flags
    (flag,) = [f for f in told if "hold points" in f]
    assert flag.startswith("Dive 1, Ana, H1: 8 hold points are not signed here")
    assert NUTS not in flag
    assert AIR_HEARD in flag
    assert not any("hold points" in f for f in judge(leaves, JOB, PLAN, log_of_day(), at(12)).flags)


def test_a_late_signature_and_an_outfit_that_was_not_planned_are_kept_and_flagged() -> None:
    """The log is a record."""
    late = judge(_sign(minute=at(8, 31)), JOB, PLAN, log_of_day(*dived("1", at(8, 30), None, None)), at(12))
    assert late.faults == ()
    assert late.flags == ("Dive 1 had left the surface before this was signed.",)
    other = _sign("light-helmet-on", dive="3", thing="L3", done_by=("Tom",))
    found = judge(other, JOB, PLAN, log_of_day(), at(12))
    assert found.faults == ()
    assert found.flags == ("The watchbill has nobody dress in L3 for dive 3.",)


def test_what_is_offered_follows_the_day() -> None:
    """Divers and standby divers of the dives to come, then an inspection of every outfit worn."""
    titles = [b.title for b in benches(day_of(JOB, PLAN))]
    assert titles[0] == "Dive 1, Ana, H1"
    assert "Dive 1, Dan, H2" in titles
    assert titles[-5:] == [f"Inspection, {o.name}" for o in JOB.outfits]
    after = [b.title for b in benches(day_of(JOB, PLAN, *dived("1", at(8, 30), at(9, 11), at(9, 13))))]
    assert not any(t.startswith("Dive 1") for t in after)


def test_the_log_says_who_signed_what_and_when(tmp_path: Path) -> None:
    """It reads back with all that was said, and is told in one line, on screen and by `log show`."""
    with Store(str(tmp_path / "store.sqlite")) as store:
        store.save_job(JOB, "Sam")
        store.issue(JOB, PLAN, "Sam")
        record(store, JOB, PLAN, _sign(done_by=("Tom",)), "Cal", now=NOON)
        (written,) = read_log(store, JOB).written
    assert written.entry == _sign(done_by=("Tom",))
    assert entry_text(written.entry, JOB) == (
        "08:20 hold point, dive 1, H1: Wrench on every nut once more, all twelve, counting aloud. "
        "Signed by Sam; done by Tom"
    )

"""Logging under stress: killed processes, two people at once, and the way from a button to the disk."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from datetime import UTC, datetime
from pathlib import Path

import pytest

from planner.errors import InputFaults
from planner.job import Job
from planner.log.day_log import Entry, Kind
from planner.plan import Plan
from planner.store import NewRow, Store, StoreRefused
from planner.store.recording import minute_of_press, read_log, record
from tests.log.logging import entry
from tests.world.parts import at
from tests.world.quay import a_plan, with_air

JOB: Job = with_air()
PLAN: Plan = a_plan()
NAME, DAY = JOB.site.name, JOB.site.first_day
ROOT = Path(__file__).resolve().parents[2]
NOON = datetime(2026, 5, 12, 11, 0, tzinfo=UTC)


@pytest.mark.parametrize("kills", [20, pytest.param(200, marks=pytest.mark.long)])
def test_killed_at_any_moment_nothing_acknowledged_is_lost(place: str, kills: int) -> None:
    """A process that logs is killed (SIGKILL) at random moments. Every entry whose number it had been
    given is there, with that number and text, and the database passes its own integrity check."""
    with Store(place) as store:
        store.save_job(JOB, "Ana Reyes")
    done = subprocess.run(
        [sys.executable, str(Path(__file__).with_name("nursery.py")), place, str(kills), "7"],
        cwd=ROOT,
        env={"PYTHONPATH": str(ROOT), "PATH": ""},
        capture_output=True,
        text=True,
        check=True,
        timeout=240,
    )
    acknowledged: dict[str, int] = json.loads(done.stdout)
    # on a machine with much else to do more are killed before they are answered
    assert len(acknowledged) > kills / 4
    with Store(place) as store:
        kept = {row.content: row.number for row in store.log(NAME, DAY)}
        assert store.faults() == ()
    assert {text: kept.get(text) for text in acknowledged} == acknowledged


def test_two_people_log_at_once(place: str) -> None:
    """Each from a connection of his own, 40 entries each: all 80 are there, each number once, each person's
    own in his order."""
    with Store(place) as store:
        store.save_job(JOB, "Ana Reyes")
    failed: list[str] = []

    def write(by: str) -> None:
        try:
            with Store(place) as own:
                for n in range(40):
                    own.append(NAME, DAY, NewRow("note", str(n), by))
        except StoreRefused as refused:
            failed.append(str(refused))

    threads = [threading.Thread(target=write, args=(by,)) for by in ("Cal", "Kim")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    with Store(place) as store:
        rows = store.log(NAME, DAY)
    assert len({r.number for r in rows}) == 80
    for by in ("Cal", "Kim"):
        assert [r.content for r in rows if r.written_by == by] == [str(n) for n in range(40)]


@pytest.mark.parametrize(
    "pressed",
    [
        entry(Kind.LEAVE_SURFACE, at(8, 30), "1"),
        entry(Kind.HOLD_POINT, at(8, 30), "1", thing="H1", step="heavy-nuts-again", people=("Sam",)),
    ],
)
def test_two_who_press_the_same_button_make_one_entry(place: str, pressed: Entry) -> None:
    """Both see dive 1 leave the surface, or the nuts tried, and press at the same moment: one entry stands,
    the other is told."""
    with Store(place) as store:
        store.save_job(JOB, "Ana Reyes")
    barrier = threading.Barrier(2)
    told: list[str] = []

    def press(by: str, minute: int) -> None:
        with Store(place) as own:
            barrier.wait(10)
            try:
                found = record(own, JOB, PLAN, pressed.replace(at_min=minute), by, now=NOON)
                told.extend(found.flags)
            except InputFaults as refused:
                told.append(str(refused))

    threads = [threading.Thread(target=press, args=(by, at(8, m))) for by, m in (("Cal", 30), ("Kim", 31))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with Store(place) as store:
        assert len(read_log(store, JOB).entries) == 1
    assert len(told) == 1


def _stored(store: Store, new: Entry, corrects: int | None = None) -> int:
    return record(store, JOB, PLAN, new, "Cal", now=NOON, corrects=corrects).written.number


def test_undo_is_a_correction(place: str) -> None:
    """Press, undo, press again: three entries in the store, one that holds."""
    with Store(place) as store:
        store.save_job(JOB, "Ana Reyes")
        first = _stored(store, entry(Kind.LEAVE_SURFACE, at(8, 30), "1"))
        _stored(store, entry(Kind.TAKEN_BACK, at(8, 31)), corrects=first)
        _stored(store, entry(Kind.LEAVE_SURFACE, at(8, 35), "1"))
        log = read_log(store, JOB)
    assert [e.at_min for e in log.entries] == [at(8, 35)]
    assert len(log.written) == 3
    assert log.written[1].corrects == first


def test_a_refused_entry_leaves_nothing(place: str) -> None:
    """Reach surface before leave bottom: a sentence, and the log is as it was."""
    with Store(place) as store:
        store.save_job(JOB, "Ana Reyes")
        _stored(store, entry(Kind.LEAVE_SURFACE, at(8, 30), "1"))
        with pytest.raises(InputFaults, match="Leave bottom of dive 1 is not logged"):
            _stored(store, entry(Kind.REACH_SURFACE, at(9, 30), "1"))
        assert len(read_log(store, JOB).written) == 1


def test_an_entry_of_a_newer_version_is_not_misread(place: str) -> None:
    """An unknown kind: said so, and kept."""
    with Store(place) as store:
        store.save_job(JOB, "Ana Reyes")
        store.append(NAME, DAY, NewRow("sonar", '{"kind":"sonar","at_min":1}', "Cal"))
        with pytest.raises(StoreRefused, match="cannot be read by this version"):
            read_log(store, JOB)


def test_a_press_is_rounded_to_the_safe_side() -> None:
    """12:00:20 in Lisbon: leave surface counts from 12:00, leave bottom and reach surface to 12:01, so that a
    bottom time is never too short (rounded up to the minute: U.S. Navy Diving Manual)."""
    moment = datetime(2026, 5, 12, 11, 0, 20, tzinfo=UTC)
    assert minute_of_press(Kind.LEAVE_SURFACE, JOB, moment) == at(12)
    assert minute_of_press(Kind.LEAVE_BOTTOM, JOB, moment) == at(12, 1)
    assert minute_of_press(Kind.REACH_SURFACE, JOB, moment) == at(12, 1)
    assert minute_of_press(Kind.LEAVE_BOTTOM, JOB, moment.replace(second=0)) == at(12)


def test_a_press_at_a_stop_is_rounded_to_the_safe_side() -> None:
    """Reached late and left early, so that a stop is never too short; in the chamber late and out late, so
    that the five minutes are never too long and nothing counts too soon."""
    moment = datetime(2026, 5, 12, 11, 0, 20, tzinfo=UTC)
    assert minute_of_press(Kind.LEAVE_STOP, JOB, moment) == at(12)
    for kind in (Kind.REACH_STOP, Kind.AT_CHAMBER_DEPTH, Kind.OUT_OF_CHAMBER):
        assert minute_of_press(kind, JOB, moment) == at(12, 1)


def test_the_store_keeps_stops_and_the_chamber(place: str) -> None:
    """Stops with their depths, 50 fsw in the chamber and out of it: read back as they were logged; of two
    stops each is one entry, and an undo takes the last."""
    minutes = [
        entry(Kind.LEAVE_SURFACE, at(8, 30), "1"),
        entry(Kind.LEAVE_BOTTOM, at(9, 40), "1"),
        entry(Kind.REACH_STOP, at(9, 42), "1", depth_fsw=30),
        entry(Kind.LEAVE_STOP, at(9, 45), "1", depth_fsw=30),
        entry(Kind.REACH_STOP, at(9, 45), "1", depth_fsw=20),
        entry(Kind.LEAVE_STOP, at(9, 52), "1", depth_fsw=20),
        entry(Kind.REACH_SURFACE, at(9, 53), "1"),
        entry(Kind.AT_CHAMBER_DEPTH, at(9, 56), "1"),
        entry(Kind.OUT_OF_CHAMBER, at(10, 30), "1"),
    ]
    with Store(place) as store:
        store.save_job(JOB, "Ana Reyes")
        numbers = [_stored(store, one) for one in minutes]
        assert read_log(store, JOB).entries == tuple(minutes)
        _stored(store, entry(Kind.TAKEN_BACK, at(10, 31)), corrects=numbers[-1])
        assert read_log(store, JOB).entries == tuple(minutes[:-1])

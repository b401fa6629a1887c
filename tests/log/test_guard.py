"""Presses held back, and a station's card: pure, by log and clock. The spans are the program's own choice."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from planner.job import Job, UnitSystem
from planner.log.day_log import DayLog, Entry, Kind, Written
from planner.log.exposures import actual_exposures
from planner.log.guard import too_soon
from planner.log.station_card import StationCard, Tone, station_cards, steps_ahead
from tests.log.logging import NOON, day_of, dived, entry
from tests.world.parts import at
from tests.world.quay import a_plan, with_air

JOB: Job = with_air()
PLAN = a_plan()
LEFT = entry(Kind.LEAVE_SURFACE, at(12), "1")


def _log(*entries: tuple[Entry, float, int | None]) -> DayLog:
    """Entries, each with the seconds after noon at which it was written, and what it corrects."""
    return DayLog(
        tuple(
            Written(n, e, NOON + timedelta(seconds=s), "Cal", corrects)
            for n, (e, s, corrects) in enumerate(entries, start=1)
        )
    )


def _after(seconds: float) -> datetime:
    return NOON + timedelta(seconds=seconds)


@pytest.mark.parametrize(
    ("seconds", "held", "dead"),
    [(0.0, True, True), (0.25, True, True), (2.0, True, False), (59.9, True, False), (60.0, False, False)],
)
def test_the_next_event_of_a_dive_is_dead_then_asked_back(seconds: float, held: bool, dead: bool) -> None:
    """Dead for two seconds, asked back for a minute, free after it."""
    found = too_soon(_log((LEFT, 0, None)), Kind.REACH_BOTTOM, "1", _after(seconds))
    assert (found is not None) == held
    assert (found is not None and found.dead) == dead


def test_the_question_names_both_events() -> None:
    """What was logged, how long ago, what is asked."""
    found = too_soon(_log((LEFT, 0, None)), Kind.REACH_SURFACE, "1", _after(12))
    assert found is not None
    assert found.asks(Kind.REACH_SURFACE) == "Leave surface logged 12 s ago: reach surface now, really?"


def test_only_times_of_the_same_dive_hold_a_press_back() -> None:
    """Another dive, a note, an event taken back since and a clock set back hold nothing."""
    log = _log((LEFT, 0, None))
    assert too_soon(log, Kind.LEAVE_SURFACE, "2", _after(0.2)) is None
    assert too_soon(log, Kind.NOTE, None, _after(0.2)) is None
    assert too_soon(log, Kind.REACH_BOTTOM, "1", _after(-5)) is None
    back = entry(Kind.TAKEN_BACK, at(12))
    assert too_soon(_log((LEFT, 0, None), (back, 3, 1)), Kind.LEAVE_SURFACE, "1", _after(3.5)) is None


def test_a_second_undo_is_dead_and_the_first_is_not() -> None:
    """Taking back what was just logged is free; two seconds later the next entry may be taken back too."""
    back = entry(Kind.TAKEN_BACK, at(12))
    assert too_soon(_log((LEFT, 0, None)), Kind.TAKEN_BACK, None, _after(0.2)) is None
    log = _log((LEFT, 0, None), (back, 3, 1))
    held = too_soon(log, Kind.TAKEN_BACK, None, _after(3.25))
    assert held is not None
    assert held.dead
    assert too_soon(log, Kind.TAKEN_BACK, None, _after(5)) is None


def _card(*entries: Entry, hour: int, minute: int, second: int = 0) -> StationCard:
    now = JOB.clock.at(at(hour, minute)) + timedelta(seconds=second)
    return next(c for c in station_cards(day_of(JOB, PLAN, *entries), now, UnitSystem.FEET) if c.dive == "1")


def _figures(card: StationCard) -> dict[str, int]:
    return {f.name: f.minutes for f in card.figures if f.since is None}


def test_minutes_left_to_the_plan_and_to_the_row() -> None:
    """Dive 1: 41 min planned from 08:30, the no-stop limit of 60 fsw is 63 min (table 9-7). What is left is
    rounded down: half a minute later a minute less."""
    log = dived("1", at(8, 30), None, None)
    card = _card(*log, hour=9, minute=0)
    assert _figures(card) == {"min left by the plan": 11, "min left on the row": 33}
    assert (card.word, card.tone) == ("on the plan", Tone.GOOD)
    assert card.coming == ("reach bottom", "leave bottom 09:11")
    assert card.figures[0].since == JOB.clock.at(at(8, 30))
    assert _figures(_card(*log, hour=9, minute=0, second=30)) == {
        "min left by the plan": 10,
        "min left on the row": 32,
    }


@pytest.mark.parametrize(
    ("hour", "minute", "word", "tone"),
    [
        (9, 11, "leave the bottom", Tone.WATCH),
        (9, 12, "over the plan", Tone.WATCH),
        (9, 33, "over the plan", Tone.WATCH),
        (9, 34, "off the row", Tone.BAD),
    ],
)
def test_word_and_colour_turn_with_the_minutes(hour: int, minute: int, word: str, tone: Tone) -> None:
    """63 min is the last minute of the row, 64 is not."""
    log = dived("1", at(8, 30), None, None)
    card = _card(*log, hour=hour, minute=minute)
    assert (card.word, card.tone) == (word, tone)


def test_before_and_after_the_dive() -> None:
    """Before it the minutes to leave surface; on the way up the time since leave bottom and the surface."""
    first = next(d for d in PLAN.dives if d.id == "1")
    card = _card(hour=8, minute=0)
    assert card.word == "nobody down"
    assert _figures(card) == {"min to leave surface": first.leave_surface_min - at(8)}
    up = _card(*dived("1", at(8, 30), at(9, 11), None), hour=9, minute=12)
    assert up.word == "coming up"
    assert up.coming == ("reach surface 09:13",)


def test_the_next_two_go_through_a_stop() -> None:
    """70 min at 58 fsw: 7 min at 20 fsw come before the surface (row 60/70, table 9-9)."""
    day = day_of(JOB, PLAN, *dived("1", at(8, 30), at(9, 40), None))
    one = actual_exposures(day, at(9, 41))[0]
    assert steps_ahead(day, one.dive, one.schedule) == ((Kind.REACH_STOP, 20), (Kind.LEAVE_STOP, 20))
    assert steps_ahead(day, one.dive, one.schedule, 9)[2:] == ((Kind.REACH_SURFACE, None),)

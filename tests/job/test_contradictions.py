"""Contradictions of pins, tide and crew rows inside a job, told by `cross_faults`."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from planner.job import (
    Certificate,
    CrewMinimum,
    CrewRules,
    DiveItem,
    DutyPair,
    Job,
    Person,
    Pin,
    PinKind,
    Site,
    Span,
    Station,
    SurfaceItem,
    TideMark,
)
from planner.job.cross_checks import cross_faults
from planner.job.duties import CONSOLE, DIVER, LOG_KEEPER, STANDBY, SUPERVISOR, TENDER
from planner.job.work import CrewNeed
from tests.world.parts import PLAIN_RULES, at

PILES, GATE, RIG = "Wrap piles", "Seal the gate", "Rig the stage"
STRIKING = "Striking, North"


def a_job(*pins: Pin) -> Job:
    """A job without contradictions, and pins."""
    welder = Certificate(name="welding")
    return Job(
        rules=PLAIN_RULES.replace(station_strike_min=20),
        site=Site(name="Quay", first_day=date(2026, 5, 12), time_zone="Europe/Lisbon", daylight_only=False),
        stations=(Station(name="North"), Station(name="South")),
        people=(
            Person(name="Ana", duties=frozenset({DIVER}), depth_rating_fsw=100, certificates=(welder,)),
            Person(name="Bo", duties=frozenset({DIVER}), depth_rating_fsw=50),
            Person(name="Sam", duties=frozenset({SUPERVISOR, TENDER, CONSOLE, LOG_KEEPER, "rigger"})),
        ),
        dive_items=(
            DiveItem(
                name=PILES, depth_fsw=58, bottom_work_min=60, windows=(Span(start_min=at(8), end_min=at(12)),)
            ),
            DiveItem(
                name=GATE,
                depth_fsw=40,
                bottom_work_min=60,
                certificates=frozenset({"welding"}),
                station="South",
            ),
        ),
        surface_items=(SurfaceItem(name=RIG, duration_min=30, crew=(CrewNeed(duty="rigger"),)),),
        pins=pins,
    )


def sentences(job: Job) -> list[str]:
    faults = cross_faults(job)
    assert all(f.where and f.allowed and f.sentence[-1] in ".?" for f in faults)
    return [f.sentence for f in faults]


DIVES_PILES = Pin(kind=PinKind.DIVES, item=PILES, person="Ana")


def test_sound_pins_are_no_fault() -> None:
    """One pin of each kind that can hold together with the others."""
    job = a_job(
        DIVES_PILES.replace(start_min=at(9), station="North", bottom_time_min=40),
        Pin(kind=PinKind.STARTS, item=RIG, start_min=at(7), end_min=at(8)),
        Pin(kind=PinKind.STAYS_UP, person="Bo"),
        Pin(kind=PinKind.KEEPS_FREE, item=PILES, free_min=20),
        Pin(kind=PinKind.DIVES, item=GATE, free_min=20),
        Pin(kind=PinKind.HOLDS, person="Sam", duty=SUPERVISOR, item=PILES),
        Pin(kind=PinKind.AWAY, person="Ana", start_min=at(12), end_min=at(13)),
        Pin(kind=PinKind.DIVES, item=GATE, start_min=at(14), end_min=at(15)),
    )
    assert sentences(job) == []


@pytest.mark.parametrize(
    ("pin", "word"),
    [
        (Pin(kind=PinKind.STARTS, item=PILES), "needs a time"),
        (Pin(kind=PinKind.STARTS, start_min=at(9)), "needs an item"),
        (Pin(kind=PinKind.STAYS_UP), "needs a person"),
        (Pin(kind=PinKind.HOLDS, item=PILES, person="Sam"), "needs a duty"),
        (Pin(kind=PinKind.AWAY, person="Ana", start_min=at(9)), "needs an end"),
        (Pin(kind=PinKind.AWAY, person="Ana", start_min=at(9), end_min=at(9)), "ends before it starts"),
        (DIVES_PILES.replace(start_min=at(10), end_min=at(9)), "ends before it starts"),
        (DIVES_PILES.replace(end_min=at(9)), "needs a start"),
        (DIVES_PILES.replace(duty=STANDBY), "has no use for a duty"),
        (Pin(kind=PinKind.DIVES, item=PILES), "does not say what is settled"),
        (DIVES_PILES.replace(person="Anna"), "no person called Anna"),
        (DIVES_PILES.replace(item="Wrap pile"), "no item called"),
        (DIVES_PILES.replace(station="East"), "no station called East"),
        (Pin(kind=PinKind.HOLDS, item=PILES, person="Sam", duty="cook"), "no duty called cook"),
        (Pin(kind=PinKind.DIVES, item=RIG, person="Ana"), "done above water"),
        (DIVES_PILES.replace(person="Sam"), "is no diver"),
        (DIVES_PILES.replace(person="Bo"), "rated to 50 fsw"),
        (Pin(kind=PinKind.DIVES, item=GATE, person="Bo"), "no certificate for welding"),
        (Pin(kind=PinKind.DIVES, item=GATE, station="North"), "dived from South only"),
        (Pin(kind=PinKind.HOLDS, item=PILES, person="Ana", duty=SUPERVISOR), "may not hold"),
        (Pin(kind=PinKind.HOLDS, item=PILES, person="Bo", duty=STANDBY), "rated to 50 fsw"),
        (Pin(kind=PinKind.HOLDS, item=PILES, person="Ana", duty=DIVER), "change from dive to dive"),
        (Pin(kind=PinKind.STARTS, item=PILES, start_min=at(13)), "outside the windows"),
        (Pin(kind=PinKind.STARTS, item=GATE, start_min=at(5), end_min=at(6)), "outside the working hours"),
        (Pin(kind=PinKind.KEEPS_FREE, item=PILES), "needs minutes free"),
        (Pin(kind=PinKind.KEEPS_FREE, free_min=20), "needs an item"),
        (Pin(kind=PinKind.KEEPS_FREE, item=RIG, free_min=20), "done above water"),
        (Pin(kind=PinKind.STARTS, item=RIG, start_min=at(9), free_min=20), "has no use for minutes free"),
        (Pin(kind=PinKind.BRIEFED, person="Ana"), "needs a time"),
        (Pin(kind=PinKind.BRIEFED, start_min=at(7), item=PILES), "has no use for an item"),
        (Pin(kind=PinKind.BRIEFED, start_min=at(3)), "nobody is on site"),
        (Pin(kind=PinKind.BRIEFED, person="Ana", start_min=at(3)), "Ana is not on site"),
        (Pin(kind=PinKind.DIVES, item=STRIKING, start_min=at(9)), "done above water"),
        (Pin(kind=PinKind.HOLDS, item=STRIKING, person="Sam", duty=SUPERVISOR), "asks for no supervisor"),
    ],
)
def test_a_pin_that_cannot_hold(pin: Pin, word: str) -> None:
    """Each kind of pin, wrong by itself: one sentence that says how."""
    told = sentences(a_job(pin))
    assert len(told) == 1 and word in told[0], told


@pytest.mark.parametrize(
    ("one", "other", "word"),
    [
        (DIVES_PILES, Pin(kind=PinKind.STAYS_UP, person="Ana"), "and to stay up"),
        (Pin(kind=PinKind.STAYS_UP, person="Ana", item=PILES), DIVES_PILES, "and to stay up"),
        (
            DIVES_PILES.replace(start_min=at(9)),
            Pin(kind=PinKind.AWAY, person="Ana", start_min=at(8), end_min=at(10)),
            "while away",
        ),
        (
            Pin(kind=PinKind.STARTS, item=PILES, start_min=at(9)),
            Pin(kind=PinKind.STARTS, item=PILES, start_min=at(10), end_min=at(11)),
            "two different times",
        ),
        (
            DIVES_PILES.replace(start_min=at(9)),
            Pin(kind=PinKind.DIVES, item=GATE, person="Ana", start_min=at(9)),
            "at the same time",
        ),
        (
            Pin(kind=PinKind.DIVES, item=PILES, station="South", start_min=at(9)),
            Pin(kind=PinKind.DIVES, item=GATE, station="South", start_min=at(9)),
            "one station at the same time",
        ),
        (
            Pin(kind=PinKind.BRIEFED, start_min=at(7)),
            Pin(kind=PinKind.BRIEFED, person="Ana", start_min=at(7, 10)),
            "Ana is pinned to be briefed at two different times",
        ),
    ],
)
def test_pins_that_contradict_each_other(one: Pin, other: Pin, word: str) -> None:
    """Two pins that no plan can keep together are told once, at the second."""
    told = sentences(a_job(one, other))
    assert len(told) == 1 and word in told[0], told


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (DIVES_PILES, Pin(kind=PinKind.STAYS_UP, person="Ana", item=GATE)),
        (DIVES_PILES, Pin(kind=PinKind.AWAY, person="Ana", start_min=at(8), end_min=at(9))),
        (
            DIVES_PILES.replace(start_min=at(9), end_min=at(10)),
            Pin(kind=PinKind.AWAY, person="Ana", start_min=at(8), end_min=at(10)),
        ),
        (
            Pin(kind=PinKind.STARTS, item=PILES, start_min=at(9), end_min=at(10)),
            Pin(kind=PinKind.STARTS, item=PILES, start_min=at(10), end_min=at(11)),
        ),
        (
            Pin(kind=PinKind.BRIEFED, person="Bo", start_min=at(7)),
            Pin(kind=PinKind.BRIEFED, person="Ana", start_min=at(7, 10)),
        ),
        (
            Pin(kind=PinKind.STARTS, item=STRIKING, start_min=at(9)),
            Pin(kind=PinKind.HOLDS, item=STRIKING, person="Sam", duty=TENDER),
        ),
    ],
)
def test_pins_that_may_hold_together(one: Pin, other: Pin) -> None:
    """Whatever one plan could keep is no contradiction."""
    assert sentences(a_job(one, other)) == []


def tide(*waters: tuple[int, float, bool]) -> tuple[TideMark, ...]:
    return tuple(TideMark(minute=m, level_ft=level, high=high) for m, level, high in waters)


SOUND_TIDE = tide((at(5), 8.0, True), (at(11), 0.5, False), (at(17), 8.2, True), (at(23), 0.4, False))


def follows(job: Job, depth_fsw: int = 58) -> Job:
    piles = job.dive_items[0].replace(depth_follows_tide=True, depth_fsw=depth_fsw)
    return job.replace(dive_items=(piles, *job.dive_items[1:]))


@pytest.mark.parametrize(
    ("change", "word"),
    [
        (lambda j: follows(j.replace(tide_marks=())), "the tide is not known"),
        (lambda j: follows(j.replace(tide_marks=SOUND_TIDE[1:])), "the tide is not known"),
        (lambda j: follows(j, 212), "lies at 221 fsw"),
        (lambda j: j.replace(site=j.site.replace(slack_length_min=40), tide_marks=()), "no tide marks"),
        (lambda j: j.replace(tide_marks=(*SOUND_TIDE, SOUND_TIDE[1])), "at the same time"),
        (lambda j: j.replace(tide_marks=(SOUND_TIDE[0], *SOUND_TIDE[2:])), "Two high waters follow"),
        (lambda j: j.replace(tide_marks=tide((0, 5.0, True), (360, 6.0, False))), "low water lies above"),
        (lambda j: j.replace(tide_marks=tide((0, 5.0, False), (360, 4.0, True))), "high water lies below"),
    ],
)
def test_a_tide_that_contradicts(change: Callable[[Job], Job], word: str) -> None:
    """Marks out of turn, a tide that is asked for and not there, a depth past the tables at high water."""
    told = sentences(change(a_job().replace(tide_marks=SOUND_TIDE)))
    assert len(told) == 1 and word in told[0], told


def test_a_sound_tide() -> None:
    """High and low in turn, over the whole of the day: no fault, whatever follows it."""
    job = follows(a_job().replace(tide_marks=SOUND_TIDE), 211)
    assert sentences(job.replace(site=job.site.replace(slack_length_min=40))) == []


def test_a_crew_row_asks_for_no_divers() -> None:
    """How many divers go down is the item's; a crew row for them is told."""
    row = CrewMinimum(duty=DIVER, count=2, source="common practice")
    rules = CrewRules()
    told = sentences(a_job().replace(rules=rules.replace(minima=(*rules.minima, row))))
    assert len(told) == 1 and "not of a crew row" in told[0]


def test_a_pair_stands_once() -> None:
    """The same pair of duties the other way round is the same pair."""
    pairs = (*CrewRules().pairs, DutyPair(duty=LOG_KEEPER, with_duty=CONSOLE))
    told = sentences(a_job().replace(rules=CrewRules(pairs=pairs)))
    assert len(told) == 1 and "stands there twice" in told[0]

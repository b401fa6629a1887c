"""Why somebody is not diving at a time: the dive is pinned; it holds, or the rules in its way are told."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.check import check
from planner.cli.main import main
from planner.job import After, Job, PastDive, Pin, PinKind, Span
from planner.schedule import solve
from planner.schedule.explain.pin_conflict import fewest_pins
from planner.schedule.model.deadline import SECONDS_A_COUNTED
from planner.schedule.why_not import WhyNot, why_not
from tests.schedule.day import PEOPLE, item, job, person

TWO = job(item("A", 40, 40), item("B", 30, 30))


def answer(made: Job, diver: str = "Efe", at_min: int = 600, name: str = "A") -> WhyNot:
    (only,) = why_not(made, diver, at_min, item=name, seconds=0.5)
    return only


def with_efe(**facts: object) -> tuple[object, ...]:
    rated = facts.pop("rated_fsw", 100)
    return (*PEOPLE[:-1], person("Efe", "diver", "tender", rated_fsw=rated, **facts))  # type: ignore[arg-type]


def test_a_dive_that_can_be_is_planned_and_its_cost_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Efe at 10:00 is possible: a checked plan has that dive, and the later finish is told."""
    # The first plan found does; it need not be a good one to start from.
    monkeypatch.setattr("planner.schedule.explain.pin_conflict.SECONDS", 0.3 * SECONDS_A_COUNTED)
    told = answer(TWO)
    assert told.holds is True
    assert told.plan is not None
    assert check(TWO, told.plan) == ()
    (dive,) = [d for d in told.plan.dives if d.item == "A" and d.leave_surface_min == 600]
    assert [d.person for d in dive.divers] == ["Efe"]
    assert "finish" in told.reasons[0].sentence
    assert "costs" in told.reasons[0].sentence


def test_what_the_plan_has_already_costs_nothing() -> None:
    """Asked about a dive that is in the plan, the answer is that it is there."""
    plan = solve(TWO, seconds=4, workers=1, only_work=True).plan
    assert plan is not None
    dive = plan.dives[0]
    (told,) = why_not(TWO, dive.divers[0].person, dive.leave_surface_min, item=dive.item, plan=plan)
    assert told.holds is True
    assert "has that dive" in told.reasons[0].sentence


CASES: dict[str, tuple[Job, str, int, str]] = {
    "duty-qualified": (TWO, "Bo", 600, "may not hold the duty diver"),
    "depth-rating": (TWO.replace(people=with_efe(rated_fsw=30)), "Efe", 600, "rated to 30 fsw"),
    "hours-available": (
        TWO.replace(people=with_efe(available=(Span(start_min=420, end_min=590),))),
        "Efe",
        600,
        "07:00 to 09:50",
    ),
    "rest-before-duty": (
        TWO.replace(people=with_efe(last_duty_end_min=200)),
        "Efe",
        600,
        "last duty ended 03:20",
    ),
    "day-window": (TWO, "Efe", 880, "15:00"),
    "item-window": (
        job(item("A", 40, 40, windows=(Span(start_min=700, end_min=800),)), item("B", 30, 30)),
        "Efe",
        600,
        "11:40 to 13:20",
    ),
    "way-up-policy": (
        job(item("A", 60, 55, splittable=False)).replace(
            people=with_efe(past_dives=(PastDive(depth_fsw=60, bottom_time_min=60, surfaced_min=400),))
        ),
        "Efe",
        600,
        "for a diver in group H",
    ),
    "same-dive-under-ten": (
        TWO.replace(
            people=with_efe(past_dives=(PastDive(depth_fsw=30, bottom_time_min=30, surfaced_min=595),))
        ),
        "Efe",
        600,
        "5 min after surfacing",
    ),
    "crew-standby": (
        TWO.replace(
            people=tuple(
                p.replace(available=(Span(start_min=700, end_min=900),)) if p.name in {"Ciro", "Dana"} else p
                for p in PEOPLE
            )
        ),
        "Efe",
        600,
        "0 in the duty standby diver",
    ),
    "precedence": (
        job(item("A", 40, 40, after=(After(item="B"),)), item("B", 30, 30)),
        "Efe",
        470,
        "after 'B'",
    ),
}


@pytest.mark.parametrize("rule", CASES)
def test_the_rule_in_the_way_is_told_with_its_numbers(rule: str) -> None:
    """In a job in which one rule keeps Efe from A at that time, that rule is told by its id."""
    made, diver, at_min, words = CASES[rule]
    told = answer(made, diver, at_min)
    assert told.holds is False
    assert rule in {r.rule for r in told.reasons}, told.reasons
    assert any(words in r.sentence for r in told.reasons if r.rule == rule)
    assert len({r.sentence for r in told.reasons}) == len(told.reasons)


def test_the_check_itself_is_heard() -> None:
    """Kept up by a pin, and after the day is over: both are told, in the sentences of the check."""
    made = TWO.replace(pins=(Pin(kind=PinKind.STAYS_UP, person="Efe"),))
    told = answer(made, at_min=880)
    assert told.holds is False
    assert {r.rule for r in told.reasons} == {"pins-kept", "day-window"}


def test_another_pin_in_the_way_is_named() -> None:
    """Dana pinned as the diver of A: Efe on A contradicts that pin and no other."""
    pins = (
        Pin(kind=PinKind.HOLDS, item="B", person="Bo", duty="standby's tender"),
        Pin(kind=PinKind.HOLDS, item="A", person="Dana", duty="diver"),
    )
    told = answer(TWO.replace(pins=pins))
    assert told.holds is False
    (reason,) = told.reasons
    assert reason.rule == "pins-kept"
    assert "pin 2" in reason.sentence
    assert "pin 1" not in reason.sentence


def test_the_fewest_contradicting_pins_are_found() -> None:
    """Of three pins two contradict each other: those two are the conflict, the third is spared."""
    pins = (
        Pin(kind=PinKind.DIVES, item="B", person="Dana"),
        Pin(kind=PinKind.STAYS_UP, person="Efe"),
        Pin(kind=PinKind.DIVES, item="A", person="Efe"),
    )
    assert fewest_pins(TWO.replace(pins=pins)) == pins[1:]


@pytest.mark.long
def test_two_conflicts_at_once_are_told() -> None:
    """Two pairs of pins that contradict: leaving out one is not enough, and one pair is named."""
    pins = (
        Pin(kind=PinKind.STAYS_UP, person="Efe"),
        Pin(kind=PinKind.DIVES, item="A", person="Efe"),
        Pin(kind=PinKind.STAYS_UP, person="Dana"),
        Pin(kind=PinKind.DIVES, item="B", person="Dana"),
    )
    outcome = solve(TWO.replace(pins=pins), seconds=2)
    assert outcome.plan is None
    assert "leaving out one is not enough" in outcome.sentence
    assert "pin 3" in outcome.sentence
    assert "pin 4" in outcome.sentence
    assert "pin 1 " not in outcome.sentence


def test_every_item_is_answered_where_none_is_named() -> None:
    """Without an item the question is put for each dive item, and somebody unknown is a KeyError."""
    assert [a.item for a in why_not(TWO, "Bo", 600, seconds=1)] == ["A", "B"]
    with pytest.raises(KeyError):
        why_not(TWO, "Nobody", 600)


SAMPLE = Path(__file__).parents[2] / "sample_jobs" / "small_heavy_dress.xlsx"


def test_the_command_tells_why_not(capsys: pytest.CaptureFixture[str]) -> None:
    """`why --diver --at`: a tender who is no diver is told so for every dive item; status 0."""
    status = main(["why", str(SAMPLE), "--diver", "Paloma Irureta", "--at", "1000", "--seconds", "2"])
    told = capsys.readouterr().out
    assert status == 0
    assert "Paloma Irureta leaving the surface at 10:00" in told
    assert "Safety rules are never offered" in told


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--diver", "Nobody", "--at", "1000"], "no person"),
        (["--diver", "Paloma Irureta"], "belong together"),
        (["--diver", "Paloma Irureta", "--at", "tea time"], "not a time of day"),
        (["--diver", "Paloma Irureta", "--at", "1000", "--day", "4"], "no day 4"),
    ],
)
def test_faults_of_the_question_are_told(
    more: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A question that cannot be asked is refused with a sentence and status 2."""
    assert main(["why", str(SAMPLE), *more]) == 2
    assert words in capsys.readouterr().err

"""Two tenders dress and undress a diver by the card alone: docs/gear.md tells the walk, this holds it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from planner.gear.steps import bench_steps
from planner.job import BenchList, BenchStep, Gear

PAGE = Path(__file__).parents[2] / "docs" / "gear.md"

#: For each step of heavy dress what must be done before it can be (common practice; ids without ``heavy-``).
DRESSING: dict[str, tuple[str, ...]] = {
    "connect-hose": (),
    "connect-lifeline": (),
    "air-heard": ("connect-hose",),
    "telephone-heard": ("connect-lifeline",),
    "underwear": ("air-heard", "telephone-heard"),
    "dress-on": ("underwear",),
    "lace-left": ("dress-on",),
    "lace-right": ("dress-on",),
    "shoe-left": ("lace-left",),
    "shoe-right": ("lace-right",),
    "breastplate": ("dress-on",),
    "collar": ("breastplate",),
    "washers": ("collar",),
    "straps": ("washers",),
    "nuts-front": ("straps",),
    "nuts-rear": ("straps",),
    "wrench-front": ("nuts-front",),
    "wrench-rear": ("nuts-rear",),
    "joint-nuts": ("wrench-front", "wrench-rear"),
    "nuts-again": ("joint-nuts",),
    "belt-on": ("nuts-again",),
    "jock-strap": ("belt-on",),
    "wrist-straps": ("dress-on",),
    "helmet-on": ("nuts-again", "connect-hose", "connect-lifeline"),
    "long-stud": ("helmet-on",),
    "hose-lashed": ("long-stud",),
    "lifeline-lashed": ("helmet-on",),
    "telephone": ("helmet-on", "telephone-heard"),
    "exhaust-set": ("helmet-on",),
    "air-on": ("long-stud", "exhaust-set", "air-heard"),
    "faceplate-shut": ("air-on", "telephone", "hose-lashed", "lifeline-lashed"),
    "to-the-water": ("faceplate-shut",),
}
UNDRESSING: dict[str, tuple[str, ...]] = {
    "to-the-stool": (),
    "faceplate-open": ("to-the-stool",),
    "how-are-you": ("to-the-stool",),
    "lines-off": ("faceplate-open",),
    "valve-off": ("lines-off",),
    "lifeline-off": ("faceplate-open",),
    "helmet-off": ("valve-off", "lifeline-off"),
    "belt-off": ("helmet-off",),
    "nuts-off-front": ("belt-off",),
    "nuts-off-rear": ("belt-off",),
    "breastplate-off": ("nuts-off-front", "nuts-off-rear"),
    "shoe-off-left": ("to-the-stool",),
    "shoe-off-right": ("to-the-stool",),
    "dress-off": ("breastplate-off", "shoe-off-left", "shoe-off-right"),
    "put-away": ("dress-off",),
}
#: The same of the light helmet (ids without ``light-``).
LIGHT_DRESSING: dict[str, tuple[str, ...]] = {
    "connect": (),
    "air-on": ("connect",),
    "telephone-heard": ("connect",),
    "suit": ("air-on", "telephone-heard"),
    "harness-on": ("suit",),
    "bailout-open": ("harness-on", "connect"),
    "umbilical-on": ("harness-on",),
    "feet": ("harness-on",),
    "helmet-on": ("air-on", "bailout-open", "umbilical-on", "feet"),
    "breathe": ("helmet-on",),
    "telephone": ("helmet-on", "telephone-heard"),
    "to-the-water": ("breathe", "telephone"),
}
LIGHT_UNDRESSING: dict[str, tuple[str, ...]] = {
    "to-the-bench": (),
    "helmet-off": ("to-the-bench",),
    "how-are-you": ("helmet-off",),
    "harness-off": ("helmet-off",),
    "suit-off": ("harness-off",),
    "put-away": ("suit-off",),
}
ON_THE_CARD = (BenchList.CONNECTING, BenchList.DRESSING)


def _steps(gear: Gear, *lists: BenchList) -> list[BenchStep]:
    return [step for name in lists for step in bench_steps(gear, name)]


@pytest.mark.parametrize(
    ("gear", "lists", "needs"),
    [
        (Gear.HEAVY, ON_THE_CARD, DRESSING),
        (Gear.HEAVY, (BenchList.UNDRESSING,), UNDRESSING),
        (Gear.LIGHT, ON_THE_CARD, LIGHT_DRESSING),
        (Gear.LIGHT, (BenchList.UNDRESSING,), LIGHT_UNDRESSING),
    ],
)
def test_no_step_needs_what_comes_later(
    gear: Gear, lists: tuple[BenchList, ...], needs: dict[str, tuple[str, ...]]
) -> None:
    """Step by step, what a step stands on is done; none is left out of the walk."""
    done: list[str] = []
    for step in _steps(gear, *lists):
        name = step.id.partition("-")[2]
        assert set(needs[name]) <= set(done), name
        done.append(name)
    assert done == list(needs)


@pytest.mark.parametrize("gear", Gear)
def test_two_tenders_have_four_hands(gear: Gear) -> None:
    """What is done side by side is done by different people, and no hold point waits for the one who works:
    on every list, so that nobody is at two places of the card at once."""
    for name in BenchList:
        together: dict[str, list[str]] = {}
        for step in bench_steps(gear, name):
            assert step.signed_by != step.who.value
            if step.side_by_side:
                together.setdefault(step.side_by_side, []).append(step.who.value)
        for hands in together.values():
            assert not ("both tenders" in hands and len(set(hands)) > 1)


def test_the_bottle_is_coupled_before_it_is_opened_and_off_before_the_harness() -> None:
    """The whip between bottle and helmet: on once the bottle is on the diver and the emergency valve shut; a
    harness with a whip still on the helmet pulls it off its stand."""
    steps = {step.id: step.do for name in BenchList for step in bench_steps(Gear.LIGHT, name)}
    on, off = steps["light-bailout-open"], steps["light-harness-off"]
    assert on.index("whip on the helmet") < on.index("emergency valve shut") < on.index("bottle valve open")
    assert off.index("Umbilical off") < off.index("whip bled and uncoupled") < off.index("harness")


@pytest.mark.parametrize(("gear", "title"), [(Gear.HEAVY, "Heavy dress"), (Gear.LIGHT, "Light helmet")])
def test_the_written_walk_tells_every_step_by_its_number(gear: Gear, title: str) -> None:
    """The page goes through the card from 1 to its last step, as the card counts them."""
    walk = PAGE.read_text(encoding="utf-8").split("## Walked through")[1].split("\n## ")[0]
    walk = walk.split(f"### {title}")[1].split("\n### ")[0]
    told: set[int] = set()
    for first, last in re.findall(r"^\| (\d+)(?:–(\d+))? \|", walk, re.MULTILINE):
        told |= set(range(int(first), int(last or first) + 1))
    assert told == set(range(1, len(_steps(gear, *ON_THE_CARD)) + 1))

"""What a person settles before a watchbill is issued."""

from __future__ import annotations

from planner.job import AirPlant, Job
from planner.log.before_issue import CARD_LABELS, all_to_tick, emergency_card, planning_items
from planner.plan import Plan
from planner.plan.unchecked import ALWAYS, flight_words, unchecked
from tests.world.quay import a_plan, with_air

JOB: Job = with_air()
PLAN: Plan = a_plan()
#: What is at hand at the dive location: 29 CFR 1910.421(c), 1910.420(a).
AT_HAND = ("first-aid", "manual")


def test_nine_subjects_each_covered_or_to_tick() -> None:
    """29 CFR 1910.421(d)(1) to (9) list nine subjects of planning: none is silently passed over."""
    items = [i for i in planning_items(JOB, PLAN) if i.id not in AT_HAND]
    assert len(items) == len({i.id for i in items}) == 9
    assert all(i.covered or i.to_tick for i in items)
    assert {i.id for i in items if not i.to_tick} == {"mode", "repetitive"}


def test_first_aid_and_the_manual_are_ticked() -> None:
    """29 CFR 1910.421(c)(1) to (3): kit approved by a physician, fit for a chamber where it is used there,
    handbook, bag-type resuscitator with transparent mask and tubing; 1910.420(a): the manual, for each of
    the team. They are asked before issuing, and stand wherever is told what is not checked."""
    ticks = dict(all_to_tick(JOB, PLAN))
    for word in ("kit", "physician", "chamber", "handbook", "bag-type resuscitator", "transparent"):
        assert word in ticks["first-aid"]
    assert "Safe practices manual" in ticks["manual"] and "everyone of the team" in ticks["manual"]
    told = [said for said, subject in ALWAYS.items() if subject in AT_HAND]
    assert ["1910.421(c)" in told[0], "1910.420(a)" in told[1]] == [True, True]


def test_without_an_air_source_the_supply_is_to_be_ticked() -> None:
    """Nothing is said to be covered that the job does not hold."""
    bare = planning_items(JOB.replace(air=AirPlant()), PLAN)
    gas = next(i for i in bare if i.id == "gas")
    assert gas.covered == ""
    assert "names no air source" in gas.to_tick


def test_each_thing_is_asked_once_and_facts_are_only_told() -> None:
    """Every sentence of the unchecked list is asked by a subject of planning, is a tick of its own, or is a
    fact to be told (who does not fly before when); none comes twice."""
    ticks = all_to_tick(JOB, PLAN)
    assert len({name for name, _ in ticks}) == len({said for _, said in ticks}) == len(ticks)
    own = {said for name, said in ticks if name.startswith("unchecked")}
    told = set(flight_words(PLAN, JOB))
    assert told and not own & told and not own & set(ALWAYS)
    assert set(unchecked(JOB, PLAN)) == own | told | set(ALWAYS)
    asked = {item.id for item in planning_items(JOB, PLAN) if item.needs_tick}
    assert set(ALWAYS.values()) <= asked


def test_without_an_air_source_the_supply_is_asked_once() -> None:
    """The subject of breathing gas asks for it; the unchecked list does not ask again."""
    ticks = [said for _, said in all_to_tick(JOB.replace(air=AirPlant()), PLAN)]
    [asked] = [said for said in ticks if "supply" in said.lower()]
    assert asked.endswith("The job names no air source: supply and reserve are settled.")


def test_a_blank_on_the_emergency_card_is_missing() -> None:
    """Chamber, hospital, physician, transport, rescue centre: what is not typed is shown as missing."""
    card = emergency_card({"chamber": "Harbour, 555 0101", "hospital": "  "})
    assert [line.id for line in card] == list(CARD_LABELS)
    assert [line.missing for line in card] == [False, True, True, True, True]

"""What a person settles before a watchbill is issued."""

from __future__ import annotations

from planner.job import AirPlant, Job
from planner.log import CARD_LABELS, all_to_tick, emergency_card, planning_items
from planner.plan import Plan
from planner.plan.unchecked import unchecked
from tests.world.quay import a_plan, with_air

JOB: Job = with_air()
PLAN: Plan = a_plan()


def test_nine_subjects_each_covered_or_to_tick() -> None:
    """29 CFR 1910.421(d) lists nine subjects of planning (from memory): none is silently passed over."""
    items = planning_items(JOB, PLAN)
    assert len(items) == len({i.id for i in items}) == 9
    assert all(i.covered or i.to_tick for i in items)
    assert {i.id for i in items if not i.to_tick} == {"mode", "repetitive"}


def test_without_an_air_source_the_supply_is_to_be_ticked() -> None:
    """Nothing is said to be covered that the job does not hold."""
    bare = planning_items(JOB.replace(air=AirPlant()), PLAN)
    gas = next(i for i in bare if i.id == "gas")
    assert gas.covered == ""
    assert "names no air source" in gas.to_tick


def test_what_the_program_cannot_check_is_ticked_too() -> None:
    """Every sentence of the unchecked list is among the ticks, each with an id of its own."""
    ticks = all_to_tick(JOB, PLAN)
    assert set(unchecked(JOB, PLAN)) <= {sentence for _, sentence in ticks}
    assert len({name for name, _ in ticks}) == len(ticks)


def test_a_blank_on_the_emergency_card_is_missing() -> None:
    """Chamber, hospital, physician, transport, rescue centre: what is not typed is shown as missing."""
    card = emergency_card({"chamber": "Harbour, 555 0101", "hospital": "  "})
    assert [line.id for line in card] == list(CARD_LABELS)
    assert [line.missing for line in card] == [False, True, True, True, True]

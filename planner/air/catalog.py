"""The air rules, once: id, sentence, source, basis."""

from __future__ import annotations

from planner.air.due import AIR_TEST_SOURCE, GAUGE_TEST_SOURCE, HOSE_TEST_SOURCE
from planner.air.flow import DEMAND_PRESSURE_SOURCE, HEAVY_PRESSURE_SOURCE
from planner.rules import Basis, Rule

_RULES = (
    Rule(
        "air-primary-flow",
        "At every moment the primary supply carries all divers in the water, every standby diver sent down "
        "to them, and the air tools, for the whole dive with its stops.",
        "29 CFR 1910.425(c)(3), paragraph from memory; the standby at depth: common practice",
        Basis.REGULATION,
    ),
    Rule(
        "air-primary-pressure",
        "A primary source on line holds the manifold pressure that the depth, the gear and the hose of each "
        "dive ask for, and no hose works above its own working pressure.",
        f"{DEMAND_PRESSURE_SOURCE}; {HEAVY_PRESSURE_SOURCE}",
        Basis.COMMON_PRACTICE,
    ),
    Rule(
        "air-reserve",
        "When the primary dies at the worst moment, the reserve on line brings up all divers and the standby "
        "with their stops.",
        "29 CFR 1910.425(c)(4) deeper than 100 fsw or outside the no-stop limits; for every dive: "
        "common practice; gas of an ascent: U.S. Navy Diving Manual",
        Basis.REGULATION,
    ),
    Rule(
        "air-reserve-independent",
        "The reserve does so with sources that rely on nothing the primary relies on.",
        "29 CFR 1910.425(c)(4): on line and independent",
        Basis.REGULATION,
    ),
    Rule(
        "air-test-due",
        "The air of every compressor on line was tested in the six months before the dive.",
        AIR_TEST_SOURCE,
        Basis.REGULATION,
    ),
    Rule(
        "hose-test-due",
        "Every hose in use was tested in the year before the dive, to 1.5 times its working pressure.",
        HOSE_TEST_SOURCE,
        Basis.REGULATION,
    ),
    Rule(
        "gauge-test-due",
        "The depth gauges were tested in the six months before the dive.",
        GAUGE_TEST_SOURCE,
        Basis.REGULATION,
    ),
)

AIR_RULES: dict[str, Rule] = {rule.id: rule for rule in _RULES}

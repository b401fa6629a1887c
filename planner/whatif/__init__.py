"""What-ifs: a job varied and planned case by case, and how sure a plan is when days go otherwise."""

from planner.whatif.axes import Axis, axes_of
from planner.whatif.cases import MOST_CASES, Case, Variation, cases_of, parse_variations
from planner.whatif.cost import EXAMPLE_COSTS, Cost, CostRates, cost_of
from planner.whatif.figures import Figures, figures_of
from planner.whatif.knee import Knee, knee_of
from planner.whatif.spread import Draw, Spread, draw
from planner.whatif.sure import DRAWS, ItemChance, Spare, Sure, how_sure
from planner.whatif.sweep import CASE_SECONDS, CaseResult, Sweep, sweep

__all__ = [
    "CASE_SECONDS",
    "DRAWS",
    "EXAMPLE_COSTS",
    "MOST_CASES",
    "Axis",
    "Case",
    "CaseResult",
    "Cost",
    "CostRates",
    "Draw",
    "Figures",
    "ItemChance",
    "Knee",
    "Spare",
    "Spread",
    "Sure",
    "Sweep",
    "Variation",
    "axes_of",
    "cases_of",
    "cost_of",
    "draw",
    "figures_of",
    "how_sure",
    "knee_of",
    "parse_variations",
    "sweep",
]

"""What-ifs: a job varied and planned case by case, and how sure a plan is when days go otherwise."""

from planner.whatif.cases import MOST_CASES, Axis, Case, axes_of, cases_of, parse_variations
from planner.whatif.figures import EXAMPLE_COSTS, CostRates, Figures, cost_of, figures_of
from planner.whatif.spread import Draw, Spread, draw
from planner.whatif.sure import DRAWS, Sure, how_sure
from planner.whatif.sweep import CASE_SECONDS, CaseResult, Knee, Sweep, knee_of, sweep

__all__ = [
    "CASE_SECONDS",
    "DRAWS",
    "EXAMPLE_COSTS",
    "MOST_CASES",
    "Axis",
    "Case",
    "CaseResult",
    "CostRates",
    "Draw",
    "Figures",
    "Knee",
    "Spread",
    "Sure",
    "Sweep",
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

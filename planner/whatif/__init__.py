"""What-ifs: a job varied and planned case by case, and how sure a plan is when days go otherwise."""

from planner.whatif.axes import Axis, axes_of
from planner.whatif.best import Answer, Knee, best_within, finish_words, knee_of, least_crew, point_words
from planner.whatif.cases import MOST_CASES, Case, cases_of, parse_variations
from planner.whatif.figures import EXAMPLE_COSTS, CostRates, Figures, cost_of, figures_of
from planner.whatif.from_log import Fitted, fitted
from planner.whatif.results import CaseResult, Sweep
from planner.whatif.spread import Draw, Spread, draw, spread_of
from planner.whatif.sure import DRAWS, Sure, how_sure
from planner.whatif.sweep import CASE_DRAWS, CASE_SECONDS, sweep
from planner.whatif.whole import whole_cases

__all__ = [
    "CASE_DRAWS",
    "CASE_SECONDS",
    "DRAWS",
    "EXAMPLE_COSTS",
    "MOST_CASES",
    "Answer",
    "Axis",
    "Case",
    "CaseResult",
    "CostRates",
    "Draw",
    "Figures",
    "Fitted",
    "Knee",
    "Spread",
    "Sure",
    "Sweep",
    "axes_of",
    "best_within",
    "cases_of",
    "cost_of",
    "draw",
    "figures_of",
    "finish_words",
    "fitted",
    "how_sure",
    "knee_of",
    "least_crew",
    "parse_variations",
    "point_words",
    "spread_of",
    "sweep",
    "whole_cases",
]

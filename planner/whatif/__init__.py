"""What-ifs: a job varied and planned case by case, and how sure a plan is when days go otherwise.

Each name is loaded when it is first asked for: a watchbill that asks how sure a plan is does not load what
plans case by case.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from planner.whatif.axes import Axis, axes_of
    from planner.whatif.best import Answer, Knee, best_within, finish_words, knee_of, least_crew, point_words
    from planner.whatif.cases import MOST_CASES, Case, cases_of, parse_variations
    from planner.whatif.figures import EXAMPLE_COSTS, CostRates, Figures, cost_of, figures_of
    from planner.whatif.from_log import Fitted, fitted
    from planner.whatif.results import CaseResult, Sweep
    from planner.whatif.spread import Draw, Spread, draw, spread_of
    from planner.whatif.sure import DRAWS, Sure, how_sure
    from planner.whatif.sweep import CASE_DRAWS, CASE_SECONDS
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
    "whole_cases",
]

_HOMES = {
    "Answer": "best",
    "Axis": "axes",
    "CASE_DRAWS": "sweep",
    "CASE_SECONDS": "sweep",
    "Case": "cases",
    "CaseResult": "results",
    "CostRates": "figures",
    "DRAWS": "sure",
    "Draw": "spread",
    "EXAMPLE_COSTS": "figures",
    "Figures": "figures",
    "Fitted": "from_log",
    "Knee": "best",
    "MOST_CASES": "cases",
    "Spread": "spread",
    "Sure": "sure",
    "Sweep": "results",
    "axes_of": "axes",
    "best_within": "best",
    "cases_of": "cases",
    "cost_of": "figures",
    "draw": "spread",
    "figures_of": "figures",
    "finish_words": "best",
    "fitted": "from_log",
    "how_sure": "sure",
    "knee_of": "best",
    "least_crew": "best",
    "parse_variations": "cases",
    "point_words": "best",
    "spread_of": "spread",
    "whole_cases": "whole",
}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)

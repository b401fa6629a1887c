"""The whole check of a plan, and every rule with its source: no solver in here."""

import sys

from planner import CallableRoom
from planner.check.air import air_findings
from planner.check.rule import SUBJECT_TO, Basis, Rule
from planner.check.verdict import RULES, check, first_breach
from planner.plan.finding import Finding

__all__ = [
    "RULES",
    "SUBJECT_TO",
    "Basis",
    "Finding",
    "Rule",
    "air_findings",
    "check",
    "first_breach",
]

# `planner.check` may be called by the name of what is done in it
sys.modules[__name__].__class__ = CallableRoom

"""Every rule once, by id: what the check convicts by, the scheduler obeys, and the documents list."""

from __future__ import annotations

from planner.rules.diving_rules import DIVING_RULES
from planner.rules.hours_rules import HOURS_RULES
from planner.rules.rest import REST_RULES
from planner.rules.rule import Basis, Rule
from planner.rules.team_rules import TEAM_RULES
from planner.rules.work_rules import WORK_RULES

__all__ = ["RULES", "Basis", "Rule"]

RULES: dict[str, Rule] = {
    rule.id: rule for rule in (*DIVING_RULES, *WORK_RULES, *TEAM_RULES, *HOURS_RULES, *REST_RULES)
}

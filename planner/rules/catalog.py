"""Every rule once, by id: what the check convicts by, the scheduler obeys, and the documents list."""

from __future__ import annotations

from planner.job.duties import (
    CHAMBER_OPERATOR,
    CONSOLE,
    ENTRY_DIVER,
    LOG_KEEPER,
    STANDBY,
    STANDBY_TENDER,
    SUPERVISOR,
    TENDER,
)
from planner.rules.diving_rules import DIVING_RULES
from planner.rules.hours_rules import HOURS_RULES
from planner.rules.rest import REST_RULES
from planner.rules.rule import Basis, Rule
from planner.rules.team_rules import TEAM_RULES
from planner.rules.work_rules import WORK_RULES

__all__ = ["CREW_RULE_OF_DUTY", "RULES", "Basis", "Rule", "crew_rule_of"]

RULES: dict[str, Rule] = {
    rule.id: rule for rule in (*DIVING_RULES, *WORK_RULES, *TEAM_RULES, *HOURS_RULES, *REST_RULES)
}

#: Rule that a missing hand breaks, by duty; every other duty falls under ``crew-other``.
CREW_RULE_OF_DUTY: dict[str, str] = {
    SUPERVISOR: "crew-supervisor",
    TENDER: "crew-tenders",
    STANDBY: "crew-standby",
    STANDBY_TENDER: "crew-standby-tender",
    CONSOLE: "crew-console",
    LOG_KEEPER: "crew-log-keeper",
    CHAMBER_OPERATOR: "crew-chamber-operator",
    ENTRY_DIVER: "crew-entry-diver",
}


def crew_rule_of(duty: str) -> str:
    """Id of the rule that asks for people in this duty on a dive."""
    return CREW_RULE_OF_DUTY.get(duty, "crew-other")

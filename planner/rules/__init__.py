"""Every rule once: id, sentence, source, basis; the editable limits; named least teams; daylight."""

from planner.rules.catalog import CREW_RULE_OF_DUTY, RULES, crew_rule_of
from planner.rules.rule import SUBJECT_TO, Basis, Rule

__all__ = ["CREW_RULE_OF_DUTY", "RULES", "SUBJECT_TO", "Basis", "Rule", "crew_rule_of"]

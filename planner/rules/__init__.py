"""Every rule once: id, sentence, source, basis; the editable limits; named least teams; daylight."""

from planner.rules.catalog import RULES
from planner.rules.rule import SUBJECT_TO, Basis, Rule

__all__ = ["RULES", "SUBJECT_TO", "Basis", "Rule"]

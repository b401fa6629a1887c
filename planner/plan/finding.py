"""What a check says when a plan breaks a rule."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Finding:
    """One rule broken at one place of a plan."""

    rule: str
    """Id of the rule, a key of `planner.check.RULES`."""
    sentence: str
    """What is wrong, with the names, times and numbers of this job."""
    where: str
    """The dive, duty, item or stage it stands at."""

    def __str__(self) -> str:
        return f"[{self.rule}] {self.where}: {self.sentence}"

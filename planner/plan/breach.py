"""What the check says when a plan breaks a rule."""

from __future__ import annotations

from dataclasses import dataclass

from planner.rules.catalog import RULES


@dataclass(frozen=True)
class Breach:
    """One rule broken at one place of a plan.

    Parameters
    ----------
    rule
        Id of the rule, a key of `planner.rules.RULES`.
    sentence
        What is wrong, with the names, times and numbers of this job.
    where
        The dive, duty, item or stage it stands at.
    """

    rule: str
    sentence: str
    where: str

    def __post_init__(self) -> None:
        if self.rule not in RULES:
            raise KeyError(f"{self.rule!r} is not the id of a rule")

    def __str__(self) -> str:
        return f"[{self.rule}] {self.where}: {self.sentence}"

"""What the check says when a plan breaks a rule."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

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


class BreachLike(Protocol):
    """What a further check finds: a rule's id, a sentence, a place."""

    @property
    def rule(self) -> str: ...

    @property
    def sentence(self) -> str: ...

    @property
    def where(self) -> str: ...


@dataclass(frozen=True)
class FurtherBreach(Breach):
    """A breach of a rule that another part of the program keeps (air, gear)."""

    def __post_init__(self) -> None:
        """Its id is in that part's own list."""

"""Every error the project raises on purpose.

PlannerError
├── InputFaults      what a user gave cannot be used; carries every fault found
├── TableRefusal     a dive that the tables or the rules do not allow
├── PlanRefused      a plan that failed the independent check (our bug, never written)
└── ModelTooLarge    a job past the size that the scheduler takes on
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class PlannerError(Exception):
    """Base of all errors raised on purpose; its text is meant for a user."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong with an input."""

    where: str
    """Where it stands, for example ``Work!C7`` or ``Ana Reyes: medical``."""
    found: str
    """What was found there, as the user typed it."""
    allowed: str
    """What would be accepted."""
    sentence: str
    """The fault in one plain sentence."""

    def __str__(self) -> str:
        return f"{self.where}: {self.sentence} Found: {self.found or '(blank)'}. Allowed: {self.allowed}."


class InputFaults(PlannerError):
    """All faults of one input, together."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("\n".join(str(f) for f in self.faults))

    @classmethod
    def one(cls, where: str, found: str, allowed: str, sentence: str) -> InputFaults:
        """A single fault; the fields of `Fault`."""
        return cls([Fault(where, found, allowed, sentence)])


class TableRefusal(PlannerError):
    """The tables (or a rule beside them) do not allow this dive; the text says why."""


class PlanRefused(PlannerError):
    """Every plan found failed the independent check. This is a bug of the program; no plan is given.

    ``refused`` is what the check refused (`planner.schedule.outcome.Refused`), to find the fault by.
    """

    def __init__(self, sentence: str, refused: object = None) -> None:
        super().__init__(sentence)
        self.refused = refused


class ModelTooLarge(PlannerError):
    """The job is past the size that the scheduler takes on; the text says which size and the limit."""

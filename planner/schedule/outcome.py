"""What a solve gives: its steps as they come, what it came to, and what the check refused of it."""

from __future__ import annotations

from dataclasses import dataclass

from planner.plan.finding import Finding
from planner.plan.model import Plan, Reason


@dataclass(frozen=True)
class Progress:
    """One step of the search, for a person who watches. ``plan`` is checked, or None when not yet named."""

    elapsed_s: float
    stage: str
    value: float
    bound: float
    plan: Plan | None


@dataclass(frozen=True)
class RefusedPlan:
    """A plan of the search that the independent check refused: kept to find the fault by, never shown."""

    plan: Plan
    findings: tuple[Finding, ...]

    @property
    def sentence(self) -> str:
        """What the check found, a line each, the first ten."""
        lines = "\n".join(f"  {f.rule}: {f.sentence}" for f in self.findings[:10])
        return f"A plan failed the independent check; it is not shown.\n{lines}"

    @property
    def left_out(self) -> str:
        """What stands beside a plan that holds, where this one was refused on the way."""
        rules = ", ".join(dict.fromkeys(f.rule for f in self.findings))
        return (
            f"The check refused a plan of the search ({rules}): a fault of the program. It is left out; this "
            "is the best that the check accepts, and nothing of it is called proven."
        )


@dataclass(frozen=True)
class Outcome:
    """What a solve came to. ``plan`` is None when no work at all can be planned; ``sentence`` says why."""

    plan: Plan | None
    sentence: str
    reasons: dict[str, tuple[Reason, ...]]
    first_plan_s: float
    seconds: float
    refused: RefusedPlan | None = None
    """The first candidate that the check refused, where there was one: a fault of the program."""

    def __repr__(self) -> str:
        return f"Outcome({self.plan!r}, {self.sentence!r}, {self.seconds:.1f} s)"

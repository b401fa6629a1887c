"""What a solve tells while it runs and what it comes to."""

from __future__ import annotations

from dataclasses import dataclass

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
class Outcome:
    """What a solve came to. ``plan`` is None when no work at all can be planned; ``sentence`` says why."""

    plan: Plan | None
    sentence: str
    reasons: dict[str, tuple[Reason, ...]]
    first_plan_s: float
    seconds: float

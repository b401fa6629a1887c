"""The whole verdict on a plan: rules of crew, tables and times, then gear, then air. No solver in here."""

from __future__ import annotations

from dataclasses import dataclass

from planner.air import AIR_RULES, air_breaches
from planner.gear import GEAR_RULES, gear_breaches
from planner.job import Job
from planner.plan import Plan, check
from planner.rules import RULES, Rule

#: Every rule there is, by id.
ALL_RULES: dict[str, Rule] = {**RULES, **GEAR_RULES, **AIR_RULES}


@dataclass(frozen=True)
class Finding:
    """One rule broken at one place of a plan."""

    rule: str
    sentence: str
    where: str

    def __str__(self) -> str:
        return f"[{self.rule}] {self.where}: {self.sentence}"


def verdict(plan: Plan, job: Job) -> tuple[Finding, ...]:
    """Every rule that a plan breaks: crew and tables, then gear, then air; empty when it holds them all."""
    found = [Finding(b.rule, b.sentence, b.where) for b in check(plan, job, more_rules=ALL_RULES)]
    found += [Finding(g.rule, g.sentence, g.where) for g in gear_breaches(plan, job)]
    found += [Finding(a.rule, a.sentence, a.where) for a in air_breaches(plan, job)]
    return tuple(found)

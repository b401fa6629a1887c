"""Every plan found against every bound told of the same job, over a whole run of tests.

Two searches of one job seldom take the same road: a bound that one proves and a plan of the other that is
better cannot both be true.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from planner.job import Job
from planner.plan import Plan, Stage
from planner.store import canonical_json
from tests.attack.claims import broken_bound, values_of


@dataclass
class BoundsSeen:
    """By the job's canonical text: the values of plans that hold and the bounds told, each with its test."""

    values: dict[str, dict[tuple[tuple[str, int], ...], str]] = field(
        default_factory=lambda: defaultdict(dict)
    )
    bounds: dict[str, dict[tuple[Stage, ...], str]] = field(default_factory=lambda: defaultdict(dict))
    beaten: list[str] = field(default_factory=list)
    _texts: dict[int, tuple[Job, str]] = field(default_factory=dict)

    def see(self, job: Job, plan: Plan, test: str) -> None:
        """Put a plan that the check accepts beside all that was told of its job before."""
        key = self._key(job)
        own = tuple(values_of(job, plan).items())
        new = own not in self.values[key]
        self.values[key].setdefault(own, test)
        if new:
            for stages, told_by in self.bounds[key].items():
                self._compare(stages, told_by, own, test)
        if plan.stages and plan.stages not in self.bounds[key]:
            self.bounds[key][plan.stages] = test
            for values, found_by in self.values[key].items():
                self._compare(plan.stages, test, values, found_by)

    def _compare(
        self, stages: tuple[Stage, ...], told_by: str, values: tuple[tuple[str, int], ...], found_by: str
    ) -> None:
        broken = broken_bound(stages, dict(values))
        if broken is not None:
            self.beaten.append(f"{broken}. Bound told in {told_by}; plan found in {found_by}.")

    def _key(self, job: Job) -> str:
        """The job's canonical text, worked out once an object (kept, so that its id stays its own)."""
        if id(job) not in self._texts:
            self._texts[id(job)] = job, canonical_json(job)
        return self._texts[id(job)][1]

"""One seed: its job planned, the plan attacked, and what came of it."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from planner.check import check
from planner.check.facts import Facts
from planner.check.stages import stage_kinds
from planner.check.verdict import CHECKS, RULES
from planner.errors import PlanRefused
from planner.job import Job
from planner.plan import Plan, Status
from planner.schedule import Outcome, solve
from tests.attack.claims import as_key, broken_bound, values_of
from tests.attack.jobs import random_job
from tests.attack.moves import for_another, neighbour

#: A walk starts again from the best plan after so many moves without a better one.
STRAY = 60

#: How often a walk goes on with a plan that is worse than the one before.
DOWNHILL = 0.3

#: What the name of an item's second half ends in.
HALF = " (other half)"

#: Part of the seconds that an easier job's plan may take.
EASIER_PART = 0.4


@dataclass(frozen=True)
class Attack:
    """What an attack on one seed came to. ``findings`` is empty where nothing fell short."""

    seed: int
    switches: tuple[str, ...]
    status: str
    proven: int
    """Stages called proven."""
    moves: int
    """Plans that the check was asked about."""
    accepted: int
    kinds: Counter[str]
    """Accepted moves by name."""
    easier: int
    """Plans of easier jobs that hold for this one."""
    seconds: float
    findings: tuple[str, ...]

    @property
    def line(self) -> str:
        """The attack in a line."""
        told = "; ".join(self.findings) or "nothing found"
        return (
            f"seed {self.seed}: {self.status}, {self.proven} stage(s) proven, {self.accepted} of "
            f"{self.moves} moved plans accepted, {self.easier} of easier jobs, {self.seconds:.0f} s; {told}  "
            f"[{', '.join(self.switches)}]"
        )


def attack(seed: int, *, moves: int, seconds: float = 3.0, easier: int = 9) -> Attack:
    """Plan the job of a seed and attack the plan.

    Parameters
    ----------
    moves
        How many moved plans the check is asked about.
    seconds
        Budget of the search (deterministic time: one worker, so that a seed repeats).
    easier
        How many jobs with one switch less are planned too, at most, for plans to attack with.
    """
    began = time.perf_counter()
    job, on = random_job(seed)
    random = Random(f"{seed} moves")
    findings: dict[str, None] = {}
    try:
        outcome = solve(job, seconds=seconds, workers=1, seed=seed)
    except PlanRefused as refused:
        findings[f"ends with nothing: {' '.join(str(refused).split())}"] = None
        outcome = None
    starts = [] if outcome is None or outcome.plan is None else [outcome.plan]
    if outcome is not None:
        findings |= dict.fromkeys(dishonest(job, outcome))
    starts += (others := easier_plans(job, on, seed, seconds * EASIER_PART, easier))
    for plan in others:
        told = against(outcome, values_of(job, plan))
        if told is not None:
            findings[f"{told} (a plan of the job with a switch less)"] = None
    walk = Walk(job, random, starts, moves)
    for _, values, how in walk:
        told = against(outcome, values)
        if told is not None:
            findings[f"{told} (by {how})"] = None
            break
    stages = () if outcome is None or outcome.plan is None else outcome.plan.stages
    return Attack(
        seed,
        on,
        "refused" if outcome is None else outcome.sentence,
        sum(stage.proven for stage in stages),
        walk.asked,
        sum(walk.kinds.values()),
        walk.kinds,
        len(others),
        time.perf_counter() - began,
        tuple(findings),
    )


def against(outcome: Outcome | None, values: dict[str, int]) -> str | None:
    """What a plan that holds, by its values, shows to be untrue of an outcome; None where nothing."""
    if outcome is None:
        return None
    if outcome.plan is not None:
        return broken_bound(outcome.plan.stages, values)
    if "not proven" in outcome.sentence or not values["work finished"]:
        return None
    return f"“{outcome.sentence}” and a plan does {values['work finished']} weighted minutes"


def dishonest(job: Job, outcome: Outcome) -> list[str]:
    """What an outcome says of itself that is not so, or does not hold."""
    plan = outcome.plan
    if outcome.refused is not None:
        return [f"a candidate was refused: {' '.join(outcome.refused.sentence.split())}"]
    if plan is None:
        return [] if set(outcome.reasons) == {i.name for i in job.items} else ["an item without a reason"]
    told = [f"{f.rule}: {f.sentence}" for f in check(job, plan)]
    whole = [k.name for k in stage_kinds(job)] == [s.name for s in plan.stages]
    best = whole and all(s.proven for s in plan.stages)
    if (plan.status is Status.PROVEN_BEST) != best:
        told.append(f"called {plan.status}; its stages: {[(s.name, s.proven) for s in plan.stages]}")
    if plan.status is Status.CONSTRUCTIVE:
        told.append("a searched plan is called made by rule of thumb")
    return told


class Judge:
    """Whether a plan holds for a job, by every check; what convicted last is asked first.

    `check` tells every breach, this stops at the first: it says yes where `check` finds nothing.
    """

    def __init__(self, job: Job) -> None:
        self.job, self.order = job, list(CHECKS)

    def holds(self, plan: Plan) -> bool:
        if plan.job_name != self.job.site.name:
            return False
        facts = Facts(self.job, plan, frozenset(RULES))
        for k, one in enumerate(self.order):
            if next(one(facts), None) is not None:
                self.order.insert(0, self.order.pop(k))
                return False
        return True


def in_halves(job: Job) -> Job | None:
    """The job with its longest item that may be split as two items of half the work each.

    The search has room for twice as many pieces of it. None without such an item, or where others hang on it.
    """
    long = max((i for i in job.dive_items if i.splittable), key=lambda i: i.bottom_work_min, default=None)
    if long is None or long.bottom_work_min < 2 * long.least_useful_min:
        return None
    half = long.bottom_work_min // 2
    parts = (
        long.replace(bottom_work_min=half),
        long.replace(name=long.name + HALF, bottom_work_min=long.bottom_work_min - half),
    )
    others = tuple(i for i in job.dive_items if i.name != long.name)
    made = job.replace(dive_items=(*parts, *others))
    return None if any(a.item == long.name for i in job.items for a in i.after) else made


def as_whole(plan: Plan) -> Plan:
    """A plan of `in_halves` with the two halves under the item's name."""
    return plan.replace(
        dives=tuple(d.replace(item=d.item.removesuffix(HALF)) for d in plan.dives),
        duties=tuple(s.replace(item=s.item.removesuffix(HALF)) for s in plan.duties),
        leftovers=tuple(one for one in plan.leftovers if not one.item.endswith(HALF)),
    )


def easier_plans(job: Job, on: tuple[str, ...], seed: int, seconds: float, most: int) -> list[Plan]:
    """Plans of jobs widened by one thing (a switch less, more pieces) that hold for the job itself."""
    out = []
    halves = in_halves(job)
    others = {} if halves is None or not most else {"halves": halves}
    for name in Random(f"{seed} easier").sample(on, min(most, len(on))):
        others[name] = random_job(seed, without=name)[0]
    for name, other in others.items():
        try:
            found = solve(other, seconds=seconds, workers=1, seed=seed).plan
        except PlanRefused:
            # Another job than the attacked one: its own seed is for that.
            continue
        found = None if found is None else as_whole(found)
        if found is None or not {d.item for d in found.dives} <= {i.name for i in job.dive_items}:
            continue
        plan = for_another(Random(f"{seed} {name} again"), job, found)
        if not check(job, plan):
            out.append(plan)
    return out


class Walk:
    """Moved plans that the check accepts, from plan to plan; gives the values of each and the moves made."""

    def __init__(self, job: Job, random: Random, starts: list[Plan], moves: int) -> None:
        self.job, self.random, self.starts, self.moves = job, random, starts, moves
        self.judge = Judge(job)
        self.kinds: Counter[str] = Counter()
        self.asked = 0

    def __iter__(self) -> Iterator[tuple[Plan, dict[str, int], str]]:
        if not self.starts:
            return
        best = {k: as_key(values_of(self.job, p)) for k, p in enumerate(self.starts)}
        tops = dict(enumerate(self.starts))
        at, plan, here, stray = 0, self.starts[0], best[0], 0
        while self.asked < self.moves:
            found = None if stray >= STRAY else neighbour(self.random, self.job, plan)
            if found is None:
                at = self.random.randrange(len(self.starts))
                plan, here, stray = tops[at], best[at], 0
                continue
            stray += 1
            self.asked += 1
            if not self.judge.holds(found[0]):
                continue
            self.kinds.update(found[1].split(", "))
            values = values_of(self.job, found[0])
            key = as_key(values)
            if key < best[at]:
                best[at], tops[at], stray = key, found[0], 0
            if key <= here or self.random.random() < DOWNHILL:
                plan, here = found[0], key
            yield found[0], values, found[1]

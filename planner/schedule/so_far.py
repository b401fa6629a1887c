"""What a solve knows so far: the best draft and its crew, the stages behind it, the time it has spent."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import replace

from planner.errors import PlanRefused
from planner.job import Job
from planner.plan.changed import held_duties
from planner.plan.model import Plan, Reason, Stage, Status
from planner.schedule.build import build_plan, trued
from planner.schedule.draft import Crew, Draft
from planner.schedule.goals import (
    OVERTIME,
    PEOPLE,
    Goal,
    goals_of,
)
from planner.schedule.model import DayModel
from planner.schedule.naming import Kept, name_crew
from planner.schedule.outcome import Progress
from planner.schedule.prepare import prepare
from planner.schedule.problem import Problem
from planner.schedule.search import Budget, StageResult, run_stage
from planner.verdict import verdict

#: Seconds at most for completing a hint.
HINT_SECONDS = 10.0


class SoFar:
    """One solve: what is known so far, and the steps of naming, judging and telling it."""

    def __init__(
        self,
        job: Job,
        seconds: float,
        workers: int,
        seed: int,
        on_progress: Callable[[Progress], None] | None,
        stop: threading.Event,
        start: Plan | None,
        near: Plan | None = None,
    ) -> None:
        self.began = time.perf_counter()
        self.problem: Problem = prepare(job, None if near is None else depths_of(near))
        self.near = None if near is None else held_duties(near)
        if self.near is not None:
            self.problem = replace(self.problem, named_before=frozenset(p for p, *_ in self.near))
        self.goals = goals_of(self.problem, self.near)
        self.budget_s, self.workers, self.seed = seconds, workers, seed
        self.spent_s = 0.0
        self.reserve_s = 0.0
        """Kept back for naming the crew of a large day at the end."""
        self.on_progress = on_progress
        self.stop = stop
        self.start = start
        self.draft: Draft | None = None
        self.crew: Crew | None = None
        self.readable = False
        """Whether the crew was named to be read, not in passing."""
        self.bounds: list[tuple[Goal, int]] = []
        """Goals of the stages behind us with what no plan can beat."""
        self.settled: list[tuple[Goal, int]] = []
        """Goals of the stages behind us with the value that later stages must keep."""
        self.status = Status.CONSTRUCTIVE

    def _stages(self) -> tuple[Stage, ...]:
        """The stages so far, by the plan as it is now: a later stage may have bettered an unproven value."""
        rows = []
        for goal, bound in self.bounds:
            value = self._value(goal)
            proven = value >= bound if goal.maximise else value <= bound
            rows.append(
                Stage(
                    name=goal.name,
                    unit=goal.unit,
                    value=value,
                    bound=bound,
                    maximise=goal.maximise,
                    proven=proven,
                )
            )
        return tuple(rows)

    def _stage(
        self,
        day: DayModel,
        goal: Goal | None,
        expression: object,
        seconds: float,
        *,
        maximise: bool = True,
    ) -> StageResult:
        """Run the solver; with a goal, show what it finds."""

        def better(value: int, bound: int, draft: Draft) -> None:
            if goal is not None:
                plan = self._plan({}) if self._take(draft, readable=goal is PEOPLE, goal=goal) else None
                self._tell(goal.name, value, bound, plan)

        def silent(value: int, bound: int, draft: Draft) -> None:
            return None

        result = run_stage(
            day,
            expression,  # type: ignore[arg-type]
            maximise=goal.maximise if goal is not None else maximise,
            budget=Budget(
                max(0.2, seconds), self.workers, self.seed, by_core=goal is not None and goal.by_core
            ),
            stop=self.stop,
            on_incumbent=better if self.on_progress and goal is not None else silent,
        )
        if self.workers == 1:
            self.spent_s += result.spent_s
        return result

    def _take(self, draft: Draft, *, readable: bool = True, goal: Goal | None = None) -> bool:
        """Name the draft's people and keep it; False when its times allow no crew within what is settled.

        ``goal``: the stage it was found in. Where the names make its value worse than that of the plan there
        is, that one is kept.
        """
        draft = trued(self.problem, draft)
        crew = name_crew(
            self.problem,
            draft,
            self._kept(),
            seed=self.seed,
            readable=readable,
            hurried=self._used_s() >= self.budget_s,
        )
        if crew is None:
            return False
        value = None if goal is None or self.draft is None else goal.value(self.problem, draft, crew)
        if goal is not None and value is not None and goal.better(self._value(goal), value):
            return True
        self.draft, self.crew, self.readable = draft, crew, readable
        return True

    def _kept(self) -> Kept:
        """What is settled, as the naming must keep it."""
        values = {goal.name: value for goal, value in self.settled}
        changes = next((value for goal, value in self.settled if goal.refined), None)
        return Kept(self.near, changes, values.get(OVERTIME.name), values.get(PEOPLE.name))

    def _best(self) -> tuple[Draft, Crew]:
        assert self.draft is not None and self.crew is not None
        return self.draft, self.crew

    def _value(self, goal: Goal) -> int:
        return goal.value(self.problem, *self._best())

    def _plan(self, reasons: dict[str, tuple[Reason, ...]]) -> Plan:
        """The plan so far, judged."""
        plan = self._built(reasons)
        breaches = verdict(plan, self.problem.job)
        if breaches:
            lines = "\n".join(f"  {b.rule}: {b.sentence}" for b in breaches[:10])
            raise PlanRefused(f"A plan failed the independent check; it is not shown.\n{lines}")
        return plan

    def _built(self, reasons: dict[str, tuple[Reason, ...]]) -> Plan:
        draft, crew = self._best()
        return build_plan(
            self.problem,
            draft,
            crew,
            status=self.status,
            stages=self._stages(),
            reasons=reasons,
            seconds=self._elapsed(),
            seed=self.seed,
            workers=self.workers,
        )

    def _tell(self, stage: str, value: float, bound: float, plan: Plan | None) -> None:
        if self.on_progress is not None:
            self.on_progress(Progress(self._elapsed(), stage, value, bound, plan))

    @property
    def left_s(self) -> float:
        """What is left of the budget: deterministic time with one worker, else the clock."""
        return max(0.0, self.budget_s - self.reserve_s - self._used_s())

    def _used_s(self) -> float:
        return self.spent_s if self.workers == 1 else self._elapsed()

    def _hint_s(self) -> float:
        """Seconds for completing a hint: with one worker always enough, so that a run repeats."""
        return HINT_SECONDS if self.workers == 1 else max(1.0, min(HINT_SECONDS, self.left_s / 3))

    def _elapsed(self) -> float:
        return time.perf_counter() - self.began


def depths_of(plan: Plan) -> dict[str, int]:
    """The greatest depth at which a plan has each item, fsw."""
    depths: dict[str, int] = {}
    for dive in plan.dives:
        depths[dive.item] = max(depths.get(dive.item, 0), dive.depth_fsw)
    return depths

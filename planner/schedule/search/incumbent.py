"""The best checked plan of a search so far: its draft and crew, what of it is settled, and what is proven.

A draft found by rule of thumb or by the solver comes in by one door (`Incumbent.take`): its people are named,
the plan is judged by the independent check, and only then is it kept.
"""

from __future__ import annotations

import threading
from collections.abc import Callable

from planner.check import check
from planner.errors import PlanRefused
from planner.plan.model import Plan, Reason, Stage, Status
from planner.schedule.crews.assignment import Kept, name_crew
from planner.schedule.draft.build import build_plan, with_true_ascents
from planner.schedule.draft.draft import Crew, Draft
from planner.schedule.draft.values import HeldDuties
from planner.schedule.model.day_model import HINT_SECONDS, DayModel
from planner.schedule.model.deadline import LEAST_STEP_S, Deadline
from planner.schedule.outcome import Progress, RefusedPlan
from planner.schedule.problem.problem import Problem
from planner.schedule.search.goals import MARGIN, OVERTIME, PEOPLE, Goal

#: The one rule that a plan by rule of thumb need not hold.
PINS_KEPT = "pins-kept"

#: Rules that the models leave to the check at first, where limits on the safe side might bind.
OF_AIR = frozenset({"air-primary-pressure", "air-primary-flow", "air-reserve", "air-reserve-independent"})

#: Naming a plan to be read takes so many times as long as in passing.
READABLE_TIMES = 2.0


class Incumbent:
    """The best plan so far, and what its search has settled and proven.

    Parameters
    ----------
    problem
        What is planned.
    goals
        The stages of the objective, in order.
    deadline
        Of the whole search.
    workers, seed
        Of the solver.
    on_progress
        Told of each better plan.
    stop
        Ends the search when set.
    plan_in_force, in_force
        What a replan keeps as far as it can: the plan, and the duties of it that are held.
    """

    def __init__(
        self,
        problem: Problem,
        goals: tuple[Goal, ...],
        deadline: Deadline,
        *,
        workers: int,
        seed: int,
        on_progress: Callable[[Progress], None] | None,
        stop: threading.Event,
        plan_in_force: Plan | None,
        in_force: HeldDuties | None,
    ) -> None:
        self.problem, self.goals, self.deadline = problem, goals, deadline
        self.workers, self.seed = workers, seed
        self.on_progress, self.stop = on_progress, stop
        self.plan_in_force, self.in_force = plan_in_force, in_force
        self.draft: Draft | None = None
        self.crew: Crew | None = None
        self.readable = False
        """Whether the crew was named to be read, not in passing."""
        self.taken: tuple[Draft, bool, int] | None = None
        """The draft that was last named and kept, as it was found."""
        self.judged_s = 0.0
        """What naming and judging the last plan took, by the clock."""
        self.bounds: dict[Goal, tuple[int, int]] = {}
        """Goals of the stages searched: what no plan of the model can beat, and what no plan at all can."""
        self.settled: list[tuple[Goal, int]] = []
        """Goals of the stages behind us with the value that later stages must keep."""
        self.rounds = 0
        """How often the stages that are open have been gone through again."""
        self.work_at_most: int | None = None
        """No plan does more work: proven without the plant's limits."""
        self.narrow = not problem.as_wide_as_the_check
        """Whether the check may accept a plan that the model shuts out: then no search proves anything."""
        self.air_binds = False
        """Whether a plan made without the plant's limits was refused for air."""
        self.refused: RefusedPlan | None = None
        """The first plan that the check refused."""
        self.status = Status.CONSTRUCTIVE

    def stages(self) -> tuple[Stage, ...]:
        """The stages so far, by the plan as it is now: a later stage may have bettered an unproven value."""
        rows = []
        for goal, (found, known) in self.bounds.items():
            value = self.value(goal)
            bound = known if self.narrow or goal.better(value, found) else found
            rows.append(
                Stage(
                    name=goal.name,
                    unit=goal.unit,
                    value=value,
                    bound=bound,
                    maximise=goal.maximise,
                    proven=value == bound and self.refused is None,
                )
            )
        return tuple(rows)

    def status_of(self, stages: tuple[Stage, ...]) -> Status:
        """What is known of the plan once every stage was searched."""
        if all(stage.proven for stage in stages):
            return Status.PROVEN_BEST
        if self.refused is None and not any(map(self.is_open, self.goals)):
            return Status.LOOKED_FOR
        return Status.FEASIBLE

    def is_open(self, goal: Goal) -> bool:
        """Whether a stage was not searched to the end."""
        return goal not in self.bounds or self.value(goal) != self.bounds[goal][0]

    def take(
        self,
        draft: Draft,
        *,
        readable: bool = True,
        goal: Goal | None = None,
        shown: bool = False,
        soon: bool = False,
    ) -> bool:
        """Name the draft's people and keep it; False when its times allow no crew within what is settled.

        False as well where the check refuses the plan: it is kept apart (`Outcome.refused`). ``goal``: the
        stage it was found in. Where the names make its value worse than that of the plan there is, that one
        is kept. ``shown``: found while the stage goes on. ``soon``: one of many, named at once or not at all.
        """
        began, asked = self.deadline.elapsed_s, (draft, readable, len(self.settled))
        if self.taken == asked:
            return True
        draft = with_true_ascents(self.problem, draft)
        kept = self._kept()
        # Named in passing, its overtime was searched; that it is settled says that it holds.
        again = readable and draft == self.draft and kept.overtime_at_most_min is not None
        crew = name_crew(
            self.problem,
            draft,
            kept,
            Deadline() if shown and self.deadline.counted else self.deadline,
            seed=self.seed,
            readable=readable,
            known=self.crew if again and self.in_force is None else None,
            soon=soon,
        )
        if crew is None:
            return False
        value = None if goal is None or self.draft is None else goal.value(self.problem, draft, crew)
        if goal is not None and value is not None and goal.better(self.value(goal), value):
            return True
        if self._loses_margin(draft, crew) or (self.rounds and self._worse(draft, crew)):
            return True
        before = self.draft, self.crew, self.readable
        self.draft, self.crew, self.readable = draft, crew, readable
        plan = self.plan({})
        findings = check(self.problem.job, plan, in_force=self.plan_in_force)
        self.judged_s = self.deadline.elapsed_s - began
        if findings:
            self.draft, self.crew, self.readable = before
            # Air left to the check, or a pin that the rule of thumb does not keep, is no fault.
            rules = {finding.rule for finding in findings} - {PINS_KEPT}
            if self.problem.without_air and rules and rules <= OF_AIR:
                self.air_binds = True
            elif rules:
                self.refused = self.refused or RefusedPlan(plan, findings)
            return False
        if not self.deadline.counted:
            self.taken = asked
        return True

    def _loses_margin(self, draft: Draft, crew: Crew) -> bool:
        """Whether a draft has less in hand than is settled: a model only says the most there can be."""
        held = next((value for goal, value in self.settled if goal is MARGIN), None)
        return held is not None and MARGIN.better(held, MARGIN.value(self.problem, draft, crew))

    def _worse(self, draft: Draft, crew: Crew) -> bool:
        """Whether a draft falls behind the best one in the first stage in which they differ."""
        for goal in self.goals:
            value, best = goal.value(self.problem, draft, crew), self.value(goal)
            if value != best:
                return goal.better(best, value)
        return False

    def _kept(self) -> Kept:
        """What is settled, as the naming must keep it."""
        values = {goal.name: value for goal, value in self.settled}
        changes = next((value for goal, value in self.settled if goal.refined), None)
        return Kept(self.in_force, changes, values.get(OVERTIME.name), values.get(PEOPLE.name))

    def held(self) -> tuple[Draft, Crew]:
        assert self.draft is not None and self.crew is not None
        return self.draft, self.crew

    def value(self, goal: Goal) -> int:
        return goal.value(self.problem, *self.held())

    def judged(self, reasons: dict[str, tuple[Reason, ...]]) -> Plan:
        """The plan so far, judged as it is given away."""
        plan = self.plan(reasons)
        findings = check(self.problem.job, plan, in_force=self.plan_in_force)
        if findings:
            raise PlanRefused(RefusedPlan(plan, findings).sentence, RefusedPlan(plan, findings))
        return plan

    def plan(self, reasons: dict[str, tuple[Reason, ...]]) -> Plan:
        draft, crew = self.held()
        return build_plan(
            self.problem,
            draft,
            crew,
            status=self.status,
            stages=self.stages(),
            reasons=reasons,
            seconds=self.deadline.elapsed_s,
            seed=self.seed,
            workers=self.workers,
        )

    def tell(self, stage: str, value: float, bound: float, plan: Plan | None) -> None:
        if self.on_progress is not None:
            self.on_progress(Progress(self.deadline.elapsed_s, stage, value, bound, plan))

    @property
    def left_s(self) -> float:
        """What is left of the budget."""
        return self.deadline.left_s

    def hint(self, day: DayModel) -> bool:
        """Hint the best plan; False where it does not fit the model."""
        seconds = min(HINT_SECONDS, max(LEAST_STEP_S, self.left_s / 3))
        return day.hint(self.held()[0], self.deadline, seconds=seconds)

    @property
    def ended(self) -> bool:
        """Whether there is nothing left to search with, or the search was stopped."""
        return self.left_s <= 0 or self.stop.is_set()

    @property
    def time_to_name(self) -> bool:
        """Whether a plan is named to be read in less than what is left with what is kept back."""
        return self.deadline.counted or self.deadline.whole_left_s > READABLE_TIMES * self.judged_s

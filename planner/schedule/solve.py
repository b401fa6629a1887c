"""From a job to the best checked plan: first plan, then the stages of the objective in strict order."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace

from planner.check.record import read_back
from planner.cores import workers_here
from planner.errors import PlanRefused
from planner.job import Job
from planner.plan.changed import held_duties, planned_depths_fsw
from planner.plan.model import Plan
from planner.schedule.explain.pin_conflict import no_plan_in_words
from planner.schedule.explain.reasons import reasons_for
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.deadline import Deadline
from planner.schedule.outcome import Outcome, Progress
from planner.schedule.problem.least import work_there_is
from planner.schedule.problem.prepare import prepare
from planner.schedule.search.changes import kept_draft
from planner.schedule.search.first_plans import ORDERS_TELLS, FirstPlans
from planner.schedule.search.goals import OVERTIME, PEOPLE, SHARES, WORK, Goal, goals_of
from planner.schedule.search.improve import (
    EVEN_SECONDS,
    improve,
    in_parts,
    named_otherwise,
    searched,
)
from planner.schedule.search.incumbent import Incumbent
from planner.schedule.search.known_bounds import overtime_bound_by_search, told

#: Part of the budget that may be kept back for naming the crew at the end and judging the plan: of a large
#: day all of it, else as many times what that took with the first plan, by the clock.
NAMING_PART = 0.15
NAMED_AT_THE_END = 4.0

#: The model that names everyone takes so many times as long to make and to hint as the one that counts.
EXACT_TIMES = 4.0

#: With fewer seconds left than this the stages that are open are not gone through again.
ROUND_LEAST_S = 2.0


def first_plan(job: Job, *, seed: int = 0) -> Plan | None:
    """The plan made by rule of thumb, checked; None when nothing can be planned."""
    return _Run(job, 0.0, 1, seed, None, threading.Event(), None).first_plans.first()


def solve(
    job: Job,
    *,
    seconds: float = 30.0,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
    stop: threading.Event | None = None,
    start: Plan | None = None,
    in_force: Plan | None = None,
    only_work: bool = False,
) -> Outcome:
    """Plan a job's day.

    Parameters
    ----------
    job
        A job without cross faults.
    seconds
        Budget for the whole search, from making the model to judging the plan. With one worker it is counted
        in steps of the solver and the result repeats exactly, whatever else the machine does.
    workers
        Solver threads; as many as there are cores, where not said (`planner.cores`).
    on_progress
        Called in the caller's thread with each better plan and at the end of each stage.
    stop
        Set it from any thread to end the search; the best plan so far is kept.
    start
        A plan to start from where it holds for this job (a neighbour's, an earlier one); ignored where not.
    in_force
        The plan in force, as far as it is still ahead: once the work is settled, as few of its duties as can
        be are changed, before anything else counts.
    only_work
        Settle the first stage only: how much can be done at all.

    Raises
    ------
    ModelTooLarge
        The job is past the size the scheduler takes on.
    PlanRefused
        Every plan that was found failed the independent check, or the file of the one to be given does not
        read back: our bug; nothing is returned. Where any holds, it is returned, and what was refused is in
        `Outcome.refused`.
    """
    threads = workers_here() if workers is None else workers
    run = _Run(job, seconds, threads, seed, on_progress, stop or threading.Event(), start, in_force)
    return run.run(only_work)


class _AirBinds(Exception):
    """A plan that the models hold without the plant's limits has too little air."""


class _Run:
    """One solve: its stages in order, each in the model that it needs."""

    def __init__(
        self,
        job: Job,
        seconds: float,
        workers: int,
        seed: int,
        on_progress: Callable[[Progress], None] | None,
        stop: threading.Event,
        start: Plan | None,
        plan_in_force: Plan | None = None,
    ) -> None:
        deadline = Deadline(seconds, counted=workers == 1)
        problem = prepare(job, None if plan_in_force is None else planned_depths_fsw(plan_in_force))
        in_force = None if plan_in_force is None else held_duties(plan_in_force)
        if in_force is not None:
            problem = replace(problem, named_before=frozenset(person for person, *_ in in_force))
        self.best = Incumbent(
            problem,
            goals_of(problem, in_force),
            deadline,
            workers=workers,
            seed=seed,
            on_progress=on_progress,
            stop=stop,
            plan_in_force=plan_in_force,
            in_force=in_force,
        )
        self.first_plans = FirstPlans(self.best, start)
        self.model_s = 0.0
        """What making and hinting the first model took, by the clock."""
        self.no_work_proven = False
        """Whether the search has shown that no work at all fits."""

    def run(self, only_work: bool) -> Outcome:
        """All stages, or the first one only."""
        best = self.best
        plan = self.first_plans.first()
        first_s = best.deadline.elapsed_s
        if not best.deadline.counted:
            told_s = NAMED_AT_THE_END * best.judged_s
            best.deadline.reserve_s = min(NAMING_PART * best.deadline.budget_s, told_s)
        if plan is not None:
            # Before the model, which takes seconds to make on a large day.
            best.tell("first plan", best.value(WORK), work_there_is(best.problem), plan)
            parts = ORDERS_TELLS if best.problem.past_a_model else 1
            for _ in range(parts):
                plan = self.first_plans.better_orders(plan, parts)
            if not only_work:
                self.first_plans.shorter_days()
        if not best.problem.air.exact:
            # First with air left to the check: what is proven so is proven, unless a plan is refused for it.
            within, best.problem = best.problem, replace(best.problem, without_air=True)
            best.narrow = not best.problem.as_wide_as_the_check
            self.first_plans.without_air()
            try:
                return self._search(only_work, first_s)
            except _AirBinds:
                best.problem, best.narrow, best.air_binds = within, True, False
                best.bounds, best.settled, best.rounds = {}, [], 0
        return self._search(only_work, first_s)

    def _search(self, only_work: bool, first_s: float) -> Outcome:
        """The stages in the models of the problem, from the plan that there is."""
        best = self.best
        if best.problem.past_a_model:
            if best.draft is None:
                return self._nothing(first_s, proven=False)
            for goal in best.goals[:1] if only_work else best.goals:
                known = told(best, goal)
                best.bounds[goal] = known, known
                best.settled.append((goal, best.value(goal)))
            return self._handed_over(only_work, first_s)
        began = best.deadline.elapsed_s
        day = DayModel(best.problem, named_support=not best.problem.dives)
        best.deadline.spend_model(day.model)
        if day.work_bound == 0:
            return self._nothing(first_s, proven=True)
        if best.draft is not None and not best.hint(day):
            self._without_start(day)
        self.model_s = best.deadline.elapsed_s - began
        if day.large:
            best.deadline.reserve_s = NAMING_PART * best.deadline.budget_s
        for goal in best.goals[:1] if only_work else best.goals:
            day = self._settle(day, goal)
            if best.draft is None or not (best.draft.dives or best.draft.tasks):
                return self._nothing(first_s, proven=self.no_work_proven and not best.narrow)
        if not only_work:
            self._even_out(self._again(day))
        return self._handed_over(only_work, first_s)

    def _handed_over(self, only_work: bool, first_s: float) -> Outcome:
        """The plan that there is with its stages, named to be read, judged once more."""
        best = self.best
        if not best.readable and best.time_to_name:
            # The last draft was named in passing; name it once more, to be read.
            best.take(best.held()[0])
        stages = best.stages()
        if not only_work:
            best.status = best.status_of(stages)
        reasons = reasons_for(best.problem, best.judged({}), proven=stages[0].proven)
        final = best.judged(reasons)
        # what is handed over has been judged as it will be read from its file
        read_back(final, best.problem.job)
        for stage in stages:
            best.tell(stage.name, stage.value, stage.bound, final)
        sentence = final.status.value if best.refused is None else best.refused.left_out
        return Outcome(final, sentence, reasons, first_s, best.deadline.elapsed_s, best.refused)

    def _without_start(self, day: DayModel) -> None:
        """The first plan again, by rule of thumb only, where the one there is does not fit the model.

        A plan to start from may hold and yet lie outside the model, which is on the safe side of some rules
        (air counted a few minutes longer, no dressing before that of the diver in the water).
        """
        best = self.best
        draft, crew = best.draft, best.crew
        if self.first_plans.start is not None:
            self.first_plans.start = best.draft = best.crew = None
            if self.first_plans.first() is not None and best.hint(day):
                return
        # A plan that holds is outside the model: it is kept, and nothing that the model says is a proof.
        best.draft, best.crew, best.narrow = draft, crew, True

    def _again(self, day: DayModel) -> DayModel:
        """Spend what is left on the stages that are open, in order, round after round; gives the last model.

        What was proven of a stage holds for every plan that is as good in those before it, so also beside a
        better value of one of them; the later stages are searched again from the plan that has it.
        """
        best = self.best
        moved = True
        while moved and not best.ended and not day.large and any(map(best.is_open, best.goals)):
            if best.left_s <= ROUND_LEAST_S or not self._time_for_exact():
                break
            best.rounds += 1
            before = [(best.value(goal), best.bounds[goal]) for goal in best.goals]
            best.settled = []
            day = DayModel(best.problem, named_support=not best.problem.dives)
            best.deadline.spend_model(day.model)
            for goal in best.goals:
                day = self._settle(day, goal)
            moved = before != [(best.value(goal), best.bounds[goal]) for goal in best.goals]
        return day

    def _settle(self, day: DayModel, goal: Goal) -> DayModel:
        """One stage: improve, bound, report, hold the value from here on. Returns the model to go on with."""
        best = self.best
        if goal is PEOPLE and not best.readable and best.time_to_name:
            # Crews named in passing are not the least there is.
            best.take(best.held()[0])
        bound = known = told(best, goal)
        if goal in best.bounds:
            found, _ = best.bounds[goal]
            bound = min(found, bound) if goal.maximise else max(found, bound)
        elif goal is OVERTIME and best.value(goal) > 0:
            bound = max(bound, overtime_bound_by_search(best, day))
        if (
            goal.refined
            and not best.rounds
            and best.in_force is not None
            and best.left_s > 0
            and best.value(goal) > 0
        ):
            kept = kept_draft(day, best.in_force, best.deadline, seed=best.seed)
            if kept is not None:
                best.take(kept, readable=False, goal=goal)
        exact = goal.names_everyone and day.support is None
        if best.draft is not None and (best.ended or (exact and not self._time_for_exact())):
            # Nothing left to spend: the value stands as it is, and its bound is what is known without search.
            pass
        elif exact and day.large:
            # A second model of that size would take the rest of the budget and twice the memory.
            pass
        elif best.draft is None or best.value(goal) != bound:
            if exact and goal is PEOPLE:
                # What follows, if anything does, goes on with that model.
                day = self._exact()
            if goal.names_everyone and day.support is None:
                # A model of its own; the next stages go on with the counted one, which is quicker.
                bound, _ = improve(best, self._exact(), goal, bound)
            else:
                bound, named = improve(best, day, goal, bound)
                if not named and in_parts(best, goal):
                    # The exact model would take the time of every later stage; plans nearby were named.
                    pass
                elif not named and not named_otherwise(best, day, goal, bound):
                    # Counted crews promised more than people can be named for: the exact model decides.
                    day = self._exact()
                    bound, _ = improve(best, day, goal, bound)
                elif goal.refined and day.support is None and best.value(goal) != bound:
                    bound, _ = improve(best, self._exact(), goal, bound)
        if goal is WORK:
            self.no_work_proven = bound == 0
            best.work_at_most = bound if best.problem.as_wide_as_the_check else best.work_at_most
        if best.air_binds:
            raise _AirBinds
        return day if best.draft is None else self._settled(day, goal, bound, known)

    def _settled(self, day: DayModel, goal: Goal, bound: int, known: int) -> DayModel:
        """Report a stage and hold its value from here on; ``known``: its bound without any search."""
        value = self.best.value(goal)
        self.best.bounds[goal] = bound, known
        self.best.settled.append((goal, value))
        goal.hold(day, value)
        return day

    def _time_for_exact(self) -> bool:
        """Whether the model that names everyone is made in less than what is left."""
        return self.best.deadline.counted or self.best.left_s > EXACT_TIMES * self.model_s

    def _exact(self) -> DayModel:
        """The model that names every support duty, with every settled value held."""
        day = DayModel(self.best.problem, named_support=True)
        self.best.deadline.spend_model(day.model)
        for goal, value in self.best.settled:
            goal.hold(day, value)
        return day

    def _even_out(self, day: DayModel) -> None:
        """Within equal shares, even out the minutes as far as a little time allows (not reported)."""
        best = self.best
        if best.ended or best.value(SHARES) == 0 == len(best.held()[0].dives):
            return
        goal = day.uneven_minutes()
        best.hint(day)
        even = searched(best, day, goal, min(EVEN_SECONDS, best.left_s), maximise=False)
        if even.draft is not None:
            best.take(even.draft, readable=False)

    def _nothing(self, first_s: float, *, proven: bool) -> Outcome:
        """Why no work at all can be planned."""
        best = self.best
        if best.refused is not None:
            raise PlanRefused(best.refused.sentence, best.refused)
        reasons = reasons_for(best.problem, None, proven=proven)
        sentence = no_plan_in_words(best.problem, proven=proven, stop=best.stop)
        return Outcome(None, sentence, reasons, first_s, best.deadline.elapsed_s)

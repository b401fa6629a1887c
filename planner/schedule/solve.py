"""From a job to the best checked plan: first plan, then the stages of the objective in strict order."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace

from planner.check import check
from planner.check.record import read_back
from planner.check.told import OWN_WORDS
from planner.cores import workers_here
from planner.errors import PlanRefused
from planner.job import Job
from planner.plan.changed import held_duties, planned_depths_fsw
from planner.plan.model import Plan, Reason, Stage, Status
from planner.schedule.crews.assignment import FIRST_SECONDS, Kept, name_crew
from planner.schedule.draft.build import build_plan, with_true_ascents
from planner.schedule.draft.draft import Crew, Draft, draft_of
from planner.schedule.draft.values import finish_value, margin_value, work_value
from planner.schedule.explain.pin_conflict import no_plan_in_words
from planner.schedule.explain.reasons import reasons_for
from planner.schedule.greedy.local_search import LocalSearch, worth
from planner.schedule.model.bounds import first_duty_min
from planner.schedule.model.day_model import HINT_SECONDS, DayModel
from planner.schedule.model.deadline import LEAST_STEP_S, Deadline
from planner.schedule.model.ends import overtime_at_the_ends
from planner.schedule.model.overtime import least_overtime_over_days, overtime_bound
from planner.schedule.outcome import Outcome, Progress, Refused
from planner.schedule.problem.least import work_there_is
from planner.schedule.problem.prepare import prepare
from planner.schedule.problem.problem import Problem
from planner.schedule.search.changes import kept_draft
from planner.schedule.search.goals import (
    FINISH,
    MARGIN,
    OVERTIME,
    PEOPLE,
    SHARES,
    WORK,
    Goal,
    goals_of,
)
from planner.schedule.search.neighbourhoods import better_nearby, few_free
from planner.schedule.search.stage import Budget, NamedOrStopped, StageResult, run_stage

#: The one rule that a plan by rule of thumb need not hold.
PINS_KEPT = "pins-kept"

#: Part of the budget that may be kept back for naming the crew at the end and judging the plan: of a large
#: day all of it, else as many times what that took with the first plan, by the clock.
NAMING_PART = 0.15
NAMED_AT_THE_END = 4.0

#: Naming a plan to be read takes so many times as long as in passing.
READABLE_TIMES = 2.0

#: The model that names everyone takes so many times as long to make and to hint as the one that counts.
EXACT_TIMES = 4.0

#: Part of the time left for another plan as good as one that could not be named.
NAMED_AGAIN = 0.25

#: From this many possible dives on the rule of thumb goes on before the model is made: so many orders for
#: each second of the budget (a count, so that one worker repeats), with more workers that part of it at most.
ORDERS_FROM_SLOTS = 40
ORDERS_A_SECOND = 2
ORDERS_PART = 0.15

#: Part of the budget, with more workers than one, that shorter days by rule of thumb take at most.
SHORTER_PART = 0.25

#: The same where there is no model: this part of the budget, and a plan told after each so many of its parts.
ORDERS_ALONE_PART = 0.7
ORDERS_TELLS = 8

#: Part of a stage that goes to plans near the one there is, before the whole day is searched.
NEARBY_PART = 0.4

#: With fewer seconds left than this the stages that are open are not gone through again.
ROUND_LEAST_S = 2.0

#: Seconds at most for evening out minutes once the shares are settled.
EVEN_SECONDS = 1.0


def first_plan(job: Job, *, seed: int = 0) -> Plan | None:
    """The plan made by rule of thumb, checked; None when nothing can be planned."""
    return _Run(job, 0.0, 1, seed, None, threading.Event(), None).first()


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


#: Rules that the models leave to the check at first, where limits on the safe side might bind.
OF_AIR = frozenset({"air-primary-pressure", "air-primary-flow", "air-reserve", "air-reserve-independent"})


class _AirBinds(Exception):
    """A plan that the models hold without the plant's limits has too little air."""


class _Run:
    """One solve: the best draft and its crew so far, the stages behind it, the time spent, and the steps."""

    def __init__(
        self,
        job: Job,
        seconds: float,
        workers: int,
        seed: int,
        on_progress: Callable[[Progress], None] | None,
        stop: threading.Event,
        start: Plan | None,
        in_force: Plan | None = None,
    ) -> None:
        self.deadline = Deadline(seconds, counted=workers == 1)
        self.problem: Problem = prepare(job, None if in_force is None else planned_depths_fsw(in_force))
        self.plan_in_force = in_force
        self.in_force = None if in_force is None else held_duties(in_force)
        if self.in_force is not None:
            self.problem = replace(self.problem, named_before=frozenset(p for p, *_ in self.in_force))
        self.goals = goals_of(self.problem, self.in_force)
        self.budget_s, self.workers, self.seed = seconds, workers, seed
        self.model_s = 0.0
        """What making and hinting the first model took, by the clock."""
        self.taken: tuple[Draft, bool, int] | None = None
        """The draft that was last named and kept, as it was found."""
        self.judged_s = 0.0
        """What naming and judging the last plan took, by the clock."""
        self.on_progress = on_progress
        self.stop = stop
        self.start = start
        self.draft: Draft | None = None
        self.crew: Crew | None = None
        self.readable = False
        """Whether the crew was named to be read, not in passing."""
        self.bounds: dict[Goal, tuple[int, int]] = {}
        """Goals of the stages searched: what no plan of the model can beat, and what no plan at all can."""
        self.rounds = 0
        """How often the stages that are open have been gone through again."""
        self.narrow = not self.problem.as_wide_as_the_check
        """Whether the check may accept a plan that the model shuts out: then no search proves anything."""
        self.air_binds = False
        """Whether a plan made without the plant's limits was refused for air."""
        self.work_at_most: int | None = None
        """No plan does more work: proven without the plant's limits."""
        self.refused: Refused | None = None
        self.no_work_proven = False
        """Whether the search has shown that no work at all fits."""
        self.settled: list[tuple[Goal, int]] = []
        """Goals of the stages behind us with the value that later stages must keep."""
        self.status = Status.CONSTRUCTIVE

    def _stages(self) -> tuple[Stage, ...]:
        """The stages so far, by the plan as it is now: a later stage may have bettered an unproven value."""
        rows = []
        for goal, (found, known) in self.bounds.items():
            value = self._value(goal)
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

    def _status(self, stages: tuple[Stage, ...]) -> Status:
        """What is known of the plan once every stage was searched."""
        if all(stage.proven for stage in stages):
            return Status.PROVEN_BEST
        if self.refused is None and not any(map(self._open, self.goals)):
            return Status.LOOKED_FOR
        return Status.FEASIBLE

    def _open(self, goal: Goal) -> bool:
        """Whether a stage was not searched to the end."""
        return goal not in self.bounds or self._value(goal) != self.bounds[goal][0]

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
            if goal is None or (self.left_s <= 0 and not self.deadline.counted):
                return
            before = self.draft, self.crew, self.readable, self.refused, self.air_binds
            taken = self._take(draft, readable=goal is PEOPLE, goal=goal, shown=True)
            plan = self._built({}) if taken else None
            if self.deadline.counted:
                # Which of them are seen is a matter of the clock: in a run that repeats they are only shown.
                self.draft, self.crew, self.readable, self.refused, self.air_binds = before
            enough.named = self.air_binds
            self._tell(goal.name, value, bound, plan)

        def silent(value: int, bound: int, draft: Draft) -> None:
            return None

        enough = NamedOrStopped(self.stop)
        return run_stage(
            day,
            expression,  # type: ignore[arg-type]
            maximise=goal.maximise if goal is not None else maximise,
            budget=Budget(
                max(0.2, seconds),
                self.workers,
                self.seed + self.rounds,
                by_core=goal is not None and goal.by_core,
                deadline=self.deadline,
            ),
            stop=enough,
            on_incumbent=better if self.on_progress and goal is not None else silent,
        )

    def _take(
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
        began, asked = self._elapsed(), (draft, readable, len(self.settled))
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
        if goal is not None and value is not None and goal.better(self._value(goal), value):
            return True
        if self._loses_margin(draft, crew) or (self.rounds and self._worse(draft, crew)):
            return True
        before = self.draft, self.crew, self.readable
        self.draft, self.crew, self.readable = draft, crew, readable
        plan = self._built({})
        findings = check(self.problem.job, plan, in_force=self.plan_in_force)
        self.judged_s = self._elapsed() - began
        if findings:
            self.draft, self.crew, self.readable = before
            # Air left to the check, or a pin that the rule of thumb does not keep, is no fault.
            rules = {finding.rule for finding in findings} - {PINS_KEPT}
            if self.problem.without_air and rules and rules <= OF_AIR:
                self.air_binds = True
            elif rules:
                self.refused = self.refused or Refused(plan, findings)
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
            value, best = goal.value(self.problem, draft, crew), self._value(goal)
            if value != best:
                return goal.better(best, value)
        return False

    def _kept(self) -> Kept:
        """What is settled, as the naming must keep it."""
        values = {goal.name: value for goal, value in self.settled}
        changes = next((value for goal, value in self.settled if goal.refined), None)
        return Kept(self.in_force, changes, values.get(OVERTIME.name), values.get(PEOPLE.name))

    def _best(self) -> tuple[Draft, Crew]:
        assert self.draft is not None and self.crew is not None
        return self.draft, self.crew

    def _value(self, goal: Goal) -> int:
        return goal.value(self.problem, *self._best())

    def _plan(self, reasons: dict[str, tuple[Reason, ...]]) -> Plan:
        """The plan so far, judged as it is given away."""
        plan = self._built(reasons)
        findings = check(self.problem.job, plan, in_force=self.plan_in_force)
        if findings:
            raise PlanRefused(Refused(plan, findings).sentence, Refused(plan, findings))
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
        """What is left of the budget."""
        return self.deadline.left_s

    def _hint(self, day: DayModel) -> bool:
        """Hint the best plan; False where it does not fit the model."""
        seconds = min(HINT_SECONDS, max(LEAST_STEP_S, self.left_s / 3))
        return day.hint(self._best()[0], self.deadline, seconds=seconds)

    def _elapsed(self) -> float:
        return self.deadline.elapsed_s

    # ------------------------------------------------------------------ the steps

    def first(self) -> Plan | None:
        """The better of the plan by rule of thumb and the one to start from; None when there is neither."""
        self.local_search = LocalSearch(self.problem, seed=self.seed)
        given = self._given()
        found = [] if given is None else [given]
        if given is None or not self._as_good_as_can_be(given):
            found.append(self.local_search.first())
        found = [d for d in found if d.dives or d.tasks]
        found.sort(key=lambda d: worth(self.problem, d))
        # A budget that this naming alone uses up: it is not done twice, first in passing.
        at_once = self.deadline.counted and 0 < self.budget_s < FIRST_SECONDS / 2
        for draft in found:
            # The rule of thumb knows neither pins nor sizes of outfits: what does not hold is passed over.
            if self._take(draft, readable=at_once):
                return self._built({})
        return None

    def _as_good_as_can_be(self, draft: Draft) -> bool:
        """Whether no plan does more work than a draft, has more in hand or ends sooner as it counts."""
        work = work_value(self.problem, draft)
        return (
            work == work_there_is(self.problem)
            and margin_value(self.problem, draft) <= MARGIN.known(self.problem, work)
            and finish_value(self.problem, draft) <= FINISH.known(self.problem, work)
        )

    def _given(self) -> Draft | None:
        """The plan to start from, where its dives and duties hold; what it tells of itself is made anew."""
        if self.start is None:
            return None
        breaches = check(self.problem.job, self.start.replace(stages=()))
        if any(b.rule not in OWN_WORDS for b in breaches):
            return None
        return draft_of(self.problem, self.start)

    def run(self, only_work: bool) -> Outcome:
        """All stages, or the first one only."""
        plan = self.first()
        first_s = self._elapsed()
        if not self.deadline.counted:
            told_s = NAMED_AT_THE_END * self.judged_s
            self.deadline.reserve_s = min(NAMING_PART * self.budget_s, told_s)
        if plan is not None:
            # Before the model, which takes seconds to make on a large day.
            self._tell("first plan", self._value(WORK), work_there_is(self.problem), plan)
            parts = ORDERS_TELLS if self.problem.past_a_model else 1
            for _ in range(parts):
                plan = self._search_orders_on(plan, parts)
            if not only_work:
                self._shorten_days()
        if not self.problem.air.exact:
            # First with air left to the check: what is proven so is proven, unless a plan is refused for it.
            within, self.problem = self.problem, replace(self.problem, without_air=True)
            self.narrow = not self.problem.as_wide_as_the_check
            self._thumb_without_air()
            try:
                return self._search(only_work, first_s)
            except _AirBinds:
                self.problem, self.narrow, self.air_binds = within, True, False
                self.bounds, self.settled, self.rounds = {}, [], 0
        return self._search(only_work, first_s)

    def _thumb_without_air(self) -> None:
        """The plan by rule of thumb with air left to the check, where it holds and is better."""
        draft = LocalSearch(self.problem, seed=self.seed).first()
        best = (1,) if self.draft is None else worth(self.problem, self.draft)
        if worth(self.problem, draft) < best:
            self._take(draft, readable=False)
            self.air_binds = False

    def _search(self, only_work: bool, first_s: float) -> Outcome:
        """The stages in the models of the problem, from the plan that there is."""
        if self.problem.past_a_model:
            if self.draft is None:
                return self._nothing(first_s, proven=False)
            for goal in self.goals[:1] if only_work else self.goals:
                known = self._told(goal)
                self.bounds[goal] = known, known
                self.settled.append((goal, self._value(goal)))
            return self._handed_over(only_work, first_s)
        began = self._elapsed()
        day = DayModel(self.problem, named_support=not self.problem.dives)
        self.deadline.spend_model(day.model)
        if day.work_bound == 0:
            return self._nothing(first_s, proven=True)
        if self.draft is not None and not self._hint(day):
            self._without_start(day)
        self.model_s = self._elapsed() - began
        if day.large:
            self.deadline.reserve_s = NAMING_PART * self.budget_s
        for goal in self.goals[:1] if only_work else self.goals:
            day = self._settle(day, goal)
            if self.draft is None or not (self.draft.dives or self.draft.tasks):
                return self._nothing(first_s, proven=self.no_work_proven and not self.narrow)
        if not only_work:
            self._even_out(self._again(day))
        return self._handed_over(only_work, first_s)

    def _handed_over(self, only_work: bool, first_s: float) -> Outcome:
        """The plan that there is with its stages, named to be read, judged once more."""
        if not self.readable and self._time_to_name():
            # The last draft was named in passing; name it once more, to be read.
            self._take(self._best()[0])
        stages = self._stages()
        if not only_work:
            self.status = self._status(stages)
        reasons = reasons_for(self.problem, self._plan({}), proven=stages[0].proven)
        final = self._plan(reasons)
        # what is handed over has been judged as it will be read from its file
        read_back(final, self.problem.job)
        for stage in stages:
            self._tell(stage.name, stage.value, stage.bound, final)
        sentence = final.status.value if self.refused is None else self.refused.left_out
        return Outcome(final, sentence, reasons, first_s, self._elapsed(), self.refused)

    def _search_orders_on(self, plan: Plan, parts: int) -> Plan:
        """On a large day, better plans by rule of thumb before the model is made, which finds few there.

        ``parts``: 1, or where no model follows the number of parts of which this is one.
        """
        if sum(w.slots for w in self.problem.dives) < ORDERS_FROM_SLOTS or self.problem.job.pins:
            return plan
        part = ORDERS_PART if parts == 1 else ORDERS_ALONE_PART / parts
        seconds = None if self.workers == 1 else part * self.budget_s
        turns = round(ORDERS_A_SECOND * self.budget_s / parts)
        if not self.local_search.turn(turns, seconds=seconds, ended=self.stop.is_set):
            return plan
        draft, crew = self._best()
        before = worth(self.problem, draft)
        if not self._take(self.local_search.draft, readable=False) or before <= worth(
            self.problem, self._best()[0]
        ):
            self.draft, self.crew = draft, crew
            return plan
        better = self._built({})
        self._tell("first plan", self._value(WORK), work_there_is(self.problem), better)
        return better

    def _shorten_days(self) -> None:
        """Plans as good by rule of thumb with shorter days and less overtime, if the finish has room."""
        if self.in_force is not None or self.crew is None or self.crew.overtime_min == 0:
            return
        if len(self.problem.days) == 1 and self._value(FINISH) > self.problem.job.early_enough_min:
            return
        seconds = None if self.workers == 1 else SHORTER_PART * self.budget_s
        turns = round(ORDERS_A_SECOND * self.budget_s)
        for draft in self.local_search.shorten_days(turns, seconds=seconds, ended=self.stop.is_set):
            if worth(self.problem, draft) <= worth(self.problem, self._best()[0]):
                self._take(draft, readable=False, goal=OVERTIME)
            if self._value(OVERTIME) <= self._told(OVERTIME):
                return

    def _without_start(self, day: DayModel) -> None:
        """The first plan again, by rule of thumb only, where the one there is does not fit the model.

        A plan to start from may hold and yet lie outside the model, which is on the safe side of some rules
        (air counted a few minutes longer, no dressing before that of the diver in the water).
        """
        draft, crew = self.draft, self.crew
        if self.start is not None:
            self.start = self.draft = self.crew = None
            if self.first() is not None and self._hint(day):
                return
        # A plan that holds is outside the model: it is kept, and nothing that the model says is a proof.
        self.draft, self.crew, self.narrow = draft, crew, True

    def _again(self, day: DayModel) -> DayModel:
        """Spend what is left on the stages that are open, in order, round after round; gives the last model.

        What was proven of a stage holds for every plan that is as good in those before it, so also beside a
        better value of one of them; the later stages are searched again from the plan that has it.
        """
        moved = True
        while moved and not self._ended() and not day.large and any(map(self._open, self.goals)):
            if self.left_s <= ROUND_LEAST_S or not self._time_for_exact():
                break
            self.rounds += 1
            before = [(self._value(goal), self.bounds[goal]) for goal in self.goals]
            self.settled = []
            day = DayModel(self.problem, named_support=not self.problem.dives)
            self.deadline.spend_model(day.model)
            for goal in self.goals:
                day = self._settle(day, goal)
            moved = before != [(self._value(goal), self.bounds[goal]) for goal in self.goals]
        return day

    def _seconds_for(self, goal: Goal) -> float:
        """What a stage may take: its part at first, later an even part of what is left to those open."""
        if not self.rounds:
            return min(self.left_s * goal.share, self.budget_s * goal.most)
        still = self.goals[self.goals.index(goal) :]
        return max(0.0, self.left_s - EVEN_SECONDS) / max(1, sum(map(self._open, still)))

    def _settle(self, day: DayModel, goal: Goal) -> DayModel:
        """One stage: improve, bound, report, hold the value from here on. Returns the model to go on with."""
        if goal is PEOPLE and not self.readable and self._time_to_name():
            # Crews named in passing are not the least there is.
            self._take(self._best()[0])
        bound = known = self._told(goal)
        if goal in self.bounds:
            found, _ = self.bounds[goal]
            bound = min(found, bound) if goal.maximise else max(found, bound)
        elif goal is OVERTIME and self._value(goal) > 0:
            bound = max(bound, self._overtime_bound(day))
        if (
            goal.refined
            and not self.rounds
            and self.in_force is not None
            and self.left_s > 0
            and self._value(goal) > 0
        ):
            kept = kept_draft(day, self.in_force, self.deadline, seed=self.seed)
            if kept is not None:
                self._take(kept, readable=False, goal=goal)
        exact = goal.names_everyone and day.support is None
        if self.draft is not None and (self._ended() or (exact and not self._time_for_exact())):
            # Nothing left to spend: the value stands as it is, and its bound is what is known without search.
            pass
        elif exact and day.large:
            # A second model of that size would take the rest of the budget and twice the memory.
            pass
        elif self.draft is None or self._value(goal) != bound:
            if exact and goal is PEOPLE:
                # What follows, if anything does, goes on with that model.
                day = self._exact()
            if goal.names_everyone and day.support is None:
                # A model of its own; the next stages go on with the counted one, which is quicker.
                bound, _ = self._improve(self._exact(), goal, bound)
            else:
                bound, named = self._improve(day, goal, bound)
                if not named and self._in_parts(goal):
                    # The exact model would take the time of every later stage; plans nearby were named.
                    pass
                elif not named and not self._named_otherwise(day, goal, bound):
                    # Counted crews promised more than people can be named for: the exact model decides.
                    day = self._exact()
                    bound, _ = self._improve(day, goal, bound)
                elif goal.refined and day.support is None and self._value(goal) != bound:
                    bound, _ = self._improve(self._exact(), goal, bound)
        if goal is WORK:
            self.no_work_proven = bound == 0
            self.work_at_most = bound if self.problem.as_wide_as_the_check else self.work_at_most
        if self.air_binds:
            raise _AirBinds
        return day if self.draft is None else self._settled(day, goal, bound, known)

    def _told(self, goal: Goal) -> int:
        """What no plan can beat in a stage, without any search."""
        bound = goal.known(self.problem, 0 if self.draft is None else self._value(WORK))
        if goal is WORK and self.work_at_most is not None:
            bound = min(bound, self.work_at_most)
        if goal is OVERTIME and self._value(WORK) == work_there_is(self.problem):
            bound = max(bound, least_overtime_over_days(self.problem, self._finish_at_most()))
        return bound

    def _settled(self, day: DayModel, goal: Goal, bound: int, known: int) -> DayModel:
        """Report a stage and hold its value from here on; ``known``: its bound without any search."""
        value = self._value(goal)
        self.bounds[goal] = bound, known
        self.settled.append((goal, value))
        goal.hold(day, value)
        return day

    def _improve(self, day: DayModel, goal: Goal, bound: int) -> tuple[int, bool]:
        """Run the solver on one goal. Returns the bound, and whether its best plan could be named."""
        expression = goal.expression(day)
        if goal.maximise:
            day.model.add(expression <= bound)
        else:
            day.model.add(expression >= bound)
        if self.draft is not None:
            self._hint(day)
            if self._ended():
                return bound, True
        seconds, left_s = self._seconds_for(goal), self.left_s
        if self.draft is not None and goal.near is not None:
            better_nearby(
                day,
                expression,
                self.draft,
                self._value(goal),
                bound,
                goal.near,
                deadline=self.deadline,
                seconds=seconds * NEARBY_PART,
                seed=self.seed + self.rounds,
                taken=lambda draft: self._take_nearby(draft, goal, bound),
                ended=self.stop.is_set,
            )
            self._hint(day)
            if self._value(goal) == bound or self._ended():
                return bound, True
        result = self._stage(day, goal, expression, max(0.0, seconds - (left_s - self.left_s)))
        if result.infeasible and self.draft is not None:
            # A plan that holds is outside the model: it is kept, and nothing that the model says is a proof.
            self.narrow = True
            return bound, True
        if result.infeasible:
            bound = 0
        elif result.found:
            bound = min(bound, result.bound) if goal.maximise else max(bound, result.bound)
        as_good = self.draft is not None and not goal.better(result.value, self._value(goal))
        if result.draft is None or (as_good and not goal.names_everyone):
            # Nothing better than what is named already.
            return bound, True
        named = self._take(result.draft, readable=goal is PEOPLE, goal=goal)
        if not named and day.support is not None:
            # Named in the model, yet not within the naming's short time: the plan before is kept.
            return bound, True
        return bound, named

    def _take_nearby(self, draft: Draft, goal: Goal, bound: int) -> bool:
        """Keep and show a draft found near the best one, where it can be named and is better."""
        before = self._value(goal)
        if (
            not self._take(draft, readable=goal is PEOPLE, goal=goal, soon=True)
            or self._value(goal) == before
        ):
            return False
        self._tell(goal.name, self._value(goal), bound, self._built({}))
        return True

    def _in_parts(self, goal: Goal) -> bool:
        """Whether the plan is one of many dives, which is searched a few of them at a time."""
        return goal.near is few_free and len(self._best()[0].dives) >= few_free.fewest_dives

    def _named_otherwise(self, day: DayModel, goal: Goal, bound: int) -> bool:
        """Whether another plan as good as the bound can be named: station duties as short as can be.

        What counting does not see is that one person stays for a whole dive; long watches are what fails.
        """
        if self._ended():
            return False
        expression = goal.expression(day)
        day.model.add(expression >= bound if goal.maximise else expression <= bound)
        day.model.clear_hints()
        found = NamedOrStopped(self.stop)

        def name(value: int, bound: int, draft: Draft) -> None:
            # The first that can be named is enough; with one worker the search runs on, so that it repeats.
            if self.workers > 1 and not found.named and self._take(draft, readable=False):
                found.named = True

        again = run_stage(
            day,
            day.watches(),
            maximise=False,
            budget=Budget(
                max(0.2, self.left_s * NAMED_AGAIN), self.workers, self.seed, deadline=self.deadline
            ),
            stop=found,
            on_incumbent=name,
        )
        return found.named or (again.draft is not None and self._take(again.draft, readable=False))

    def _ended(self) -> bool:
        """Whether there is nothing left to search with, or the search was stopped."""
        return self.left_s <= 0 or self.stop.is_set()

    def _time_for_exact(self) -> bool:
        """Whether the model that names everyone is made in less than what is left."""
        return self.deadline.counted or self.left_s > EXACT_TIMES * self.model_s

    def _time_to_name(self) -> bool:
        """Whether a plan is named to be read in less than what is left with what is kept back."""
        return self.deadline.counted or self.deadline.whole_left_s > READABLE_TIMES * self.judged_s

    def _exact(self) -> DayModel:
        """The model that names every support duty, with every settled value held."""
        day = DayModel(self.problem, named_support=True)
        self.deadline.spend_model(day.model)
        for goal, value in self.settled:
            goal.hold(day, value)
        return day

    def _overtime_bound(self, day: DayModel) -> int:
        """What a few small searches tell of the overtime of a day: who can be there at both its ends."""
        if self._ended() or len(self.problem.days) > 1:
            return 0
        self._hint(day)
        dived = self._stage(day, None, day.dived_min(), max(1.5, self.left_s * 0.15), maximise=False)
        around = self._finish_at_most() - first_duty_min(self.problem, 0) - max(0, dived.bound)
        bound = overtime_at_the_ends(self.problem, max(0, dived.bound), around, self.deadline)
        if self.problem.standing or bound >= self._value(OVERTIME) or self._ended():
            return bound
        start = day.start()
        self._hint(day)
        latest = self._stage(day, None, start, max(1.5, self.left_s * 0.15))
        at_the_ends = overtime_bound(
            self.problem,
            finish_min=self._no_finish_before(),
            latest_start_min=latest.bound if latest.bound > 0 else self.problem.window.end_min,
        )
        return max(bound, at_the_ends)

    def _finish_at_most(self) -> int:
        """The finish that is settled; where it comes later in the officer's order, the last day's end."""
        return next((value for goal, value in self.settled if goal is FINISH), self.problem.window.end_min)

    def _no_finish_before(self) -> int:
        """A minute before which no plan with what is settled finishes, as far as proven.

        The proven bound, not the value: while the finish is not proven, a plan may still end earlier. One
        that is early enough may stand for any earlier finish.
        """
        start = self.problem.window.start_min
        found, _ = self.bounds.get(FINISH, (start, start))
        return found if found > self.problem.job.early_enough_min else start

    def _even_out(self, day: DayModel) -> None:
        """Within equal shares, even out the minutes as far as a little time allows (not reported)."""
        if self._ended() or self._value(SHARES) == 0 == len(self._best()[0].dives):
            return
        goal = day.uneven_minutes()
        self._hint(day)
        even = self._stage(day, None, goal, min(EVEN_SECONDS, self.left_s), maximise=False)
        if even.draft is not None:
            self._take(even.draft, readable=False)

    def _nothing(self, first_s: float, *, proven: bool) -> Outcome:
        if self.refused is not None:
            raise PlanRefused(self.refused.sentence, self.refused)
        reasons = reasons_for(self.problem, None, proven=proven)
        sentence = no_plan_in_words(self.problem, proven=proven, stop=self.stop)
        return Outcome(None, sentence, reasons, first_s, self._elapsed())

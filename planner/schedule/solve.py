"""From a job to the best checked plan: first plan, then the stages of the objective in strict order."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from planner.errors import PlanRefused
from planner.job import Job
from planner.plan.model import Plan, Reason, Stage, Status
from planner.schedule.build import build_plan, trued
from planner.schedule.constructive import construct
from planner.schedule.draft import Crew, Draft
from planner.schedule.explain import reasons_for
from planner.schedule.model import DayModel
from planner.schedule.naming import name_crew
from planner.schedule.overtime import overtime_bound
from planner.schedule.problem import Problem, prepare
from planner.schedule.search import Budget, StageResult, run_stage
from planner.verdict import verdict

#: Share of the time that the first two stages may take; what they leave goes on to the next.
WORK_SHARE = 0.6
FINISH_SHARE = 0.7

UNITS = {
    "work finished": "weighted minutes",
    "finish": "minute of the job",
    "overtime": "minutes",
    "fair shares": "turns",
}


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


def first_plan(job: Job, *, seed: int = 0) -> Plan | None:
    """The plan made by rule of thumb, checked; None when nothing can be planned."""
    return _Run(job, 0.0, 1, seed, None, threading.Event()).first()


def solve(
    job: Job,
    *,
    seconds: float = 30.0,
    workers: int = 2,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
    stop: threading.Event | None = None,
) -> Outcome:
    """Plan a job's day.

    Parameters
    ----------
    job
        A job without cross faults.
    seconds
        Budget for the search. With one worker it is deterministic time and the result repeats exactly.
    workers
        Solver threads.
    on_progress
        Called in the caller's thread with each better plan and at the end of each stage.
    stop
        Set it from any thread to end the search; the best plan so far is kept.

    Raises
    ------
    ModelTooLarge
        The job is past the size the scheduler takes on.
    PlanRefused
        A plan failed the independent check: our bug; nothing is returned.
    """
    return _Run(job, seconds, workers, seed, on_progress, stop or threading.Event()).run()


class _Run:
    """One solve: what is known so far, and the steps that add to it."""

    def __init__(
        self,
        job: Job,
        seconds: float,
        workers: int,
        seed: int,
        on_progress: Callable[[Progress], None] | None,
        stop: threading.Event,
    ) -> None:
        self.began = time.perf_counter()
        self.problem: Problem = prepare(job)
        self.budget_s, self.workers, self.seed = seconds, workers, seed
        self.spent_s = 0.0
        self.on_progress = on_progress
        self.stop = stop
        self.draft: Draft | None = None
        self.crew: Crew | None = None
        self.stages: dict[str, Stage] = {}
        self.exact = not self.problem.dives
        self.status = Status.CONSTRUCTIVE

    # ------------------------------------------------------------------ steps

    def first(self) -> Plan | None:
        draft = trued(self.problem, construct(self.problem, seed=self.seed))
        if not draft.dives and not draft.tasks:
            return None
        crew = name_crew(self.problem, draft, seed=self.seed, readable=False)
        if crew is None:
            # The rule of thumb counts outfits without their sizes: rarely, nobody can be fitted out.
            return None
        self.draft, self.crew = draft, crew
        return self._plan({})

    def run(self) -> Outcome:
        plan = self.first()
        first_s = self._elapsed()
        day = DayModel(self.problem, named_support=self.exact)
        bound = day.work_bound
        if bound == 0:
            return self._nothing(first_s)
        if plan is not None:
            self._tell("first plan", self._value("work finished"), bound, plan)
        self._work(day, bound)
        if self.draft is None or not (self.draft.dives or self.draft.tasks):
            return self._nothing(first_s)
        self._later_stages(day)
        self.status = Status.PROVEN_BEST if all(s.proven for s in self.stages.values()) else Status.FEASIBLE
        reasons = reasons_for(self.problem, self._plan({}), proven=self.stages["work finished"].proven)
        final = self._plan(reasons)
        for stage in self.stages.values():
            self._tell(stage.name, stage.value, stage.bound, final)
        return Outcome(final, final.status.value, reasons, first_s, self._elapsed())

    def _work(self, day: DayModel, bound: int) -> None:
        """Stage 1: most weighted work."""
        value = 0
        if self.draft is not None:
            value = int(self._value("work finished"))
            if not day.hint(self.draft):
                raise PlanRefused("The first plan does not fit the model. This is a bug of the program.")
        if value == bound:
            self._note("work finished", value, bound, proven=True, maximise=True)
            return
        result = self._stage(day, "work finished", self.left_s * WORK_SHARE, maximise=True)
        bound = min(bound, result.bound) if result.found else bound
        if result.draft is not None and not self._take(result.draft) and not self.exact:
            # Counted crews promised more than people can be named for: the exact model decides.
            exact = DayModel(self.problem, named_support=True)
            exact.model.add(exact.work() <= bound)
            if self.draft is not None:
                exact.hint(self.draft)
            self.exact = True
            again = self._stage(exact, "work finished", self.left_s * WORK_SHARE, maximise=True)
            if again.draft is not None and not self._take(again.draft):
                raise PlanRefused("A crew named by the model was not found again: a bug of the program.")
            if again.found:
                bound = min(bound, again.bound)
        value = int(self._value("work finished")) if self.draft is not None else 0
        self._note("work finished", value, bound, proven=value >= bound, maximise=True)

    def _later_stages(self, day: DayModel) -> None:
        """Stages 2 and 4: earliest finish, then overtime, then fair shares; each with the earlier fixed."""
        if self.exact and day.support is None:
            day = self._exact_after_work()
        else:
            day.model.add(day.work() >= int(self._value("work finished")))
        day = self._finish(day)
        finish = int(self._value("finish"))
        day.model.add(day.finish() <= finish)
        self._overtime(day, finish)
        self._fair_shares(day)

    def _finish(self, day: DayModel) -> DayModel:
        """Earliest finish. Returns the model that the next stages go on with."""
        assert self.draft is not None
        goal = day.finish()
        day.hint(self.draft)
        result = self._stage(day, "finish", self.left_s * FINISH_SHARE, maximise=False, goal=goal)
        bound = result.bound if result.found else self.problem.window.start_min
        if result.draft is not None and not self._take(result.draft) and not self.exact:
            self.exact = True
            day = self._exact_after_work()
            day.model.add(day.finish() >= bound)
            day.hint(self.draft)
            again = self._stage(day, "finish", self.left_s * FINISH_SHARE, maximise=False, goal=day.finish())
            if again.draft is not None:
                self._take(again.draft)
                bound = max(bound, again.bound)
        value = int(self._value("finish"))
        self._note("finish", value, bound, proven=value <= bound, maximise=False)
        return day

    def _overtime(self, day: DayModel, finish: int) -> None:
        """Least overtime: named for the times found, bounded for every plan with that finish."""
        assert self.crew is not None and self.draft is not None
        bound = 0
        if self.crew.overtime_min > 0:
            start = day.start()
            day.hint(self.draft)
            latest = self._stage(
                day, "latest start", max(1.5, self.left_s * 0.15), maximise=True, goal=start, quiet=True
            )
            bound = overtime_bound(
                self.problem,
                finish_min=finish,
                latest_start_min=latest.bound if latest.bound > 0 else self.problem.window.end_min,
            )
        if self.crew.overtime_min > bound:
            exact = day
            if day.support is None:
                exact = self._exact_after_work()
                exact.model.add(exact.finish() <= finish)
            goal = exact.overtime()
            exact.model.add(goal >= bound)
            exact.hint(self.draft)
            result = self._stage(exact, "overtime", self.left_s * 0.5, maximise=False, goal=goal)
            if result.draft is not None:
                self._take(result.draft)
                bound = max(bound, result.bound)
        value = self.crew.overtime_min
        self._note("overtime", value, bound, proven=value <= bound, maximise=False)

    def _fair_shares(self, day: DayModel) -> None:
        """Fair shares in turns (a stage), then in minutes as far as the time allows (not reported)."""
        assert self.crew is not None and self.draft is not None
        overtime = self.crew.overtime_min
        shares = day.shares()
        day.hint(self.draft)
        result = self._stage(
            day, "fair shares", self.left_s * 0.5, maximise=False, goal=shares, overtime_at_most_min=overtime
        )
        bound = result.bound if result.found else 0
        if result.draft is not None and not self._take(result.draft, overtime_at_most_min=overtime):
            # Shares that the counted model finds may cost overtime; the exact model weighs both.
            day = self._exact_after_work()
            day.model.add(day.finish() <= int(self._value("finish")))
            day.model.add(day.overtime() <= overtime)
            shares = day.shares()
            day.model.add(shares >= bound)
            day.hint(self.draft)
            again = self._stage(day, "fair shares", self.left_s, maximise=False, goal=shares)
            if again.draft is not None:
                self._take(again.draft, overtime_at_most_min=overtime)
                bound = max(bound, again.bound)
        value = self._shares_now()
        self._note("fair shares", value, bound, proven=value <= bound, maximise=False)
        if not self.stop.is_set() and self.left_s > 0:
            day.model.add(shares <= int(value))
            goal = day.evenness()
            day.hint(self.draft)
            even = self._stage(
                day, "even minutes", min(2.0, self.left_s), maximise=False, goal=goal, quiet=True
            )
            if even.draft is not None:
                self._take(even.draft, overtime_at_most_min=overtime)

    # ------------------------------------------------------------------ pieces

    def _exact_after_work(self) -> DayModel:
        """The exact model with the work of stage 1 fixed."""
        day = DayModel(self.problem, named_support=True)
        day.model.add(day.work() >= int(self._value("work finished")))
        return day

    def _stage(
        self,
        day: DayModel,
        name: str,
        seconds: float,
        *,
        maximise: bool,
        goal: object = None,
        quiet: bool = False,
        overtime_at_most_min: int | None = None,
    ) -> StageResult:
        wanted = day.work() if goal is None else goal
        budget = Budget(max(0.2, seconds), self.workers, self.seed)

        def better(value: int, bound: int, draft: Draft) -> None:
            plan = None
            if self._take(draft, overtime_at_most_min=overtime_at_most_min, readable=False):
                plan = self._plan({})
            self._tell(name, value, bound, plan)

        result = run_stage(
            day,
            wanted,  # type: ignore[arg-type]
            maximise=maximise,
            budget=budget,
            stop=self.stop,
            on_incumbent=better if self.on_progress and not quiet else lambda value, bound, draft: None,
        )
        if self.workers == 1:
            self.spent_s += result.spent_s
        if result.solution:
            day.hint_values(list(result.solution))
        return result

    def _take(self, draft: Draft, *, overtime_at_most_min: int | None = None, readable: bool = True) -> bool:
        """Name the draft's people and keep it; False when its times allow no crew."""
        draft = trued(self.problem, draft)
        crew = name_crew(
            self.problem, draft, overtime_at_most_min=overtime_at_most_min, seed=self.seed, readable=readable
        )
        if crew is None:
            return False
        self.draft, self.crew = draft, crew
        return True

    def _plan(self, reasons: dict[str, tuple[Reason, ...]]) -> Plan:
        assert self.draft is not None and self.crew is not None
        plan = build_plan(
            self.problem,
            self.draft,
            self.crew,
            status=self.status,
            stages=tuple(self.stages.values()),
            reasons=reasons,
            seconds=self._elapsed(),
            seed=self.seed,
            workers=self.workers,
        )
        breaches = verdict(plan, self.problem.job)
        if breaches:
            lines = "\n".join(f"  {b.rule}: {b.sentence}" for b in breaches[:10])
            raise PlanRefused(f"A plan failed the independent check; it is not shown.\n{lines}")
        return plan

    def _value(self, name: str) -> float:
        assert self.draft is not None
        if name == "finish":
            ends = [d.undressed_min for d in self.draft.dives]
            ends += [t.start_min + self.problem.tasks[t.task].item.duration_min for t in self.draft.tasks]
            return max(ends, default=0)
        under = sum(
            self.problem.dives[d.work].weight * (d.bottom_time_min - self.problem.dives[d.work].descent_min)
            for d in self.draft.dives
        )
        above = sum(
            self.problem.tasks[t.task].weight * self.problem.tasks[t.task].item.duration_min
            for t in self.draft.tasks
        )
        return under + above

    def _shares_now(self) -> float:
        """Fair-shares value of the present draft, by the model's own formula."""
        assert self.draft is not None
        down = {p: 0 for d in self.problem.dives if d.slots for p in d.divers}
        by = {p: 0 for d in self.problem.dives if d.slots and d.standbys for p in d.standby_people}
        for person in self.problem.people:
            if person.name in down:
                down[person.name] = len(person.past_dives)
        for dive in self.draft.dives:
            for p, _ in dive.seats:
                down[p] += 1
            for p in dive.standby:
                by[p] += 1
        return sum(max(v.values()) - min(v.values()) if len(v) > 1 else 0 for v in (down, by))

    def _note(self, name: str, value: float, bound: float, *, proven: bool, maximise: bool) -> None:
        unit = {
            "work finished": "weighted minutes",
            "finish": "minute of the job",
            "fair shares": "turns",
        }.get(name, "minutes")
        self.stages[name] = Stage(
            name=name, unit=unit, value=value, bound=bound, maximise=maximise, proven=proven
        )

    def _tell(self, stage: str, value: float, bound: float, plan: Plan | None) -> None:
        if self.on_progress is not None:
            self.on_progress(Progress(self._elapsed(), stage, value, bound, plan))

    @property
    def left_s(self) -> float:
        """What is left of the budget: deterministic time with one worker, else the clock."""
        used = self.spent_s if self.workers == 1 else self._elapsed()
        return max(0.0, self.budget_s - used)

    def _elapsed(self) -> float:
        return time.perf_counter() - self.began

    def _nothing(self, first_s: float) -> Outcome:
        reasons = reasons_for(self.problem, None, proven=True)
        sentence = "Nothing of this job can be planned."
        if not self.problem.dives and not self.problem.tasks:
            sentence = "The job holds no work: add dive work or surface work."
        return Outcome(None, sentence, reasons, first_s, self._elapsed())

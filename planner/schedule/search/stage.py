"""One stage of the search: run the solver in a thread, pass on what it finds, stop when asked."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable
from dataclasses import dataclass, field

from ortools.sat.python import cp_model

from planner.cores import release_memory
from planner.schedule.draft.draft import Draft
from planner.schedule.model.day_model import DayModel
from planner.schedule.model.deadline import Deadline
from planner.schedule.model.solving import solved


@dataclass(frozen=True)
class Budget:
    """What a stage may spend of the search's time.

    ``by_core``: with two workers, one of them raises the bound by cores (sets of terms that cannot all be at
    their best), which proves sums over many dives far sooner.
    """

    seconds: float
    workers: int
    seed: int
    by_core: bool = False
    deadline: Deadline = field(default_factory=Deadline)


@dataclass(frozen=True)
class StageResult:
    """What a stage came to. ``draft`` is None when nothing was found in time."""

    found: bool
    infeasible: bool
    proven: bool
    value: int
    bound: int
    draft: Draft | None


class NamedOrStopped(threading.Event):
    """Set once a plan is named, or when the whole search is stopped."""

    def __init__(self, whole: threading.Event) -> None:
        super().__init__()
        self._whole = whole
        self.named = False

    def is_set(self) -> bool:
        return self.named or self._whole.is_set()


class _Watcher(cp_model.CpSolverSolutionCallback):
    """Runs in the solver's thread: puts plain values on a queue and does nothing else."""

    def __init__(self, day: DayModel, out: queue.SimpleQueue[tuple[int, int, Draft]]) -> None:
        super().__init__()
        self._day = day
        self._out = out

    def on_solution_callback(self) -> None:
        draft = self._day.draft(self.value)
        self._out.put((round(self.objective_value), round(self.best_objective_bound), draft))


def run_stage(
    day: DayModel,
    goal: cp_model.LinearExprT,
    *,
    maximise: bool,
    budget: Budget,
    stop: threading.Event,
    on_incumbent: Callable[[int, int, Draft], None],
) -> StageResult:
    """Optimise ``goal`` over the model until proven, out of budget or stopped.

    ``on_incumbent(value, bound, draft)`` is called in the caller's thread.
    """
    model = day.model
    model.clear_objective()
    if maximise:
        model.maximize(goal)
    else:
        model.minimize(goal)
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers = budget.workers
    parameters.random_seed = budget.seed
    parameters.catch_sigint_signal = False  # Ctrl-C is the caller's: it sets ``stop``
    budget.deadline.stage(solver, budget.seconds)
    if budget.workers == 2:
        parameters.subsolvers.extend(_pair(budget, day))
    if day.large:
        # Probing alone would take half a minute of the budget, and cannot be cut short by the time limit.
        parameters.cp_model_probing_level = 0
        parameters.max_presolve_iterations = 1
    found: queue.SimpleQueue[tuple[int, int, Draft]] = queue.SimpleQueue()
    watcher = _Watcher(day, found)
    if day.large:
        release_memory()
    status: list[object] = []
    worker = threading.Thread(target=lambda: status.append(solved(solver, model, watcher)), daemon=True)
    worker.start()
    try:
        while worker.is_alive():
            if stop.is_set():
                solver.stop_search()
            _pass_on(found, on_incumbent)
            worker.join(0.05)
    except BaseException:
        # Ctrl-C ends the search at once: what is done with its plan should not share the cores with it.
        solver.stop_search()
        raise
    if not status:
        raise RuntimeError("the solver's thread ended without a status")
    ended = status[0]
    if ended == cp_model.MODEL_INVALID:
        raise RuntimeError(f"the scheduler built an invalid model: {model.validate()}")
    _pass_on(found, on_incumbent)
    budget.deadline.spend(solver)
    if ended not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        bound = _bound(solver)
        return StageResult(False, ended == cp_model.INFEASIBLE, False, 0, bound, None)
    return StageResult(
        found=True,
        infeasible=False,
        proven=ended == cp_model.OPTIMAL,
        value=round(solver.objective_value),
        bound=_bound(solver),
        draft=day.draft(solver.value),
    )


def find_any(
    day: DayModel,
    model: cp_model.CpModel,
    seconds: float,
    deadline: Deadline | None = None,
    *,
    seed: int = 0,
) -> tuple[bool | None, Draft | None]:
    """One solve with one worker and what it finds, counted by steps, so that a busy machine answers the same.

    Parameters
    ----------
    model
        The day's model or a clone of it with more constraints.
    deadline
        Of the search that it is a part of.

    Returns
    -------
    tuple
        Whether there is a solution (None when the time did not decide it), and the draft of the one found.
    """
    solver, deadline = cp_model.CpSolver(), deadline or Deadline()
    solver.parameters.random_seed = seed
    deadline.step(solver, seconds)
    status = solved(solver, model)
    deadline.spend(solver)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return (False if status == cp_model.INFEASIBLE else None), None
    return True, day.draft(solver.value)


def _pair(budget: Budget, day: DayModel) -> tuple[str, str]:
    """The two searches that prove soonest on two cores, as tried (docs/scheduler.md)."""
    if day.large:
        # All linear relaxations take more memory than there is to spare.
        return "default_lp", "no_lp"
    if budget.by_core:
        return "max_lp", "core"
    # Where nobody dives, raising the bound step by step proves what nothing else does; of dives it proves
    # less.
    return ("default_lp" if day.dives else "objective_lb_search_max_lp"), "max_lp"


def _bound(solver: cp_model.CpSolver) -> int:
    bound = solver.best_objective_bound
    return round(bound) if abs(bound) < 1e15 else 0


def _pass_on(
    found: queue.SimpleQueue[tuple[int, int, Draft]], on_incumbent: Callable[[int, int, Draft], None]
) -> None:
    """Hand over the newest incumbent only; older ones are already beaten."""
    newest = None
    while not found.empty():
        newest = found.get()
    if newest is not None:
        on_incumbent(*newest)

"""The one deadline of a search: stages, hints, naming and every small solve between them keep it.

With more workers it is the clock. With one worker it is the solver's deterministic time, a count of its own
steps, so that a run repeats exactly whatever else the machine does; a second of it is given as many steps as
take a second on an idle machine.
"""

from __future__ import annotations

import math
import time

from ortools.sat.python import cp_model

#: Seconds that a deterministic second of the solver takes, as measured (docs/scheduler.md).
SECONDS_A_COUNTED = 4.0

#: Seconds that a constraint takes to be made, copied and read by the solver, so measured.
SECONDS_A_CONSTRAINT = 1e-4

#: The same to be copied, with most of it fixed.
SECONDS_A_COPIED_CONSTRAINT = 1e-5

#: A step that must end with an answer has this long even when nothing is left.
LEAST_STEP_S = 0.5


class Deadline:
    """What a search has left.

    Parameters
    ----------
    seconds
        The whole budget; without one every step takes what it may.
    counted
        By steps, not by the clock.
    """

    def __init__(self, seconds: float = math.inf, *, counted: bool = True) -> None:
        self.budget_s, self.counted = seconds, counted
        self.reserve_s = 0.0
        """Kept back for naming, judging and telling the last plan."""
        self._began = time.perf_counter()
        self._spent_s = 0.0

    @property
    def elapsed_s(self) -> float:
        """Seconds by the clock."""
        return time.perf_counter() - self._began

    @property
    def left_s(self) -> float:
        """Seconds left for the search."""
        return max(0.0, self.whole_left_s - self.reserve_s)

    @property
    def whole_left_s(self) -> float:
        """Seconds left with those kept back."""
        return max(0.0, self.budget_s - self._used_s)

    @property
    def _used_s(self) -> float:
        return self._spent_s if self.counted else self.elapsed_s

    def stage(self, solver: cp_model.CpSolver, seconds: float) -> None:
        """Give a stage's solve so many seconds."""
        if self.counted:
            solver.parameters.max_deterministic_time = seconds / SECONDS_A_COUNTED
        else:
            solver.parameters.max_time_in_seconds = seconds

    def step(self, solver: cp_model.CpSolver, seconds: float) -> None:
        """Give a small solve with one worker so many seconds, and by the clock no more than there are."""
        solver.parameters.num_workers = 1
        solver.parameters.catch_sigint_signal = False
        solver.parameters.max_deterministic_time = seconds / SECONDS_A_COUNTED
        if not self.counted:
            left = max(LEAST_STEP_S, self.whole_left_s)
            solver.parameters.max_time_in_seconds = min(left, 4 * seconds + LEAST_STEP_S)

    def spend(self, solver: cp_model.CpSolver) -> None:
        """Count what a solve has taken."""
        self._spent_s += SECONDS_A_COUNTED * solver.response_proto.deterministic_time

    def spend_model(self, model: cp_model.CpModel) -> None:
        """Count the making of a model."""
        self._spent_s += SECONDS_A_CONSTRAINT * len(model.proto.constraints)

    def spend_copy(self, model: cp_model.CpModel) -> None:
        """Count a copy of a model in which most is fixed."""
        self._spent_s += SECONDS_A_COPIED_CONSTRAINT * len(model.proto.constraints)

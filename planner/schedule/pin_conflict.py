"""Which pins cannot be kept together: each left out in turn, and the rest solved."""

from __future__ import annotations

import threading

from ortools.sat.python import cp_model

from planner.job import Job, Pin
from planner.schedule.model import DayModel
from planner.schedule.prepare import prepare

#: Seconds for each small solve.
SECONDS = 3.0


def pins_in_the_way(job: Job, stop: threading.Event) -> str:
    """A sentence: the pins of which each one alone, left out, lets the rest be kept; or what is not known."""
    known = _can_be_kept(job)
    if known:
        return "Nothing of this job can be planned beside its pins."
    if known is None:
        return "The pins could not all be kept in the time given; not proven why."
    to_blame = []
    for k, pin in enumerate(job.pins):
        if stop.is_set():
            break
        rest = (*job.pins[:k], *job.pins[k + 1 :])
        if _can_be_kept(job.replace(pins=rest)):
            to_blame.append(f"pin {k + 1} ({told(job, pin)})")
    if not to_blame:
        return "The pins contradict one another or the rules of the job, and leaving out one is not enough."
    return f"The pins cannot all be kept. Leaving out one of these is enough: {'; '.join(to_blame)}."


def told(job: Job, pin: Pin) -> str:
    """A pin in a few words."""
    parts = [pin.person, pin.kind.value, pin.item, pin.duty, pin.station]
    window = pin.window
    if window is not None:
        first, last = (job.clock.hhmm(m) for m in window)
        parts.append(first if first == last else f"{first}-{last}")
    return " ".join(str(p) for p in parts if p)


def _can_be_kept(job: Job) -> bool | None:
    """Whether some plan keeps every pin; None when the time does not decide it."""
    day = DayModel(prepare(job), named_support=True)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = SECONDS
    status = solver.solve(day.model)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return True
    return False if status == cp_model.INFEASIBLE else None

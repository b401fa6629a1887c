"""What a plan claims of itself, put beside another plan that the check accepts.

The values of the stages are worked out by the check's own functions; of the scheduler only the bounds are
taken, which are what is attacked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from planner.check.facts import Facts
from planner.check.stages import VALUES, WORK_FINISHED, stage_kinds
from planner.job import Job
from planner.plan import Plan, Stage

#: Stage by name → its value.
Values = Mapping[str, int]

#: Below this two values are the same: bounds are kept as floats.
SAME = 1e-6


def values_of(job: Job, plan: Plan) -> dict[str, int]:
    """The value of every stage of the job that can be worked out from a plan."""
    facts = Facts(job, plan)
    found = {kind.name: VALUES[kind](facts) for kind in stage_kinds(job)}
    return {name: value for name, value in found.items() if value is not None}


def broken_bound(stages: Sequence[Stage], values: Values) -> str | None:
    """The first bound that a plan with those values beats, in a sentence; None where it beats none.

    A bound holds for every plan that is at least as good in each stage before it; a plan that is worse in one
    of them is no witness against the later bounds.
    """
    for stage in stages:
        value = values.get(stage.name)
        if value is None:
            return None
        more = value - stage.bound if stage.maximise else stage.bound - value
        if more > SAME:
            called = "proven" if stage.proven else "bound"
            told = f"{stage.name}: {stage.bound:g} {stage.unit} ({called}, value {stage.value:g})"
            return f"{told}, beaten by {value}"
        worse = stage.value - value if stage.maximise else value - stage.value
        if worse > SAME:
            return None
    return None


def as_key(values: Values) -> tuple[int, ...]:
    """The values in strict order, the less the better: what plans are sorted by."""
    return tuple(-value if name == WORK_FINISHED.name else value for name, value in values.items())

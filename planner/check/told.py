"""What a plan must tell of itself: what is left over and why, and the values of its objective."""

from __future__ import annotations

from collections.abc import Iterator

from planner.check.facts import Facts
from planner.check.hours import working_days
from planner.check.rule import PLAN_DEFINITIONS, Basis, Rule, convicts_by
from planner.job.duties import DIVER
from planner.plan.finding import Finding
from planner.plan.model import Stage, Status

#: Names of the stages whose value the plan itself proves.
WORK_FINISHED, FINISH = "work finished", "finish"
SAME_DIVER, PEOPLE_HOURS = "same diver", "people-hours"

#: Stage values are whole minutes or weighted minutes; less than half of one is rounding.
TOLERANCE = 0.5


@convicts_by(
    Rule(
        "leftovers-told",
        "Every item that is not completely done is listed with its minutes and at least one reason, and "
        "no item that is done is listed.",
        PLAN_DEFINITIONS,
        Basis.ARITHMETIC,
    )
)
def leftovers(facts: Facts) -> Iterator[Finding]:
    told = {left.item: left for left in facts.plan.leftovers}
    for item in facts.job.items:
        done, needed = facts.worked_min(item.name), facts.needed_min(item.name)
        left = told.get(item.name)
        where = f"left over: {item.name}"
        if left is None:
            if done < needed:
                yield Finding(
                    "leftovers-told",
                    f"{done} of {needed} min of {item.name} are planned and it is not listed.",
                    where,
                )
            continue
        if done >= needed:
            yield Finding("leftovers-told", f"{item.name} is completely planned and still listed.", where)
            continue
        if (left.planned_min, left.needed_min) != (done, needed):
            yield Finding(
                "leftovers-told",
                f"It is listed with {left.planned_min} of {left.needed_min} min; the plan does {done} of "
                f"{needed}.",
                where,
            )
        if not any(reason.sentence.strip() for reason in left.reasons):
            yield Finding("leftovers-told", f"No reason is given why {item.name} is left over.", where)


def work_finished(facts: Facts) -> int:
    """Priority weight times minutes done, over all items: the first stage of the objective."""
    weights = facts.job.rules.priority_weights
    return sum(weights[item.priority - 1] * facts.worked_min(item.name) for item in facts.job.items)


def finish_min(facts: Facts) -> int:
    """When the last diver is undressed or the last surface task ends, job minutes; 0 without either."""
    ends = [k.dive.undressed_min for k in facts.dives] + [task.end_min for task, _ in facts.tasks]
    return max(ends, default=0)


def divers_beyond_one_team(facts: Facts) -> int:
    """Over the items for which the same diver is preferred: different working divers less one team."""
    beyond = 0
    for item in facts.job.dive_items:
        if item.same_diver:
            own = [k for k in facts.dives if k.item.name == item.name]
            different = {d.person for k in own for d in k.dive.divers if d.duty == DIVER}
            beyond += max(0, len(different) - item.divers)
    return beyond


def people_minutes(facts: Facts) -> int:
    """Minutes from first duty to last, over everyone and each of his working days."""
    return sum(
        end - start
        for spells in facts.spells_of_person.values()
        for start, end in working_days(facts, spells)
    )


@convicts_by(
    Rule(
        "objective-values",
        "The values of the objective's stages can be worked out again from the plan, no bound "
        "contradicts its value, and only a plan whose stages are all proven is called proven best.",
        PLAN_DEFINITIONS,
        Basis.ARITHMETIC,
        limits=("priority_weights",),
    )
)
def objective(facts: Facts) -> Iterator[Finding]:
    true = {
        WORK_FINISHED: work_finished(facts),
        SAME_DIVER: divers_beyond_one_team(facts),
        PEOPLE_HOURS: people_minutes(facts),
    }
    if facts.dives or facts.tasks:
        true[FINISH] = finish_min(facts)
    unproven = [stage.name for stage in facts.plan.stages if not stage.proven]
    if facts.plan.status is Status.PROVEN_BEST and unproven:
        yield Finding(
            "objective-values",
            f"The plan is called {facts.plan.status}; not proven: {', '.join(unproven)}.",
            "plan",
        )
    for stage in facts.plan.stages:
        where = f"stage {stage.name}"
        want = true.get(stage.name)
        if want is not None and not abs(stage.value - want) <= TOLERANCE:
            yield Finding(
                "objective-values",
                f"The plan gives {stage.value:g} {stage.unit}; its dives and tasks add up to {want}.",
                where,
            )
        fault = _bound_fault(stage)
        if fault is not None:
            yield Finding("objective-values", fault, where)


def _bound_fault(stage: Stage) -> str | None:
    """What is wrong between a stage's value and its bound; None when nothing."""
    if stage.value != stage.value or stage.bound != stage.bound:
        return "Its value or its bound is not a number."
    over = stage.value - stage.bound if stage.maximise else stage.bound - stage.value
    if over > TOLERANCE:
        better = "more" if stage.maximise else "less"
        return f"The value {stage.value:g} is {better} than the proven bound {stage.bound:g}."
    if stage.proven and abs(stage.value - stage.bound) > TOLERANCE:
        return f"It is called proven with the value {stage.value:g} and the bound {stage.bound:g}."
    return None

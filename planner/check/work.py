"""How much of each item is done, by how many, and what a plan must tell of itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from planner.check.facts import Facts, first_gap
from planner.check.hours import working_days
from planner.job.duties import DIVER
from planner.plan.finding import Finding
from planner.plan.model import Stage, Status

#: Names of the stages whose value the plan itself proves.
WORK_FINISHED, FINISH = "work finished", "finish"
SAME_DIVER, PEOPLE_HOURS = "same diver", "people-hours"

#: Stage values are whole minutes or weighted minutes; less than half of one is rounding.
TOLERANCE = 0.5


def item_work(facts: Facts) -> Iterator[Finding]:
    """Rules ``item-whole``, ``least-useful``, ``work-not-exceeded`` and ``divers-at-a-time``."""
    for known in facts.dives:
        item = known.item
        work = known.dive.leave_bottom_min - known.dive.reach_bottom_min
        if not item.splittable:
            if work < item.bottom_work_min:
                yield Finding(
                    "item-whole",
                    f"{item.name} may not be split and needs {item.bottom_work_min} min; this dive works "
                    f"{work}.",
                    known.where,
                )
        elif work < min(item.least_useful_min, item.bottom_work_min):
            least = min(item.least_useful_min, item.bottom_work_min)
            yield Finding(
                "least-useful",
                f"It works {work} min on {item.name}; less than {least} min is of no use.",
                known.where,
            )
        working = {d.person for d in known.dive.divers if d.duty == DIVER}
        if len(working) != item.divers:
            yield Finding(
                "divers-at-a-time",
                f"{len(working)} working divers; {item.name} asks for {item.divers}.",
                known.where,
            )
    tasks = Counter(item.name for _, item in facts.tasks)
    for task, surface in facts.tasks:
        length = task.end_min - task.start_min
        if length < surface.duration_min:
            yield Finding(
                "item-whole",
                f"{surface.name} takes {surface.duration_min} min in one go; this task runs {length}.",
                surface.name,
            )
        if tasks[surface.name] > 1 and length <= surface.duration_min:
            tasks[surface.name] = 0
            yield Finding("work-not-exceeded", f"{surface.name} is planned more than once.", surface.name)
        elif length > surface.duration_min:
            yield Finding(
                "work-not-exceeded",
                f"{surface.name} takes {surface.duration_min} min; this task runs {length}.",
                surface.name,
            )
    for item in facts.job.dive_items:
        done = facts.worked_min(item.name)
        if done > item.bottom_work_min:
            yield Finding(
                "work-not-exceeded",
                f"{done} min are planned for {item.name}, which needs {item.bottom_work_min}.",
                item.name,
            )


def surface_crews(facts: Facts) -> Iterator[Finding]:
    """Rule ``surface-crew``."""
    for task, item in facts.tasks:
        needs: Counter[str] = Counter()
        for need in item.crew:
            needs[need.duty] += need.count
        for duty, count in needs.items():
            own = [s for s in facts.spells if s.dive is None and s.item == item.name and s.duty == duty]
            gap = first_gap(own, task.start_min, task.end_min, count)
            if gap is not None:
                yield Finding(
                    "surface-crew",
                    f"{gap[2]} in the duty {duty} {facts.stretch(gap[0], gap[1])}; {item.name} asks for "
                    f"{count}.",
                    item.name,
                )


def leftovers(facts: Facts) -> Iterator[Finding]:
    """Rule ``leftovers-told``."""
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


def objective(facts: Facts) -> Iterator[Finding]:
    """Rule ``objective-values``."""
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

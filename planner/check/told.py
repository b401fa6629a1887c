"""What a plan must tell of itself: what is left over, and why."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from planner.check.facts import Facts
from planner.check.rule import PLAN_DEFINITIONS, Basis, Rule, convicts_by
from planner.plan.finding import Finding

#: Rules that speak of what a plan tells of itself: no dive and no duty breaks them.
OWN_WORDS = frozenset({"leftovers-told", "objective-stages", "objective-values"})


@convicts_by(
    Rule(
        "leftovers-told",
        "Every item that is not completely done is listed once, with its minutes and at least one "
        "reason, and no item that is done is listed.",
        PLAN_DEFINITIONS,
        Basis.ARITHMETIC,
    )
)
def leftovers(facts: Facts) -> Iterator[Finding]:
    told = {left.item: left for left in facts.plan.leftovers}
    for name, times in Counter(left.item for left in facts.plan.leftovers).items():
        if times > 1:
            yield Finding("leftovers-told", f"{name} is listed {times} times.", f"left over: {name}")
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

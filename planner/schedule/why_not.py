"""Why is somebody not diving at a time: the dive is pinned, and what happens is told.

Either the day holds with it, and what it costs is told; or the rules in its way are, by id, with this job's
names and numbers. Nothing is called impossible that was not proven so.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.errors import PlanRefused
from planner.job import Job, Pin, PinKind
from planner.plan.model import Plan, Reason
from planner.schedule.explain.blocked_dive import standing_in_the_way
from planner.schedule.explain.pin_conflict import can_be_kept, fewest_pins, kept_by, left_out, pin_in_words
from planner.schedule.problem.prepare import prepare
from planner.schedule.solve import solve


@dataclass(frozen=True)
class WhyNot:
    """What pinning one dive comes to.

    Parameters
    ----------
    item
        The item it was pinned on.
    holds
        Whether some plan has that dive; None when the time did not decide it.
    reasons
        The rules in the way; or, when it holds, what it costs.
    plan
        The best plan found with the dive; None when there is none.
    """

    item: str
    holds: bool | None
    reasons: tuple[Reason, ...]
    plan: Plan | None = None


def why_not(
    job: Job,
    diver: str,
    leave_min: int,
    *,
    item: str | None = None,
    plan: Plan | None = None,
    seconds: float = 10.0,
    workers: int | None = None,
) -> tuple[WhyNot, ...]:
    """Why ``diver`` does not leave the surface at ``leave_min``, for one dive item or for each.

    Parameters
    ----------
    leave_min
        Job minute of leave surface.
    plan
        The plan that is asked about; made where not given.
    seconds
        Budget of each plan that is made to tell a cost.

    Raises
    ------
    KeyError
        No such person or dive item in the job.
    """
    job.person(diver)
    names = [job.dive_item(item).name] if item is not None else [i.name for i in job.dive_items]
    if plan is None:
        plan = solve(job, seconds=seconds, workers=workers).plan
    return tuple(_one(job, diver, leave_min, name, plan, seconds, workers) for name in names)


def _one(
    job: Job, diver: str, leave_min: int, name: str, plan: Plan | None, seconds: float, workers: int | None
) -> WhyNot:
    for dive in plan.dives if plan is not None else ():
        same = dive.item == name and dive.leave_surface_min == leave_min
        if same and any(d.person == diver for d in dive.divers):
            return WhyNot(name, True, (Reason(rule=None, sentence="The plan has that dive."),), plan)
    problem = prepare(job)
    standing = standing_in_the_way(problem, name, diver, leave_min)
    if standing:
        return WhyNot(name, False, tuple(standing))
    pin = Pin(kind=PinKind.DIVES, item=name, person=diver, start_min=leave_min)
    pinned = job.replace(pins=(*job.pins, pin))
    kept, start = kept_by(pinned, most_work=True)
    if kept is None:
        late = Reason(
            rule=None, sentence="Whether it can be was not decided in the time given: not proven why."
        )
        return WhyNot(name, None, (late,))
    if not kept:
        return WhyNot(name, False, tuple(_conflict(pinned, pin)))
    try:
        outcome = solve(pinned, seconds=seconds, workers=workers, start=start)
    except PlanRefused as refused:
        return WhyNot(name, None, (Reason(rule=None, sentence=str(refused)),))
    if outcome.plan is None:
        return WhyNot(
            name, None, (Reason(rule=None, sentence="No plan with it was found in the time given."),)
        )
    return WhyNot(name, True, (_cost(job, plan, outcome.plan),), outcome.plan)


def _conflict(pinned: Job, pin: Pin) -> list[Reason]:
    """Proven: the dive cannot be. Which other pins, or which rules of the job, each keep it out."""
    found: list[Reason] = []
    # The pin that was asked about stays; the fewest of the others that shut it out are named.
    core = fewest_pins(pinned, keep=(pin,))
    if core is None:
        return [Reason(rule=None, sentence="It cannot be; not proven why in the time given.")]
    others = [p for p in core if p != pin]
    if others:
        words = "; ".join(f"pin {pinned.pins.index(p) + 1} ({pin_in_words(pinned, p)})" for p in others)
        them = "it contradicts" if len(others) == 1 else "they together contradict"
        found.append(
            Reason(rule="pins-kept", sentence=f"Pinned already: {words}; {them} it, each needed for that.")
        )
        return found
    alone = pinned.replace(pins=(pin,))
    for rule, sentence, without in left_out(alone, pin):
        if can_be_kept(without):
            found.append(Reason(rule=rule, sentence=sentence))
    if not found:
        found.append(
            Reason(
                rule=None,
                sentence="It cannot be, proven; no single rule left out in turn is alone in the way.",
            )
        )
    return found


def _cost(job: Job, before: Plan | None, after: Plan) -> Reason:
    """What the best plan found with the dive does less, or later, than the plan asked about."""
    if before is None:
        return Reason(rule=None, sentence="A plan with it was found; there is no plan to compare with.")
    lead = "It can be: a checked plan with that dive was found."
    less = [
        f"{i.name} {after.worked_min(i.name)} min instead of {before.worked_min(i.name)}"
        for i in job.items
        if after.worked_min(i.name) != before.worked_min(i.name)
    ]
    values = {s.name: s for s in before.stages}
    for stage in after.stages:
        old = values.get(stage.name)
        if old is None or old.value == stage.value:
            continue
        worse = (stage.value < old.value) == stage.maximise
        shown = [f"{v:.0f}" for v in (old.value, stage.value)]
        if stage.name == "finish":
            shown = [job.clock.hhmm(round(v)) for v in (old.value, stage.value)]
        sure = "" if stage.proven and old.proven else " (not both proven best)"
        change = (
            f"{'It costs' if worse else 'It gains'}: {stage.name} {shown[0]} becomes {shown[1]}"
            f"{'' if stage.name == 'finish' else ' ' + stage.unit}{sure}."
        )
        return Reason(
            rule=None, sentence=" ".join([lead, change, *([f"{'; '.join(less)}."] if less else [])])
        )
    return Reason(
        rule=None, sentence=f"{lead} It costs nothing in any stage: the plan is one of several as good."
    )

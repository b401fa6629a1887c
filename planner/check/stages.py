"""The stages of the objective that a plan tells of itself: which there are, and every value worked out again.

The values come from the plan's times and names, the job and the tables alone; what the scheduler says of them
is only compared. A bound is the search's own word: it is held to be no worse than the value, and met where
the stage is called proven.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from itertools import pairwise, zip_longest

from planner.check.facts import Facts
from planner.check.hours import working_days
from planner.check.people import medical_expired, missing_certificates, missing_for_duty
from planner.check.rest import rest_limits, short_rests
from planner.check.rule import PLAN_DEFINITIONS, Basis, Rule, convicts_by
from planner.gear.outfits import outfit_fits
from planner.job.base import joined
from planner.job.duties import DIVER, STANDBY, duty_qualifies
from planner.job.job import Job
from planner.job.people import Person
from planner.job.pins import PinKind
from planner.job.work import DiveItem
from planner.plan.changed import changed_duties
from planner.plan.finding import Finding
from planner.plan.model import Plan, Stage, Status
from planner.words.plan import CLOCK_UNIT


@dataclass(frozen=True)
class StageKind:
    """What a stage is called, what it is counted in, and whether more is better."""

    name: str
    unit: str
    maximise: bool = False


WORK_FINISHED = StageKind("work finished", "weighted minutes", maximise=True)
CHANGED_DUTIES = StageKind("changed duties", "duties given or taken away")
MINUTES_IN_HAND = StageKind("minutes in hand", "minutes short of the margin")
FINISH = StageKind("finish", CLOCK_UNIT)
OVERTIME = StageKind("overtime", "minutes")
DECOMPRESSION = StageKind("decompression", "minutes on the way up")
NITROGEN = StageKind("nitrogen", "groups, A as 1")
SAME_DIVER = StageKind("same diver", "divers beyond one team")
IN_ONE_GO = StageKind("in one go", "minutes between dives")
FAIR_SHARES = StageKind("fair shares", "turns")
PEOPLE_HOURS = StageKind("people-hours", "minutes on site")


def same_diver_asked(job: Job) -> bool:
    """Whether the job prefers the same diver for an item that may take more than one dive."""
    return any(item.same_diver and item.splittable for item in job.dive_items)


def one_go_asked(job: Job) -> bool:
    """Whether the job prefers an item that may take more than one dive to be done in one go."""
    return any(item.in_one_go and item.splittable for item in job.dive_items)


def margin_asked(job: Job) -> bool:
    """Whether the job wants minutes in hand on any of its dives."""
    return any(job.margin_wanted_of(item) for item in job.dive_items)


#: The stages that a job may put in another order, by name.
MOVED: dict[str, StageKind] = {
    kind.name: kind
    for kind in (
        MINUTES_IN_HAND,
        FINISH,
        OVERTIME,
        DECOMPRESSION,
        NITROGEN,
        SAME_DIVER,
        IN_ONE_GO,
        FAIR_SHARES,
        PEOPLE_HOURS,
    )
}


def stage_kinds(job: Job, *, beside_a_plan_in_force: bool = False) -> tuple[StageKind, ...]:
    """The stages of a job's objective in strict order.

    The work comes first: on a day without any, every other stage is at its best. Beside a plan in force its
    changes come second, since that plan is posted. The rest stand in the job's own order
    (`planner.job.crew_rules.STAGE_ORDER` as shipped).
    """
    asked = {
        MINUTES_IN_HAND: margin_asked(job),
        SAME_DIVER: same_diver_asked(job),
        IN_ONE_GO: one_go_asked(job),
    }
    moved = (MOVED[name] for name in job.rules.stage_order)
    return (
        WORK_FINISHED,
        *((CHANGED_DUTIES,) if beside_a_plan_in_force else ()),
        *(kind for kind in moved if asked.get(kind, True)),
    )


def work_finished(facts: Facts) -> int:
    """Priority weight times minutes done, over all items."""
    weights = facts.job.rules.priority_weights
    return sum(weights[item.priority - 1] * facts.worked_min(item.name) for item in facts.job.items)


def changed(facts: Facts) -> int | None:
    """Duties given or taken away beside the plan in force; None where that is not known."""
    return None if facts.in_force is None else changed_duties(facts.in_force, facts.plan).count


def minutes_short(facts: Facts) -> int | None:
    """Over all dives, minutes missing to the margin wanted, each by the diver who has the fewest left.

    None where the tables say nothing of a diver.
    """
    short = 0
    for known in facts.dives:
        found = [e.exposure for e in facts.exposures.of_dive(known.dive.id)]
        left = [e.row_left_min for e in found if e is not None]
        if len(left) < len(found):
            return None
        short += max(0, facts.job.margin_wanted_of(known.item) - min(left, default=0))
    return short


def finish_min(facts: Facts) -> int | None:
    """When the last diver is undressed or the last surface task ends, job minutes; None without either.

    No earlier than the job calls early enough on that working day.
    """
    ends = [k.dive.undressed_min for k in facts.dives] + [task.end_min for task, _ in facts.tasks]
    return facts.job.finish_counted_min(max(ends)) if ends else None


def spans_of_days(facts: Facts) -> list[int]:
    """Minutes from first duty to last, of everyone and each of his working days."""
    return [
        end - start
        for spells in facts.spells_of_person.values()
        for start, end in working_days(facts, spells)
    ]


def overtime_min(facts: Facts) -> int:
    """Minutes past the ordinary day, of everyone and each of his working days."""
    ordinary = facts.job.rules.overtime_after_min
    return sum(max(0, length - ordinary) for length in spans_of_days(facts))


def decompression_min(facts: Facts) -> int | None:
    """Minutes on the way up, each diver's rounded up; None where the tables say nothing of one."""
    found = [e.exposure for e in facts.exposures.all]
    return sum(math.ceil(e.schedule.ascent_s / 60) for e in found if e) if all(found) else None


def nitrogen_groups(facts: Facts) -> int | None:
    """Repetitive groups at surfacing, A as 1 and so on, one more than the highest where none is printed.

    None where the tables say nothing of a diver.
    """
    found = [e.exposure for e in facts.exposures.all]
    return sum(facts.job.tables.rank_after(e.group_after) for e in found if e) if all(found) else None


def divers_beyond_one_team(facts: Facts) -> int:
    """Over the items for which the same diver is preferred: different working divers less one team."""
    beyond = 0
    for item in facts.job.dive_items:
        if item.same_diver:
            own = [k for k in facts.dives if k.item.name == item.name]
            different = {d.person for k in own for d in k.dive.divers if d.duty == DIVER}
            beyond += max(0, len(different) - item.divers)
    return beyond


def between_dives_min(facts: Facts) -> int:
    """Over the items that are preferred in one go: minutes in which nobody is down, between the first diver
    leaving the surface and the last one back at it, nights among them."""
    between = 0
    for item in facts.job.dive_items:
        if item.in_one_go:
            down = joined(k.water for k in facts.dives if k.item.name == item.name)
            between += sum(after[0] - before[1] for before, after in pairwise(down))
    return between


def uneven_turns(facts: Facts) -> int:
    """Spread of dives (past ones too) plus spread of turns standing by, over those who may have them."""
    down, by = share_takers(facts.job)
    dives = {name: len(facts.people[name].past_dives) for name in down}
    turns = dict.fromkeys(by, 0)
    for known in facts.dives:
        for name in {d.person for d in known.divers()} & facts.people.keys():
            dives[name] = dives.get(name, len(facts.people[name].past_dives)) + 1
        for name in {s.person for s in facts.holders(known, STANDBY)}:
            turns[name] = turns.get(name, 0) + 1
    return sum(max(own.values()) - min(own.values()) for own in (dives, turns) if own)


def people_min(facts: Facts) -> int:
    """Minutes from first duty to last, over everyone and each of his working days."""
    return sum(spans_of_days(facts))


#: How the value of each stage is worked out; None where it cannot be.
VALUES: dict[StageKind, Callable[[Facts], int | None]] = {
    WORK_FINISHED: work_finished,
    CHANGED_DUTIES: changed,
    MINUTES_IN_HAND: minutes_short,
    FINISH: finish_min,
    OVERTIME: overtime_min,
    DECOMPRESSION: decompression_min,
    NITROGEN: nitrogen_groups,
    SAME_DIVER: divers_beyond_one_team,
    IN_ONE_GO: between_dives_min,
    FAIR_SHARES: uneven_turns,
    PEOPLE_HOURS: people_min,
}


def stage_value(job: Job, plan: Plan, kind: StageKind) -> int | None:
    """The value of one stage, worked out from a plan; None where it cannot be."""
    return VALUES[kind](Facts(job, plan))


def share_takers(job: Job) -> tuple[set[str], set[str]]:
    """Who may have a dive of the job, and who may stand by for one: between them the turns are shared.

    Whoever has a minute of duty at all, and on the job's first day is fit for a dive item and has an outfit
    for it: with the days medicals, certificates and inspections only run out. A pin that keeps a person out
    of the water for an item leaves him to stand by.
    """
    down, by, day = set(), set(), job.site.first_day
    for person in job.people:
        if not duty_qualifies(person.duties, DIVER) or not _may_have_duty(job, person):
            continue
        up = [p.item for p in job.pins if p.kind is PinKind.STAYS_UP and p.person == person.name]
        for item in job.dive_items:
            if not _fit(job, person, item, day):
                continue
            if not missing_for_duty(job.rules, person, STANDBY, day):
                by.add(person.name)
            if None not in up and item.name not in up and not missing_for_duty(job.rules, person, DIVER, day):
                down.add(person.name)
    return down, by


def _fit(job: Job, person: Person, item: DiveItem, day: date) -> bool:
    """Whether a person may go down to an item on a day, at the lowest water where the tide counts."""
    lowest = min((mark.level_ft for mark in job.tide_marks), default=0.0) if item.depth_follows_tide else 0.0
    return (
        person.depth_rating_fsw >= max(1, item.depth_fsw + lowest - 1e-9)
        and not medical_expired(person, day)
        and not missing_certificates(person, item, day)
        and any(
            outfit_fits(outfit, item, person, day, job.hazard_ft(item.name)) is None for outfit in job.outfits
        )
    )


def _may_have_duty(job: Job, person: Person) -> bool:
    """Whether a minute of a person's hours is left: not pinned away, and rested from before the job."""
    from_min = -math.inf
    if person.last_duty_end_min is not None:
        from_min = person.last_duty_end_min + job.rules.rest_before_duty_min
    away = [
        p.window
        for p in job.pins
        if p.kind is PinKind.AWAY and p.person == person.name and p.window is not None
    ]
    past = [(s.start_min, s.end_min) for s in person.past_work]
    limits = rest_limits(job.rules)
    for span in job.available(person):
        # the last minute that is not pinned away is the most rested
        last = span.end_min
        while any(start < last <= stop for start, stop in away):
            last = min(start for start, stop in away if start < last <= stop)
        if last <= span.start_min or last <= from_min:
            continue
        if not short_rests([*past, (last - 1, last)], limits, last - 1):
            return True
    return False


@convicts_by(
    Rule(
        "objective-stages",
        "The stages of the objective are the work finished, beside a plan in force its changed duties, and "
        "the rest in the job's order, each once, with its own unit and direction: "
        "all of them in a plan that is proven best or the best looked for; all or, where nobody searched "
        "(moved by hand, a day with what has happened), none in another checked plan; the first of them in "
        "one whose search goes on.",
        PLAN_DEFINITIONS,
        Basis.ARITHMETIC,
        limits=("stage_order",),
    )
)
def stages_told(facts: Facts) -> Iterator[Finding]:
    plan, job = facts.plan, facts.job
    beside = facts.in_force is not None or any(s.name == CHANGED_DUTIES.name for s in plan.stages)
    kinds = stage_kinds(job, beside_a_plan_in_force=beside)
    whole = len(plan.stages) >= len(kinds)
    unsearched = not plan.stages and plan.status is Status.FEASIBLE
    if not (whole or unsearched or plan.status is Status.CONSTRUCTIVE):
        missing = ", ".join(k.name for k in kinds if k.name not in {s.name for s in plan.stages})
        yield Finding(
            "objective-stages", f"The plan is called {plan.status}; it does not tell: {missing}.", "plan"
        )
    for number, (stage, kind) in enumerate(zip_longest(plan.stages, kinds), start=1):
        if stage is None:
            break
        if kind is None or stage.name != kind.name:
            wanted = "there is none" if kind is None else f"it is {kind.name}"
            yield Finding(
                "objective-stages",
                f"Stage {number} is told as {stage.name}; {wanted}. A plan made by another order of what "
                "counts, or before minutes in hand were counted, is planned again.",
                f"stage {stage.name}",
            )
            break
        if (stage.unit, stage.maximise) != (kind.unit, kind.maximise):
            yield Finding(
                "objective-stages",
                f"It is counted in {kind.unit}, and {'more' if kind.maximise else 'less'} is better.",
                f"stage {stage.name}",
            )


@convicts_by(
    Rule(
        "objective-values",
        "Every stage's value can be worked out again from the plan, no bound contradicts its value, a stage "
        "that is proven meets its bound, and only a plan whose stages are all proven is called proven best.",
        PLAN_DEFINITIONS,
        Basis.ARITHMETIC,
        limits=("priority_weights", "overtime_after_min", "margin_wanted_min"),
    )
)
def objective(facts: Facts) -> Iterator[Finding]:
    unproven = [stage.name for stage in facts.plan.stages if not stage.proven]
    if facts.plan.status is Status.PROVEN_BEST and unproven:
        yield Finding(
            "objective-values",
            f"The plan is called {facts.plan.status}; not proven: {', '.join(unproven)}.",
            "plan",
        )
    by_name = {kind.name: kind for kind in VALUES}
    for stage in facts.plan.stages:
        where = f"stage {stage.name}"
        kind = by_name.get(stage.name)
        want = None if kind is None else VALUES[kind](facts)
        if want is not None and stage.value != want:
            yield Finding(
                "objective-values",
                f"The plan gives {stage.value:g} {stage.unit}; its dives and duties add up to {want}.",
                where,
            )
        fault = _bound_fault(stage)
        if fault is not None:
            yield Finding("objective-values", fault, where)


def _bound_fault(stage: Stage) -> str | None:
    """What is wrong between a stage's value and its bound; None when nothing."""
    if math.isnan(stage.value) or math.isnan(stage.bound):
        return "Its value or its bound is not a number."
    if stage.value < 0 or not stage.value.is_integer():
        return f"Its value {stage.value:g} is no whole number of {stage.unit}."
    over = stage.value - stage.bound if stage.maximise else stage.bound - stage.value
    if over > 0:
        better = "more" if stage.maximise else "less"
        return f"The value {stage.value:g} is {better} than the proven bound {stage.bound:g}."
    if stage.proven and over != 0:
        return f"It is called proven with the value {stage.value:g} and the bound {stage.bound:g}."
    return None

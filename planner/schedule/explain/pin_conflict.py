"""Why there is no plan: which pins cannot be kept together, each left out in turn and the rest solved."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace

from planner.job import Certificate, DiveItem, Job, Outfit, Person, Pin
from planner.job.duties import DIVER, DRESSED_DUTIES, STANDBY, crew_rule_of
from planner.plan.model import Plan, Status
from planner.schedule.crews.assignment import name_crew
from planner.schedule.draft.build import build_plan, with_true_ascents
from planner.schedule.draft.draft import Draft
from planner.schedule.model.day_model import DayModel
from planner.schedule.problem.prepare import prepare
from planner.schedule.problem.problem import Problem
from planner.schedule.search.stage import find_any

#: Seconds for each small solve, counted by the solver's steps.
SECONDS = 40.0


def no_plan_in_words(problem: Problem, *, proven: bool, stop: threading.Event) -> str:
    """Why there is no plan, in a sentence."""
    if not problem.dives and not problem.tasks:
        return "The job holds no work: add dive work or surface work."
    if problem.job.pins:
        return pins_in_the_way(problem.job, stop)
    if proven:
        return "Nothing of this job can be planned."
    return "No plan was found. That there is none is not proven."


def pins_in_the_way(job: Job, stop: threading.Event) -> str:
    """A sentence: the pins of which each one alone, left out, lets the rest be kept; or what is not known."""
    known = can_be_kept(job)
    if known:
        return "Nothing of this job can be planned beside its pins."
    if known is None:
        return "The pins could not all be kept; that they cannot is not proven."
    to_blame = []
    for k, pin in enumerate(job.pins):
        if stop.is_set():
            break
        rest = (*job.pins[:k], *job.pins[k + 1 :])
        if can_be_kept(job.replace(pins=rest)):
            to_blame.append(f"pin {k + 1} ({pin_in_words(job, pin)})")
    if not to_blame:
        core = None if stop.is_set() else fewest_pins(job)
        if not core:
            return "The pins contradict one another or the rules of the job; leaving out one is not enough."
        words = "; ".join(f"pin {job.pins.index(p) + 1} ({pin_in_words(job, p)})" for p in core)
        return f"The pins cannot all be kept, and leaving out one is not enough. These contradict: {words}."
    return f"The pins cannot all be kept. Leaving out one of these is enough: {'; '.join(to_blame)}."


def fewest_pins(job: Job, keep: tuple[Pin, ...] = ()) -> tuple[Pin, ...] | None:
    """Pins that cannot be kept together, none of which can be spared; None when the time does not decide it.

    One after another is left out for good where the rest still cannot be kept (each time proven). Those in
    ``keep`` are never left out.
    """
    core = list(job.pins)
    for pin in job.pins:
        if pin in keep:
            continue
        rest = [p for p in core if p is not pin]
        known = can_be_kept(job.replace(pins=tuple(rest)))
        if known is None:
            return None
        if not known:
            core = rest
    return tuple(core)


def left_out(job: Job, pin: Pin) -> Iterator[tuple[str, str, Job]]:
    """(rule, sentence, the job without it) of every rule that other work or the day puts in a pin's way."""
    item = job.dive_item(pin.item or "")
    at = job.clock.hhmm(pin.start_min or 0)
    for link in item.after:
        without = item.replace(after=tuple(a for a in item.after if a is not link))
        lag = f" and {link.lag_min} min" if link.lag_min else ""
        yield (
            "precedence",
            f"It comes after '{link.item}'{lag}, which no plan finishes by {at}.",
            _with_item(job, without),
        )
    if len(item.after) > 1:
        yield (
            "precedence",
            f"It comes after {', '.join(repr(a.item) for a in item.after)}, which no plan finishes by {at}.",
            _with_item(job, item.replace(after=())),
        )
    spare = tuple(
        Outfit(name=f"spare {k}", kind=item.gear, helmet_no="x", breastplate_no="x", straps_no="x")
        for k in range(2)
    )
    yield (
        "outfit-one-wearer",
        f"With two more outfits of {item.gear.value} it could be: those there are do not suffice at {at}.",
        job.replace(outfits=(*job.outfits, *spare)),
    )
    for duty in dict.fromkeys(row.duty for row in job.rules.asked_rows if row.count):
        held = STANDBY if duty == STANDBY else duty
        newcomer = Person(
            name=f"one more {duty}",
            duties=frozenset({DIVER if held == STANDBY else held}),
            depth_rating_fsw=item.depth_fsw if held in DRESSED_DUTIES else 0,
            certificates=tuple(
                Certificate(name=c) for c in sorted(item.certificates | job.rules.certificates_for(duty))
            ),
        )
        yield (
            crew_rule_of(duty),
            f"With one more {duty} it could be: those there are cannot man it at {at}.",
            job.replace(people=(*job.people, newcomer)),
        )


def _with_item(job: Job, changed: DiveItem) -> Job:
    return job.replace(dive_items=tuple(changed if i.name == changed.name else i for i in job.dive_items))


def pin_in_words(job: Job, pin: Pin) -> str:
    """A pin in a few words."""
    parts = [pin.person, pin.kind.value, pin.item, pin.duty, pin.station]
    window = pin.window
    if window is not None:
        first, last = (job.clock.hhmm(m) for m in window)
        parts.append(first if first == last else f"{first}-{last}")
    if pin.free_min is not None:
        parts.append(f"{pin.free_min} min")
    return " ".join(str(p) for p in parts if p)


def can_be_kept(job: Job) -> bool | None:
    """Whether some plan keeps every pin; None when the time does not decide it."""
    return kept_by(job)[0]


def kept_by(job: Job, *, most_work: bool = False) -> tuple[bool | None, Plan | None]:
    """The same, with a plan that keeps them, to start a search from: not judged; None where not named.

    ``most_work`` goes on from any such plan to one that does much, as far as the time allows.
    """
    problem = prepare(job)
    if problem.past_a_model:
        return None, None
    found, draft = _any_of(problem, most_work=most_work)
    if found is False and not problem.as_wide_as_the_check:
        # A model on the safe side proves nothing; with air left to the check one may.
        wide = replace(problem, without_air=True)
        proven = wide.as_wide_as_the_check and _any_of(wide)[0] is False
        found = False if proven else None
    if draft is None:
        return found, None
    draft = with_true_ascents(problem, draft)
    crew = name_crew(problem, draft, readable=False)
    return True, None if crew is None else build_plan(problem, draft, crew, status=Status.CONSTRUCTIVE)


def _any_of(problem: Problem, *, most_work: bool = False) -> tuple[bool | None, Draft | None]:
    day = DayModel(problem, named_support=True)
    if most_work:
        day.model.maximize(day.work())
    return find_any(day, day.model, SECONDS)

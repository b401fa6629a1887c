"""Hold points signed in the day log: which stand open on the bench, who may sign them, who may not.

A signature counts for one outfit and one dive; at an inspection for one outfit and the day of the signature.
Who did the step does not sign it, nor who wears the outfit: a hold point is a second pair of eyes (common
practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from planner.errors import Fault
from planner.gear.cards import dressing_cards, inspection_cards
from planner.gear.steps import bench_steps
from planner.job.duties import DIVER, duty_qualifies
from planner.job.gear import BenchHand, BenchList, BenchStep
from planner.job.job import Job
from planner.log.day_log import ActualDay, Entry, Kind

#: Lists of an outfit that is put on and taken off for a dive; the inspection is no dive's.
_FOR_A_DIVE = tuple(name for name in BenchList if name is not BenchList.INSPECTION)


@dataclass(frozen=True)
class Bench:
    """What is signed for at one outfit: put on for a dive, or looked over."""

    outfit: str
    dive: str | None
    """Which; ``dive`` is None for an inspection."""
    wearer: str
    """Who wears it; blank where the watchbill names nobody, and for an inspection."""
    points: tuple[BenchStep, ...]
    """The hold points, in the order of the work."""
    hands: Mapping[BenchHand, tuple[str, ...]] = field(default_factory=dict)
    """Whose each hand is by the watchbill; empty for an inspection."""

    @property
    def title(self) -> str:
        """``Dive 1, Ana, H1``; ``Inspection, H1``."""
        first = "Inspection" if self.dive is None else f"Dive {self.dive}"
        return ", ".join(part for part in (first, self.wearer, self.outfit) if part)

    def point(self, step_id: str | None) -> BenchStep | None:
        """The hold point of that id; None when the lists have none."""
        return next((step for step in self.points if step.id == step_id), None)

    def done_by(self, step: BenchStep) -> tuple[str, ...]:
        """Who does a step by the watchbill; empty where it does not say."""
        return self.hands.get(step.who, ())

    def may_not_sign(self, person: str, step: BenchStep, done_by: tuple[str, ...], job: Job) -> str:
        """Why a person of the job does not sign a hold point; blank when he may."""
        held = next((p.duties for p in job.people if p.name == person), frozenset[str]())
        if not duty_qualifies(held, step.signed_by):
            return f"{person} may not hold the duty that signs here ({step.signed_by})."
        if person in done_by:
            return f"{person} did this step; somebody else looks at it and signs."
        if person == self.wearer and not duty_qualifies({DIVER}, step.signed_by):
            return f"{person} wears this outfit; somebody else looks at it and signs."
        return ""

    def signers(self, step: BenchStep, done_by: tuple[str, ...], job: Job) -> list[str]:
        """Everybody of the job who may sign a hold point, in the order of the job."""
        return [p.name for p in job.people if not self.may_not_sign(p.name, step, done_by, job)]


def _points(job: Job, outfit: str, lists: tuple[BenchList, ...]) -> tuple[BenchStep, ...]:
    gear = job.outfit(outfit).kind
    return tuple(s for name in lists for s in bench_steps(gear, name, job.rules) if s.hold_point)


def _dressings(day: ActualDay) -> tuple[Bench, ...]:
    """Every outfit that the watchbill has put on, dive by dive."""
    known = {outfit.name for outfit in day.job.outfits}
    return tuple(
        Bench(
            card.outfit,
            card.dive,
            card.diver,
            _points(day.job, card.outfit, _FOR_A_DIVE),
            {hand: card.hands(hand) for hand in BenchHand},
        )
        for card in dressing_cards(day.plan, day.job)
        if card.outfit in known
    )


def benches(day: ActualDay) -> tuple[Bench, ...]:
    """What is signed for from now on: dives to come and in the water, in their order, then inspections."""
    over = {dive.id for dive in day.dives if not dive.in_water}
    dressings = tuple(bench for bench in _dressings(day) if bench.dive not in over)
    cards = inspection_cards(day.plan, day.job)
    inspected = (_looked_over(day.job, card.outfit) for card in cards)
    return tuple(bench for bench in (*dressings, *inspected) if bench.points)


def _looked_over(job: Job, outfit: str) -> Bench:
    return Bench(outfit, None, "", _points(job, outfit, (BenchList.INSPECTION,)))


def _bench_of(entry: Entry, day: ActualDay) -> Bench | None:
    """Where a signature belongs; the watchbill need not have that outfit on that dive. None: no outfit."""
    outfit = entry.thing
    if outfit is None or outfit not in {o.name for o in day.job.outfits}:
        return None
    if entry.dive is None:
        return _looked_over(day.job, outfit)
    bare = Bench(outfit, entry.dive, "", _points(day.job, outfit, _FOR_A_DIVE))
    return next((b for b in _dressings(day) if (b.outfit, b.dive) == (outfit, entry.dive)), bare)


def signatures(day: ActualDay, bench: Bench, at_min: int) -> dict[str, Entry]:
    """Signatures that stand for a bench, by step; of an inspection those of the day of ``at_min``."""
    clock = day.job.clock
    return {
        entry.step: entry
        for entry in day.log.of_kind(Kind.HOLD_POINT)
        if entry.step is not None
        and (entry.thing, entry.dive) == (bench.outfit, bench.dive)
        and (bench.dive is not None or clock.day_of(entry.at_min) == clock.day_of(at_min))
    }


def signature_faults(entry: Entry, day: ActualDay) -> Iterator[Fault]:
    """Why a signature is refused, given its outfit, its step and one name."""
    bench = _bench_of(entry, day)
    if bench is None:
        yield Fault(entry.kind, entry.thing or "", "an outfit", "A hold point is signed for an outfit.")
        return
    step, (person,) = bench.point(entry.step), entry.people
    if step is None:
        allowed = ", ".join(s.id for s in bench.points) or "none"
        yield Fault(bench.title, entry.step or "", allowed, "These lists have no such hold point.")
        return
    where, done_by = f"{bench.title}: {step.id}", entry.done_by or bench.done_by(step)
    before = signatures(day, bench, entry.at_min).get(step.id)
    if before is not None:
        told = f"{before.people[0]} signed this at {day.job.clock.hhmm(before.at_min)} already."
        yield Fault(where, person, "a correction of the entry that stands", told)
    if not done_by:
        yield Fault(where, "", "names", "Say who did the step: the watchbill does not.")
    refused = bench.may_not_sign(person, step, done_by, day.job)
    if refused:
        yield Fault(where, person, f"the name of another {step.signed_by}", refused)
    if any(person in dive.people for dive in day.in_water()):
        yield Fault(where, person, "somebody on deck", f"{person} is in the water by the log.")


def signature_flags(entry: Entry, day: ActualDay) -> Iterator[str]:
    """What a signature that is kept must be told with."""
    bench = _bench_of(entry, day)
    if bench is None or bench.dive is None:
        return
    if not bench.wearer:
        yield f"The watchbill has nobody dress in {bench.outfit} for dive {bench.dive}."
    made = day.dive(bench.dive)
    if made is not None and entry.at_min > made.leave_surface_min:
        yield f"Dive {bench.dive} had left the surface before this was signed."


def unsigned_flags(dive: str, day: ActualDay) -> Iterator[str]:
    """Of a dive that leaves the surface and is signed for in the log: what nobody has signed."""
    for bench in _dressings(day):
        signed = {} if bench.dive != dive else signatures(day, bench, 0)
        open_ones = [step for step in bench.points if step.list is not BenchList.UNDRESSING]
        missing = [step.id for step in open_ones if step.id not in signed]
        if signed and missing:
            yield f"{bench.title}: {len(missing)} hold points are not signed here ({', '.join(missing)})."


def point_words(entry: Entry, job: Job) -> str:
    """The step that a signature is for, as the bench list has it; its id where the lists have it no more."""
    outfit = next((o for o in job.outfits if o.name == entry.thing), None)
    steps = (
        () if outfit is None else (s for name in BenchList for s in bench_steps(outfit.kind, name, job.rules))
    )
    return next((step.do for step in steps if step.id == entry.step), entry.step or "")

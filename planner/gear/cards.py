"""Dressing cards as plain data: one a diver and dive, one for each outfit's inspection."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from planner.gear.steps import bench_steps
from planner.job import BenchHand, BenchList, BenchStep, Gear, Job
from planner.job.duties import DIVER, ENTRY_DIVER, STANDBY, STANDBY_TENDER, SUPERVISOR, TENDER
from planner.plan.model import Dive, DutySpell, Plan
from planner.words.measures import time_words


@dataclass(frozen=True)
class NumberedStep:
    """One step on a card, with its running number there."""

    number: int
    step: BenchStep


@dataclass(frozen=True)
class DressingCard:
    """What is laid beside the dressing stool for one diver."""

    dive: str
    item: str
    station: str
    depth_fsw: int
    """Which dive."""
    duty: str
    """``diver``, ``diver at the entry`` or ``standby diver``."""
    diver: str
    tenders: tuple[str, ...]
    supervisors: tuple[str, ...]
    """Names."""
    outfit: str
    outfit_numbers: str
    gear: Gear
    """The outfit and the number on its set."""
    dress_start: str
    leave_surface: str
    """Wall times; for a standby diver the time by which he is dressed is leave surface."""
    lines: tuple[NumberedStep, ...]
    """Steps of connecting and dressing in order."""

    def hands(self, hand: BenchHand) -> tuple[str, ...]:
        """Who does the steps of a hand, by name: a tender alone is both, a third helps the second."""
        first, others = self.tenders[:1], self.tenders[1:]
        return {
            BenchHand.FIRST: first,
            BenchHand.SECOND: others or first,
            BenchHand.BOTH: self.tenders,
            BenchHand.DIVER: (self.diver,),
            BenchHand.SUPERVISOR: self.supervisors,
        }[hand]


@dataclass(frozen=True)
class InspectionCard:
    """Inspection list of one outfit for one day."""

    outfit: str
    outfit_numbers: str
    gear: Gear
    lines: tuple[NumberedStep, ...]


def waits_before(lines: Sequence[NumberedStep]) -> int | None:
    """Place of the line before which a standby diver stops and waits; None when the list has none."""
    return next((n for n, line in enumerate(lines) if line.step.standby_waits), None)


def undressing_steps(job: Job, gear: Gear) -> tuple[NumberedStep, ...]:
    """The undressing list of a kind of dress as lines of a card."""
    return _lines(bench_steps(gear, BenchList.UNDRESSING, job.rules))


def _lines(steps: Iterable[BenchStep]) -> tuple[NumberedStep, ...]:
    return tuple(NumberedStep(number, step) for number, step in enumerate(steps, start=1))


def _numbers(job: Job, outfit: str) -> tuple[str, Gear | None]:
    known = {o.name: o for o in job.outfits}.get(outfit)
    return ("", None) if known is None else (known.helmet_no, known.kind)


def _people(plan: Plan, dive: Dive, duty: str, at_min: int) -> tuple[str, ...]:
    """Who holds a duty of a dive when dressing begins, each once; where nobody does yet, who holds it at all.
    Whoever takes it over later dresses nobody."""
    spells = [s for s in plan.duties if s.duty == duty and s.dive == dive.id]
    then = [s for s in spells if s.start_min <= at_min < s.end_min]
    return tuple(dict.fromkeys(s.person for s in then or spells))


def dressing_cards(plan: Plan, job: Job) -> tuple[DressingCard, ...]:
    """A card for each diver of each dive, then for its standby diver, in the order of dressing.

    Tenders of a dive are shared out to its divers in the order in which the plan names them. A standby
    who stays dressed from the dive before on the same station in the same outfit gets no second card.
    """
    cards: list[DressingCard] = []
    dressed: dict[str, tuple[str, str | None]] = {}
    for dive in sorted(plan.dives, key=lambda d: (d.dress_start_min, d.id)):
        tenders = _people(plan, dive, TENDER, dive.dress_start_min)
        each = len(tenders) // len(dive.divers) if dive.divers else 0
        for place, diver in enumerate(dive.divers):
            own = tenders[place * each : (place + 1) * each] if each else tenders
            duty = ENTRY_DIVER if diver.duty == ENTRY_DIVER else DIVER
            cards.append(_card(plan, job, dive, duty, diver.person, diver.outfit, own, dive.dress_start_min))
        for spell in plan.duties:
            if spell.duty != STANDBY or spell.dive != dive.id:
                continue
            worn = (spell.person, spell.outfit)
            if dressed.get(dive.station) != worn or not _follows(plan, spell):
                own = _people(plan, dive, STANDBY_TENDER, spell.start_min)
                outfit, start = spell.outfit or "", spell.start_min
                cards.append(_card(plan, job, dive, STANDBY, spell.person, outfit, own, start))
            dressed[dive.station] = worn
    return tuple(cards)


def _follows(plan: Plan, spell: DutySpell) -> bool:
    """Whether the same person's standby spell before ends where this one begins."""
    return any(
        s.duty == STANDBY and s.person == spell.person and s.end_min == spell.start_min for s in plan.duties
    )


def _card(
    plan: Plan,
    job: Job,
    dive: Dive,
    duty: str,
    person: str,
    outfit: str,
    tenders: tuple[str, ...],
    dress_start_min: int,
) -> DressingCard:
    numbers, kind = _numbers(job, outfit)
    gear = kind or job.dive_item(dive.item).gear
    steps = [
        step
        for name in (BenchList.CONNECTING, BenchList.DRESSING)
        for step in bench_steps(gear, name, job.rules)
    ]
    return DressingCard(
        dive=dive.id,
        item=dive.item,
        station=dive.station,
        depth_fsw=dive.depth_fsw,
        duty=duty,
        diver=person,
        tenders=tenders,
        supervisors=_people(plan, dive, SUPERVISOR, dress_start_min),
        outfit=outfit,
        outfit_numbers=numbers,
        gear=gear,
        dress_start=time_words(job, dress_start_min),
        leave_surface=time_words(job, dive.leave_surface_min),
        lines=_lines(steps),
    )


def inspection_cards(plan: Plan | None, job: Job) -> tuple[InspectionCard, ...]:
    """Inspection list of every outfit that the plan uses, or of every outfit of the job without a plan."""
    names = [o.name for o in job.outfits]
    if plan is not None:
        worn = {s.outfit for s in plan.duties} | {x.outfit for d in plan.dives for x in d.divers}
        names = [name for name in names if name in worn]
    cards = []
    for name in names:
        outfit = job.outfit(name)
        steps = bench_steps(outfit.kind, BenchList.INSPECTION, job.rules)
        cards.append(InspectionCard(name, outfit.helmet_no, outfit.kind, _lines(steps)))
    return tuple(cards)

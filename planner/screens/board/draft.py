"""The plan on show as it is being moved by hand: one step after another, each with the pins that settle it.

Nothing of Streamlit is used in here, and no rule is weighed: what a step makes of the plan is worked out in
`planner.day.by_hand`, and the check alone judges it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from planner.day.by_hand import Move, follow, moved, swap
from planner.job import Job, Pin
from planner.job.base import MINUTES_A_DAY
from planner.job.duties import BRIEFING
from planner.plan.finding import Finding
from planner.plan.model import Plan
from planner.screens.desk import Desk, ShownPlan
from planner.screens.pins import Settled, settled
from planner.screens.runs import Check


@dataclass(frozen=True)
class HandStep:
    """One move, the plan with it made, and the job with the pins that settle it."""

    move: Move
    plan: Plan
    job: Job
    pins: Settled


@dataclass(frozen=True)
class HandDraft:
    """What has been moved so far of a plan on show."""

    of: ShownPlan
    steps: tuple[HandStep, ...] = ()
    """Moves in their order."""
    chosen: str = ""
    """Whose choices are open, as a block of the board names what is moved with it: ``dive D1``; or ``person
    Ana``; blank: nobody's."""
    other: str = ""
    """With whom the chosen person is to swap; blank until it is said."""
    typed: Move = field(default_factory=Move)
    """What the open fields ask for and is no step yet."""
    turn: int = 0
    """Goes up with everything but what is typed; part of the fields' keys, so that they start afresh."""

    @property
    def plan(self) -> Plan:
        """The plan with every step made."""
        return self.steps[-1].plan if self.steps else self.of.plan

    @property
    def job(self) -> Job:
        """The job with the pins of every step."""
        return self.steps[-1].job if self.steps else self.of.job

    @property
    def empty(self) -> bool:
        """Whether nothing is moved."""
        return not self.steps and self.typed.nothing

    def made(self, move: Move, check: Check) -> HandDraft:
        """With one more step; whoever comes into dress gets the outfit with which fewest rules are broken."""
        after = moved(self.plan, self.job, move, lambda plan: len(check(self.job, plan)))
        pins = settled(self.job, self.plan, after, move)
        step = HandStep(move, after, pins.put_into(self.job), pins)
        return replace(self, steps=(*self.steps, step), typed=Move())

    def taken_up(self, check: Check) -> HandDraft:
        """With what is typed as a step, before whatever comes next."""
        return self if self.typed.nothing else self.made(self.typed, check)

    def back(self) -> HandDraft:
        """Without what is typed, or else without the last step."""
        left = self.steps if not self.typed.nothing else self.steps[:-1]
        return replace(self, steps=left, typed=Move(), other="", turn=self.turn + 1)


def draft_of(here: Desk, shown: ShownPlan) -> HandDraft:
    """What is being moved of the plan on show; nothing once another plan is."""
    found = here.by_hand
    return found if isinstance(found, HandDraft) and found.of is shown else HandDraft(shown)


def hear(here: Desk, shown: ShownPlan, asked: Mapping[str, Any], check: Check) -> None:
    """Take up what the board asks for; what it asks of things that are not there (any more) is nothing.

    Parameters
    ----------
    asked
        ``what``: ``shift`` (``moves`` by ``minutes``, ``along`` with what follows), ``hand`` (two people swap
        in what is moved), ``open`` (its choices) or ``name`` (a person was pressed).
    """
    draft = draft_of(here, shown).taken_up(check)
    draft = replace(draft, turn=draft.turn + 1)
    what, moves = asked["what"], str(asked.get("moves", ""))
    if what == "shift":
        draft = _shifted(draft, moves, int(asked["minutes"]), bool(asked["along"]), check)
    elif what == "hand":
        kind, _, name = moves.partition(" ")
        dives, tasks = ((name,) if kind == of else () for of in ("dive", "task"))
        move = swap(draft.plan, str(asked["from"]), str(asked["to"]), dives, tasks)
        draft = draft if move.nothing else draft.made(move, check)
    elif what == "open":
        draft = replace(draft, chosen="" if draft.chosen == moves else moves, other="")
    else:
        draft = _named(draft, str(asked["person"]))
    here.by_hand = draft


def _named(draft: HandDraft, person: str) -> HandDraft:
    """The first name that is pressed is chosen, the second one swaps with it, the same again lets go."""
    kind, _, first = draft.chosen.partition(" ")
    if kind != "person" or draft.other:
        return replace(draft, chosen=f"person {person}", other="")
    if first == person:
        return replace(draft, chosen="")
    return replace(draft, other=person)


def _starts(plan: Plan) -> dict[str, int]:
    """When everything starts that can be moved by its time, job minutes; as a block names it."""
    return {
        **{f"dive {d.id}": d.leave_surface_min for d in plan.dives},
        **{f"task {t.item}": t.start_min for t in plan.surface_tasks},
        **{f"briefing {s.start_min}": s.start_min for s in plan.duties if s.duty == BRIEFING},
    }


def _move_of(moves: str, **more: Any) -> Move:
    kind, _, name = moves.partition(" ")
    if kind == "briefing":
        return Move(briefing_min=int(name), **more)
    return Move(dive=name, **more) if kind == "dive" else Move(task=name, **more)


def _shifted(draft: HandDraft, moves: str, minutes: int, along: bool, check: Check) -> HandDraft:
    """With something started so many minutes later; shifted twice in a row it is one step."""
    start = _starts(draft.plan).get(moves)
    if start is None or not -MINUTES_A_DAY <= minutes <= MINUTES_A_DAY:
        return draft
    along = along and not moves.startswith("briefing ")
    move = _move_of(moves, start_min=start + minutes, along=along)
    last = draft.steps[-1].move if draft.steps else Move()
    if _again(last, move):
        draft = replace(draft, steps=draft.steps[:-1])
        move = replace(move, briefing_min=last.briefing_min)
        origin = _starts(draft.plan)[moves] if last.briefing_min is None else last.briefing_min
        if origin == move.start_min:
            return draft
    return draft.made(move, check)


def _again(last: Move, move: Move) -> bool:
    """Whether a move does nothing but start anew what the last one started."""
    there = move.briefing_min is None or move.briefing_min == last.start_min
    return there and last == replace(move, start_min=last.start_min, briefing_min=last.briefing_min)


def follows_of(draft: HandDraft) -> dict[str, list[str]]:
    """What moves along with each dive and each task, as blocks name them."""
    found = {}
    for moves in _starts(draft.plan):
        if not moves.startswith("briefing "):
            along = follow(draft.plan, draft.job, _move_of(moves))
            found[moves] = [f"dive {d}" for d in along.dives] + [f"task {t}" for t in along.tasks]
    return found


@dataclass(frozen=True)
class MovesVerdict:
    """What the check says of a plan moved by hand."""

    found: tuple[Finding, ...]
    """What it breaks beside the pins that its own moves settle."""
    clashes: tuple[str, ...]
    """Why the job's own reader would refuse its pins, in sentences."""
    holds: bool
    """Whether it can be kept as it stands: every rule and every pin, the new ones among them."""
    new: tuple[Pin, ...]
    replaced: tuple[Pin, ...]
    not_pinned: tuple[str, ...]
    """As of `Settled`, for all steps together."""


def judged(draft: HandDraft, check: Check, contradictions: Callable[[Job], tuple[str, ...]]) -> MovesVerdict:
    """The verdict on a draft; a pin that a move takes the place of does not convict it."""
    before, after = draft.of.job.pins, draft.job.pins
    breaks = {step.move.away for step in draft.steps}
    asked = draft.of.job.replace(pins=tuple(p for p in after if p in before or p in breaks))
    found = check(asked, draft.plan)
    clashes = contradictions(draft.job)
    return MovesVerdict(
        found=found,
        clashes=clashes,
        holds=not found and not clashes and not check(draft.job, draft.plan),
        new=tuple(p for p in after if p not in before),
        replaced=tuple(p for p in before if p not in after),
        not_pinned=tuple(dict.fromkeys(s for step in draft.steps for s in step.pins.not_pinned)),
    )

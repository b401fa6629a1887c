"""Slack: how far a dive may slip, and how much longer it may last, before a rule breaks, and which one.

The plan is shifted by hand (`planner.day.by_hand`) and held against every rule again; nobody is posted anew.
Everything that begins after the dive on its working day is pushed along by as much; where that breaks a rule,
the dive alone is moved. A slip is borne where either holds. What breaks is told of the plan pushed along.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache, partial

from planner.check import Finding, first_breach
from planner.check.facts import Facts
from planner.day import tasks_later
from planner.day.by_hand import worked_out
from planner.job import Job
from planner.plan.model import LATEST_MIN, Dive, Plan

#: Minutes looked at, in turn; the last minute that holds is then sought between the first of them that breaks
#: a rule and the one before. What a slip breaks stays broken for longer than the steps are apart: people and
#: station are needed for the length of a dive.
STEPS_MIN = (15, 30, 45, 60)

#: No further than this is looked.
MOST_MIN = STEPS_MIN[-1]

#: Of a plan with more dives than this screens and sheets do not tell the slack: it would take too long.
MOST_DIVES = 24

#: The slip that a day is asked to survive (common practice, from memory: a quarter of an hour).
SURVIVES_MIN = 15


@dataclass(frozen=True)
class Room:
    """Minutes that hold every rule, and what breaks a minute later; None where `MOST_MIN` minutes hold."""

    minutes: int
    breaks: Finding | None

    @property
    def words(self) -> str:
        """``22 min``, or ``60 min or more`` where nothing breaks."""
        return f"{self.minutes} min{'' if self.breaks else ' or more'}"

    @property
    def then_words(self) -> str:
        """``slack-water: In the water …``: what breaks then; a dash where nothing does."""
        return f"{self.breaks.rule}: {self.breaks.sentence.rstrip('.')}" if self.breaks else "–"

    @property
    def then(self) -> str:
        """The same in brackets; blank where nothing breaks."""
        return f" ({self.then_words})" if self.breaks else ""


@dataclass(frozen=True)
class DiveSlack:
    """What one dive has to spare."""

    dive: str
    item: str
    """Id and item of the dive."""
    slip: Room
    """Minutes that it may leave the surface later."""
    longer: Room
    """Minutes that its work, and so its bottom time, may take longer."""

    @property
    def words(self) -> str:
        """``May leave 22 min later (slack-water: …); may last 3 min longer (way-up-policy: …).``"""
        if self.slip == self.longer:
            return f"May leave {self.slip.words} later, or last as much longer{self.slip.then}."
        return (
            f"May leave {self.slip.words} later{self.slip.then}; may last {self.longer.words} longer"
            f"{self.longer.then}."
        )

    @property
    def short_words(self) -> str:
        """``may slip 22 min, last 3 min longer``."""
        return f"may slip {self.slip.words}, last {self.longer.words} longer"


@dataclass(frozen=True)
class Slack:
    """What a plan has to spare, dive by dive in the order of leaving the surface."""

    dives: tuple[DiveSlack, ...]

    def of(self, dive: str) -> DiveSlack:
        """The slack of one dive. KeyError where there is none of that id."""
        return {one.dive: one for one in self.dives}[dive]

    @property
    def breaks_first(self) -> DiveSlack | None:
        """Of the dives that do not survive a slip of `SURVIVES_MIN` the one with the least room."""
        short = [one for one in self.dives if one.slip.minutes < SURVIVES_MIN]
        return min(short, key=lambda one: one.slip.minutes, default=None)

    @property
    def words(self) -> str:
        """Whether the day survives a slip, or which dive breaks it and by what; blank without a dive."""
        if not self.dives:
            return ""
        first, found = self.dives[0], self.breaks_first
        whole = f"The first dive may leave {first.slip.words} later, what follows pushed along."
        if found is None:
            return f"A slip of {SURVIVES_MIN} min of any dive breaks no rule. {whole}"
        return (
            f"A slip of {SURVIVES_MIN} min does not fit: {found.item} ({found.dive}) may leave "
            f"{found.slip.words} later{found.slip.then}. {whole}"
        )

    @property
    def breaks_words(self) -> str:
        """What breaks first where a dive leaves later, and where one lasts longer, with the dive and the last
        minute that holds; blank where nothing does. What `words` has told already is left out."""
        first = self.breaks_first
        told = first.slip.breaks.rule if first and first.slip.breaks else ""
        words = []
        for what, rooms in (
            ("Leaving later", [(one.dive, one.slip) for one in self.dives]),
            ("Lasting longer", [(one.dive, one.longer) for one in self.dives]),
        ):
            ends = [(room.minutes, dive, room) for dive, room in rooms if room.breaks]
            if not ends or (what == "Leaving later" and told):
                continue
            minutes, dive, room = min(ends, key=lambda end: end[0])
            if room.breaks and room.breaks.rule != told:
                sentence = room.breaks.sentence.rstrip(".")
                words.append(f"{what}, {dive} breaks first, after {minutes} min: {sentence}.")
        return " ".join(words)


@lru_cache(maxsize=16)
def slack(job: Job, plan: Plan) -> Slack:
    """The slack of every dive of a plan that holds every rule.

    Where a rule is broken as the plan stands, no dive has any. It takes a few checks of the whole plan for
    each dive: a second or two for a dozen dives.
    """
    of = _Shifted(job, plan.replace(stages=()))
    exposures = Facts(job, plan).exposures
    found: list[DiveSlack] = []
    for dive in sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.id)):
        rows = [e.exposure.row_left_min for e in exposures.of_dive(dive.id) if e.exposure is not None]
        # What stops the dive before stops this one mostly, and the end of the row what lasts longer.
        slip = _room(partial(of.slipped, dive), found[-1].slip.minutes if found else 0)
        found.append(
            DiveSlack(dive.id, dive.item, slip, _room(partial(of.lasting, dive), min(rows, default=0)))
        )
    return Slack(tuple(found))


def slack_told(job: Job, plan: Plan) -> Slack | None:
    """The slack for a screen or a sheet; None where the plan has too many dives for that."""
    return slack(job, plan) if len(plan.dives) <= MOST_DIVES else None


#: By how many minutes → what breaks first; None where every rule holds.
_Tried = Callable[[int], Finding | None]


def _room(tried: _Tried, guess_min: int) -> Room:
    """The last minute before a rule breaks; sought where it is likely first."""
    held = 0
    for broken in (guess_min, guess_min + 1, *STEPS_MIN):
        if not held < broken <= MOST_MIN:
            continue
        breaks = tried(broken)
        if breaks is not None:
            break
        held = broken
    else:
        return Room(held, None)
    while broken - held > 1:
        middle = (held + broken) // 2
        found = tried(middle)
        if found is None:
            held = middle
        else:
            broken, breaks = middle, found
    return Room(held, breaks)


@dataclass(frozen=True)
class _Shifted:
    """A job and its plan without stages, shifted and judged."""

    job: Job
    plan: Plan

    def slipped(self, dive: Dive, by_min: int) -> Finding | None:
        """What breaks when a dive leaves the surface later."""
        later = dive.later(by_min)
        pushed = first_breach(self.job, self._pushed(self.job, dive, later, by_min))
        return None if pushed is None or not first_breach(self.job, self._alone(self.job, later)) else pushed

    def lasting(self, dive: Dive, by_min: int) -> Finding | None:
        """What breaks when the work of a dive takes longer: its item then needs as much more."""
        longer = dive.replace(
            leave_bottom_min=dive.leave_bottom_min + by_min,
            bottom_time_min=dive.bottom_time_min + by_min,
            reach_surface_min=dive.reach_surface_min + by_min,
            undressed_min=dive.undressed_min + by_min,
        )
        own = self.job.dive_item(dive.item)
        needs = own.model_copy(update={"bottom_work_min": own.bottom_work_min + by_min})
        job = self.job.replace(dive_items=tuple(needs if i is own else i for i in self.job.dive_items))
        alone = self._alone(job, longer)
        later = next(d for d in alone.dives if d.id == dive.id).undressed_min - dive.undressed_min
        pushed = first_breach(job, self._pushed(job, dive, longer, later))
        return None if pushed is None or not first_breach(job, alone) else pushed

    def _alone(self, job: Job, dive: Dive) -> Plan:
        """The plan with one dive changed."""
        made = self.plan.replace(dives=tuple(dive if d.id == dive.id else d for d in self.plan.dives))
        return worked_out(made, job, self.plan)

    def _pushed(self, job: Job, before: Dive, dive: Dive, by_min: int) -> Plan:
        """The plan with one dive changed, and all that began after it on its working day so much later."""
        plan, from_min = self.plan, before.leave_surface_min
        until_min = next((w.start_min for w in job.day_windows if w.start_min > from_min), LATEST_MIN)
        after = {
            d.id
            for d in plan.dives
            if (d.leave_surface_min, d.id) > (from_min, before.id) and d.leave_surface_min < until_min
        }
        tasks = {t.item for t in plan.surface_tasks if from_min <= t.start_min < until_min}
        dives = (dive if d.id == dive.id else d.later(by_min) if d.id in after else d for d in plan.dives)
        return worked_out(tasks_later(plan.replace(dives=tuple(dives)), tasks, by_min), job, plan)

"""How sure a plan is: many days drawn from the user's spread, and what became of each."""

from __future__ import annotations

import math
import threading
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from planner.day import weighted_min, weighted_needed_min
from planner.errors import InputFaults
from planner.job import DiveItem, Job
from planner.plan.model import Plan
from planner.whatif.retime import DrawnDay, retime
from planner.whatif.slack import MOST_DIVES
from planner.whatif.spread import Spread, draw
from planner.whatif.stand_in import StandIns
from planner.whatif.ties import TiedPlan

#: Draws where the user says nothing, and the most that are made.
DRAWS, MOST_DRAWS = 1000, 100_000

SPARE_MIN = 30


@dataclass(frozen=True)
class ItemChance:
    """How one item fares, per cent."""

    item: str
    chance_percent: float
    """Chance that it is finished; 0 for an item that the plan leaves over."""
    as_planned_percent: float
    """Chance that what the plan does of it is done."""
    done_percent: float
    planned_percent: float
    """Part of it done on average, and planned."""
    causes: tuple[tuple[str, float], ...]
    """What it fails by, and in how many per cent of all draws; most often first."""


@dataclass(frozen=True)
class Spare:
    """What a spare half hour would be worth."""

    what: str
    """Where the time would be: at the end of the day, in each slack window."""
    minutes: int
    day_points: float
    """Percentage points that the chance of the whole day would gain."""
    work_min: float
    """Minutes of work that would be done more, on average."""


@dataclass(frozen=True)
class DayDrawn:
    """One drawn day: minutes done times the weight of their priority, when all are free, and what broke it
    (blank when all that is planned was done)."""

    done: float
    end_min: int
    cause: str


@dataclass(frozen=True)
class Sure:
    """The outcome of all draws."""

    draws: int
    asked: int
    seed: int
    """How many were made and asked for, from which seed."""
    day_percent: float
    error_points: float
    """Chance that all that is planned is done, and the half width of its 95 % interval (Wilson)."""
    items: tuple[ItemChance, ...]
    """By item, in the job's order."""
    expected_min: float
    planned_min: int
    needed_min: int
    """Minutes of work done on average, planned, and asked for."""
    end_p50_min: int
    end_p90_min: int
    """The day ends by then in half and in nine tenths of the draws (job minutes)."""
    breaks: tuple[tuple[str, float], ...]
    """What breaks the day, and in how many per cent of the draws that fail; most often first."""
    spare: tuple[Spare, ...]
    """What spare time would be worth."""
    spread: Spread
    """What was drawn from."""
    reached: tuple[int, ...] = ()
    """In how many draws 0, 1, … 100 whole per cent of all the work were done, weighted by priority."""
    days: tuple[DayDrawn, ...] = ()
    """Each of them, where they were asked for: to be put together with those of other jobs."""

    def chance_of(self, work_percent: float) -> float:
        """Chance, per cent, that at least so much of all the job's work is done, weighted by priority."""
        return percent_of(sum(self.reached[math.ceil(work_percent - 1e-9) :]), self.draws)

    @property
    def stopped(self) -> bool:
        return self.draws < self.asked

    @property
    def sentence(self) -> str:
        """The day's chance and what breaks it, in two sentences."""
        if not self.draws:
            return "No draw was made."
        text = (
            f"Everything planned is done in {self.day_percent:.0f} % of {self.draws} drawn days "
            f"(give or take {self.error_points:.0f}); {self.expected_min:.0f} of {self.planned_min} planned "
            "minutes of work are done on average."
        )
        if self.breaks:
            what, percent = self.breaks[0]
            text += f" What most often breaks the day: {what} ({percent:.0f} % of the days that fail)."
        return text


#: Draws behind the one line on a screen and on the brief: the chance is then known to 7 points.
TOLD_DRAWS = 200


@lru_cache(maxsize=16)
def chance_told(job: Job, plan: Plan, spread: Spread | None = None) -> str:
    """A plan's own chance in one line, for a screen or a sheet; blank where there is nothing to dive, or
    where the plan has too many dives to tell it at once."""
    if not 0 < len(plan.dives) <= MOST_DIVES:
        return ""
    sure = how_sure(plan, job, spread, draws=TOLD_DRAWS, spare=False)
    by = job.clock.hhmm(sure.end_p90_min, with_day=job.site.days > 1)
    whole = weighted_needed_min(job) or 1
    most = sure.chance_of(90 * weighted_min(plan, job) / whole)
    breaks = f" Most often in the way: {sure.breaks[0][0]}." if sure.breaks else ""
    return (
        f"Chance: all that is planned gets done in {sure.day_percent:.0f} of 100 drawn days (give or take "
        f"{sure.error_points:.0f}), nine tenths of it in {most:.0f}; the day ends by {by} in nine of ten"
        f".{breaks} Drawn from {sure.spread.source}."
    )


class _Tally:
    """Counts over the draws of one variant."""

    def __init__(self, tied: TiedPlan, share: dict[str, float]) -> None:
        self.job, self.share = tied.job, share
        self.done: Counter[str] = Counter()
        self.as_planned: Counter[str] = Counter()
        self.parts: dict[str, float] = defaultdict(float)
        self.causes: dict[str, Counter[str]] = {i.name: Counter() for i in tied.job.items}
        self.work = 0.0
        self.each: list[DayDrawn] = []
        weights = tied.job.rules.priority_weights
        self.weights = {i.name: weights[i.priority - 1] * i.needed_min for i in tied.job.items}

    @property
    def days(self) -> int:
        """Days on which all that is planned was done."""
        return sum(not day.cause for day in self.each)

    def take(self, day: DrawnDay) -> None:
        failed = []
        for item in self.job.items:
            part = day.done[item.name]
            self.work += part * item.needed_min
            self.parts[item.name] += part
            self.done[item.name] += part >= 1
            share = self.share[item.name]
            # of an item planned in part a minute may be lost in rounding
            spare = 0.0 if share >= 1 else 1 / item.needed_min
            if share and part >= share - spare:
                self.as_planned[item.name] += 1
            elif share:
                self.causes[item.name][day.causes[item.name]] += 1
                failed.append(item.name)
        weighted = sum(self.weights[name] * part for name, part in day.done.items())
        causes = [day.causes[name] for name in failed]
        cause = next((c for c in causes if not c.startswith("waits for")), causes[0] if causes else "")
        self.each.append(DayDrawn(weighted, day.end_min, cause))


def outcome_of(days: Sequence[DayDrawn], whole: int) -> dict[str, Any]:
    """The fields of `Sure` that follow from its days; ``whole``: all the work, as `weighted_needed_min`."""
    made, held = len(days), sum(not day.cause for day in days)
    reached = Counter(int(100 * day.done / (whole or 1) + 1e-6) for day in days)
    breaks = Counter(day.cause for day in days if day.cause)
    ends = sorted(day.end_min for day in days)
    return {
        "draws": made,
        "day_percent": percent_of(held, made),
        "error_points": half_width(held, made),
        "end_p50_min": quantile(ends, 0.5),
        "end_p90_min": quantile(ends, 0.9),
        "breaks": tuple((what, percent_of(n, made - held)) for what, n in breaks.most_common()),
        "reached": tuple(reached[percent] for percent in range(101)),
    }


def how_sure(
    plan: Plan,
    job: Job,
    spread: Spread | None = None,
    *,
    draws: int = DRAWS,
    seed: int = 0,
    spare: bool = True,
    each: bool = False,
    on_progress: Callable[[int, int], None] | None = None,
    stop: threading.Event | None = None,
) -> Sure:
    """Repeat a plan against drawn days.

    The same seed gives the same days, and more draws keep the first ones. Crews, order and way up stay as
    planned; nothing is added to a day that goes well.

    Parameters
    ----------
    plan, job
        A checked plan and its job.
    spread
        What may go otherwise; invented values when not given.
    draws
        How many days, 1 to 100 000.
    seed
        Any whole number.
    spare
        Whether to draw the days with spare time as well, which takes as long again.
    each
        Whether every drawn day is told by itself, too.
    on_progress
        Called with draws made and draws asked for.
    stop
        Set it from any thread; the draws made so far are told.

    Raises
    ------
    InputFaults
        The spread contradicts itself.
    ValueError
        ``draws`` is out of range.
    """
    spread = spread or Spread()
    if spread.faults():
        raise InputFaults(spread.faults())
    if not 1 <= draws <= MOST_DRAWS:
        raise ValueError(f"draws must be 1 to {MOST_DRAWS}, not {draws}")
    stop = stop or threading.Event()
    manned = StandIns(plan, job)
    tied, _ = manned.manned(frozenset())
    share = {i.name: plan.worked_min(i.name) / i.needed_min for i in job.items}
    plain, later, slack = (_Tally(tied, share) for _ in range(3))
    has_slack = spare and any(isinstance(p.item, DiveItem) and p.item.needs_slack for p in tied.pieces)
    made = 0
    for number in range(draws):
        if stop.is_set():
            break
        drawn = draw(job, spread, seed, number)
        tied, air = manned.manned(drawn.unfit)
        plain.take(retime(tied, drawn, air=air))
        if spare:
            later.take(retime(tied, drawn, air=air, day_end_later_min=SPARE_MIN))
        if has_slack:
            slack.take(retime(tied, drawn, air=air, slack_longer_min=SPARE_MIN))
        made = number + 1
        if on_progress is not None and (made % 20 == 0 or made == draws):
            on_progress(made, draws)
    worth = [_spare("at the end of the day", plain, later, made)] if spare else []
    if has_slack:
        worth.append(_spare("in each slack window", plain, slack, made))
    return Sure(
        **outcome_of(plain.each, weighted_needed_min(job)),
        asked=draws,
        seed=seed,
        items=tuple(_chance(item.name, plain, made) for item in job.items),
        expected_min=plain.work / made if made else 0.0,
        planned_min=sum(plan.worked_min(i.name) for i in job.items),
        needed_min=sum(i.needed_min for i in job.items),
        spare=tuple(worth),
        spread=spread,
        days=tuple(plain.each) if each else (),
    )


def percent_of(part: float, whole: int) -> float:
    """A part of so many, per cent; 0 of none."""
    return 100 * part / whole if whole else 0.0


def half_width(hits: int, draws: int) -> float:
    """Half width of the 95 % interval of a chance, in points (Wilson, 1927)."""
    if not draws:
        return 0.0
    z, p = 1.96, hits / draws
    return 100 * z / (1 + z * z / draws) * math.sqrt(p * (1 - p) / draws + z * z / (4 * draws * draws))


def _chance(name: str, tally: _Tally, draws: int) -> ItemChance:
    causes = tuple((cause, percent_of(n, draws)) for cause, n in tally.causes[name].most_common())
    return ItemChance(
        name,
        percent_of(tally.done[name], draws),
        percent_of(tally.as_planned[name], draws),
        percent_of(tally.parts[name], draws),
        100 * tally.share[name],
        causes,
    )


def _spare(what: str, plain: _Tally, other: _Tally, draws: int) -> Spare:
    if not draws:
        return Spare(what, SPARE_MIN, 0.0, 0.0)
    return Spare(
        what, SPARE_MIN, percent_of(other.days - plain.days, draws), (other.work - plain.work) / draws
    )


def quantile(ordered: list[int], part: float) -> int:
    """What a part of ordered values reaches at most; 0 of none."""
    return ordered[min(len(ordered) - 1, int(part * len(ordered)))] if ordered else 0

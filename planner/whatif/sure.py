"""How sure a plan is: many days drawn from the user's spread, and what became of each."""

from __future__ import annotations

import math
import threading
from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass

from planner.errors import InputFaults
from planner.job import DiveItem, Job
from planner.plan.model import Plan
from planner.whatif.retime import DrawnDay, retime
from planner.whatif.spread import Spread, draw
from planner.whatif.ties import TiedPlan, tied_plan

#: Draws where the user says nothing, and the most that are made.
DRAWS, MOST_DRAWS = 1000, 100_000

SPARE_MIN = 30


@dataclass(frozen=True)
class ItemChance:
    """How one item fares, per cent.

    Parameters
    ----------
    chance_percent
        Chance that it is finished; 0 for an item that the plan leaves over.
    as_planned_percent
        Chance that what the plan does of it is done.
    done_percent, planned_percent
        Part of it done on average, and planned.
    causes
        What it fails by, and in how many per cent of all draws; most often first.
    """

    item: str
    chance_percent: float
    as_planned_percent: float
    done_percent: float
    planned_percent: float
    causes: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class Spare:
    """What a spare half hour would be worth.

    Parameters
    ----------
    what
        Where the time would be: at the end of the day, in each slack window.
    day_points
        Percentage points that the chance of the whole day would gain.
    work_min
        Minutes of work that would be done more, on average.
    """

    what: str
    minutes: int
    day_points: float
    work_min: float


@dataclass(frozen=True)
class Sure:
    """The outcome of all draws.

    Parameters
    ----------
    draws, asked, seed
        How many were made and asked for, from which seed.
    day_percent, error_points
        Chance that all that is planned is done, and the half width of its 95 % interval (Wilson).
    items
        By item, in the job's order.
    expected_min, planned_min, needed_min
        Minutes of work done on average, planned, and asked for.
    end_p50_min, end_p90_min
        The day ends by then in half and in nine tenths of the draws (job minutes).
    breaks
        What breaks the day, and in how many per cent of the draws that fail; most often first.
    spare
        What spare time would be worth.
    spread
        What was drawn from.
    """

    draws: int
    asked: int
    seed: int
    day_percent: float
    error_points: float
    items: tuple[ItemChance, ...]
    expected_min: float
    planned_min: int
    needed_min: int
    end_p50_min: int
    end_p90_min: int
    breaks: tuple[tuple[str, float], ...]
    spare: tuple[Spare, ...]
    spread: Spread

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


class _Tally:
    """Counts over the draws of one variant."""

    def __init__(self, tied: TiedPlan, share: dict[str, float]) -> None:
        self.job, self.share = tied.job, share
        self.days = 0
        self.done: Counter[str] = Counter()
        self.as_planned: Counter[str] = Counter()
        self.parts: dict[str, float] = defaultdict(float)
        self.causes: dict[str, Counter[str]] = {i.name: Counter() for i in tied.job.items}
        self.breaks: Counter[str] = Counter()
        self.work = 0.0
        self.ends: list[int] = []

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
        self.ends.append(day.end_min)
        if failed:
            first = next((n for n in failed if not day.causes[n].startswith("waits for")), failed[0])
            self.breaks[day.causes[first]] += 1
        else:
            self.days += 1


def how_sure(
    plan: Plan,
    job: Job,
    spread: Spread | None = None,
    *,
    draws: int = DRAWS,
    seed: int = 0,
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
    tied = tied_plan(plan, job)
    share = {i.name: plan.worked_min(i.name) / i.needed_min for i in job.items}
    plain, later, slack = (_Tally(tied, share) for _ in range(3))
    has_slack = any(isinstance(p.item, DiveItem) and p.item.needs_slack for p in tied.pieces)
    made = 0
    for number in range(draws):
        if stop.is_set():
            break
        drawn = draw(job, spread, seed, number)
        plain.take(retime(tied, drawn))
        later.take(retime(tied, drawn, day_end_later_min=SPARE_MIN))
        if has_slack:
            slack.take(retime(tied, drawn, slack_longer_min=SPARE_MIN))
        made = number + 1
        if on_progress is not None and (made % 20 == 0 or made == draws):
            on_progress(made, draws)
    spare = [_spare("at the end of the day", plain, later, made)]
    if has_slack:
        spare.append(_spare("in each slack window", plain, slack, made))
    ends = sorted(plain.ends)
    failing = max(1, made - plain.days)
    return Sure(
        draws=made,
        asked=draws,
        seed=seed,
        day_percent=_percent(plain.days, made),
        error_points=_half_width(plain.days, made),
        items=tuple(_chance(item.name, plain, made) for item in job.items),
        expected_min=plain.work / made if made else 0.0,
        planned_min=sum(plan.worked_min(i.name) for i in job.items),
        needed_min=sum(i.needed_min for i in job.items),
        end_p50_min=_quantile(ends, 0.5),
        end_p90_min=_quantile(ends, 0.9),
        breaks=tuple((what, 100 * n / failing) for what, n in plain.breaks.most_common()),
        spare=tuple(spare),
        spread=spread,
    )


def _percent(part: float, whole: int) -> float:
    return 100 * part / whole if whole else 0.0


def _half_width(hits: int, draws: int) -> float:
    """Half width of the 95 % interval of a chance, in points (Wilson, 1927)."""
    if not draws:
        return 0.0
    z, p = 1.96, hits / draws
    return 100 * z / (1 + z * z / draws) * math.sqrt(p * (1 - p) / draws + z * z / (4 * draws * draws))


def _chance(name: str, tally: _Tally, draws: int) -> ItemChance:
    causes = tuple((cause, _percent(n, draws)) for cause, n in tally.causes[name].most_common())
    return ItemChance(
        name,
        _percent(tally.done[name], draws),
        _percent(tally.as_planned[name], draws),
        _percent(tally.parts[name], draws),
        100 * tally.share[name],
        causes,
    )


def _spare(what: str, plain: _Tally, other: _Tally, draws: int) -> Spare:
    if not draws:
        return Spare(what, SPARE_MIN, 0.0, 0.0)
    return Spare(what, SPARE_MIN, _percent(other.days - plain.days, draws), (other.work - plain.work) / draws)


def _quantile(ordered: list[int], part: float) -> int:
    return ordered[min(len(ordered) - 1, int(part * len(ordered)))] if ordered else 0

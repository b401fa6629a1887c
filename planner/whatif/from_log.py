"""How days really went: bottom work, late starts, fitness and lost windows by the log, as a spread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.job.duties import DIVER, duty_qualifies
from planner.job.tide import effective_water_windows
from planner.log.day_log import ActualDay
from planner.log.left_over import minutes_left
from planner.whatif.spread import Spread

#: With fewer finished items, days or windows the log says too little: the number before stays (this program's
#: own).
LEAST_ITEMS = LEAST_DAYS = LEAST_WINDOWS = 5

#: A day that starts later than this is late; a few minutes are the reading of a watch (this program's own).
LATE_OVER_MIN = 5


@dataclass(frozen=True)
class ItemSeen:
    """A dive item finished on a logged day: minutes of bottom work planned for it, and what it took."""

    day: str
    item: str
    planned_min: int
    real_min: int

    @property
    def over_percent(self) -> float:
        """Over the plan; under it below 0."""
        return 100 * (self.real_min - self.planned_min) / self.planned_min


@dataclass(frozen=True)
class Fitted:
    spread: Spread
    """To draw from; what the log cannot say is as it was before."""
    items: tuple[ItemSeen, ...]
    """Every finished item, day by day."""
    days: int
    diver_days: int
    windows: int
    """On how many logged days it rests, on how many days of a diver, and on how many slack windows in which a
    dive was planned."""


def fitted(days: Sequence[ActualDay], before: Spread) -> Fitted:
    """The spread of days as they really went.

    Bottom work: least and most are the least and the most seen; the likeliest is the one with which the mean
    of the triangle, a third of least, likeliest and most together, is the mean seen. A late start: the first
    diver leaves the surface more than five minutes after the plan; the most is the latest seen. Unfit: who
    may dive and was logged as sick. A slack window lost: a dive that needs slack was planned in it and none
    was made in it, though the day's first diver was down before it closed (else the late start lost it).

    Parameters
    ----------
    days
        Days with their plans and logs; those on which nobody left the surface say nothing.
    before
        What stands where the log says too little.
    """
    logged = [day for day in days if day.dives]
    items = tuple(seen for day in logged for seen in _seen(day))
    divers = [(p.name in day.sick()) for day in logged for p in day.job.people if _dives(p.duties)]
    found: dict[str, float] = {}
    rests, stays = [], []
    if len(items) >= LEAST_ITEMS:
        over = [one.over_percent for one in items]
        least, most = max(-90.0, min(over)), min(500.0, max(over))
        likely = min(most, max(least, 3 * sum(over) / len(over) - least - most))
        found |= {
            "work_least_percent": round(least),
            "work_likely_percent": round(likely),
            "work_most_percent": round(most),
        }
        rests.append(f"bottom work of {len(items)} items")
    else:
        stays.append("bottom work")
    if len(logged) >= LEAST_DAYS:
        late = [_late_min(day) for day in logged]
        many = [minutes for minutes in late if minutes > LATE_OVER_MIN]
        found |= {
            "late_chance_percent": round(100 * len(many) / len(late), 1),
            "late_most_min": min(720, max(many, default=0)),
            "unfit_chance_percent": round(100 * sum(divers) / max(1, len(divers)), 1),
        }
        rests.append(f"late starts, and fitness on {len(divers)} days of a diver")
    else:
        stays.append("late starts and fitness")
    lost = [one for day in logged for one in _windows_lost(day)]
    if len(lost) >= LEAST_WINDOWS:
        found["window_lost_percent"] = round(100 * sum(lost) / len(lost), 1)
        rests.append(f"{len(lost)} slack windows with a dive planned in them")
    else:
        stays.append("lost windows")
    source = f"{' and '.join(stays)}: {before.source}" if stays else ""
    if rests:
        from_log = f"the log of {len(logged)} days: {', '.join(rests)}"
        source = f"{from_log}; {source}" if stays else from_log
    spread = before.replace(**found, source=source) if rests else before
    return Fitted(spread, items, len(logged), len(divers), len(lost))


def _dives(duties: frozenset[str]) -> bool:
    return duty_qualifies(duties, DIVER)


def _seen(day: ActualDay) -> list[ItemSeen]:
    """The dive items that were finished on a day, each with its minutes."""
    return [
        ItemSeen(day.job.site.first_day.isoformat(), item.name, item.needed_min, day.worked_min(item.name))
        for item in day.job.dive_items
        if day.worked_min(item.name) and minutes_left(day, item) == 0
    ]


def _windows_lost(day: ActualDay) -> list[bool]:
    """Was it lost: each slack window with a dive planned in it, open still when the first diver was down."""
    first = min(d.leave_surface_min for d in day.dives)
    slack = {item.name for item in day.job.dive_items if item.needs_slack}
    planned = [d.leave_surface_min for d in day.plan.dives if d.item in slack]
    made = [d.leave_surface_min for d in day.dives if d.item.name in slack]
    return [
        not any(window.start_min <= at < window.end_min for at in made)
        for window in effective_water_windows(day.job)
        if first < window.end_min and any(window.start_min <= at < window.end_min for at in planned)
    ]


def _late_min(day: ActualDay) -> int:
    """By how much the first diver left the surface later than planned; 0 when he did not."""
    planned = min((d.leave_surface_min for d in day.plan.dives), default=None)
    first = min(d.leave_surface_min for d in day.dives)
    return 0 if planned is None else max(0, first - planned)

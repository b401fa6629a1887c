"""The bands above the watchbill's grid: daylight, tide, water windows, dives in the water, work on deck."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from planner.job import Job, Span
from planner.plan.model import Dive, Plan
from planner.rules.daylight import daylight
from planner.sheets.watchbill_facts import dives_in_order
from planner.workbook.style import INK, MIST, PALE, SOFT, Look, fitted

QUARTER_MIN = 15
_DARK = "#C4C4C4"
_LIGHT_LOOK = Look(size=7, across="center", edges="lrtb", shrink=True)
_DARK_LOOK = _LIGHT_LOOK.but(fill=_DARK)
_WINDOW_LOOK = _LIGHT_LOOK.but(fill=PALE)
_TIDE_LOOK = Look(size=7, across="center", shrink=True)
_WATER_LOOK = Look(size=7.5, bold=True, ink="#FFFFFF", fill=INK, across="center", shrink=True, edges="lr")
_BENCH_LOOK = Look(size=6.5, ink=SOFT, fill=PALE, across="center", shrink=True, edges="lrtb")
_DECK_LOOK = Look(size=7.5, bold=True, across="center", fill=MIST, edges="lrtb", shrink=True)


@dataclass(frozen=True)
class Block:
    """One run of hours of one day, with its own row of hours: ``quarters`` columns from ``start_min``."""

    day: int
    start_min: int
    quarters: int

    @property
    def end_min(self) -> int:
        return self.start_min + self.quarters * QUARTER_MIN

    def quarter(self, index: int) -> Span:
        """The quarter hour of a column, counted from 0."""
        start = self.start_min + index * QUARTER_MIN
        return Span(start_min=start, end_min=start + QUARTER_MIN)


@dataclass(frozen=True)
class Bar:
    """A stretch of quarters, first to last, with one label."""

    first: int
    last: int
    label: str
    look: Look


@dataclass(frozen=True)
class Band:
    """One row of bars with its title; ``points`` is its height."""

    title: str
    bars: tuple[Bar, ...]
    points: float = 12.5


@dataclass(frozen=True)
class _Stretch:
    """A stretch of time with wordings for its label, the fullest first."""

    start_min: int
    end_min: int
    words: tuple[str, ...]
    look: Look


def bands(plan: Plan, job: Job, block: Block, quarter_mm: float) -> tuple[Band, ...]:
    """The bands of a block whose quarter hours are ``quarter_mm`` wide; empty ones are left out."""
    writer = _Bands(plan, job, block, quarter_mm)
    return (
        *writer.light(),
        *writer.tide(),
        *writer.windows(),
        *writer.stations(),
        *writer.deck(),
    )


class _Bands:
    def __init__(self, plan: Plan, job: Job, block: Block, quarter_mm: float) -> None:
        self.plan, self.job, self.block, self.quarter_mm = plan, job, block, quarter_mm

    def _hhmm(self, minute: int) -> str:
        return self.job.clock.hhmm(minute)

    def _bar(self, first: int, last: int, words: tuple[str, ...], look: Look) -> Bar:
        """A bar whose label is the first wording that can be read in it."""
        room = (last - first + 1) * self.quarter_mm
        return Bar(first, last, fitted(words, room, look.size), look)

    def _lanes(self, title: str, stretches: list[_Stretch], points: float = 12.5) -> Iterator[Band]:
        """Stretches as rows of bars: one that overlaps another goes to a row of its own.

        A stretch covers every quarter of which it holds the greater part, and one at least.
        """
        lanes: list[list[Bar]] = []
        for stretch in sorted(stretches, key=lambda s: s.start_min):
            start = stretch.start_min - self.block.start_min
            first = max(0, round(start / QUARTER_MIN))
            last = round((stretch.end_min - self.block.start_min) / QUARTER_MIN) - 1
            last = min(self.block.quarters - 1, max(first, last))
            first = min(first, last)
            bar = self._bar(first, last, stretch.words, stretch.look)
            lane = next((lane for lane in lanes if lane[-1].last < first), None)
            if lane is None:
                lanes.append([bar])
            else:
                lane.append(bar)
        for number, lane in enumerate(lanes):
            yield Band(title if number == 0 else "", tuple(lane), points)

    def light(self) -> Iterator[Band]:
        """Sun up and dark; nothing when the job gives no position."""
        sun = daylight(self.job)
        if sun is None:
            return
        block = self.block
        stretches: list[_Stretch] = []
        reached = block.start_min
        for up in (s for s in sun if s.overlaps(block.start_min, block.end_min)):
            words = f"sun up {self._hhmm(up.start_min)} to {self._hhmm(up.end_min)}"
            stretches += self._dark(reached, up.start_min)
            start, end = max(up.start_min, block.start_min), min(up.end_min, block.end_min)
            stretches.append(_Stretch(start, end, (words, "sun up"), _LIGHT_LOOK))
            reached = up.end_min
        stretches += self._dark(reached, block.end_min)
        yield from self._lanes("Daylight", stretches)

    def _dark(self, start: int, end: int) -> list[_Stretch]:
        """A stretch of darkness, if it is long enough to be seen at all."""
        if end - start < QUARTER_MIN / 2:
            return []
        return [_Stretch(start, end, ("dark", ""), _DARK_LOOK)]

    def tide(self) -> Iterator[Band]:
        """High and low water, each marked at its quarter hour."""
        bars: list[Bar] = []
        half = max(1, round(16 / self.quarter_mm))
        for mark in sorted(self.job.tide_marks, key=lambda m: m.minute):
            if not self.block.start_min <= mark.minute < self.block.end_min:
                continue
            middle = (mark.minute - self.block.start_min) // QUARTER_MIN
            first = max(middle - half, bars[-1].last + 1 if bars else 0)
            last = min(middle + half, self.block.quarters - 1)
            kind = "high" if mark.high else "low"
            at = self._hhmm(mark.minute)
            words = (f"▾ {kind} water {at}, {mark.level_ft:g} ft", f"▾ {kind} water {at}", f"▾ {at}")
            if first <= last:
                bars.append(self._bar(first, last, words, _TIDE_LOOK))
        if bars:
            yield Band("Tide", tuple(bars))

    def windows(self) -> Iterator[Band]:
        """Slack or current windows, those of one set of stations together."""
        by_stations: dict[tuple[str, ...], list[_Stretch]] = {}
        for window in self.job.water_windows:
            if not window.overlaps(self.block.start_min, self.block.end_min):
                continue
            times = f"{self._hhmm(window.start_min)}–{self._hhmm(window.end_min)}"
            words = (f"{window.label} {times}", times, window.label)
            stretch = _Stretch(window.start_min, window.end_min, words, _WINDOW_LOOK)
            by_stations.setdefault(window.stations, []).append(stretch)
        for stations, stretches in by_stations.items():
            yield from self._lanes(
                "Water window" + (f", {', '.join(stations)}" if stations else ""), stretches
            )

    def stations(self) -> Iterator[Band]:
        """For each station the dive in the water, dark; dressing and undressing pale."""
        for station in self.job.stations:
            dives = [d for d in dives_in_order(self.plan) if d.station == station.name]
            phases = [_phase(dives, self.block.quarter(q)) for q in range(self.block.quarters)]
            bars = tuple(self._dive_bar(first, last, *phase) for first, last, phase in _runs(phases))
            if bars:
                title = f"In the water, {station.name}" if len(self.job.stations) > 1 else "In the water"
                yield Band(title, bars, points=14)

    def _dive_bar(self, first: int, last: int, phase: str, dive_id: str) -> Bar:
        if phase == "water":
            item = next(d.item for d in self.plan.dives if d.id == dive_id)
            room = (last - first + 1) * self.quarter_mm
            # an item's first letters help; a few of them do not
            words = (f"{dive_id} · {item}",) if room > 16 else (f"{dive_id} · {item}", dive_id)
            return self._bar(first, last, words, _WATER_LOOK)
        return self._bar(first, last, (f"{phase} {dive_id}", phase, ""), _BENCH_LOOK)

    def deck(self) -> Iterator[Band]:
        """Surface tasks, on as many rows as run at once."""
        stretches = [
            _Stretch(task.start_min, task.end_min, (task.item,), _DECK_LOOK)
            for task in self.plan.surface_tasks
            if task.start_min < self.block.end_min and self.block.start_min < task.end_min
        ]
        yield from self._lanes("Work on deck", stretches, points=14)


def _phase(dives: list[Dive], span: Span) -> tuple[str, str] | None:
    """What a station does in a quarter: a dive in the water before one that dresses or undresses."""

    def shared(start: int, end: int) -> int:
        return min(end, span.end_min) - max(start, span.start_min)

    wet = [(shared(d.leave_surface_min, d.reach_surface_min), d.id) for d in dives]
    best = max(wet, default=(0, ""), key=lambda pair: pair[0])
    if best[0] > 0:
        return "water", best[1]
    dry = [(shared(d.dress_start_min, d.leave_surface_min), "dress", d.id) for d in dives]
    dry += [(shared(d.reach_surface_min, d.undressed_min), "undress", d.id) for d in dives]
    most = max(dry, default=(0, "", ""), key=lambda triple: triple[0])
    return (most[1], most[2]) if most[0] > 0 else None


def _runs(phases: list[tuple[str, str] | None]) -> Iterator[tuple[int, int, tuple[str, str]]]:
    """Runs of equal phases as (first quarter, last quarter, phase); quarters without one are left out."""
    first = 0
    for phase, group in groupby(phases):
        last = first + len(list(group)) - 1
        if phase is not None:
            yield first, last, phase
        first = last + 1

"""The day as a board: a row a person or a post, a block a stretch of duty, and what stands behind them.

What is here is plain values: the page's own component lays them out, on a phone as a list. Every block
carries letters (the duty's, or its holder's name), so that colour is never the only sign.
"""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from planner.charts.look import FigureLook, day_span, lanes_of, shades
from planner.charts.palette import BLACK, WHITE, DutyStyle, duty_style
from planner.job import Job, Span
from planner.job.duties import BRIEFING, DIVER, WATER_DUTIES
from planner.job.tide import level_ft
from planner.job.units import METRES_PER_FOOT
from planner.plan.model import Dive, DutySpell, Plan
from planner.tables.schedule import IN_CHAMBER
from planner.words.measures import Metric, dive_depth_words

#: What a diver's block is out of the water, as it is told in the legend.
DRESSING, DECOMPRESSING = "in dress, out of the water", "on deck and in the chamber"

#: Of two views of the day, what a row is.
PERSON, STATION = "by person", "by station"


@dataclass(frozen=True)
class DutyBlock:
    """One stretch of a person's day in one duty, or in two that one person holds at once."""

    person: str
    duties: tuple[str, ...]
    spell: DutySpell

    @property
    def moves(self) -> str:
        """What is moved with it: ``dive D1``, ``task Weld``, ``briefing 405`` (its start, job minutes)."""
        if self.spell.duty == BRIEFING:
            return f"briefing {self.spell.start_min}"
        return f"task {self.spell.item}" if self.spell.dive is None else f"dive {self.spell.dive}"


def blocks_of(spells: Sequence[DutySpell]) -> tuple[DutyBlock, ...]:
    """Spells in their order; those of one person with one span on one dive or item are taken together."""
    together: dict[tuple[object, ...], list[DutySpell]] = {}
    for s in spells:
        together.setdefault((s.person, s.start_min, s.end_min, s.dive, s.item), []).append(s)
    return tuple(DutyBlock(own[0].person, tuple(s.duty for s in own), own[0]) for own in together.values())


@dataclass(frozen=True)
class Board:
    """What is drawn."""

    plan: Plan
    job: Job
    """The plan as it is to be seen."""
    look: FigureLook
    view: str = PERSON
    """`PERSON` or `STATION`."""
    day: int = 0
    """Which day of the job, 0 the first."""
    light: tuple[Span, ...] | None = None
    """Daylight in job minutes, drawn behind; None when unknown."""
    people: Container[str] | None = None
    """Who has a row; everyone where None."""
    follows: Mapping[str, Sequence[str]] = field(default_factory=dict)
    """What moves along when something is moved, both as `Block.moves` names them."""
    changed: Container[DutySpell] = ()
    """Duties that are outlined."""
    marks: Mapping[tuple[str, str], Sequence[int]] = field(default_factory=dict)
    """Numbers to be put on blocks and, under a blank ``moves``, on people's names: person and what is
    moved."""
    span: Span | None = None
    """What the time axis shows; None: the day, and what the plan does beyond it."""
    now_min: int | None = None
    """Where the line of the clock stands; None: nowhere."""

    def values(self) -> dict[str, Any]:
        """All of it as JSON has it; times are job minutes."""
        span = self.span or day_span(self.plan, self.job, self.day)
        rows = self._people(span) if self.view == PERSON else self._posts(span)
        first = -(-span.start_min // 60) * 60
        told = f"The day {self.view}, {self.job.clock.at(span.start_min):%A %d %B %Y}"
        return {
            "told": told,
            "span": [span.start_min, span.end_min],
            "hours": [[m, self.job.clock.hhmm(m)] for m in range(first, span.end_min + 1, 60)],
            "axis": f"time of day, h:min ({self.job.site.time_zone})",
            "rows": [self._row(*row) for row in rows],
            "behind": self._behind(span),
            "tide": self._tide(span),
            "legend": self._legend([s for _, _, spells in rows for s in spells]),
            "follows": {key: list(along) for key, along in self.follows.items()},
            "starts": {
                **{f"dive {d.id}": d.leave_surface_min for d in self.plan.dives},
                **{f"task {t.item}": t.start_min for t in self.plan.surface_tasks},
            },
            "now": self.now_min,
            "contrast": self.look.contrast,
        }

    @cached_property
    def _styles(self) -> dict[str, DutyStyle]:
        return duty_style(self.job)

    # ------------------------------------------------------------------ rows

    def _people(self, span: Span) -> list[tuple[str, str, list[DutySpell]]]:
        names = [p.name for p in self.job.people if self.people is None or p.name in self.people]
        return [
            (name, name, [s for s in self.plan.duties_of(name) if span.overlaps(s.start_min, s.end_min)])
            for name in names
        ]

    def _posts(self, span: Span) -> list[tuple[str, str, list[DutySpell]]]:
        """For each station its duties in the trade's order, then the briefings, then each task on deck."""
        job, rows = self.job, []
        in_time = sorted(self.plan.duties, key=lambda s: (s.start_min, s.end_min, s.person))
        shown = [s for s in in_time if span.overlaps(s.start_min, s.end_min)]
        order = sorted(job.duties, key=lambda duty: duty not in WATER_DUTIES)
        for station in job.stations:
            own = [s for s in shown if s.dive is not None and s.station == station.name]
            for duty in (*order, *sorted({s.duty for s in own} - set(order))):
                rows.append((f"{station.name} · {duty}", "", [s for s in own if s.duty == duty]))
        rows.append((BRIEFING, "", [s for s in shown if s.duty == BRIEFING]))
        for task in sorted(self.plan.surface_tasks, key=lambda t: (t.start_min, t.item)):
            on_deck = [s for s in shown if s.dive is None and s.item == task.item and s.duty != BRIEFING]
            rows.append((f"on deck · {task.item}", "", on_deck))
        return [row for row in rows if row[2]]

    def _row(self, name: str, person: str, spells: list[DutySpell]) -> dict[str, Any]:
        blocks = blocks_of(spells) if person else tuple(DutyBlock(s.person, (s.duty,), s) for s in spells)
        lane, lanes = lanes_of([(b.spell.start_min, b.spell.end_min) for b in blocks])
        drawn = [self._block(b, number) for b, number in zip(blocks, lane, strict=True)]
        return {
            "name": name,
            "person": person,
            "lanes": lanes,
            "blocks": drawn,
            "marks": list(self.marks.get((person, ""), ())),
        }

    def _block(self, block: DutyBlock, lane: int) -> dict[str, Any]:
        spell = block.spell
        dive = next((d for d in self.plan.dives if d.id == spell.dive), None)
        return {
            **self._colours(block.duties[0]),
            "moves": block.moves,
            "person": spell.person,
            "from": spell.start_min,
            "to": spell.end_min,
            "lane": lane,
            "parts": _parts(spell, dive),
            "texts": self._texts(block, dive),
            "chip": self._letters(block),
            "told": self._told(block, dive),
            "when": f"{self.job.clock.hhmm(spell.start_min)}–{self.job.clock.hhmm(spell.end_min)}",
            "line": self._what(block, dive),
            "changed": spell in self.changed,
            "marks": list(self.marks.get((spell.person, block.moves), ())),
        }

    def _colours(self, duty: str) -> dict[str, str]:
        """A duty's own; in high contrast black in the water and white on deck."""
        style = self._styles[duty]
        if not self.look.contrast:
            return {"fill": style.fill_hex, "ink": style.text_hex}
        fill, ink = (BLACK, WHITE) if duty in WATER_DUTIES else (WHITE, BLACK)
        return {"fill": fill, "ink": ink}

    # ------------------------------------------------------------------ words on blocks

    def _letters(self, block: DutyBlock) -> str:
        return "·".join(self._styles[d].letters for d in block.duties)

    def _texts(self, block: DutyBlock, dive: Dive | None) -> list[str]:
        """What may stand on a block, the longest first; the widest that it has room for is shown."""
        if self.view == PERSON:
            short = self._letters(block)
            what = block.spell.item if dive is None else dive.id
            longer = [f"{short} {what}", short] if block.spell.duty != BRIEFING else [short]
        else:
            words = block.person.split()
            what = "" if dive is None else dive.id
            longer = [block.person, words[0], "".join(w[0] for w in words[:3]).upper()]
            longer = [f"{block.person} {what}", *longer] if what else longer
        if dive is not None:
            longer = [f"{longer[0]} {self._depth(dive)}", *longer]
        return longer

    def _depth(self, dive: Dive) -> str:
        return dive_depth_words(self.job, dive.item, dive.depth_fsw, self.look.units, Metric.ALONE)

    def _what(self, block: DutyBlock, dive: Dive | None) -> str:
        """Duty and what it is for: ``diver, dive D1, Weld, 31 fsw``."""
        of = [" and ".join(block.duties)]
        if dive is not None:
            of += [f"dive {dive.id}", block.spell.item, self._depth(dive)]
        elif block.spell.duty != BRIEFING:
            of.append(block.spell.item)
        return ", ".join(of)

    def _told(self, block: DutyBlock, dive: Dive | None) -> str:
        """The block in words, for the pointer that rests on it and for whoever cannot see it."""
        spell, at = block.spell, self.job.clock.hhmm
        told = f"{spell.person}: {self._what(block, dive)}, {at(spell.start_min)} to {at(spell.end_min)}"
        if dive is not None and spell.duty in WATER_DUTIES:
            told += (
                f"; leave surface {at(dive.leave_surface_min)}, reach surface {at(dive.reach_surface_min)}"
            )
            if dive.out_of_chamber_min is not None:
                told += f", out of the chamber {at(dive.out_of_chamber_min)}"
        more = [f"from {spell.station}" if spell.station else "", spell.outfit or ""]
        return "; ".join([told, *(m for m in more if m)])

    # ------------------------------------------------------------------ behind and below

    def _behind(self, span: Span) -> list[dict[str, Any]]:
        """Dark hours and slack windows, each with its name."""
        return [
            {"what": shade.what, "from": shade.start_min, "to": shade.end_min, "name": shade.name}
            for shade in shades(self.job, span, self.light)
        ]

    def _tide(self, span: Span) -> dict[str, Any] | None:
        """The curve of the tide; None without tide marks."""
        minutes = range(span.start_min, span.end_min + 1, 10)
        scale, unit = (METRES_PER_FOOT, "m") if self.look.metric else (1.0, "ft")
        known = [(m, level) for m in minutes if (level := level_ft(self.job.tide_marks, m)) is not None]
        points = [[m, round(level * scale, 2)] for m, level in known]
        return {"unit": unit, "points": points} if points else None

    def _legend(self, spells: Sequence[DutySpell]) -> list[dict[str, str]]:
        """Every duty that is held, with its letters, in the trade's order; then the hatchings."""
        held = {s.duty for s in spells}
        found = [
            {"letters": style.letters, "name": duty, "what": "", **self._colours(duty)}
            for duty, style in self._styles.items()
            if duty in held
        ]
        if held & WATER_DUTIES:
            hatched = {"letters": "", **self._colours(DIVER)}
            found.append({**hatched, "name": DRESSING, "what": "dress"})
            if any(d.out_of_chamber_min is not None for d in self.plan.dives):
                found.append({**hatched, "name": DECOMPRESSING, "what": "chamber"})
        return found


def _parts(spell: DutySpell, dive: Dive | None) -> list[tuple[str, int, int]]:
    """A diver's spell falls into dressing, water, then the chamber or undressing; any other is one part."""
    if dive is None or spell.duty not in WATER_DUTIES:
        return [("", spell.start_min, spell.end_min)]
    out = dive.reach_surface_min
    if any(d.person == spell.person and d.schedule.way_up == IN_CHAMBER for d in dive.divers):
        out = min(dive.out_min, spell.end_min)
    parts = [
        ("dress", spell.start_min, dive.leave_surface_min),
        ("", dive.leave_surface_min, dive.reach_surface_min),
        ("chamber", dive.reach_surface_min, out),
        ("dress", out, spell.end_min),
    ]
    return [(name, start, end) for name, start, end in parts if end > start]


def duties_unlike(plan: Plan, other: Plan) -> frozenset[DutySpell]:
    """Duties of a plan that another has not: by person, duty, item and times; numbers of dives aside."""
    theirs = {s.replace(dive=None) for s in other.duties}
    return frozenset(s for s in plan.duties if s.replace(dive=None) not in theirs)

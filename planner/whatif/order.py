"""What holds a plan's pieces together: who and what goes from piece to piece. Worked out once a plan."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from enum import Enum

from planner.job import DiveItem, Job, Span, SurfaceItem
from planner.job.duties import CHAMBER_OPERATOR, STANDBY, TENDER, WATER_DUTIES
from planner.plan.model import Dive, DutySpell, Plan, SurfaceTask
from planner.rules.daylight import daylight
from planner.rules.past_dives import CarriedIn, carried_in
from planner.rules.water import effective_water_windows
from planner.tables import ExposureOptions, options_for
from planner.tables.schedule import NO_STOP


class Anchor(Enum):
    """The moment of a piece that a duty's start or end moves with."""

    DRESS = "dressing starts"
    LEAVE = "leave surface"
    BENCH = "the crew takes over the station"
    SURFACE = "reach surface"
    UNDRESSED = "undressed"
    OUT = "out of pressure"
    FREE = "undressed and out of pressure"


@dataclass(frozen=True)
class Held:
    """A duty of a piece: who, and from which moment to which, in minutes from them."""

    spell: DutySpell
    start: Anchor
    start_offset_min: int
    end: Anchor
    end_offset_min: int


@dataclass(frozen=True)
class Link:
    """A piece begins (at ``anchor`` and an offset) only when something of an earlier piece is over."""

    piece: int
    end: Anchor
    end_offset_min: int
    start: Anchor
    start_offset_min: int


@dataclass(frozen=True)
class Piece:
    """A dive or a surface task of the plan with all that ties it down.

    ``links`` come from people and outfits that an earlier piece has; ``before`` is the earlier dive on the
    same station.
    """

    index: int
    dive: Dive | None
    task: SurfaceTask | None
    item: DiveItem | SurfaceItem
    day: int
    held: tuple[Held, ...]
    links: tuple[Link, ...]
    before: int | None
    after: tuple[tuple[str, int], ...]
    not_with: frozenset[str]
    options: ExposureOptions | None

    @property
    def start_min(self) -> int:
        if self.dive is not None:
            return self.dive.dress_start_min
        assert self.task is not None
        return self.task.start_min

    @property
    def water_start_min(self) -> int:
        if self.dive is not None:
            return self.dive.leave_surface_min
        assert self.task is not None
        return self.task.start_min

    @property
    def end_min(self) -> int:
        if self.dive is not None:
            return self.dive.reach_surface_min
        assert self.task is not None
        return self.task.end_min


@dataclass(frozen=True)
class Order:
    """A plan made ready for many re-timings.

    Parameters
    ----------
    plan, job
        What it is of.
    pieces
        In the order in which they leave the surface or start.
    first_start
        Person and day → start of his first duty as planned: he is called for then, whatever happens.
    light
        Daylight; None when it does not matter or cannot be said.
    """

    plan: Plan
    job: Job
    pieces: tuple[Piece, ...]
    first_start: dict[tuple[str, int], int]
    carried: dict[str, CarriedIn]
    available: dict[str, tuple[Span, ...]]
    light: tuple[Span, ...] | None
    slack: tuple[tuple[int, Span, tuple[str, ...]], ...]


def order_of(plan: Plan, job: Job) -> Order:
    """Read a checked plan's order and ties."""
    work: list[Dive | SurfaceTask] = [*plan.dives, *plan.surface_tasks]
    work.sort(key=lambda w: (_water(w), w.item))
    spells = [_spells(plan, w) for w in work]
    last_up: dict[str, int] = {}
    pieces: list[Piece] = []
    for index, one in enumerate(work):
        dive = one if isinstance(one, Dive) else None
        before = last_up.get(dive.station) if dive else None
        up = pieces[before].end_min if before is not None else None
        held = tuple(_held(spell, one, up) for spell in spells[index])
        item = job.item(one.item)
        assert isinstance(item, DiveItem | SurfaceItem)
        pieces.append(
            Piece(
                index=index,
                dive=dive,
                task=None if dive else one,  # type: ignore[arg-type]
                item=item,
                day=_day(job, _water(one)),
                held=held,
                links=tuple(_links(job, pieces, index, held, dive)),
                before=before,
                after=tuple((a.item, a.lag_min) for a in item.after),
                not_with=frozenset(item.not_together_with)
                | {o.name for o in job.items if item.name in o.not_together_with},
                options=options_for(job, item) if isinstance(item, DiveItem) else None,
            )
        )
        if dive is not None:
            last_up[dive.station] = index
    first: dict[tuple[str, int], int] = {}
    for piece in pieces:
        for h in piece.held:
            key = (h.spell.person, piece.day)
            first[key] = min(h.spell.start_min, first.get(key, h.spell.start_min))
    carried = {p.name: c for p in job.people if (c := carried_in(p, job.site)) is not None}
    return Order(
        plan,
        job,
        tuple(pieces),
        first,
        carried,
        {p.name: job.available(p) for p in job.people},
        daylight(job) if job.site.daylight_only else None,
        tuple(
            (n, Span(start_min=w.start_min, end_min=w.end_min), w.stations)
            for n, w in enumerate(effective_water_windows(job))
        ),
    )


def _water(one: Dive | SurfaceTask) -> int:
    return one.leave_surface_min if isinstance(one, Dive) else one.start_min


def _day(job: Job, minute: int) -> int:
    days = [n for n, w in enumerate(job.day_windows) if w.start_min <= minute]
    return days[-1] if days else 0


def _spells(plan: Plan, one: Dive | SurfaceTask) -> list[DutySpell]:
    if isinstance(one, Dive):
        return [s for s in plan.duties if s.dive == one.id]
    return [s for s in plan.duties if s.dive is None and s.item == one.item]


def _held(spell: DutySpell, one: Dive | SurfaceTask, up_min: int | None) -> Held:
    """The moments of a piece that a duty's start and end move with: those it touches as planned."""
    if isinstance(one, SurfaceTask):
        starts = spell.start_min - one.start_min
        return Held(spell, Anchor.DRESS, starts, Anchor.UNDRESSED, spell.end_min - one.end_min)
    if spell.duty in WATER_DUTIES or spell.duty == TENDER:
        start = (Anchor.DRESS, spell.start_min - one.dress_start_min)
    elif spell.duty == CHAMBER_OPERATOR:
        start = (Anchor.LEAVE, spell.start_min - one.leave_surface_min)
    else:
        # every other duty is the station's: it waits for the dive before to surface
        bench = max(one.dress_start_min, up_min) if up_min is not None else one.dress_start_min
        start = (Anchor.BENCH, spell.start_min - bench)
    if spell.duty in WATER_DUTIES:
        end = (Anchor.FREE, spell.end_min - max(one.undressed_min, one.out_min))
    elif spell.duty == TENDER:
        end = (Anchor.UNDRESSED, spell.end_min - one.undressed_min)
    elif spell.duty == CHAMBER_OPERATOR:
        end = (Anchor.OUT, spell.end_min - one.out_min)
    else:
        end = (Anchor.SURFACE, spell.end_min - one.reach_surface_min)
    return Held(spell, start[0], start[1], end[0], end[1])


def _links(
    job: Job, pieces: list[Piece], index: int, held: tuple[Held, ...], dive: Dive | None
) -> list[Link]:
    links: dict[tuple[int, Anchor, int, Anchor, int], Link] = {}

    def tie(piece: int, end: Anchor, end_offset: int, own: Held) -> None:
        key = (piece, end, end_offset, own.start, own.start_offset_min)
        links.setdefault(key, Link(*key))

    for own in held:
        for earlier in pieces:
            for other in earlier.held:
                if other.spell.person == own.spell.person and other.spell.end_min <= own.spell.start_min:
                    tie(earlier.index, other.end, other.end_offset_min, own)
                watch = _watch(job, other, earlier)
                if watch and other.spell.person == own.spell.person and own.spell.duty in WATCHED:
                    in_water = own.spell.duty in WATER_DUTIES and dive is not None
                    begins = dive.leave_surface_min if dive is not None and in_water else own.spell.start_min
                    out = earlier.dive.out_min if earlier.dive is not None else earlier.end_min
                    if out + watch <= begins:
                        place = Held(own.spell, Anchor.LEAVE, 0, own.end, 0) if in_water else own
                        tie(earlier.index, Anchor.OUT, watch, place)
                if own.spell.outfit is not None and other.spell.outfit == own.spell.outfit:
                    wait = _turnaround(job, other, earlier)
                    worn = Anchor.UNDRESSED if other.end is Anchor.FREE else other.end
                    until = earlier.dive.undressed_min if wait and earlier.dive else other.spell.end_min
                    if until + wait <= own.spell.start_min:
                        offset = 0 if worn is Anchor.UNDRESSED else other.end_offset_min
                        tie(earlier.index, worn, offset + wait, own)
    return list(links.values())


#: Duties that nobody holds during his hour near the chamber.
WATCHED = frozenset({*WATER_DUTIES, STANDBY})


def _watch(job: Job, held: Held, piece: Piece) -> int:
    """Minutes that a diver of the piece stays near the chamber after it; 0 when none are asked."""
    dive = piece.dive
    if dive is None or held.spell.duty not in WATER_DUTIES:
        return 0
    outside = any(d.schedule.way_up != NO_STOP for d in dive.divers)
    return job.rules.chamber_watch_min if outside or dive.depth_fsw > job.rules.chamber_trigger_fsw else 0


def _turnaround(job: Job, held: Held, piece: Piece) -> int:
    """Minutes that an outfit needs after a dive before it is worn again."""
    if piece.dive is None or held.end is not Anchor.FREE or held.spell.outfit is None:
        return 0
    return job.outfit(held.spell.outfit).turnaround_min


def groups_by_item(order: Order) -> dict[str, list[Piece]]:
    """The pieces of each item, in order."""
    found: dict[str, list[Piece]] = defaultdict(list)
    for piece in order.pieces:
        found[piece.item.name].append(piece)
    return found

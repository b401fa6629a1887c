"""How a plan's pieces went on one drawn day."""

from __future__ import annotations

from dataclasses import dataclass, field

from planner.tables import Exposure
from planner.whatif.order import Anchor, Piece


@dataclass
class Run:
    """One piece as it went: times in job minutes; ``done_part`` of what was planned for it.

    ``cause`` says why it was not made at all, blank when it was.
    """

    piece: Piece
    made: bool = False
    dress_min: int = 0
    leave_min: int = 0
    leave_bottom_min: int = 0
    surface_min: int = 0
    undressed_min: int = 0
    out_min: int = 0
    bench_min: int = 0
    depth_fsw: int = 0
    exposures: tuple[Exposure, ...] = ()
    groups_before: tuple[str | None, ...] = ()
    intervals: tuple[int | None, ...] = ()
    blame: str = ""
    cause: str = ""

    def at(self, anchor: Anchor) -> int:
        """The moment of an anchor."""
        return {
            Anchor.DRESS: self.dress_min,
            Anchor.LEAVE: self.leave_min,
            Anchor.BENCH: self.bench_min,
            Anchor.SURFACE: self.surface_min,
            Anchor.UNDRESSED: self.undressed_min,
            Anchor.OUT: self.out_min,
            Anchor.FREE: max(self.undressed_min, self.out_min),
        }[anchor]


@dataclass
class Day:
    """A plan under one draw.

    Parameters
    ----------
    runs
        Every piece, in the plan's order.
    done
        Item → part of its work that was done, 0 to 1, of what the draw says it takes.
    causes
        Item → why it was not finished.
    """

    runs: list[Run]
    done: dict[str, float] = field(default_factory=dict)
    causes: dict[str, str] = field(default_factory=dict)

    @property
    def end_min(self) -> int:
        return max((max(r.undressed_min, r.out_min) for r in self.runs if r.made), default=0)

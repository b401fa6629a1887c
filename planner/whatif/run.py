"""One piece of a plan as it went on a drawn day."""

from __future__ import annotations

from dataclasses import dataclass

from planner.day import AtLeave, DiveTimes, chamber_ascent_min, diver_row
from planner.plan.model import Dive
from planner.tables import Exposure
from planner.tables.schedule import NO_STOP
from planner.whatif.ties import Piece

_UNMADE = DiveTimes(0, 0, 0, 0, 0, 0, 0)


@dataclass
class Run:
    """One piece as it went on a drawn day.

    ``cause`` says why it was not made at all, blank when it was; ``blame`` what made it late.
    """

    piece: Piece
    made: bool = False
    times: DiveTimes = _UNMADE
    depth_fsw: int = 0
    exposures: tuple[Exposure, ...] = ()
    states: tuple[AtLeave, ...] = ()
    """Each diver at leave surface."""
    blame: str = ""
    cause: str = ""

    @property
    def up_min(self) -> int:
        """Reach surface, or the end of a surface task."""
        return self.times.reach_surface_min

    @property
    def no_stop(self) -> bool:
        """Whether every diver comes up without a stop."""
        return all(e.schedule.way_up == NO_STOP for e in self.exposures)

    @property
    def no_deeper(self) -> bool:
        """Whether the dive is no deeper than planned."""
        return self.piece.dive is not None and self.depth_fsw <= self.piece.dive.depth_fsw

    def as_dive(self) -> Dive:
        """The dive as it was made. The work counted is what was done on the bottom."""
        dive, times = self.piece.dive, self.times
        assert dive is not None
        descent, bottom = (
            dive.reach_bottom_min - dive.leave_surface_min,
            times.leave_bottom_min - times.leave_surface_min,
        )
        facts = zip(dive.divers, self.states, self.exposures, strict=True)
        inside = chamber_ascent_min(e.schedule for e in self.exposures) is not None
        return Dive(
            id=dive.id,
            item=dive.item,
            station=dive.station,
            dress_start_min=times.dress_start_min,
            leave_surface_min=times.leave_surface_min,
            reach_bottom_min=times.leave_surface_min + descent,
            leave_bottom_min=times.leave_bottom_min,
            reach_surface_min=times.reach_surface_min,
            undressed_min=times.undressed_min,
            depth_fsw=self.depth_fsw,
            bottom_time_min=bottom,
            work_min=bottom - descent,
            divers=tuple(diver_row(d.person, d.duty, d.outfit, s, e) for d, s, e in facts),
            out_of_chamber_min=times.out_min if inside else None,
        )

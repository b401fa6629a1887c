"""What the divers of a drawn day carry: nitrogen from dive to dive, bottom minutes, the chamber's places."""

from __future__ import annotations

from collections import defaultdict

from planner.job.words import STANDBY
from planner.plan.model import Dive
from planner.tables import SAME_DIVE_UNDER_MIN, group_after_interval, standby_minutes_left
from planner.whatif.limits import chamber_out_min, exposure_or_none, in_chamber, surface_min
from planner.whatif.order import Order, Piece
from planner.whatif.runs import Run

#: Group, surface interval, and whether the tables let this diver leave the surface.
State = tuple[str | None, int | None, bool]


class Divers:
    """The divers of one drawn day, dive after dive."""

    def __init__(self, order: Order) -> None:
        self.order, self.job = order, order.job
        self.surfaced: dict[str, tuple[int, str | None]] = {}
        self.bottom: dict[tuple[str, int], int] = defaultdict(int)
        self.chamber_out: list[int] = []

    def take(self, run: Run, dive: Dive) -> None:
        """Remember a dive that was made."""
        for diver, exposure in zip(dive.divers, run.exposures, strict=True):
            self.surfaced[diver.person] = (run.out_min, exposure.group_after)
            self.bottom[diver.person, run.piece.day] += run.leave_bottom_min - run.leave_min
        if any(in_chamber(e) for e in run.exposures):
            self.chamber_out.append(run.out_min)

    def states(self, dive: Dive, at: int) -> list[State]:
        """The state of each diver of a dive that leaves the surface then."""
        return [self.state(d.person, at) for d in dive.divers]

    def longest_fit(
        self, depth: int, states: list[State], piece: Piece, bottom: int, room: int, room_out: int
    ) -> int:
        """Longest bottom time up to ``bottom`` whose way up ends within the room; 0 when none does.

        ``room`` is until the surface, ``room_out`` until out of the chamber, from leave surface.
        """
        assert piece.options is not None
        while bottom > 0:
            found = [exposure_or_none(depth, bottom, s[0], piece.options) for s in states]
            exposures = [e for e in found if e is not None]
            if len(exposures) < len(found):
                bottom -= 1
                continue
            out = chamber_out_min(exposures)
            over = bottom + max(surface_min(exposures) - room, out - room_out)
            if over <= 0:
                return bottom
            bottom -= over
        return 0

    def chamber_free(self, run: Run) -> bool:
        """Whether a place in the chamber is free when this dive surfaces."""
        if not any(in_chamber(e) for e in run.exposures):
            return True
        there = sum(1 for out in self.chamber_out if out > run.surface_min)
        return there < self.job.site.chamber_places

    def minutes_left(self, person: str, day: int) -> int:
        past = sum(
            d.bottom_time_min
            for d in self.job.person(person).past_dives
            if self.job.clock.day_of(d.surfaced_min)
            == self.job.clock.day_of(self.job.day_windows[day].start_min)
        )
        return max(0, self.job.rules.bottom_minutes_a_day - past - self.bottom[person, day])

    def state(self, person: str, at: int) -> tuple[str | None, int | None, bool]:
        """Group, surface interval and whether the tables let this person leave the surface then."""
        least = max(SAME_DIVE_UNDER_MIN, self.job.rules.least_surface_interval_min)
        known = self.surfaced.get(person)
        if known is None:
            carried = self.order.carried.get(person)
            if carried is None:
                return None, None, True
            known, least = (carried.surfaced_min, carried.group), SAME_DIVE_UNDER_MIN
            if carried.group is None:
                return None, at - carried.surfaced_min, at >= carried.clean_at_min
        surfaced, group = known
        interval = at - surfaced
        if interval < least:
            return None, interval, False
        if group is None:
            return None, interval, False
        return group_after_interval(group, interval), interval, True

    def standby_ready(self, piece: Piece, depth: int, at: int) -> bool:
        """Whether every standby diver of the dive could go at once (rule ``standby-able-to-go``)."""
        assert piece.options is not None
        for held in piece.held:
            if held.spell.duty != STANDBY:
                continue
            person = held.spell.person
            if person not in self.surfaced and person not in self.order.carried:
                continue
            group, interval, allowed = self.state(person, at)
            if interval is not None and interval < SAME_DIVE_UNDER_MIN:
                return False
            if not allowed:
                # the least interval between dives does not bind a standby; only nitrogen does
                surfaced, left = self.surfaced.get(person, (0, None))
                if left is None:
                    return False
                group = group_after_interval(left, at - surfaced)
            minutes = standby_minutes_left(depth, group, piece.options)
            if minutes is not None and minutes < self.job.rules.standby_no_stop_min:
                return False
        return True

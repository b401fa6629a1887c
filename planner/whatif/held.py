"""What holds a drawn day beyond its clock: hours of each person, and air. Asked before a piece is made.

The arithmetic of stretches and rests is that of the check (`planner.check.rest`), the sums of air are those
of `planner.air`; what is weighed is the day so far with the piece added.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from planner.air import demand_steps, has_plant, independent_reserve, primary_bank_scf, primary_tank_scf
from planner.air.flow import AIR_ON_AFTER_MIN, AIR_ON_BEFORE_MIN
from planner.air.reserve import reserve_need_at, reserve_short_scf
from planner.air.supply import ROUNDING, SupplyStep, supply_steps
from planner.check.rest import rest_limits, short_rests, stretches_of_work
from planner.job import DiveItem
from planner.job.base import joined
from planner.job.duties import STANDBY, WATER_DUTIES
from planner.job.night import in_the_night, past_night_ends
from planner.plan.model import DutySpell, Plan
from planner.whatif.run import Run
from planner.whatif.ties import Piece, TiedPlan

MEAL, RELIEF, REST, ON_SITE, AWAY, NIGHT, IN_DRESS, AIR = (
    "a meal break",
    "relief of the watch",
    "rest",
    "hours on site",
    "a pin",
    "time off after a night",
    "the standby's time in dress",
    "air",
)


@dataclass(frozen=True)
class _Post:
    """A duty as it is held on the drawn day; ``dressed_min`` is since when a standby diver is in dress."""

    spell: DutySpell
    start_min: int
    end_min: int
    dressed_min: int
    watch: bool


class Hours:
    """Everybody's duties on a drawn day, and what keeps him from one more."""

    def __init__(self, tied: TiedPlan, later_min: int) -> None:
        self.tied, self.later_min = tied, later_min
        self.job, self.rules = tied.job, tied.job.rules
        self.posts: dict[str, list[_Post]] = defaultdict(list)
        self.limits = rest_limits(self.rules)
        self.rolling = bool(self.rules.rest_in_24h_min or self.rules.rest_in_7d_min)
        self._weighed: tuple[Run | None, tuple[_Post, ...]] = None, ()
        """The piece weighed last, with its posts: it is mostly the one that is made."""

    def take(self, run: Run) -> None:
        """Remember a piece that was made."""
        for post in self._weighed[1] if self._weighed[0] is run else self._of(run):
            self.posts[post.spell.person].append(post)

    def dressed_again_min(self, piece: Piece) -> int | None:
        """When a standby diver can be dressed who would have come in dress from a dive that is not made; None
        where there is none such."""
        found = None
        for held in piece.held:
            own = self.posts[held.spell.person]
            stood = any(p.spell.dive == held.dressed_from and p.spell.duty == STANDBY for p in own)
            if held.dressed_from is None or stood or not isinstance(piece.item, DiveItem):
                continue
            # A minute later: two turns that touch would be one stretch in dress.
            free = max((p.end_min + 1 for p in own), default=held.spell.start_min)
            found = max(found or free, free + piece.dressing[0])
        return found

    def hinders(self, run: Run) -> str:
        """What keeps somebody from a piece at its times; blank when nothing does."""
        own: dict[str, list[_Post]] = defaultdict(list)
        self._weighed = run, tuple(self._of(run))
        for post in self._weighed[1]:
            own[post.spell.person].append(post)
        return next(filter(None, (self._hinders(name, posts, run) for name, posts in own.items())), "")

    def _of(self, run: Run) -> Iterator[_Post]:
        for held in run.piece.held:
            start, end = held.hangs.span(run.times)
            dressed = start
            if held.spell.duty == STANDBY and isinstance(run.piece.item, DiveItem):
                dressed += run.piece.dressing[0]
                before = [
                    p
                    for p in self.posts[held.spell.person]
                    if p.spell.dive == held.dressed_from and p.spell.duty == STANDBY and p.end_min < end
                ]
                if held.dressed_from is not None and before:
                    start, dressed = before[-1].end_min, before[-1].dressed_min
                elif held.dressed_from is not None:
                    # The dive that he would have come from is not made: he is dressed for this one.
                    dressed = run.times.leave_surface_min
                    start = dressed - run.piece.dressing[0]
            if start < end:
                yield _Post(held.spell, start, end, dressed, held.watch)

    def _hinders(self, name: str, new: list[_Post], run: Run) -> str:
        rules, person, away = self.rules, self.job.person(name), self.tied.away.get(name, ())
        posts = [*self.posts[name], *new]
        spans = [(p.start_min, p.end_min) for p in posts]
        if person.available or away:
            on_site = joined((s.start_min, s.end_min + self.later_min) for s in person.available)
            for start, end in spans[-len(new) :]:
                if on_site and not any(a <= start and end <= b for a, b in on_site):
                    return ON_SITE
                if any(start < b and a < end for a, b in away):
                    return AWAY
        spans += self._briefings(name, spans)
        if rules.meal_break_min and _over(rules.meal_break_after_min, spans, rules.meal_break_min):
            return MEAL
        # those before were weighed as they came
        if rules.watch_max_min and any(p.watch for p in new):
            watches = [(p.start_min, p.end_min) for p in posts if p.watch]
            if _over(rules.watch_max_min, watches, rules.watch_break_min):
                return RELIEF
        if len(self.job.day_windows) > 1:
            days = pairwise(self._days(spans))
            if any(start - end < rules.rest_before_duty_min for (_, end), (start, _) in days):
                return REST
        if self.rolling:
            past = [(s.start_min, s.end_min) for s in person.past_work]
            if short_rests([*past, *spans], self.limits, since_min=min(spans)[0]):
                return REST
        limit = rules.standby_dressed_max_min
        if limit and any(p.spell.duty == STANDBY and run.up_min - p.dressed_min > limit for p in new):
            return IN_DRESS
        if rules.rest_after_night_min and any(p.spell.duty in WATER_DUTIES for p in new):
            leave = run.times.leave_surface_min
            nights = [e for s, e in spans if in_the_night(self.job.clock, s, e)]
            ended = [e for e in (*nights, *past_night_ends(self.job, person)) if e <= leave]
            if ended and leave - max(ended) < rules.rest_after_night_min:
                return NIGHT
        return ""

    def _briefings(self, name: str, spans: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
        """Of each stretch on site with a duty, as `planner.day.briefings` lays them."""
        found = []
        for first, last, asked in self.tied.briefings[name]:
            starts = [s for s, _ in spans if first <= s < last]
            if starts:
                at = self.tied.briefed_from_min(name, min(starts))
                found.append((at, at + asked))
        return found

    def _days(self, spans: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
        """First start and last end of each working day."""
        days: dict[int, tuple[int, int]] = {}
        for start, end in spans:
            day = self.tied.working_day(start)
            first, last = days.get(day, (start, end))
            days[day] = min(first, start), max(last, end)
        return sorted(days.values())


def _over(most_min: int, spans: Sequence[tuple[int, int]], break_min: int) -> bool:
    """Whether a stretch of work is longer than that; it is not where it is no longer from first to last."""
    if max(end for _, end in spans) - min(spans)[0] <= most_min:
        return False
    return any(end - start > most_min for start, end in stretches_of_work(spans, break_min))


class AirSums:
    """Whether primary and reserve carry a dive together with those that were made."""

    def __init__(self, tied: TiedPlan) -> None:
        self.plan, self.job = tied.plan, tied.job
        self.plant = has_plant(self.job.air)
        self.stored = primary_tank_scf(self.job, 0) > 0 or primary_bank_scf(self.job, 0) > 0
        self.alone = self.job.replace(air=independent_reserve(self.job.air)) if self.plant else self.job
        self._always: dict[frozenset[str], bool] = {}

    def carries(self, run: Run, runs: Sequence[Run]) -> bool:
        """Whether the air rules hold for the dives so far with this one."""
        if not self.plant:
            return True
        dives = [r for r in runs if r.made and r.piece.dive is not None]
        beside = [*(r for r in dives if _meet(r, run)), run]
        if all(r.no_stop and r.no_deeper for r in beside) and self._carried_always(beside):
            return True
        supplied = self._plan_of([*dives, run] if self.stored else beside)
        if any(step.short_scf > ROUNDING for step in self._steps(supplied)):
            return False
        together = self._plan_of(beside)
        moments = {t for d in together.dives for t in (d.leave_surface_min, d.leave_bottom_min)}
        return all(self._reserved(together, at) for at in moments)

    def _carried_always(self, runs: Sequence[Run]) -> bool:
        """Whether compressors and reserve carry these dives without stops however they lie and last.

        They draw most when all leave the bottom at once.
        """
        planned = [run.piece.dive for run in runs if run.piece.dive is not None]
        which = frozenset(dive.id for dive in planned)
        if which not in self._always:
            at = max(dive.leave_bottom_min for dive in planned)
            moved = {d.id: at - d.leave_bottom_min for d in planned}
            standing = (s for s in self.plan.duties if s.dive in moved and s.duty == STANDBY)
            spells = tuple(s.later(moved[s.dive or ""]) for s in standing)
            dives = tuple(d.later(moved[d.id]) for d in planned)
            plan = self.plan.model_copy(update={"dives": dives, "duties": spells})
            steady = all(step.margin_scfm >= -ROUNDING for step in self._steps(plan))
            self._always[which] = steady and self._reserved(plan, at)
        return self._always[which]

    def _steps(self, plan: Plan) -> tuple[SupplyStep, ...]:
        return supply_steps(demand_steps(plan, self.job), self.job, required=True)

    def _reserved(self, plan: Plan, at_min: int) -> bool:
        """Whether the reserve carries that moment, as does the part that shares nothing with the primary."""
        return all(
            reserve_short_scf(reserve_need_at(plan, job, at_min), job) <= ROUNDING
            for job in (self.job, self.alone)
        )

    def _plan_of(self, runs: Sequence[Run]) -> Plan:
        """The dives of these pieces with their standby divers."""
        spells = []
        for run in runs:
            for held in run.piece.held:
                if held.spell.duty == STANDBY:
                    start, end = held.hangs.span(run.times)
                    spells.append(held.spell.model_copy(update={"start_min": start, "end_min": end}))
        dives = tuple(run.as_dive() for run in runs)
        return self.plan.model_copy(update={"dives": dives, "duties": tuple(spells)})


def _meet(one: Run, other: Run) -> bool:
    """Whether two dives draw air at the same time."""
    return (
        one.times.leave_surface_min - AIR_ON_BEFORE_MIN < other.up_min + AIR_ON_AFTER_MIN
        and other.times.leave_surface_min - AIR_ON_BEFORE_MIN < one.up_min + AIR_ON_AFTER_MIN
    )

"""Who goes when a diver is unfit: his posts in dress change hands where the plan then holds every rule.

In the order of the dives, and for each post in the order of the job's list: somebody who may dive there and
has nothing else to do then, else somebody on deck for the same dive, who changes places with him. Whether
that holds is for the check to say, of the plan as planned. A standby diver who goes on in dress from dive to
dive is relieved of all of them. Where nobody can, the dive is not made. One who is
unfit to dive still works on deck.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.check import check
from planner.day import comes_dressed_from
from planner.day.by_hand import Move, Takes, may_dive, moved
from planner.job import Job
from planner.job.duties import BRIEFING, DRESSED_DUTIES
from planner.plan.finding import Finding
from planner.plan.model import Dive, DutySpell, Plan
from planner.whatif.held import AirSums
from planner.whatif.ties import TiedPlan, tied_plan

#: Who is unfit, each with the number of the day.
Unfit = frozenset[tuple[str, int]]


class StandIns:
    """A plan as it is manned for each set of unfit people; worked out once a set."""

    def __init__(self, plan: Plan, job: Job) -> None:
        self.plan, self.job = plan, job
        self.in_dress = frozenset(
            (s.person, job.working_day_of(s.start_min)) for s in plan.duties if s.duty in DRESSED_DUTIES
        )
        self._known: dict[Unfit, tuple[TiedPlan, AirSums]] = {}

    def manned(self, unfit: Unfit) -> tuple[TiedPlan, AirSums]:
        """The plan without those people in dress, tied, with its sums of air."""
        days = {day for _, day in unfit & self.in_dress}
        # Who is unfit and not in dress stands in for nobody on those days.
        unfit = frozenset((name, day) for name, day in unfit if day in days)
        if unfit not in self._known:
            tied = self._manned(unfit)
            self._known[unfit] = tied, AirSums(tied)
        return self._known[unfit]

    def _manned(self, unfit: Unfit) -> TiedPlan:
        plan, unmanned = self.plan, dict[str, str]()
        for dive in sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.id)):
            day = self.job.working_day_of(dive.leave_surface_min)
            out = {name for name, on in unfit if on == day}
            for name in sorted(out & {s.person for s in _in_dress(plan, dive)}):
                found = next(self._without(plan, dive, name, out), None)
                if found is None:
                    unmanned[dive.id] = f"{name} unfit and nobody in his place"
                    break
                plan = found
        return tied_plan(plan, self.job, unmanned)

    def _without(self, plan: Plan, dive: Dive, name: str, out: set[str]) -> Iterator[Plan]:
        """Plans that hold, in which another has the posts that somebody has in dress on a dive."""
        posts = _in_one_dress(plan, [s for s in _in_dress(plan, dive) if s.person == name])
        begins, ends = min(s.start_min for s in posts), max(s.end_min for s in posts)
        dives = [d for d in plan.dives if d.id in {s.dive for s in posts}]
        able = set.intersection(*(set(may_dive(self.job, self.job.dive_item(s.item), s.duty)) for s in posts))
        able -= out.union(*({s.person for s in _in_dress(plan, d)} for d in dives))
        ids = {d.id for d in dives}
        on_deck = {p: [s for s in plan.duties if s.person == p and s.dive in ids] for p in able}
        for person in sorted(self.job.people, key=lambda p: bool(on_deck.get(p.name))):
            busy = (
                s.start_min < ends and begins < s.end_min
                for s in plan.duties
                if s.person == person.name and s.dive not in ids and s.duty != BRIEFING
            )
            if person.name not in able or any(busy):
                continue
            takes = [Takes(s.item, s.duty, name, person.name, s.dive) for s in posts]
            takes += [Takes(s.item, s.duty, person.name, name, s.dive) for s in on_deck[person.name]]
            judged: list[tuple[Plan, tuple[Finding, ...]]] = []

            def ill_dressed(tried: Plan, judged: list[tuple[Plan, tuple[Finding, ...]]] = judged) -> int:
                """Rules of outfits that are broken: only for those another outfit is tried."""
                judged.append((tried, check(self.job, tried)))
                return sum(finding.rule.startswith("outfit") for finding in judged[-1][1])

            found = moved(plan, self.job, Move(takes=tuple(takes)), ill_dressed)
            if any(tried is found and not findings for tried, findings in judged):
                yield found


def _in_dress(plan: Plan, dive: Dive) -> list[DutySpell]:
    return [s for s in plan.duties if s.dive == dive.id and s.duty in DRESSED_DUTIES]


def _in_one_dress(plan: Plan, posts: list[DutySpell]) -> list[DutySpell]:
    """Posts with those of the dives before and after that are one stretch in dress with them: whoever takes a
    standby diver's place in the midst of it would have to be dressed for it."""
    goes_on = comes_dressed_from(plan.duties)
    out = list(posts)
    for spell in out:
        near = [goes_on.get(spell), *(s for s, before in goes_on.items() if before == spell)]
        out += [s for s in near if s is not None and s not in out]
    return out

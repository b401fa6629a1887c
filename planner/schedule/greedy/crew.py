"""Who holds the posts of one dive more, by rule of thumb, beside what is placed already."""

from __future__ import annotations

from planner.job.duties import STANDBY, STANDBY_TENDER
from planner.schedule.draft.pins import given_to
from planner.schedule.greedy.day import PlacedDay
from planner.schedule.problem.matching import fill_posts
from planner.schedule.problem.problem import DiveWork

#: When a support person is busy for a dive: from, to.
_Spells = tuple[tuple[int, int], ...]


class PlacedCrew(PlacedDay):
    """A day so far that can name the crew of a dive."""

    def _crew(
        self,
        data: DiveWork,
        deco: bool,
        leave: int,
        dress: int,
        undressed: int,
        watch: int,
        reach: int,
        team: list[str],
        out: int,
    ) -> tuple[list[tuple[str, int, int]], list[str]] | None:
        """Name everyone else: (busy spells of the support people, standbys)."""
        rules = self.job.rules
        skip: set[str] = set()
        together: dict[str, str] = {}
        for pair in rules.pairs:
            names = {p.duty: p.asked(deco) for p in data.posts if p.asked(deco)}
            if pair.duty in names and pair.with_duty in names and not skip:
                both = self.problem.qualified[pair.duty] & self.problem.qualified[pair.with_duty]
                if both and names[pair.duty] >= names[pair.with_duty]:
                    skip.add(pair.with_duty)
                    together[pair.duty] = pair.with_duty
        held = {
            "bench": (dress, undressed),
            "watch": (watch, reach),
            "chamber": (leave, out + rules.chamber_watch_min),
        }
        stands, stood = self._standing(data, dress, watch, reach)
        for drop in (skip, set[str]()):
            posts: list[tuple[_Spells, list[str]]] = []
            for post in data.posts:
                if post.duty in drop or not post.asked(deco):
                    continue
                start, end = held[post.held]
                if end > self._day_end(leave):
                    return None
                able = self.problem.qualified[post.duty]
                if post.duty in together and drop:
                    able &= self.problem.qualified[together[post.duty]]
                free = [p for p in self._free(able, start, end) if p not in team]
                posts += [(((start, end),), free)] * post.asked(deco)
            posts += self._hands(data, stands, stood, watch, reach, team)
            ready = [
                p
                for p in self._free(frozenset(data.standby_people), stands, stood)
                if p not in team and self._may_stand_by(data, p, stands, leave)
            ]
            given = given_to(self.problem, data.item.name, STANDBY)
            if given and data.standbys == 1:
                ready = [p for p in ready if p in given]
            # A minute apart where the job asks for dressing: two that touch are one stretch in dress.
            posts += [(((stands, stood + (stood > reach)),), ready)] * data.standbys
            named = fill_posts([free for _, free in posts])
            if named is not None:
                busy = [(p, s, e) for p, (spells, _) in zip(named, posts, strict=True) for s, e in spells]
                return busy, named[len(named) - data.standbys :] if data.standbys else []
        return None

    def _standing(self, data: DiveWork, dress: int, watch: int, reach: int) -> tuple[int, int]:
        """From when to when the standby diver is on duty; here he dresses and undresses for each dive."""
        if not self.job.rules.standby_dressed_max_min:
            return watch, reach
        return dress, reach + data.undressing_min

    def _hands(
        self, data: DiveWork, stands: int, stood: int, watch: int, reach: int, team: list[str]
    ) -> list[tuple[_Spells, list[str]]]:
        """Standby's tenders besides the one on watch, who dress the standby diver and undress him."""
        if not data.hands:
            return []
        beside = data.standby_tenders if stands >= watch else 0
        able = self.problem.qualified[STANDBY_TENDER]
        dressing, undressing = (stands, stands + data.dressing_min), (reach, stood)
        posts: list[tuple[_Spells, list[str]]] = []
        for k in range(data.hands):
            # The tender on watch is on the safe side not counted for the undressing.
            spells = (undressing,) if k < beside else (dressing, undressing)
            free = [set(self._free(able, s, e)) for s, e in spells]
            posts.append((spells, [p for p in sorted(set.intersection(*free)) if p not in team]))
        return posts

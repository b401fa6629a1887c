"""The support posts that a draft with settled times asks for, and who could hold each of them."""

from __future__ import annotations

from dataclasses import dataclass

from planner.job.duties import STANDBY_TENDER, WATCH_DUTIES
from planner.schedule.draft.draft import Draft, DraftDive, NamedSpell
from planner.schedule.draft.pins import given_to
from planner.schedule.draft.values import dive_numbers
from planner.schedule.problem.problem import Problem, away


@dataclass(frozen=True)
class Post:
    """A support duty of a draft. Exactly one of ``dive`` and ``task`` is an index into the draft."""

    duty: str
    count: int
    start_min: int
    end_min: int
    dive: int | None = None
    task: int | None = None
    item: str = ""
    number: int = 0
    """Which of its item's dives it is for, from 0."""
    able: tuple[str, ...] = ()
    """People who hold the duty and are free of everything but support duties."""
    pinned: frozenset[str] = frozenset()
    """People whom a pin gives it."""

    @property
    def watch(self) -> bool:
        """Whether its holder is to be relieved from it after the job's longest watch."""
        return self.dive is not None and self.duty in WATCH_DUTIES

    def spell(self, person: str) -> NamedSpell:
        """The post as one person's duty."""
        return NamedSpell(person, self.duty, self.start_min, self.end_min, dive=self.dive, task=self.task)


def support_posts(problem: Problem, draft: Draft) -> list[Post] | None:
    """Every support post of a draft; None where one cannot be filled by those who are free."""
    fixed: dict[str, list[tuple[int, int]]] = {}
    for person, start, end, _ in draft.water_spells():
        fixed.setdefault(person, []).append((start, end))
    posts: list[Post] = []

    def fillable(
        duty: str,
        count: int,
        start: int,
        end: int,
        item: str,
        number: int,
        *,
        dive: int | None,
        task: int | None,
        hands: bool = False,
    ) -> bool:
        able = tuple(
            p
            for p in sorted(problem.qualified[duty])
            if problem.certified(p, duty, end)
            and not any(s < end and start < e for s, e in away(problem, p) + fixed.get(p, []))
        )
        # Who is pinned to a duty holds it while the divers are in the water; hands at the bench are others.
        pinned = frozenset() if hands else given_to(problem, item, duty)
        posts.append(Post(duty, count, start, end, dive, task, item, number, able, pinned))
        return len(able) >= count and pinned <= set(able)

    for k, (dive, number) in enumerate(zip(draft.dives, dive_numbers(draft), strict=True)):
        data = problem.dives[dive.work]
        wanted = [
            (
                post.duty,
                post.people_needed(dive.deco),
                *dive.stretch(post.held, problem.job.rules.chamber_watch_min),
            )
            for post in data.posts
            if post.people_needed(dive.deco)
        ]
        if not all(fillable(*one, data.item.name, number, dive=k, task=None) for one in wanted):
            return None
        for one in _hands(problem, dive):
            if not fillable(STANDBY_TENDER, *one, data.item.name, number, dive=k, task=None, hands=True):
                return None
    for k, planned in enumerate(draft.tasks):
        work = problem.tasks[planned.task]
        end = planned.start_min + work.item.duration_min
        for duty, count in work.crew:
            if not fillable(duty, count, planned.start_min, end, work.item.name, 0, dive=None, task=k):
                return None
    return posts


def _hands(problem: Problem, dive: DraftDive) -> list[tuple[int, int, int]]:
    """Standby's tenders besides the one on watch while he dresses and undresses: how many, from, to."""
    data = problem.dives[dive.work]
    if not data.hands or dive.standby_from_min is None:
        return []
    start, up = dive.standby_from_min, dive.reach_surface_min
    out = []
    if not dive.comes_dressed:
        beside = data.standby_tenders if start >= dive.watch_start_min else 0
        out.append((data.hands - beside, start, start + data.dressing_min))
    if not dive.stays_dressed:
        out.append((data.hands, up, up + data.undressing_min))
    return [one for one in out if one[0] > 0]

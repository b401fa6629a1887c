"""Who holds the posts of one dive more, by rule of thumb, beside what is placed already."""

from __future__ import annotations

from planner.job.duties import STANDBY, STANDBY_TENDER
from planner.schedule.draft.draft import DraftDive
from planner.schedule.draft.pins import given_to
from planner.schedule.greedy.partial_schedule import PartialSchedule
from planner.schedule.problem.matching import fill_posts
from planner.schedule.problem.problem import DiveWork

#: When a support person is busy for a dive (from, to), and who could take that post.
_Post = tuple[tuple[tuple[int, int], ...], list[str]]


def crew_of(
    placed: PartialSchedule, dive: DraftDive
) -> tuple[list[tuple[str, int, int]], tuple[str, ...]] | None:
    """Everyone on a dive but the divers.

    Returns
    -------
    tuple or None
        (person, from, to) of each support duty, the standby divers' too, and the standby divers; None where
        the rule of thumb finds no crew.
    """
    problem, data = placed.problem, placed.problem.dives[dive.work]
    team = {p for p, _ in dive.seats}
    with_it = _held_together(placed, data, dive.deco)
    stands, stood = dive.standing
    for together in [with_it, {}] if with_it else [with_it]:
        posts: list[_Post] = []
        for post in data.posts:
            if post.duty in together.values() or not post.asked(dive.deco):
                continue
            watched_min = problem.job.rules.chamber_watch_min
            start, end = dive.stretch(post.held, watched_min)
            if post.duty in together:
                other = next(p for p in data.posts if p.duty == together[post.duty])
                begins, ends = dive.stretch(other.held, watched_min)
                start, end = min(start, begins), max(end, ends)
            if end > placed.day_end(dive.leave_surface_min):
                return None
            able = problem.qualified[post.duty]
            if post.duty in together:
                able &= problem.qualified[together[post.duty]]
            free = [p for p in placed.free(able, start, end) if p not in team]
            posts += [(((start, end),), free)] * post.asked(dive.deco)
        posts += _hands(placed, data, dive, team)
        ready = [
            p
            for p in placed.free(frozenset(data.standby_people), stands, stood)
            if p not in team and placed.may_stand_by(data, p, stands, dive.leave_surface_min)
        ]
        given = given_to(problem, data.item.name, STANDBY)
        if given and data.standbys == 1:
            ready = [p for p in ready if p in given]
        # A minute apart where the job asks for dressing: two that touch are one stretch in dress.
        posts += [(((stands, stood + (stood > dive.reach_surface_min)),), ready)] * data.standbys
        named = fill_posts([free for _, free in posts])
        if named is not None:
            busy = [(p, s, e) for p, (spells, _) in zip(named, posts, strict=True) for s, e in spells]
            return busy, tuple(named[len(named) - data.standbys :]) if data.standbys else ()
    return None


def _held_together(placed: PartialSchedule, data: DiveWork, deco: bool) -> dict[str, str]:
    """The first duty of a dive that one person may hold with another, and that other, which takes no more."""
    names = {p.duty: p.asked(deco) for p in data.posts if p.asked(deco)}
    for pair in placed.job.rules.pairs:
        if pair.duty in names and pair.with_duty in names:
            both = placed.problem.qualified[pair.duty] & placed.problem.qualified[pair.with_duty]
            if both and names[pair.duty] >= names[pair.with_duty]:
                return {pair.duty: pair.with_duty}
            if both:
                return {pair.with_duty: pair.duty}
    return {}


def _hands(placed: PartialSchedule, data: DiveWork, dive: DraftDive, team: set[str]) -> list[_Post]:
    """Standby's tenders besides the one on watch, who dress the standby diver and undress him."""
    if not data.hands:
        return []
    stands, stood = dive.standing
    beside = data.standby_tenders if stands >= dive.watch_start_min else 0
    able = placed.problem.qualified[STANDBY_TENDER]
    dressing, undressing = (stands, stands + data.dressing_min), (dive.reach_surface_min, stood)
    posts: list[_Post] = []
    for k in range(data.hands):
        # The tender on watch is on the safe side not counted for the undressing.
        spells = (undressing,) if k < beside else (dressing, undressing)
        free = [set(placed.free(able, s, e)) for s, e in spells]
        posts.append((spells, [p for p in sorted(set.intersection(*free)) if p not in team]))
    return posts

"""Who holds the posts of one dive more, by rule of thumb, beside what is placed already."""

from __future__ import annotations

from planner.job.duties import STANDBY, STANDBY_TENDER, WATCH_DUTIES
from planner.schedule.draft.draft import DraftDive
from planner.schedule.draft.pins import given_to
from planner.schedule.greedy.partial_schedule import PartialSchedule, Supports
from planner.schedule.problem.matching import fill_posts
from planner.schedule.problem.problem import DiveWork

#: When a support person is busy for a dive (from, to), who could take that post, and whether it is a watch
#: that its holder is to be relieved from.
_Post = tuple[tuple[tuple[int, int], ...], list[str], bool]


def crew_of(placed: PartialSchedule, dive: DraftDive) -> tuple[list[Supports], tuple[str, ...]] | None:
    """Everyone on a dive but the divers.

    Returns
    -------
    tuple or None
        Each support duty, the standby divers' too, and the standby divers; None where
        the rule of thumb finds no crew.
    """
    problem, data = placed.problem, placed.problem.dives[dive.work]
    team = {p for p, _ in dive.seats}
    with_it = _held_together(placed, data, dive.deco)
    stands, stood = dive.standing
    for together in [with_it, {}] if with_it else [with_it]:
        posts = _support_posts(placed, dive, team, together)
        if posts is None:
            continue
        ready = [
            p
            for p in placed.free_of(data.standby_people, stands, stood)
            if p not in team
            and problem.certified(p, STANDBY, stood)
            and placed.may_stand_by(data, p, stands, dive.leave_surface_min)
            and not placed.touches(p, stands, stood)
        ]
        given = given_to(problem, data.item.name, STANDBY)
        if given and data.standbys == 1:
            ready = [p for p in ready if p in given]
        posts += [(((stands, stood),), ready, False)] * data.standbys
        named = fill_posts([free for _, free, _ in posts])
        if named is not None:
            busy = [(p, s, e, w) for p, (spells, _, w) in zip(named, posts, strict=True) for s, e in spells]
            in_water = [(p, dive.dress_start_min, dive.held_until_min, False) for p in team]
            hands = _hands(placed, data, dive, [*busy, *in_water]) if data.hands else []
            if hands is not None:
                return [*busy, *hands], tuple(named[len(named) - data.standbys :]) if data.standbys else ()
    return None


def _support_posts(
    placed: PartialSchedule, dive: DraftDive, team: set[str], together: dict[str, str]
) -> list[_Post] | None:
    """The support duties of a dive and who could take each; None where too few could for one of them.

    ``together``: a duty → the one that its holder has with it.
    """
    data, watched_min = placed.problem.dives[dive.work], placed.job.rules.chamber_watch_min
    posts: list[_Post] = []
    for post in data.posts:
        asked = post.people_needed(dive.deco)
        if post.duty in together.values() or not asked:
            continue
        start, end = dive.stretch(post.held, watched_min)
        duties = [post.duty]
        if post.duty in together:
            other = next(p for p in data.posts if p.duty == together[post.duty])
            begins, ends = dive.stretch(other.held, watched_min)
            start, end = min(start, begins), max(end, ends)
            duties.append(other.duty)
        if end > placed.day_end(dive.leave_surface_min):
            return None
        watch = not WATCH_DUTIES.isdisjoint(duties)
        free = [p for p in placed.free(duties, start, end, watch=watch) if p not in team]
        if len(free) < asked:
            return None
        posts += [(((start, end),), free, watch)] * asked
    return posts


def _held_together(placed: PartialSchedule, data: DiveWork, deco: bool) -> dict[str, str]:
    """The first duty of a dive that one person may hold with another, and that other, which takes no more."""
    names = {p.duty: p.people_needed(deco) for p in data.posts if p.people_needed(deco)}
    for pair in placed.job.rules.pairs:
        if pair.duty in names and pair.with_duty in names:
            both = placed.problem.qualified[pair.duty] & placed.problem.qualified[pair.with_duty]
            if both and names[pair.duty] >= names[pair.with_duty]:
                return {pair.duty: pair.with_duty}
            if both:
                return {pair.with_duty: pair.duty}
    return {}


def _hands(
    placed: PartialSchedule, data: DiveWork, dive: DraftDive, busy: list[Supports]
) -> list[Supports] | None:
    """Standby's tenders besides the one on watch, who dress the standby divers and undress them, of those who
    are not ``busy`` for the dive just then; None where too few are free."""
    stands, stood = dive.standing
    beside = data.standby_tenders if stands >= dive.watch_start_min else 0
    out: list[Supports] = []
    for count, start, end in (
        (data.hands - beside, stands, stands + data.dressing_min),
        (data.hands, dive.reach_surface_min, stood),
    ):
        if count <= 0:
            continue
        taken = {p for p, s, e, _ in (*busy, *out) if s < end and start < e}
        free = [p for p in placed.free((STANDBY_TENDER,), start, end) if p not in taken]
        if len(free) < count:
            return None
        out += [(p, start, end, False) for p in free[:count]]
    return out

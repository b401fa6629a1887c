"""A crew named by rule of thumb, for large days: post after post in the order of the clock.

Not exact: where it finds none, one may still exist, and the solver is asked
(`planner.schedule.crews.assignment`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from planner.schedule.crews.posts import Post
from planner.schedule.problem.matching import fill_posts


def greedy_crew(
    posts: Sequence[Post],
    breadth: dict[str, int],
    may_combine: Callable[[str, str], bool],
) -> list[set[str]] | None:
    """People for every post, or None where the rule of thumb finds no choice.

    Parameters
    ----------
    breadth
        Number of duties of each person: those with the fewest are taken first.
    may_combine
        Whether two duties may meet in one person.
    """
    if any(post.pinned for post in posts):
        # Pins are for the exact step.
        return None
    works: dict[tuple[int | None, int | None], list[int]] = {}
    for k in sorted(range(len(posts)), key=lambda k: (posts[k].start_min, k)):
        works.setdefault((posts[k].dive, posts[k].task), []).append(k)
    busy: dict[str, list[tuple[int, int]]] = {}
    chosen: list[set[str]] = [set() for _ in posts]
    for own in works.values():
        named = None
        for pair in (_pair(posts, own, may_combine), None):
            named = _fill(posts, own, breadth, busy, pair)
            if named is not None:
                break
        if named is None:
            return None
        for k, person in named:
            chosen[k].add(person)
            busy.setdefault(person, []).append((posts[k].start_min, posts[k].end_min))
    return chosen


def _pair(
    posts: Sequence[Post], own: list[int], may_combine: Callable[[str, str], bool]
) -> tuple[int, int] | None:
    """The first two posts of one dive that one person may hold together, the larger first."""
    for i in own:
        for j in own:
            if (
                i != j
                and posts[i].dive is not None
                and posts[i].count >= posts[j].count
                and (posts[i].start_min, posts[i].end_min) == (posts[j].start_min, posts[j].end_min)
                and may_combine(posts[i].duty, posts[j].duty)
            ):
                return i, j
    return None


def _fill(
    posts: Sequence[Post],
    own: list[int],
    breadth: dict[str, int],
    busy: dict[str, list[tuple[int, int]]],
    pair: tuple[int, int] | None,
) -> list[tuple[int, str]] | None:
    seats: list[int] = []
    candidates: list[list[str]] = []
    for k in own:
        if pair is not None and k == pair[1]:
            continue
        able = [
            p
            for p in posts[k].able
            if all(e <= posts[k].start_min or s >= posts[k].end_min for s, e in busy.get(p, ()))
        ]
        if pair is not None and k == pair[0]:
            able = [p for p in able if p in posts[pair[1]].able]
        able.sort(key=lambda p: (breadth[p], -len(busy.get(p, ())), p))
        seats += [k] * posts[k].count
        candidates += [able] * posts[k].count
    named = fill_posts(candidates)
    if named is None:
        return None
    out = list(zip(seats, named, strict=True))
    if pair is not None:
        both = [p for k, p in out if k == pair[0]][: posts[pair[1]].count]
        out += [(pair[1], p) for p in both]
    return out

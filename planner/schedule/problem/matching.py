"""Fill posts with people, one each: augmenting paths in a bipartite graph (König; textbook method)."""

from __future__ import annotations

from collections.abc import Sequence


def fill_posts(candidates: Sequence[Sequence[str]]) -> list[str] | None:
    """One distinct person for every post, or None when no such choice exists; see `match_posts`."""
    named = _holders(candidates, to_the_end=False)
    return [named[post] for post in range(len(candidates))] if len(named) == len(candidates) else None


def match_posts(candidates: Sequence[Sequence[str]]) -> list[str | None]:
    """Distinct people for as many posts as can be filled at once, None for the others.

    Parameters
    ----------
    candidates
        For each post, the people who could fill it, preferred first.
    """
    named = _holders(candidates, to_the_end=True)
    return [named.get(post) for post in range(len(candidates))]


def _holders(candidates: Sequence[Sequence[str]], *, to_the_end: bool) -> dict[int, str]:
    """Post → person; broken off at the first post that stays empty, unless ``to_the_end``."""
    holder: dict[str, int] = {}

    def place(post: int, seen: set[str]) -> bool:
        for person in candidates[post]:
            if person in seen:
                continue
            seen.add(person)
            if person not in holder or place(holder[person], seen):
                holder[person] = post
                return True
        return False

    for post in sorted(range(len(candidates)), key=lambda k: len(candidates[k])):
        if not place(post, set()) and not to_the_end:
            break
    return {post: person for person, post in holder.items()}

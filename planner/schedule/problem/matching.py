"""Fill posts with people, one each: augmenting paths in a bipartite graph (König; textbook method)."""

from __future__ import annotations

from collections.abc import Sequence


def fill_posts(candidates: Sequence[Sequence[str]]) -> list[str] | None:
    """One distinct person for every post, or None when no such choice exists.

    Parameters
    ----------
    candidates
        For each post, the people who could fill it, preferred first.
    """
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
        if not place(post, set()):
            return None
    named = {post: person for person, post in holder.items()}
    return [named[post] for post in range(len(candidates))]

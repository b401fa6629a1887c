"""What differs between two versions of a job, in a few words. Nothing of Streamlit is used in here."""

from __future__ import annotations

from collections.abc import Iterable

from planner.job import Job
from planner.job.base import Part

#: Things named before the rest is only counted as more.
NAMED = 4

#: Parts of a job that are lists, with the word for one and for several.
_LISTS = (
    ("people", "person", "people"),
    ("items", "item", "items"),
    ("stations", "station", "stations"),
    ("outfits", "outfit", "outfits"),
    ("water_windows", "slack window", "slack windows"),
    ("tide_marks", "tide mark", "tide marks"),
    ("pins", "pin", "pins"),
)

#: Parts of a job that are one thing each.
_WHOLE = (("site", "site"), ("air", "air plant"), ("rules", "crew rules"))


def what_differs(before: Job, after: Job) -> str:
    """``2 people more, 1 item fewer, crew rules changed``; people and items are told apart by name.

    A list in which as many came as went says ``1 person new, 1 person gone``.
    """
    said: list[str] = []
    for field, one, several in _LISTS:
        said += _in_list(getattr(before, field), getattr(after, field), one, several)
    said += [f"{word} changed" for field, word in _WHOLE if getattr(before, field) != getattr(after, field)]
    if not said:
        return "order of the rows" if before != after else "nothing"
    more = len(said) - NAMED
    return ", ".join(said[:NAMED]) + (f" and {more} more" if more > 0 else "")


def _in_list(before: Iterable[Part], after: Iterable[Part], one: str, several: str) -> list[str]:
    was, now = _by_key(before), _by_key(after)
    came, went = len(now.keys() - was.keys()), len(was.keys() - now.keys())
    changed = sum(1 for key in was.keys() & now.keys() if was[key] != now[key])
    grew, shrank = ("new", "gone") if came and went else ("more", "fewer")
    counts = ((came, grew), (went, shrank), (changed, "changed"))
    return [f"{count} {one if count == 1 else several} {word}" for count, word in counts if count]


def _by_key(parts: Iterable[Part]) -> dict[object, Part]:
    """By name; what has none is known by all that it says."""
    return {getattr(part, "name", None) or part: part for part in parts}

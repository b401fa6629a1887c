"""Names as people type them: when two spellings are the same, and which known name was meant."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable


def fold(name: str) -> str:
    """What two spellings of one name share: composed letters, one blank between words, no case."""
    return unicodedata.normalize("NFC", " ".join(unicodedata.normalize("NFC", name).casefold().split()))


def closest(typed: str, known: Iterable[str]) -> str | None:
    """The known name that a typed one most looks like; None when none is near."""
    by_fold = {fold(name): name for name in known}
    near = difflib.get_close_matches(fold(typed), by_fold, n=1, cutoff=0.6)
    return by_fold[near[0]] if near else None


def listed(names: Iterable[str], most: int = 12) -> str:
    """Names for a sentence, ``a, b or c``, cut short after ``most``; ``none yet`` when there are none."""
    all_names = list(names)
    if not all_names:
        return "none yet"
    if len(all_names) > most:
        return ", ".join(all_names[:most]) + f" or one of {len(all_names) - most} more"
    if len(all_names) == 1:
        return all_names[0]
    return ", ".join(all_names[:-1]) + f" or {all_names[-1]}"


def unknown_name(what: str, typed: str, known: Iterable[str]) -> tuple[str, str]:
    """What is allowed, and the sentence, for a name that nothing in the job carries.

    Parameters
    ----------
    what
        What the name should be of, for example ``item``.
    typed
        The name as typed.
    known
        The names there are.
    """
    names = list(known)
    folded = {fold(name) for name in names}
    near = closest(typed, names)
    meant = f" Did you mean {near}?" if near else ""
    if "," in typed and any(fold(part) in folded for part in typed.split(",")):
        meant = " Split several names by semicolons."
    return listed(names), f"There is no {what} called {typed}.{meant}"

"""Names as people type them: when two spellings are the same, and which known name was meant."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable
from functools import lru_cache

#: Letters of other alphabets that are drawn as a Latin one, small or capital, without case. Each pair stands
#: in the confusables of Unicode Technical Standard 39 (a public copy, 29 Nov 2026); of its Cyrillic and Greek
#: letters those that names are written with.
_DRAWN_AS_LATIN = str.maketrans(
    "авекмнорстухіјѕһԁԛԝ" + "αβεζηικμνορτυχ" + "ı",
    "abekmhopctyxijshdqw" + "abezhikmnoptyx" + "i",
)
#: Drawn as nothing, beside the format characters: fillers, variation selectors, the grapheme joiner.
_UNSEEN = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u3164\uffa0") | frozenset(map(chr, range(0xFE00, 0xFE10)))
_ALPHABETS = ("LATIN", "CYRILLIC", "GREEK")


@lru_cache(maxsize=8192)
def fold(name: str) -> str:
    """What two spellings of one name share, so that names that look alike are one: no case, one blank between
    words, letters of one width and encoding, none that cannot be seen, and one alphabet where two draw alike.
    """
    seen = "".join(c for c in unicodedata.normalize("NFKD", name) if not _is_unseen(c))
    # taken apart once more: full case folding makes letters of its own
    apart = unicodedata.normalize("NFKD", " ".join(seen.casefold().split())).casefold()
    return unicodedata.normalize("NFKC", apart.translate(_DRAWN_AS_LATIN))


def _is_unseen(letter: str) -> bool:
    return letter in _UNSEEN or unicodedata.category(letter) == "Cf"


def unclear(name: str) -> str:
    """What in a name is not what it looks like, as words after "holds"; blank for a clear name.

    A joiner between letters of an alphabet that is written with joiners is no fault.
    """
    letters = [unicodedata.name(c, "").split(" ")[0] for c in name if c.isalpha()]
    used = [alphabet.capitalize() for alphabet in _ALPHABETS if alphabet in letters]
    if len(used) > 1:
        return f"letters of several alphabets that look alike ({' and '.join(used)})"
    unseen = {c for c in name if _is_unseen(c)} - (set() if used else set("\u200c\u200d"))
    return f"a character that cannot be seen (U+{ord(min(unseen)):04X})" if unseen else ""


def closest(typed: str, known: Iterable[str]) -> str | None:
    """The known name that a typed one most looks like; None when none is near."""
    by_fold = {fold(name): name for name in known}
    near = difflib.get_close_matches(fold(typed), by_fold, n=1, cutoff=0.6)
    return by_fold[near[0]] if near else None


def did_you_mean(typed: str, known: Iterable[str], otherwise: str = "") -> str:
    """`` Did you mean Ana?``, to end a sentence with; other words, or none, where no known name is near."""
    near = closest(typed, known)
    return f" Did you mean {near}?" if near else otherwise


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
    """What is allowed, and the sentence, for a name that nothing of a kind (``item``) in the job carries."""
    names = list(known)
    folded = {fold(name) for name in names}
    meant = did_you_mean(typed, names)
    if "," in typed and any(fold(part) in folded for part in typed.split(",")):
        meant = " Split several names by semicolons."
    return listed(names), f"There is no {what} called {typed}.{meant}"

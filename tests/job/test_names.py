"""When two spellings are one name, and which name was meant."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.job.names import closest, fold, listed, unclear, unknown_name


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Ana Reyes", " ana   REYES "),
        ("Ana\tReyes", "Ana Reyes"),
        ("Ana\u00a0Reyes", "Ana Reyes"),
        ("José", "Jose\u0301"),
        ("STRASSE", "straße"),
        ("Νεφέλη", "ΝΕΦΈΛΗ"),
    ],
)
def test_spellings_of_one_name(one: str, other: str) -> None:
    """Case, blanks and the encoding of accents make no difference (Unicode NFC and full case folding)."""
    assert fold(one) == fold(other)


@pytest.mark.parametrize(("one", "other"), [("José", "Jose"), ("North 1", "North 2"), ("森", "林")])
def test_different_names_stay_different(one: str, other: str) -> None:
    """Accents and digits count."""
    assert fold(one) != fold(other)


LOOK_ALIKES = {
    "a zero-width space": "An\u200ba Reyes",
    "a soft hyphen": "Ana Re\u00adyes",
    "a full-width letter": "\uff21na Reyes",
    "a Cyrillic a": "An\u0430 Reyes",
    "a no-break space": "Ana\u00a0Reyes",
    "a variation selector": "Ana\ufe0f Reyes",
    "Greek capitals": "\u0391\u039d\u0391 REYES",
}


@pytest.mark.parametrize("name", LOOK_ALIKES.values(), ids=LOOK_ALIKES.keys())
def test_names_that_look_alike_are_one(name: str) -> None:
    """What the eye cannot tell apart is one person, who cannot stand by for himself (UTS 39)."""
    assert fold(name) == fold("Ana Reyes")


def test_names_of_one_alphabet_stay_apart_and_match_in_any_case() -> None:
    """Names written in Cyrillic or Greek alone are other than one another, and the same in capitals."""
    names = ("Вера", "Нина", "Роза", "Ελένη", "Μαρία", "Χρήστος", "Ёлкин", "Йорк")
    assert len({fold(name) for name in names}) == len(names)
    assert all(fold(name.upper()) == fold(name) for name in names)


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("An\u0430 Reyes", "Latin and Cyrillic"),
        ("An\u200ba Reyes", "U+200B"),
        ("Ana \u202eseyeR", "U+202E"),
        ("Ana Reyes", ""),
        ("Zoë Ångström-O’Neil", ""),
        ("Вера", ""),
        ("\u0639\u0644\u06cc\u200c\u0631\u0636\u0627", ""),
    ],
)
def test_a_name_that_is_not_what_it_looks_like_is_told(name: str, found: str) -> None:
    """Letters of two alphabets and characters that cannot be seen; a joiner that Persian is written with may
    stand."""
    assert found in unclear(name)
    assert bool(unclear(name)) == bool(found)


@given(st.text())
def test_folding_twice_changes_nothing(text: str) -> None:
    """A folded name is its own fold, composed, without blanks at its ends."""
    folded = fold(text)
    assert fold(folded) == folded
    assert unicodedata.is_normalized("NFC", folded)
    assert folded.strip() == folded


def test_the_nearest_name_is_offered_or_none() -> None:
    """A slip of the pen finds its name; something else finds nothing."""
    assert closest("supervisr", ["diver", "supervisor"]) == "supervisor"
    assert closest("cook", ["diver", "supervisor"]) is None


def test_lists_for_sentences() -> None:
    """None, one, several, many."""
    assert listed([]) == "none yet"
    assert listed(["a"]) == "a"
    assert listed(["a", "b", "c"]) == "a, b or c"
    assert listed([str(n) for n in range(20)], most=2) == "0, 1 or one of 18 more"


def test_several_names_in_one_are_told_apart_by_semicolons() -> None:
    """'diver, tender' is two duties written with a comma; a comma inside a name is none of our business."""
    assert unknown_name("duty", "diver, tender", ["diver", "tender"])[1].endswith("by semicolons.")
    assert "semicolon" not in unknown_name("item", "Anodes, row 3", ["Anodes, row 4"])[1]

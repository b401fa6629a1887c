"""When two spellings are one name, and which name was meant."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.job.names import closest, fold, listed, unknown_name


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

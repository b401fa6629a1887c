"""A user's own text on a screen, and the clock of a search."""

from __future__ import annotations

import pytest

from planner.screens.wording import clock_text, plain


@pytest.mark.parametrize(
    ("text", "cut"),
    [
        ("Slip http://quay.example/x", r"Slip http\:⁠//quay\.example/x"),
        ("HTTPS://quay.example", r"HTTPS\:⁠//quay\.example"),
        ("www.quay.example", r"www⁠\.quay\.example"),
        ("ask rui@quay.example", r"ask rui\@⁠quay\.example"),
        ("Pier 4: 2 m @ slack", r"Pier 4\: 2 m \@ slack"),
        ("![x](javascript:y)", r"\!\[x\]\(javascript\:y\)"),
    ],
)
def test_an_address_is_no_link(text: str, cut: str) -> None:
    """Bare addresses become links where nothing cuts them (GitHub Flavored Markdown, 6.9)."""
    assert plain(text) == cut
    assert plain(text).replace("\\", "").replace("\u2060", "") == text


@pytest.mark.parametrize(
    ("gone_s", "stage", "words"),
    [
        (6.2, None, "6 s of 15 s, setting up"),
        (14.6, "finish", "15 s of 15 s, finish"),
        (91, None, "91 s, setting up: the first plan is made to its end, past the limit of 15 s"),
        (17, "finish", "17 s, finish: the 15 s are over, the last plan is named and checked"),
    ],
)
def test_a_search_past_its_limit_says_why(gone_s: float, stage: str | None, words: str) -> None:
    """On a slow machine: never ``91 s of 15 s``."""
    assert clock_text(gone_s, 15, stage) == words

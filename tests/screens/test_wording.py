"""A user's own text on a screen."""

from __future__ import annotations

import pytest

from planner.screens.wording import plain


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

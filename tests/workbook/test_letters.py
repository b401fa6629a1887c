"""Widths of letters that the sheets are laid out by, against a font made to be as wide as Arial."""

from __future__ import annotations

import pytest

from planner.workbook.letters import lines_needed, text_width_mm
from tests.world.typeset import set_width_mm

TEXTS = (
    "Planning aid only. Not a dive table and not a permit: local regulations decide.",
    "07:00–07:15 briefing: Amina Odhiambo-Lund, Leilani Kahaku",
    "0.445 × D + 135 psi, ≤ 2,800 psi · 41 / 63 min, (15 asked) 100 %",
    "Zuzana Březina, Oisín Ó Brannigan, Łukasz Øster, Joaquín Etxeberria",
    "QWERTYUIOPASDFGHJKLZXCVBNM qwertyuiopasdfghjklzxcvbnm 1234567890",
)


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("text", TEXTS)
def test_a_line_is_taken_a_little_wider_than_it_is(text: str, bold: bool) -> None:
    """Never narrower than it is set, and no more than 8 % wider. Source: Liberation Sans, whose advances are
    Arial's."""
    told, true = text_width_mm(text, 9, bold=bold), set_width_mm(text, 9, bold)
    assert true <= told <= 1.08 * true


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("text", ["Νεφέλη Αρβανίτη", "Нина Береговая", "☐ □ ▾ →", "ЖУКОВ ЩУКИН ΩΜΕΓΑ"])
def test_other_alphabets_are_not_taken_too_narrow(text: str, bold: bool) -> None:
    """Greek, Cyrillic and signs have room, if a little much of it."""
    assert text_width_mm(text, 9, bold=bold) >= set_width_mm(text, 9, bold)


def test_lines_break_between_words_only() -> None:
    """Ten words of 8 mm each with 2 mm between: three to a line of 30 mm, four lines."""
    word = next("n" * n for n in range(1, 99) if text_width_mm("n" * n, 10) >= 8)
    width = 3 * text_width_mm(word, 10) + 2 * text_width_mm(" ", 10) + 1.6
    assert lines_needed(" ".join([word] * 10), width, 10) == 4
    assert lines_needed(f"{word}\n\n{word}", width, 10) == 3

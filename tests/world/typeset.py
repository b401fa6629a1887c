"""Type as it is set: a font as wide as Arial, measured letter by letter."""

from __future__ import annotations

import os
from functools import cache

import pytest
from PIL import ImageFont

from planner.workbook.letters import POINTS_PER_MM

#: Height of a line over the size of its type: ascent, descent and gap of Arial and of Liberation Sans.
LINE = 1.149
#: Size at which the font is measured: large, so that nothing is rounded.
_EM = 2048


@cache
def _font(bold: bool) -> ImageFont.FreeTypeFont:
    """Liberation Sans, made to be as wide as Arial. Skips where it is missing, except in CI, where it comes
    with LibreOffice."""
    try:
        return ImageFont.truetype(f"LiberationSans-{'Bold' if bold else 'Regular'}.ttf", _EM)
    except OSError:
        if os.environ.get("CI"):
            pytest.fail("Liberation Sans is missing, and CI must measure the sheets")
        pytest.skip("Liberation Sans is not installed here")


@cache
def set_width_mm(text: str, size: float, bold: bool) -> float:
    """Width of a line of text as it is set, in millimetres."""
    return _font(bold).getlength(text) / _EM * size / POINTS_PER_MM


def set_lines(text: str, width_mm: float, size: float, bold: bool) -> tuple[int, str]:
    """How many lines a wrapped text takes in a width, and the first word of it that is wider than that."""
    lines, broken = 0, ""
    for paragraph in text.split("\n"):
        lines += 1
        line = ""
        for word in paragraph.split(" "):
            if set_width_mm(word, size, bold) > width_mm:
                broken = broken or word
            longer = f"{line} {word}" if line else word
            if line and set_width_mm(longer, size, bold) > width_mm:
                lines, longer = lines + 1, word
            line = longer
    return lines, broken

"""How wide a line of type is, and how many lines a text takes: Arial's letters, plain and bold."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from typing import Final

MM_PER_INCH = 25.4
POINTS_PER_MM = 72 / MM_PER_INCH
#: What a cell keeps free beside its text, in millimetres.
CELL_EDGES_MM = 1.5
#: How much wider than its letters a line is taken to be: a program that rounds the widths of columns down
#: prints them up to 5 % narrower (`planner.workbook.style`).
_SPARE = 1.05
#: Letters that no list below has: small ones, capitals and signs, those of East Asia and pictures.
_SMALL, _CAPITAL, _WHOLE = 620, 900, 1000
_EAST_ASIA = 0x2E00


class _Widths(dict[str, int]):
    """Widths of letters in thousandths of the type size: a letter with a mark is as wide as without."""

    def __missing__(self, letter: str) -> int:
        bare = unicodedata.normalize("NFD", letter)[0]
        if bare != letter:
            wide = self[bare]
        elif unicodedata.combining(letter):
            wide = 0
        elif ord(letter) > _EAST_ASIA:
            wide = _WHOLE
        else:
            wide = _SMALL if letter.islower() else _CAPITAL
        self[letter] = wide
        return wide


def _widths(groups: dict[int, str]) -> _Widths:
    return _Widths({letter: wide for wide, letters in groups.items() for letter in letters})


#: The Latin letters of Arial, as wide as those of Helvetica in Adobe's metrics of PDF's 14 standard fonts;
#: Greek and Cyrillic are taken a little too wide.
_PLAIN: Final = _widths(
    {
        191: "'",
        222: "ijlł‘’",
        260: "|",
        278: " \u00a0!,./:;I[\\]ft·ı",
        333: "()-`r“”",
        334: "{}",
        350: "•",
        355: '"',
        389: "*",
        400: "°",
        469: "^",
        500: "Jcksvxyz",
        556: "#$0123456789?L_abdeghnopquŁ–ðþđ≤≥±",
        584: "+<=>~×−",
        611: "FTZßø",
        667: "&ABEKPSVXYÞ",
        722: "CDHNRUwÐĐ",
        778: "GOQØ",
        833: "Mm½",
        889: "%æ",
        944: "Wœ",
        1000: "Æ—…←→Œ",
        1015: "@",
    }
)
_BOLD: Final = _widths(
    {
        238: "'",
        278: " \u00a0,./I\\ijl·ıł‘’",
        280: "|",
        333: "!()-:;[]`ft",
        350: "•",
        389: "*r{}",
        400: "°",
        474: '"',
        500: "z“”",
        556: "#$0123456789J_aceksvxy–≤≥±",
        584: "+<=>^~×−",
        611: "?FLTZbdghnopqußøŁðþđ",
        667: "EPSVXYÞ",
        722: "&ABCDHKNRUÐĐ",
        778: "GOQwØ",
        833: "M½",
        889: "%mæ",
        944: "Wœ",
        975: "@",
        1000: "Æ—…←→Œ",
    }
)


def text_width_mm(text: str, size: float, *, bold: bool = False) -> float:
    """Width of a line of text in Arial at a size in points, in millimetres, a little on the wide side."""
    widths = _BOLD if bold else _PLAIN
    return _SPARE * sum(map(widths.__getitem__, text)) / 1000 * size / POINTS_PER_MM


def fitted(choices: Sequence[str], width_mm: float, size: float, *, bold: bool = False) -> str:
    """The first of some wordings that fits a width; where none does, the last one cut, with a mark."""
    for words in choices:
        if text_width_mm(words, size, bold=bold) <= width_mm:
            return words
    words = choices[-1]
    while words and text_width_mm(words + "…", size, bold=bold) > width_mm:
        words = words[:-1]
    return words.rstrip() + "…" if words else ""


def lines_needed(text: str, width_mm: float, size: float, *, bold: bool = False) -> int:
    """How many lines a text takes in a cell of a width, broken between words as a spreadsheet does it."""
    room = max(width_mm - CELL_EDGES_MM, 2.0)
    space = text_width_mm(" ", size, bold=bold)
    lines = 0
    for paragraph in text.split("\n"):
        lines += 1
        used = 0.0
        for word in paragraph.split(" "):
            width = text_width_mm(word, size, bold=bold)
            # the space after the last word of a line hangs over its end
            if used and used + width > room:
                lines += 1
                used = 0.0
            lines += int(width // room)
            used += (width % room if width > room else width) + space
    return lines

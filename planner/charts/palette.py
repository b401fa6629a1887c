"""One colour and one set of letters for every duty, for the printed watchbill and for the charts.

The colours are taken unchanged from Paul Tol, "Colour Schemes", SRON/EPS/TN/09-002, issue 3.2 (2021):
his *light* scheme, made for filling cells that carry black letters, and his *muted* scheme, which stays
distinct for colour-blind readers. Duties in the water are dark with white letters, duties on deck are
light with black ones: a page from a black-and-white printer still shows at a glance who is under water,
and the letters say the rest.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from planner.job import Job
from planner.job.duties import DUTIES, DUTY_OF

SOURCE = "Paul Tol, Colour Schemes, SRON/EPS/TN/09-002, issue 3.2 (2021), light and muted schemes"

#: Colours of the two schemes beside those that the built-in duties began with.
_LIGHT_FILLS = ("#DDDDDD", "#AAAA00")
_MUTED_FILLS = ("#AA4499", "#44AA99", "#CC6677", "#DDCC77", "#999933", "#88CCEE", "#117733")

#: What is left of them for duties that a job brings in, in the order they are given out.
OWN_FILLS: tuple[str, ...] = tuple(
    f for f in (*_LIGHT_FILLS, *_MUTED_FILLS) if f not in {d.fill_hex for d in DUTIES}
)

BLACK, WHITE = "#000000", "#FFFFFF"


@dataclass(frozen=True)
class DutyStyle:
    """How a duty looks: its letters, and the fill and letter colours as ``#RRGGBB``."""

    letters: str
    fill_hex: str
    text_hex: str


def relative_luminance(colour_hex: str) -> float:
    """Luminance of an sRGB colour, 0 black to 1 white (WCAG 2.2, "relative luminance")."""
    parts = (int(colour_hex[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast_ratio(one_hex: str, other_hex: str) -> float:
    """Contrast of two colours, 1 to 21 (WCAG 2.2, "contrast ratio"); text asks for 4.5 or more."""
    low, high = sorted((relative_luminance(one_hex), relative_luminance(other_hex)))
    return (high + 0.05) / (low + 0.05)


def text_on(fill_hex: str) -> str:
    """Black or white, whichever reads better on the fill (one of them always has 4.5 or more)."""
    return max((BLACK, WHITE), key=lambda text: contrast_ratio(fill_hex, text))


def duty_style(job: Job) -> dict[str, DutyStyle]:
    """Letters and colours of every duty of a job.

    Built-in duties look the same in every job. A job's own duties are taken in alphabetical order, so the
    same set of duties always comes out the same, however the workbook's rows are ordered.

    Returns
    -------
    dict
        A style for each name in ``job.duties`` and each duty of the crew rules; letters and fills are
        unique.
    """
    styles = {
        duty.name: DutyStyle(duty.letters, duty.fill_hex, text_on(duty.fill_hex)) for duty in DUTY_OF.values()
    }
    named = {*job.duties, *(row.duty for row in job.rules.minima)}
    fills = _own_fills()
    for duty in sorted(named - set(styles)):
        letters = _own_letters(duty, {style.letters for style in styles.values()})
        fill = next(fills)
        styles[duty] = DutyStyle(letters, fill, text_on(fill))
    return styles


def _own_letters(duty: str, taken: set[str]) -> str:
    """Two letters for a duty: its initials, or its first letter and a later one, or a number."""
    words = ["".join(c for c in word if c.isalnum()) for word in duty.split()]
    words = [word for word in words if word]
    if len(words) > 1:
        initials = _short(words[0][0] + words[1][0])
        if initials not in taken:
            return initials
    plain = "".join(words) or "X"
    for later in plain[1:]:
        letters = _short(plain[0] + later)
        if letters not in taken:
            return letters
    first, number = _short(plain[0])[:1], 1
    while f"{first}{number}" in taken:
        number += 1
    return f"{first}{number}"


def _short(letters: str) -> str:
    """Capitals, at most two: some letters grow when they become capitals (ß becomes SS)."""
    return letters.upper()[:2]


def _own_fills() -> Iterator[str]:
    """Fills for a job's own duties: the free ones of the two schemes, then near-whites.

    A job with more own duties than that has outrun any set of colours that can be told apart; the
    letters then carry the meaning alone.
    """
    yield from OWN_FILLS
    for step in range(0xFEFEFE):
        yield f"#{0xFEFEFE - step:06X}"

"""Rows of the dressing cards: how a step is laid out, and how tall it comes out."""

from __future__ import annotations

from collections.abc import Sequence

from planner.gear import CardLine
from planner.workbook.style import PALE, POINTS_PER_MM, Look, Page, Sheet

CELL = Look(size=8, edges="b", wrap=True)
WORDS = Look(size=7.5, edges="b", wrap=True)
BOX = Look(size=7.5, edges="lrtb", across="center", wrap=True)
HOLD_BOX = BOX.but(fill=PALE, heavy="lrtb")
NAME_BLANK = Look(size=8, edges="lrtb", across="center")

#: Type sizes tried, the largest first, to bring one card onto one page.
SIZES = (8.0, 7.5, 7.0, 6.5)

#: Height of a line of type and mean width of a letter, over the size, as LibreOffice sets Arial; the
#: width is taken a little wide, since a row that is too low cuts words off.
_LINE, _LETTER, _BOLD = 1.2, 0.5, 0.55
#: Least height of a row in points: room for a tick, and for a name and a time in writing.
_LEAST, _LEAST_HOLD = 13.0, 19.0


def wrapped_lines(text: str, width_mm: float, size: float, *, bold: bool = False) -> int:
    """How many lines a text takes when it is wrapped between words."""
    room = max(1.0, (width_mm - 1.5) * POINTS_PER_MM / (size * (_BOLD if bold else _LETTER)))
    lines, used = 1, 0.0
    for word in text.split():
        if used and used + 1 + len(word) > room:
            lines, used = lines + 1, 0.0
        used += len(word) + (1 if used else 0)
        while used > room:
            lines, used = lines + 1, used - room
    return lines


def row_points(
    cells: Sequence[str], widths: Sequence[float], page: Page, size: float, *, bold: Sequence[int] = ()
) -> float:
    """Height of a row whose cells wrap, in points.

    Parameters
    ----------
    cells
        Texts of the first columns.
    widths
        The sheet's own proportions, all columns.
    page, size
        Page and type size.
    bold
        Indexes of the cells in bold.
    """
    stretch = page.width_mm / sum(widths)
    lines = max(
        wrapped_lines(text, width * stretch, size, bold=index in bold)
        for index, (text, width) in enumerate(zip(cells, widths, strict=False))
    )
    return lines * size * _LINE + 3


def together_letters(lines: Sequence[CardLine]) -> list[str]:
    """For each line the letter of the group that is done at the same time; blank for a step on its own."""
    letters: dict[tuple[str, str], str] = {}
    found = []
    for line in lines:
        mark = line.step.side_by_side
        if not mark:
            found.append("")
            continue
        key = (line.step.list, mark)
        if key not in letters:
            letters[key] = chr(ord("a") + len(letters) % 26)
        found.append(letters[key])
    return found


def _cells(line: CardLine, letter: str) -> tuple[str, ...]:
    step = line.step
    who = f"{step.who} ‖ {letter}" if letter else str(step.who)
    if step.hold_point:
        who = f"{who}, signs" if step.signed_by == step.who else f"{who}; {step.signed_by} signs"
    return (str(line.number), step.do, step.good, step.when_not, who, f"{step.minutes:g}")


def _heights(
    lines: Sequence[CardLine], letters: Sequence[str], widths: Sequence[float], page: Page, size: float
) -> list[float]:
    heights = []
    for line, letter in zip(lines, letters, strict=True):
        hold = line.step.hold_point
        high = row_points(_cells(line, letter), widths, page, size, bold=(1, 4) if hold else ())
        heights.append(max(high, _LEAST_HOLD if hold else _LEAST))
    return heights


def place_lines(
    sheet: Sheet, row: int, lines: Sequence[CardLine], widths: Sequence[float], *, room_points: float
) -> int:
    """Write the steps of a card in the largest type that fits the room. Returns the next free row."""
    letters = together_letters(lines)
    for size in SIZES:
        heights = _heights(lines, letters, widths, sheet.page, size)
        if sum(heights) <= room_points:
            break
    for line, letter, height in zip(lines, letters, heights, strict=True):
        hold = line.step.hold_point
        for column, text in enumerate(_cells(line, letter), start=1):
            look = WORDS.but(size=size, across="center" if column in (1, 6) else "left")
            if hold:
                look = look.but(fill=PALE, bold=column in (2, 5))
            sheet.put(row, column, text, look)
        signed = f"{line.signed_by} {line.signed_at}".strip()
        sheet.put(row, 7, signed, BOX.but(heavy="lrtb") if hold else BOX)
        sheet.tall(row, height)
        row += 1
    return row

"""Sheets for the bench: a dressing card a diver and one for the standby, and the inspection lists."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from planner.gear import (
    CardLine,
    DressingCard,
    HoldPointSignature,
    InspectionCard,
    dressing_cards,
    inspection_cards,
)
from planner.job.duties import STANDBY
from planner.sheets.bill import Bill
from planner.sheets.layout import Cell, write_line, write_words
from planner.words.measures import depth_words
from planner.workbook.style import (
    HEAD,
    INK,
    PALE,
    POINTS_PER_MM,
    SMALL,
    SOFT,
    TEXT,
    Look,
    Sheet,
    lines_needed,
    set_up_page,
)

_WORDS = Look(size=7.5, edges="b", wrap=True)
_BOX = Look(size=7.5, edges="lrtb", across="center", wrap=True)
_HOLD_BOX = _BOX.but(heavy="lrtb")
_NAME_BLANK = Look(size=8, edges="lrtb", across="center")

#: Type sizes tried, the largest first, to bring one card onto one page.
_SIZES = (8.0, 7.5, 7.0, 6.5)
#: Height of a line over its size: a card of many steps is set closer than other sheets.
_CLOSE_LINE = 1.2
#: Bold type is wider than the plain type that lines are counted for.
_BOLD_WIDER = 1.05
#: Least height of a row in points: room for a tick, and for a name and a time in writing.
_LEAST, _LEAST_HOLD = 13.0, 19.0
#: Outfits side by side on one block of the inspection sheet.
_A_BLOCK = 5
#: Room kept under a card for its note.
_NOTE_MM = 9.0
_INSPECTION_WIDTHS = (7.0, 58.0, 42.0, 36.0, *[17.0] * _A_BLOCK)
_CARD_COLUMNS: tuple[tuple[str, float], ...] = (
    ("", 7),
    ("Step", 64),
    ("Good is", 46),
    ("If not", 46),
    ("Who", 30),
    ("Min", 9),
    ("Done; name, time", 32),
)
_CARD_NOTE = (
    "Grey: hold point. Nothing goes on before the duty named there has signed. ‖ with the same letter: "
    "done at the same time. Steps are common practice; follow the crew's own list and local regulations."
)
_INSPECTION_NOTE = (
    "Grey: hold point, to be signed by name before the outfit is worn. The non-return valve is tried every "
    "day and never skipped. Steps are common practice; follow the crew's own list and local regulations."
)


def _row_points(sheet: Sheet, cells: Sequence[str], size: float, bold: Sequence[int] = ()) -> float:
    """Height of a row of wrapped cells, from the first column on; ``bold`` are columns counted from 0."""
    lines = max(
        lines_needed(text, sheet.width_mm(index + 1) / (_BOLD_WIDER if index in bold else 1), size)
        for index, text in enumerate(cells)
    )
    return lines * size * _CLOSE_LINE + 3


def together_letters(lines: Sequence[CardLine]) -> list[str]:
    """For each line the letter of the group that is done at the same time; blank for a step on its own."""
    letters: dict[tuple[str, str], str] = {}
    found = []
    for line in lines:
        key = (line.step.list, line.step.side_by_side)
        if key[1] and key not in letters:
            letters[key] = chr(ord("a") + len(letters) % 26)
        found.append(letters.get(key, ""))
    return found


# --- dressing cards ---------------------------------------------------------------------------------------


def write_dressing_cards(bill: Bill, signatures: Iterable[HoldPointSignature] = ()) -> None:
    """Add the sheet *Dressing cards* to the book; a hold point that is not signed gets a blank."""
    sheet, row = bill.printed.sheet("Dressing cards", [width for _, width in _CARD_COLUMNS])
    cards = dressing_cards(bill.plan, bill.job, tuple(signatures))
    for number, card in enumerate(cards):
        if number:
            sheet.break_after(row - 1)
        row = _card(sheet, row, bill, card)
    if not cards:
        row = write_line(sheet, row, [("Nobody dresses in this plan.", sheet.columns, TEXT)])
    set_up_page(sheet, row - 1)


def _card(sheet: Sheet, row: int, bill: Bill, card: DressingCard) -> int:
    """One card. Returns the next free row."""
    first = row
    of = f"outfit {card.outfit}" + (f", number {card.outfit_numbers}" if card.outfit_numbers else "")
    name = Look(size=15, bold=True, down="bottom", shrink=True)
    row = write_line(sheet, row, [(card.diver, 3, name), (of, 4, name.but(size=11, across="right"))], 22)
    dressed_by = "dressing" if card.duty != STANDBY else "dressed with the diver,"
    facts = (
        f"{card.duty} · {card.gear} · dive {card.dive}, {card.item}, "
        f"{depth_words(card.depth_fsw, bill.job.site.units)} · "
        f"{card.station} · {dressed_by} from {card.dress_start}, leave surface {card.leave_surface}"
    )
    crew = f"tenders: {', '.join(card.tenders) or '–'} · supervisor: {card.supervisor or '–'}"
    for words in (facts, crew):
        row = write_line(sheet, row, [(words, sheet.columns, Look(size=8.5, shrink=True))])
    heads: list[Cell] = [
        (title, 1, HEAD.but(across="center" if title in ("", "Min") else "left"))
        for title, _ in _CARD_COLUMNS
    ]
    row = write_line(sheet, row, heads, 14)
    taken = sheet.height_mm(1, 3) + sheet.height_mm(first, row - 1)
    room = (sheet.page.height_mm - taken - _NOTE_MM) * POINTS_PER_MM
    row = _steps(sheet, row, card.lines, room)
    return write_words(sheet, row, _CARD_NOTE, SMALL, 20)


def _cells(line: CardLine, letter: str) -> tuple[str, ...]:
    step = line.step
    who = f"{step.who} ‖ {letter}" if letter else str(step.who)
    if step.hold_point:
        who = f"{who}, signs" if step.signed_by == step.who else f"{who}; {step.signed_by} signs"
    return (str(line.number), step.do, step.good, step.when_not, who, f"{step.minutes:g}")


def _steps(sheet: Sheet, row: int, lines: Sequence[CardLine], room_points: float) -> int:
    """Write the steps of a card in the largest type that fits the room. Returns the next free row."""
    rows = [(line, _cells(line, letter)) for line, letter in zip(lines, together_letters(lines), strict=True)]
    for size in _SIZES:
        heights = [
            max(_row_points(sheet, cells, size, (1, 4)), _LEAST_HOLD)
            if line.step.hold_point
            else max(_row_points(sheet, cells, size), _LEAST)
            for line, cells in rows
        ]
        if sum(heights) <= room_points:
            break
    for (line, cells), height in zip(rows, heights, strict=True):
        hold = line.step.hold_point
        for column, text in enumerate(cells, start=1):
            look = _WORDS.but(size=size, across="center" if column in (1, 6) else "left")
            sheet.put(row, column, text, look.but(fill=PALE, bold=column in (2, 5)) if hold else look)
        signed = f"{line.signed_by} {line.signed_at}".strip()
        sheet.put(row, 7, signed, _HOLD_BOX if hold else _BOX)
        sheet.tall(row, height)
        row += 1
    return row


# --- inspection -------------------------------------------------------------------------------------------


def write_inspections(bill: Bill, signatures: Iterable[HoldPointSignature] = ()) -> None:
    """Add the sheet *Inspection* to the book: the list down, the outfits that the plan uses across."""
    sheet, row = bill.printed.sheet("Inspection", _INSPECTION_WIDTHS)
    blocks = _blocks(inspection_cards(bill.plan, bill.job, tuple(signatures)))
    for number, block in enumerate(blocks):
        if number:
            sheet.break_after(row - 1)
        row = _inspection(sheet, row, block)
    if not blocks:
        row = write_line(sheet, row, [("No outfit is used in this plan.", sheet.columns, TEXT)])
    set_up_page(sheet, row - 1)


def _blocks(cards: tuple[InspectionCard, ...]) -> list[list[InspectionCard]]:
    """Outfits of one kind, as many as stand side by side on a page."""
    blocks = []
    for kind in dict.fromkeys(card.gear for card in cards):
        own = [card for card in cards if card.gear is kind]
        blocks += [own[i : i + _A_BLOCK] for i in range(0, len(own), _A_BLOCK)]
    return blocks


def _inspection(sheet: Sheet, row: int, block: list[InspectionCard]) -> int:
    """One block: the steps down, the outfits across. Returns the next free row."""
    kind = str(block[0].gear).capitalize()
    row = write_line(sheet, row, [(kind, 4, Look(size=13, bold=True, down="bottom"))], 20)
    heads: list[Cell] = [(title, 1, HEAD) for title in ("", "Looked over", "Good is", "If not")]
    names = [card.outfit for card in block] + [""] * (_A_BLOCK - len(block))
    heads += [(name, 1, HEAD.but(across="center", ink=INK) if name else TEXT) for name in names]
    row = write_line(sheet, row, heads, 24)
    for index, line in enumerate(block[0].lines):
        step, signed = line.step, [card.lines[index] for card in block]
        cells = (str(line.number), step.do, step.good, step.when_not)
        looks = [
            _WORDS.but(bold=n == 1 and step.hold_point, across="left" if n else "center") for n in range(4)
        ]
        box = _HOLD_BOX.but(fill=PALE) if step.hold_point else _BOX
        words: list[Cell] = [(text, 1, look) for text, look in zip(cells, looks, strict=True)]
        words += [(f"{s.signed_by} {s.signed_at}".strip(), 1, box) for s in signed]
        tall = _row_points(sheet, cells, 7.5, (1,) if step.hold_point else ())
        row = write_line(sheet, row, words, max(22.0, tall))
    for title in ("Looked over by", "Day and time"):
        blanks: list[Cell] = [("", 1, _NAME_BLANK) for _ in block]
        label = (title, 4, TEXT.but(across="right", ink=SOFT, size=8))
        row = write_line(sheet, row, [label, *blanks], 20)
    return write_words(sheet, row, _INSPECTION_NOTE, SMALL, 22)

"""Sheets for the bench: a dressing card a diver, the outfits' state, the inspection lists."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from openpyxl.workbook import Workbook

from planner.files import Target, write_whole
from planner.gear import (
    CardLine,
    DressingCard,
    HoldPointSignature,
    InspectionCard,
    OutfitDay,
    dressing_cards,
    inspection_cards,
    outfit_days,
)
from planner.job import Job, OutfitState
from planner.plan.model import Plan
from planner.words.measures import dates_words, depth_words, length_words, span_words
from planner.workbook.style import (
    HEAD,
    INK,
    PALE,
    POINTS_PER_MM,
    SMALL,
    SOFT,
    TEXT,
    Look,
    Page,
    Paper,
    Sheet,
    new_book,
    new_sheet,
    paper_named,
    set_up_page,
    write_head,
)

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


#: Outfits side by side on one block of the inspection sheet.
_A_BLOCK = 5
#: Room kept under a card for its note.
_NOTE_MM = 9.0

_CARD_COLUMNS: tuple[tuple[str, float], ...] = (
    ("", 7),
    ("Step", 64),
    ("Good is", 46),
    ("If not", 46),
    ("Who", 30),
    ("Min", 9),
    ("Done; name, time", 32),
)

_STATE_COLUMNS: tuple[tuple[str, float], ...] = (
    ("Outfit", 24),
    ("Kind", 22),
    ("Numbers of the set", 34),
    ("Size", 12),
    ("State", 44),
    ("Said by, on", 32),
    ("Inspected", 19),
    ("Due", 19),
    ("Hose, length", 26),
    ("Tested", 19),
    ("In this plan", 64),
)


def add_dressing_sheets(
    workbook: Workbook,
    plan: Plan,
    job: Job,
    *,
    paper: str | Paper = "A4",
    signatures: Iterable[HoldPointSignature] = (),
    facts: str | None = None,
    outfits: bool = True,
) -> None:
    """Add the sheets *Outfits*, *Inspection* and *Dressing cards* to a workbook.

    Parameters
    ----------
    workbook
        From `planner.workbook.style.new_book`.
    plan, job
        The plan and its job.
    paper
        Paper to print on.
    signatures
        Hold points that are signed already; all others get blanks.
    facts
        Line under each title; the job's dates when not given.
    outfits
        False leaves the sheet *Outfits* out, for a book that tells their state elsewhere.
    """
    sheet_paper = paper_named(paper) if isinstance(paper, str) else paper
    given = tuple(signatures)
    upright = Page(sheet_paper, landscape=False)
    line = dates_words(job) if facts is None else facts
    if outfits:
        _outfits(workbook, plan, job, Page(sheet_paper, landscape=True), line)
    _inspections(workbook, plan, job, upright, given, line)
    _cards(workbook, plan, job, upright, given, line)


def write_dressing_cards(
    plan: Plan,
    job: Job,
    path: Target,
    *,
    paper: str | Paper = "A4",
    signatures: Iterable[HoldPointSignature] = (),
) -> None:
    """Write a workbook of its own with the outfits' state, the inspection lists and the dressing cards.

    Parameters
    ----------
    plan, job
        The plan and its job.
    path
        Where the ``.xlsx`` goes: a path or an open binary file.
    paper
        Paper to print on.
    signatures
        Hold points that are signed already.
    """
    book = new_book(f"Dressing cards, {job.site.name}")
    add_dressing_sheets(book, plan, job, paper=paper, signatures=signatures)
    write_whole(book, path)


def _outfits(book: Workbook, plan: Plan, job: Job, page: Page, facts: str) -> None:
    sheet = new_sheet(book, "Outfits", page, [width for _, width in _STATE_COLUMNS])
    row = write_head(sheet, "Outfits", job.site.name, facts)
    for column, (title, _) in enumerate(_STATE_COLUMNS, start=1):
        sheet.put(row, column, title, HEAD)
    sheet.tall(row, 16)
    sheet.title_rows = row
    row += 1
    days = outfit_days(job, plan)
    for day in days:
        cells = _state_cells(job, day)
        for column, text in enumerate(cells, start=1):
            loud = column == 1 or (column == 5 and day.not_ready is not None)
            sheet.put(row, column, text, CELL.but(bold=loud))
        sheet.tall(row, row_points(cells, [width for _, width in _STATE_COLUMNS], page, 8))
        sheet.keep_together(row, row)
        row += 1
    if not days:
        sheet.put(row, 1, "No outfit is listed.", TEXT, wide=sheet.columns)
        row += 1
    note = (
        "Helmet, breastplate and straps of one outfit carry one number and never mix (common practice). "
        "Hoses are tested yearly to 1.5 times their working pressure (29 CFR 1910.430(c), paragraph from "
        "memory). Subject to local regulations."
    )
    sheet.put(row, 1, note, SMALL.but(wrap=True, down="top"), wide=sheet.columns)
    sheet.tall(row, 22)
    set_up_page(sheet, row)


def _state_cells(job: Job, day: OutfitDay) -> tuple[str, ...]:
    outfit = day.outfit
    said = ", ".join(x for x in (outfit.state_by, str(outfit.state_on or "")) if x)
    hose = ", ".join(
        x for x in (outfit.hose_no, length_words(outfit.umbilical_length_ft, job.site.units)) if x
    )
    uses = [
        f"{span_words(job, u.start_min, u.end_min)} {u.person}" + (" (standby)" if u.standby else "")
        for u in day.uses
    ]
    state = _state_words(day)
    return (
        outfit.name,
        str(outfit.kind),
        day.set_numbers,
        outfit.size or "–",
        state,
        said or "–",
        str(outfit.inspected_on or "–"),
        str(outfit.inspection_due or "–"),
        hose,
        str(outfit.hose_tested_on or "–"),
        "; ".join(uses) or "not used",
    )


def _state_words(day: OutfitDay) -> str:
    """Ready or out, and why; who said so stands in a column of its own."""
    outfit = day.outfit
    if day.not_ready is None:
        return ", ".join(x for x in ("ready", outfit.state_note) if x)
    if outfit.state is OutfitState.READY:
        return f"out: {day.not_ready}"
    return "out: " + ", ".join(x for x in (str(outfit.state), outfit.state_note) if x)


def _cards(
    book: Workbook, plan: Plan, job: Job, page: Page, signatures: tuple[HoldPointSignature, ...], facts: str
) -> None:
    widths = [width for _, width in _CARD_COLUMNS]
    sheet = new_sheet(book, "Dressing cards", page, widths)
    row = write_head(sheet, "Dressing cards", job.site.name, facts)
    cards = dressing_cards(plan, job, signatures)
    for number, card in enumerate(cards):
        if number:
            sheet.break_after(row - 1)
        row = _card(sheet, row, job, card, widths)
    if not cards:
        sheet.put(row, 1, "Nobody dresses in this plan.", TEXT, wide=sheet.columns)
        row += 1
    set_up_page(sheet, row - 1)


def _card(sheet: Sheet, row: int, job: Job, card: DressingCard, widths: list[float]) -> int:
    """One card. Returns the next free row."""
    of = f"outfit {card.outfit}" + (f", number {card.outfit_numbers}" if card.outfit_numbers else "")
    sheet.put(row, 1, card.diver, Look(size=15, bold=True, down="bottom", shrink=True), wide=3)
    sheet.put(row, 4, of, Look(size=11, bold=True, across="right", down="bottom", shrink=True), wide=4)
    sheet.tall(row, 22)
    dressed_by = "dressing" if card.duty != "standby diver" else "dressed with the diver,"
    facts = (
        f"{card.duty} · {card.gear} · dive {card.dive}, {card.item}, "
        f"{depth_words(card.depth_fsw, job.site.units)} · "
        f"{card.station} · {dressed_by} from {card.dress_start}, leave surface {card.leave_surface}"
    )
    sheet.put(row + 1, 1, facts, Look(size=8.5, shrink=True), wide=sheet.columns)
    crew = f"tenders: {', '.join(card.tenders) or '–'} · supervisor: {card.supervisor or '–'}"
    sheet.put(row + 2, 1, crew, Look(size=8.5, shrink=True), wide=sheet.columns)
    row += 3
    for column, (title, _) in enumerate(_CARD_COLUMNS, start=1):
        sheet.put(row, column, title, HEAD.but(across="center" if column in (1, 6) else "left"))
    sheet.tall(row, 14)
    taken = sheet.height_mm(1, 3) + sheet.height_mm(row - 3, row)
    room = (sheet.page.height_mm - taken - _NOTE_MM) * POINTS_PER_MM
    row = place_lines(sheet, row + 1, card.lines, widths, room_points=room)
    note = (
        "Grey: hold point. Nothing goes on before the duty named there has signed. ‖ with the same letter: "
        "done at the same time. Steps are common practice; follow the crew's own list and local regulations."
    )
    sheet.put(row, 1, note, SMALL.but(wrap=True, down="top"), wide=sheet.columns)
    sheet.tall(row, 20)
    return row + 1


def _inspections(
    book: Workbook, plan: Plan, job: Job, page: Page, signatures: tuple[HoldPointSignature, ...], facts: str
) -> None:
    widths = [7.0, 58.0, 42.0, 36.0, *[17.0] * _A_BLOCK]
    sheet = new_sheet(book, "Inspection", page, widths)
    row = write_head(sheet, "Inspection", job.site.name, facts)
    first = True
    for block in _blocks(inspection_cards(plan, job, signatures)):
        if not first:
            sheet.break_after(row - 1)
        first = False
        row = _inspection(sheet, row, block, widths)
    if first:
        sheet.put(row, 1, "No outfit is used in this plan.", TEXT, wide=sheet.columns)
        row += 1
    set_up_page(sheet, row - 1)


def _blocks(cards: tuple[InspectionCard, ...]) -> list[list[InspectionCard]]:
    """Outfits of one kind, as many as stand side by side on a page."""
    blocks = []
    for kind in dict.fromkeys(card.gear for card in cards):
        own = [card for card in cards if card.gear is kind]
        blocks += [own[i : i + _A_BLOCK] for i in range(0, len(own), _A_BLOCK)]
    return blocks


def _inspection(sheet: Sheet, row: int, block: list[InspectionCard], widths: list[float]) -> int:
    """One block: the steps down, the outfits across. Returns the next free row."""
    sheet.put(row, 1, str(block[0].gear).capitalize(), Look(size=13, bold=True, down="bottom"), wide=4)
    sheet.tall(row, 20)
    row += 1
    for column, title in enumerate(("", "Looked over", "Good is", "If not"), start=1):
        sheet.put(row, column, title, HEAD)
    for column in range(5, 5 + _A_BLOCK):
        if column - 5 < len(block):
            title = block[column - 5].outfit
            sheet.put(row, column, title, HEAD.but(across="center", ink=INK))
    sheet.tall(row, 24)
    row += 1
    for index, line in enumerate(block[0].lines):
        step = line.step
        cells = (str(line.number), step.do, step.good, step.when_not)
        for column, text in enumerate(cells, start=1):
            look = WORDS.but(bold=column == 2 and step.hold_point, across="center" if column == 1 else "left")
            sheet.put(row, column, text, look)
        for place, card in enumerate(block):
            signed = card.lines[index]
            text = f"{signed.signed_by} {signed.signed_at}".strip()
            sheet.put(row, 5 + place, text, HOLD_BOX if step.hold_point else BOX)
        bold = (1,) if step.hold_point else ()
        sheet.tall(row, max(22.0, row_points(cells, widths, sheet.page, 7.5, bold=bold)))
        row += 1
    for title in ("Looked over by", "Day and time"):
        sheet.put(row, 1, title, TEXT.but(across="right", ink=SOFT, size=8), wide=4)
        for place in range(len(block)):
            sheet.put(row, 5 + place, None, NAME_BLANK)
        sheet.tall(row, 20)
        row += 1
    note = (
        "Grey: hold point, to be signed by name before the outfit is worn. The non-return valve is tried "
        "every day and never skipped. Steps are common practice; follow the crew's own list and local "
        "regulations."
    )
    sheet.put(row, 1, note, SMALL.but(wrap=True, down="top"), wide=sheet.columns)
    sheet.tall(row, 22)
    return row + 1

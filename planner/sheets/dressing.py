"""Sheets for the bench: cards of dressing and undressing for divers and standby divers, inspection lists."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, zip_longest

from planner.gear.cards import (
    DressingCard,
    InspectionCard,
    NumberedStep,
    dressing_cards,
    inspection_cards,
    undressing_steps,
    waits_before,
)
from planner.job import BenchHand, BenchList, Gear, Job
from planner.job.duties import STANDBY
from planner.job.gear import TENDERS, dressing_minutes
from planner.sheets.bill import Bill
from planner.sheets.layout import Cell, PrintedSheet
from planner.words.measures import dive_depth_words, several_days
from planner.workbook.letters import lines_needed
from planner.workbook.style import HEAD, INK, PALE, SOFT, TEXT, Look, Page, Sheet

#: Type of a card, read at arm's length on a bench. Height of a line over it.
_SIZE, _CLOSE_LINE = 10.0, 1.2
#: Least height of a row in points: room for initials, and for a signature.
_LEAST, _LEAST_HOLD = 26.0, 34.0
#: The most sides of a card.
SIDES = 2
#: Outfits side by side on one block of the inspection sheet.
_A_BLOCK = 5
_INSPECTION_HEADS = ("", "Who", "Looked over; what good is; if not")
_INSPECTION_MM, _BOX_MM = (8.0, 22.0), 12.0
#: Height of the head of a side and of what stands under the list, in points.
_INSPECTION_HEAD, _INSPECTION_UNDER = 52.0, 90.0
#: Columns of a card: number and minutes, each tender with a box for initials, the supervisor's box.
_CARD_WIDTHS = (16.0, 61.0, 12.5, 61.0, 12.5, 27.0)
_FIRST, _SECOND, _SUPERVISOR = 2, 4, 6
_CARD_HEADS = (("No. min", 1), ("First tender", 2), ("Second tender", 2), ("Supervisor", 1))
_STEP = Look(size=_SIZE, edges="lrb", wrap=True, down="top")
_INITIALS = Look(size=_SIZE, edges="lrtb", across="center")
_SIGNS = _INITIALS.but(heavy="lrtb", down="top", ink=SOFT, size=_SIZE)
_BAND = Look(size=11, bold=True, edges="tb", fill=PALE, wrap=True)
_CARD_NOTE = (
    "Boxes: initials of who did it. Grey: hold point; work stops until the supervisor, who did not do it, "
    "has looked and signed. Side by side: at the same time. Not good: stop, tell the supervisor. Steps: "
    "common practice, minutes from memory; the crew's own list and local regulations decide."
)
_INSPECTION_NOTE = (
    "Grey: hold point, to be signed by name before the outfit is worn. The non-return valve is tried every "
    "day and never skipped. Steps are common practice; follow the crew's own list and local regulations."
)


# --- dressing cards ---------------------------------------------------------------------------------------


def write_dressing_cards(bill: Bill) -> None:
    """Add the sheet *Dressing cards*: one a diver, one a standby diver, one for undressing in each dress."""
    sheet = bill.printed.sheet("Dressing cards", _CARD_WIDTHS)
    cards = dressing_cards(bill.plan, bill.job)
    for card in cards:
        _Card(sheet, bill, card).write()
        sheet.new_page()
    for gear in dict.fromkeys(card.gear for card in cards):
        _undressing(sheet, bill, gear)
        sheet.new_page()
    if not cards:
        sheet.across("Nobody dresses in this plan.", TEXT)
    sheet.end()


@dataclass(frozen=True)
class BenchRow:
    """One row of a card: what each tender does, or (``together``) one step across both columns."""

    first: NumberedStep | None = None
    second: NumberedStep | None = None
    together: NumberedStep | None = None

    @property
    def lines(self) -> tuple[NumberedStep, ...]:
        return tuple(line for line in (self.together, self.first, self.second) if line is not None)

    @property
    def hold(self) -> NumberedStep | None:
        return next((line for line in self.lines if line.step.hold_point), None)


def bench_rows(lines: Iterable[NumberedStep]) -> list[BenchRow]:
    """The rows of a card: steps of both tenders that are done at the same time stand side by side.

    A hold point has a row of its own.
    """
    rows: list[BenchRow] = []
    for _, found in groupby(lines, key=lambda n: (n.step.list, n.step.side_by_side or n.number)):
        group = list(found)
        tenders = (BenchHand.FIRST, BenchHand.SECOND)
        alone = [n for n in group if n.step.hold_point or n.step.who not in tenders]
        hands = [[n for n in group if n.step.who is hand and n not in alone] for hand in tenders]
        rows += [BenchRow(first, second) for first, second in zip_longest(*hands)]
        rows += [_alone(n) for n in alone]
    return rows


def _alone(line: NumberedStep) -> BenchRow:
    if line.step.who is BenchHand.FIRST:
        return BenchRow(first=line)
    return BenchRow(second=line) if line.step.who is BenchHand.SECOND else BenchRow(together=line)


def _good(line: NumberedStep, *, if_not: bool) -> str:
    """What good is, and what to do when it is not."""
    good, when_not = line.step.good, line.step.when_not if if_not else ""
    said = ((f"Good: {good}", good), (f"If not: {when_not}", when_not))
    return "\n".join(words for words, there in said if there)


def _cells(one: BenchRow, *, if_not: bool) -> list[tuple[int, int, str, bool]]:
    """Column, columns taken, words, and whether the box beside them is to be initialled.

    Of a step that one tender does alone the other's column says what good is.
    """
    if one.together is not None:
        step = one.together.step
        words = f"{str(step.who).capitalize()}: {step.do}\n{_good(one.together, if_not=if_not)}"
        return [(_FIRST, 3, words, True)]
    if one.first is not None and one.second is not None:
        return [
            (column, 1, f"{line.step.do}\n{_good(line, if_not=if_not)}", True)
            for line, column in ((one.first, _FIRST), (one.second, _SECOND))
        ]
    (line,) = one.lines
    own, other = (_FIRST, _SECOND) if one.second is None else (_SECOND, _FIRST)
    return [(own, 1, line.step.do, True), (other, 1, _good(line, if_not=if_not), False)]


def _sides(heights: Iterable[float], free: float) -> int:
    """How many sides with so much room rows take, one after another, none of them cut in two."""
    sides, used = 1, 0.0
    for height in heights:
        if used and used + height > free:
            sides, used = sides + 1, 0.0
        used += height
    return sides


def _tall(sheet: Sheet, cells: Iterable[tuple[int, int, str]], *, hold: bool) -> float:
    """Height in points of a row of wrapped words: column, columns taken, words; bold in a hold point."""
    lines = max(lines_needed(words, sheet.width_mm(at, wide), _SIZE, bold=hold) for at, wide, words in cells)
    return max(_LEAST_HOLD if hold else _LEAST, lines * _SIZE * _CLOSE_LINE + 3)


class _Table:
    """The rows of a card from the first row of a page on, laid on as many sides as they take."""

    def __init__(self, sheet: PrintedSheet, head: Callable[[], None]) -> None:
        self.sheet, self.head = sheet, head
        """Writes the head of a side."""

    def write(self, parts: Sequence[tuple[str, Sequence[BenchRow]]]) -> None:
        """Write bands with their rows.

        What to do when a step is not good stands there where that takes no further side; at hold points it
        gives way only past two sides.
        """
        self.head()
        free = self.sheet.room
        laid = [list(self._laid(parts, level)) for level in range(3)]
        sides = [_sides((needed for *_, needed in rows), free) for rows in laid]
        level = sides.index(min(sides[:2])) if min(sides[:2]) <= SIDES else 2
        for band, one, height, needed in laid[level]:
            if needed > self.sheet.room:
                self.sheet.new_page()
                self.head()
            if band:
                self.sheet.across(band, _BAND, _BAND_POINTS)
            self._put(one, height, self._if_not(one, level))

    def _laid(
        self, parts: Sequence[tuple[str, Sequence[BenchRow]]], level: int
    ) -> Iterator[tuple[str, BenchRow, float, float]]:
        """Each row with the band before it, its height, and the room it needs with what belongs to it."""
        last = parts[-1][1][-1]
        for band, rows in parts:
            for number, one in enumerate(rows):
                cells = _cells(one, if_not=self._if_not(one, level))
                height = _tall(self.sheet, (cell[:3] for cell in cells), hold=one.hold is not None)
                tall = self.sheet.points_for(band, 1, self.sheet.columns, _BAND)
                with_band = height + (0 if number else max(_BAND_POINTS, tall))
                yield "" if number else band, one, height, with_band + (_NOTE_POINTS if one is last else 0)

    def _if_not(self, one: BenchRow, level: int) -> bool:
        return level == 0 or (level == 1 and one.hold is not None)

    def _put(self, one: BenchRow, height: float, if_not: bool) -> None:
        sheet, row, hold = self.sheet, self.sheet.row, one.hold
        numbers = "·".join(str(line.number) for line in one.lines)
        minutes = "·".join(f"{line.step.minutes:g}" for line in one.lines)
        sheet.put(row, 1, f"{numbers}\n{minutes}", _STEP.but(across="center", bold=hold is not None))
        for column, wide, words, mine in _cells(one, if_not=if_not):
            look = _STEP.but(fill=PALE, bold=mine) if hold else _STEP.but(ink=INK if mine else SOFT)
            sheet.put(row, column, words, look, wide=wide)
            sheet.put(row, column + wide, None, _INITIALS if mine else Look(edges="b"))
        signed = "" if hold is None else f"{hold.step.signed_by}:"
        sheet.put(row, _SUPERVISOR, signed, _SIGNS if hold else Look(edges="b"))
        sheet.gap(height)


#: Height of a band and of the note under a card, in points.
_BAND_POINTS, _NOTE_POINTS = 20.0, 42.0


def _heads(sheet: PrintedSheet) -> None:
    heads: list[Cell] = [(title, wide, HEAD.but(size=_SIZE, across="center")) for title, wide in _CARD_HEADS]
    sheet.line(heads, 16)


class _Card:
    """The card of one diver or standby diver."""

    def __init__(self, sheet: PrintedSheet, bill: Bill, card: DressingCard) -> None:
        self.sheet, self.bill, self.card = sheet, bill, card

    def write(self) -> None:
        _Table(self.sheet, self._head).write(self._parts())
        self.sheet.words(_CARD_NOTE, Look(size=_SIZE))

    def _head(self) -> None:
        sheet, card = self.sheet, self.card
        number = f", number {card.outfit_numbers}" if card.outfit_numbers else ""
        name = Look(size=15, bold=True, down="bottom", shrink=True)
        standby = " · STANDBY" if card.duty == STANDBY else ""
        of = (f"outfit {card.outfit}{number}", 3, name.but(size=11, across="right"))
        sheet.line([(f"{card.diver}{standby}", 3, name), of], 20)
        first, *others = card.tenders or ("",)
        leads = ", ".join(card.supervisors)
        facts = (
            f"{card.duty} · {card.gear} · dive {card.dive}, {card.item}, "
            f"{dive_depth_words(self.bill.job, card.item, card.depth_fsw)} · {card.station}"
        )
        times = (
            f"dressing from {card.dress_start}, leave surface {card.leave_surface} · first tender "
            f"{first or '–'}, second {', '.join(others) or '–'} · supervisor {leads or '–'}"
        )
        for words in (facts, times):
            sheet.words(words, Look(size=_SIZE), 13)
        _heads(sheet)

    def _parts(self) -> list[tuple[str, Sequence[BenchRow]]]:
        lines, hands = self.card.lines, max(1, len(self.card.tenders))
        connecting = [n for n in lines if n.step.list is BenchList.CONNECTING]
        dressing = [n for n in lines if n.step.list is BenchList.DRESSING]
        wait = waits_before(dressing) if self.card.duty == STANDBY else None
        minutes = dressing_minutes([n.step for n in dressing], hands)
        with_hands = "1 tender" if hands == 1 else f"{hands} tenders"
        parts: list[tuple[str, Sequence[BenchRow]]] = [
            ("Connecting", bench_rows(connecting)),
            (f"Dressing: {minutes} min by this list with {with_hands}", bench_rows(dressing[:wait])),
        ]
        if wait is not None:
            go = dressing_minutes([n.step for n in dressing[wait:]], hands)
            told = (
                "STOP. He sits here, dressed so far, tended, and waits until the divers are up. "
                f"On the word GO: {go} min by this list to the water"
            )
            parts.append((told, bench_rows(dressing[wait:])))
        return [(band, rows) for band, rows in parts if rows]


def _undressing(sheet: PrintedSheet, bill: Bill, gear: Gear) -> None:
    """The card for undressing in one kind of dress."""
    lines = undressing_steps(bill.job, gear)

    def head() -> None:
        name = Look(size=15, bold=True, down="bottom")
        sheet.across(f"Undressing, {gear}", name, 22)
        copy = f"A copy for each diver and standby diver.   Diver:{' ' * 25}Dive:{' ' * 12}Day:"
        sheet.across(copy, Look(size=_SIZE), 30)
        _heads(sheet)

    minutes = dressing_minutes([n.step for n in lines], TENDERS[gear])
    _Table(sheet, head).write([(f"{minutes} min by this list", bench_rows(lines))])
    sheet.words(_CARD_NOTE, Look(size=_SIZE))


# --- inspection -------------------------------------------------------------------------------------------


def write_inspections(bill: Bill) -> None:
    """Add the sheet *Inspection*: the list down, the outfits that the plan uses across, day by day."""
    blocks = _blocks(inspection_cards(bill.plan, bill.job), bill.job)
    boxes = max((len(block) for block in blocks), default=1)
    words = Page(bill.printed.paper, landscape=False).width_mm - sum(_INSPECTION_MM) - boxes * _BOX_MM
    sheet = bill.printed.sheet("Inspection", (*_INSPECTION_MM, words, *[_BOX_MM] * boxes))
    for number, block in enumerate(blocks):
        if number:
            sheet.new_page()
        _inspection(sheet, block)
    if not blocks:
        sheet.across("No outfit is used in this plan.", TEXT)
    sheet.end()


#: Columns of boxes of one kind of dress: one outfit on one day, with its heading.
_Block = list[tuple[InspectionCard, str]]


def _blocks(cards: tuple[InspectionCard, ...], job: Job) -> list[_Block]:
    """As many columns of boxes as stand side by side on a page, block by block."""
    days = (
        [f"\n{job.clock.at(day.start_min):%a %d}" for day in job.day_windows] if several_days(job) else [""]
    )
    blocks = []
    for kind in dict.fromkeys(card.gear for card in cards):
        own = [(card, card.outfit + day) for day in days for card in cards if card.gear is kind]
        blocks += [own[i : i + _A_BLOCK] for i in range(0, len(own), _A_BLOCK)]
    return blocks


def _inspection(sheet: PrintedSheet, block: _Block) -> None:
    """One block: the steps down, the boxes across."""
    card = block[0][0]

    def head() -> None:
        kind = str(card.gear).capitalize()
        sheet.across(kind, Look(size=13, bold=True, down="bottom"), 20)
        heads: list[Cell] = [(title, 1, HEAD.but(size=_SIZE)) for title in _INSPECTION_HEADS]
        look = HEAD.but(size=_SIZE, across="center", ink=INK, wrap=True)
        heads += [(name, 1, look) for _, name in block]
        sheet.line(heads, 30)

    def words(line: NumberedStep, if_not: bool) -> str:
        return f"{line.step.do}\n{_good(line, if_not=if_not or line.step.hold_point)}"

    def tall(line: NumberedStep, if_not: bool) -> float:
        return _tall(sheet, [(3, 1, words(line, if_not))], hold=line.step.hold_point)

    lines = card.lines
    free = sheet.page_points - _INSPECTION_HEAD
    whole = _sides([*(tall(line, True) for line in lines), _INSPECTION_UNDER], free) <= SIDES
    head()
    for line in lines:
        step, height = line.step, tall(line, whole)
        sheet.tall(sheet.row, height)
        if sheet.room_points(sheet.row + 1) < 0:
            sheet.new_page()
            head()
        look = _STEP.but(fill=PALE, bold=True) if step.hold_point else _STEP
        who = f"{step.who}\n{step.signed_by} signs" if step.hold_point else str(step.who)
        box = _INITIALS.but(heavy="lrtb" if step.hold_point else "", wrap=True)
        cells = [
            (str(line.number), look.but(across="center")),
            (who, look),
            (words(line, whole), look),
            *(("", box) for _ in block),
        ]
        # laid close: a line written by itself is taller than what the sides were counted with
        for column, (value, own) in enumerate(cells, start=1):
            sheet.put(sheet.row, column, value, own)
        sheet.gap(height)
    for title in ("Looked over by", "Time"):
        blanks: list[Cell] = [("", 1, _INITIALS) for _ in block]
        label = (title, 3, TEXT.but(across="right", ink=SOFT, size=_SIZE))
        sheet.line([label, *blanks], 26)
    sheet.words(_INSPECTION_NOTE, Look(size=_SIZE))

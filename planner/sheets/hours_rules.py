"""The sheet *Pay rules* of the hours workbook: the rules as numbers, and where each of them stands.

The sheets of the weeks take every rate, limit and premium from here: a figure changed here changes them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import time
from decimal import Decimal

from planner.check.rule import SUBJECT_TO
from planner.hours.pay_rules import COLUMNS, SHEET, WEEKDAYS, PayRow, PayRules, PremiumKind, pay_rows
from planner.hours.shifts import minute_of_day
from planner.job.base import MINUTES_A_DAY
from planner.sheets.layout import CellValue, Column, Formula, PrintedBook, PrintedSheet, Table
from planner.workbook.style import SMALL, SOFT, Look

_WORD = Look(edges="b", size=8.5, shrink=True)
_LOOKS = {
    "in overtime base": _WORD.but(indent=1),
    "source": Look(edges="b", size=8.5, wrap=True),
    **dict.fromkeys(("from", "to"), _WORD.but(across="right")),
    "amount": _WORD.but(across="right", number_format="#,##0.00##"),
}
_WIDTHS = (38.0, 18.0, 20.0, 20.0, 18.0, 18.0, 110.0, 18.0)
_NOTE = (
    "From: hours for overtime, fsw for the depth premium, a time for the night, a day for the weekend. "
    "Amount: money an hour or a foot, or times the regular rate. Live: type another From, To, Amount or In "
    "overtime base, and every sheet follows. Not live: break, count by, shift ends and week starts, by which "
    "the times were cut when the workbook was made; to change those, or to add a row, give this workbook "
    f"as the pay rules and make the hours again. {SUBJECT_TO}"
)


@dataclass(frozen=True)
class RuleCells:
    """Where the figures of the rules stand, as references that other sheets use."""

    rows: Mapping[PayRow, int]
    """Row of the sheet by rule."""
    day_starts: str
    night_low: str
    """The earlier of the two times of the night, as a part of a day."""
    night_high: str
    night_over: str
    """1 where the night runs over midnight."""
    weekend: str
    """Seven cells from Monday on, 1 for a weekend day."""

    def cell(self, rule: PayRow, column: str) -> str:
        """The cell of a rule in a column of `planner.hours.pay_rules.COLUMNS`."""
        return _cell("ABCDEFGH"[COLUMNS.index(column)], self.rows[rule])

    def has(self, rule: PayRow) -> bool:
        """Whether the rule has a row: the rate of a class that no row names has none."""
        return rule in self.rows


def _cell(letter: str, row: int) -> str:
    return f"'{SHEET}'!${letter}${row}"


def _typed(column: str, text: str) -> CellValue:
    """The text of a rule as a number or a time of day where it is one."""
    if column in ("from", "to", "amount"):
        if re.fullmatch(r"\d+(\.\d+)?", text):
            return Decimal(text)
        if re.fullmatch(r"\d\d:\d\d", text):
            return minute_of_day(time.fromisoformat(text)) / MINUTES_A_DAY
    return "EXAMPLE" if column == "example" and text else text


def write_rules(printed: PrintedBook, rules: PayRules) -> RuleCells:
    """Write the sheet; returns where its figures stand."""
    rows = pay_rows(rules)

    def column(name: str, width: float) -> Column[dict[str, str]]:
        def as_time(cells: dict[str, str]) -> dict[str, object]:
            return {"number_format": "hh:mm"} if ":" in cells[name] and name in ("from", "to") else {}

        look = _LOOKS.get(name, _WORD)
        return Column(name.capitalize(), width, lambda cells: _typed(name, cells[name]), look, as_time)

    table = Table(tuple(map(column, COLUMNS, _WIDTHS)), heads_points=24, points=12.5)
    sheet = printed.listed(SHEET, table, rows)
    first = sheet.title_rows + 1
    sheet.gap()
    sheet.words(_NOTE)
    # what the sums take is for them, not for paper
    sheet.end()
    sheet.gap()
    parts: tuple[PayRow, ...] = (*rules.rates, *rules.overtime, *rules.bands, *rules.premiums)
    places = {part: first + number for number, part in enumerate(parts)}
    starts = first + next(n for n, cells in enumerate(rows) if cells["rule"] == "day starts")
    sheet.across("What the sums take from these rows", SMALL)
    night, weekend = _night(sheet, rules, places), _weekend(sheet, rules, places)
    return RuleCells(places, _cell("C", starts), *night, weekend)


def _figure(sheet: PrintedSheet, label: str, value: CellValue, number_format: str = "0") -> str:
    """A figure with its label; its cell."""
    look = Look(size=7.5, ink=SOFT, edges="b")
    sheet.line([(label, 2, look), (value, 1, look.but(across="right", number_format=number_format))], 12)
    return _cell("C", sheet.row - 1)


def _night(sheet: PrintedSheet, rules: PayRules, places: Mapping[PayRow, int]) -> tuple[str, str, str]:
    """The night as the sums use it: its earlier and its later time, and whether it runs over midnight."""
    begin, end = (minute_of_day(t) / MINUTES_A_DAY for t in (rules.night_from, rules.night_to))
    low, high, over = min(begin, end), max(begin, end), int(end < begin)
    premium = rules.premium(PremiumKind.NIGHT)
    values: tuple[CellValue, CellValue, CellValue] = (low, high, over)
    if premium is not None:
        own = f"C{places[premium]}", f"D{places[premium]}"
        values = (
            Formula(f"=MIN({own[0]},{own[1]})", low),
            Formula(f"=MAX({own[0]},{own[1]})", high),
            Formula(f"=IF({own[1]}<{own[0]},1,0)", over),
        )
    return (
        _figure(sheet, "Night: the earlier of its two times", values[0], "hh:mm"),
        _figure(sheet, "Night: the later of its two times", values[1], "hh:mm"),
        _figure(sheet, "Night: 1 where it runs over midnight", values[2]),
    )


def _weekend(sheet: PrintedSheet, rules: PayRules, places: Mapping[PayRow, int]) -> str:
    """Seven rows, a 1 for each weekend day."""
    premium, row = rules.premium(PremiumKind.WEEKEND), sheet.row
    names = f"$A${row}:$A${row + 6}"
    for number, name in enumerate(WEEKDAYS):
        flag = int(number in rules.weekend_days)
        value: CellValue = flag
        if premium is not None:
            begin, end = (f"MATCH({letter}{places[premium]},{names},0)" for letter in "CD")
            value = Formula(f"=IF(MOD({number + 1}-{begin},7)<=MOD({end}-{begin},7),1,0)", flag)
        _figure(sheet, name, value)
    return f"'{SHEET}'!$C${row}:$C${row + 6}"

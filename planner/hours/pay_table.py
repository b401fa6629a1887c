"""Pay rules as plain rows of text, for a CSV file, a sheet, or a table on a screen."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from datetime import time
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from openpyxl import load_workbook
from openpyxl.utils.exceptions import InvalidFileException
from pydantic import ValidationError

from planner.errors import Fault, InputFaults
from planner.hours.pay_rules import (
    DepthBand,
    HourlyRate,
    HourPremium,
    OvertimeKind,
    OvertimeStep,
    PayRow,
    PayRules,
    PremiumKind,
)
from planner.job.clock import parse_clock

COLUMNS = ("rule", "pay class", "from", "to", "amount", "in overtime base", "source", "example")

RATE, DEPTH, BREAK, NIGHT, WEEK, DAY, MONEY = (
    "hourly rate",
    "depth premium",
    "break",
    str(PremiumKind.NIGHT),
    "week starts",
    "day starts",
    "currency",
)
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
KINDS: tuple[str, ...] = (
    RATE,
    *(str(k) for k in OvertimeKind),
    DEPTH,
    *(str(k) for k in PremiumKind),
    BREAK,
    WEEK,
    DAY,
    MONEY,
)

Row = Mapping[str, Any]


def pay_rows(rules: PayRules) -> list[dict[str, str]]:
    """The rules as rows of text under `COLUMNS`."""

    def row(kind: str, about: PayRow | None, cells: dict[str, str]) -> dict[str, str]:
        full = dict.fromkeys(COLUMNS, "") | {"rule": kind} | cells
        if about is not None:
            full["source"], full["example"] = about.source, "yes" if about.example else ""
        return full

    rows = [row(RATE, r, {"pay class": r.pay_class, "amount": f"{r.per_hour:f}"}) for r in rules.rates]
    for step in rules.overtime:
        rows.append(
            row(str(step.kind), step, {"from": f"{step.after_min / 60:g}", "amount": f"{step.times:f}"})
        )
    for band in rules.bands:
        cells = {"from": str(band.over_fsw), "to": str(band.to_fsw), "amount": f"{band.per_foot:f}"}
        rows.append(row(DEPTH, band, cells | {"in overtime base": "yes" if band.in_overtime_base else "no"}))
    for premium in rules.premiums:
        cells = {"amount": f"{premium.per_hour:f}"}
        if premium.kind is PremiumKind.NIGHT:
            cells |= {"from": f"{rules.night_from:%H:%M}", "to": f"{rules.night_to:%H:%M}"}
        if premium.kind is PremiumKind.WEEKEND:
            cells |= {
                "from": WEEKDAYS[min(rules.weekend_days, default=5)],
                "to": WEEKDAYS[max(rules.weekend_days, default=6)],
            }
        base = {"in overtime base": "yes" if premium.in_overtime_base else "no"}
        rows.append(row(str(premium.kind), premium, cells | base))
    single = {
        BREAK: str(rules.break_least_min),
        WEEK: WEEKDAYS[rules.week_starts],
        DAY: f"{rules.day_starts:%H:%M}",
        MONEY: rules.currency,
    }
    rows += [row(k, None, {"from": v, "source": rules.sources.get(k, "")}) for k, v in single.items()]
    return rows


def pay_rules_from(rows: Iterable[Row], name: str = "pay rules") -> PayRules:
    """Rules from rows under `COLUMNS`; blank rows are passed over.

    Raises
    ------
    InputFaults
        Every row that cannot be used, and every gap and overlap between bands.
    """
    reader = _Reader(name)
    for number, row in enumerate(rows, start=2):
        reader.take(number, {k: _text(row.get(k)) for k in COLUMNS})
    return reader.rules()


def read_pay_rules(path: Path) -> PayRules:
    """Rules from a ``.csv`` file or from the first sheet of an ``.xlsx`` file.

    Raises
    ------
    InputFaults
        The file cannot be read, has other columns, or its rows cannot be used.
    """
    table = _csv_cells(path) if path.suffix.casefold() == ".csv" else _sheet_cells(path)
    filled = [(n, line) for n, line in enumerate(table) if any(_text(c) for c in line)]
    heads = next((n for n, line in filled if [_text(c).casefold() for c in line[:8]] == list(COLUMNS)), None)
    if heads is None:
        found = ", ".join(_text(c) for c in filled[0][1][:8]) if filled else ""
        raise InputFaults(
            [
                Fault(
                    path.name,
                    found,
                    ", ".join(COLUMNS),
                    "The columns of pay rules are not there.",
                )
            ]
        )
    reader = _Reader(path.name)
    for number, line in filled:
        if number > heads:
            padded = [*line, *([""] * len(COLUMNS))]
            reader.take(number + 1, {k: _text(v) for k, v in zip(COLUMNS, padded, strict=False)})
    return reader.rules()


def pay_rules_csv(rules: PayRules) -> str:
    """The rules as CSV text."""
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(pay_rows(rules))
    return out.getvalue()


def _text(cell: object) -> str:
    if cell is None or cell != cell:
        return ""
    if isinstance(cell, time):
        return f"{cell:%H:%M}"
    if isinstance(cell, float) and cell == int(cell):
        return str(int(cell))
    if isinstance(cell, bool):
        return "yes" if cell else ""
    return str(cell).strip()


def _csv_cells(path: Path) -> Sequence[Sequence[object]]:
    try:
        text = path.read_text(encoding="utf-8-sig")
        return list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except OSError as wrong:
        raise _unreadable(path, wrong.strerror or "it cannot be opened") from wrong
    except (UnicodeDecodeError, csv.Error) as wrong:
        raise _unreadable(path, "it is no CSV text in UTF-8") from wrong


def _sheet_cells(path: Path) -> Sequence[Sequence[object]]:
    try:
        book = load_workbook(path, read_only=True, data_only=True)
    except OSError as wrong:
        raise _unreadable(path, wrong.strerror or "it cannot be opened") from wrong
    except (InvalidFileException, KeyError, ValueError, EOFError) as wrong:
        raise _unreadable(path, "it is no .xlsx workbook") from wrong
    except Exception as wrong:  # a damaged workbook raises whatever its parser meets
        raise _unreadable(path, "it is no .xlsx workbook") from wrong
    try:
        return [list(line)[:8] for line in book.worksheets[0].iter_rows(max_row=500, values_only=True)]
    finally:
        book.close()


def _unreadable(path: Path, why: str) -> InputFaults:
    return InputFaults(
        [Fault(path.name, "", "a .csv or .xlsx file of pay rules", f"It cannot be read: {why}.")]
    )


class _Reader:
    """Rows taken one after the other; what cannot be used is kept as a fault."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.faults: list[Fault] = []
        self.parts: dict[str, list[PayRow]] = {"rates": [], "overtime": [], "depth_bands": [], "premiums": []}
        self.single: dict[str, Any] = {}
        self.sources: dict[str, str] = {}

    def take(self, number: int, row: dict[str, str]) -> None:
        if not any(row.values()):
            return
        where = f"{self.name}, row {number}"
        kind = row["rule"].casefold()
        try:
            self._take(kind, row)
        except ValidationError as wrong:
            for error in wrong.errors():
                field = str(error["loc"][-1]) if error["loc"] else "row"
                self.faults.append(
                    Fault(where, row["amount"], "a value in range", f"{field}: {error['msg']}.")
                )
        except _CellWrong as wrong:
            self.faults.append(Fault(where, wrong.found, wrong.allowed, f"{kind or 'The row'}: {wrong.why}."))

    def _take(self, kind: str, row: dict[str, str]) -> None:
        about: dict[str, Any] = {"source": row["source"], "example": _yes(row["example"])}
        if kind == RATE:
            rate = HourlyRate(pay_class=row["pay class"], per_hour=_money(row["amount"]), **about)
            self.parts["rates"].append(rate)
        elif kind in {str(k) for k in OvertimeKind}:
            hours = _number(row["from"], "hours after which it begins")
            step = OvertimeStep(
                kind=OvertimeKind(kind), after_min=round(hours * 60), times=_money(row["amount"]), **about
            )
            self.parts["overtime"].append(step)
        elif kind == DEPTH:
            band = DepthBand(
                over_fsw=_whole(row["from"], "depth over which it is paid"),
                to_fsw=_whole(row["to"], "depth to which it is paid"),
                per_foot=_money(row["amount"]),
                in_overtime_base=_yes(row["in overtime base"]),
                **about,
            )
            self.parts["depth_bands"].append(band)
        elif kind in {str(k) for k in PremiumKind}:
            premium = HourPremium(
                kind=PremiumKind(kind),
                per_hour=_money(row["amount"]),
                in_overtime_base=_yes(row["in overtime base"] or "yes"),
                **about,
            )
            self.parts["premiums"].append(premium)
            if premium.kind is PremiumKind.NIGHT and (row["from"] or row["to"]):
                self.single["night_from"], self.single["night_to"] = _clock(row["from"]), _clock(row["to"])
            if premium.kind is PremiumKind.WEEKEND and (row["from"] or row["to"]):
                first, last = _weekday(row["from"]), _weekday(row["to"])
                self.single["weekend_days"] = tuple((first + n) % 7 for n in range((last - first) % 7 + 1))
        elif kind in (BREAK, WEEK, DAY, MONEY):
            self.sources[kind] = row["source"]
            value = row["from"]
            if kind == BREAK:
                self.single["break_least_min"] = max(1, _whole(value, "minutes from which a gap is a break"))
            elif kind == WEEK:
                self.single["week_starts"] = _weekday(value)
            elif kind == DAY:
                self.single["day_starts"] = _clock(value)
            else:
                self.single["currency"] = value[:8]
        else:
            raise _CellWrong(row["rule"], ", ".join(KINDS), "there is no such pay rule")

    def rules(self) -> PayRules:
        if not self.parts["rates"] and not self.faults:
            self.faults.append(
                Fault(self.name, "", "at least one hourly rate", "No row gives an hourly rate.")
            )
        rules = PayRules.model_validate(
            {"name": self.name, "sources": self.sources, **self.parts, **self.single}
        )
        self.faults += rules.faults()
        if self.faults:
            raise InputFaults(self.faults)
        return rules


class _CellWrong(Exception):
    """One cell of a row that cannot be used."""

    def __init__(self, found: str, allowed: str, why: str) -> None:
        super().__init__(why)
        self.found, self.allowed, self.why = found, allowed, why


def _number(text: str, what: str) -> Decimal:
    try:
        value = Decimal(text.replace(",", "."))
    except InvalidOperation as wrong:
        raise _CellWrong(text, "a number", f"the {what} is not a number") from wrong
    if not value.is_finite() or value < 0:
        raise _CellWrong(text, "a number of 0 or more", f"the {what} cannot be negative")
    return value


def _money(text: str) -> Decimal:
    return _number(text, "amount")


def _whole(text: str, what: str) -> int:
    value = _number(text, what)
    if value != int(value):
        raise _CellWrong(text, "a whole number", f"the {what} is no whole number")
    return int(value)


def _clock(text: str) -> time:
    try:
        return parse_clock(text)
    except ValueError as wrong:
        raise _CellWrong(text, "a time of day such as 22:00", "the time cannot be read") from wrong


def _weekday(text: str) -> int:
    for number, name in enumerate(WEEKDAYS):
        if len(text) >= 2 and name.casefold().startswith(text.casefold()):
            return number
    raise _CellWrong(text, ", ".join(WEEKDAYS), "the day of the week cannot be read")


def _yes(text: str) -> bool:
    return text.casefold() in ("yes", "y", "true", "1", "x", "example")

"""What the office pays by: rates, overtime, premiums, each row with its source; read and written as rows.

Money is never a float. The rows that ship are examples and are marked so; an office puts its own contract in
their place.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import time
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from enum import StrEnum
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Any

from openpyxl import load_workbook
from openpyxl.utils.exceptions import InvalidFileException
from pydantic import Field, ValidationError

from planner.errors import Fault, InputFaults
from planner.job.base import Part, parse_clock

CENT = Decimal("0.01")

Money = Annotated[Decimal, Field(ge=0, le=100_000)]
Times = Annotated[Decimal, Field(ge=1, le=10)]


def cents(amount: Decimal) -> Decimal:
    """An amount to the cent, halves up, as a spreadsheet's ROUND does it."""
    return amount.quantize(CENT, rounding=ROUND_HALF_UP)


class OvertimeKind(StrEnum):
    """What the hours of an overtime row are counted over."""

    DAILY = "daily overtime"
    WEEKLY = "weekly overtime"
    SEVENTH_DAY = "seventh day"


class PremiumKind(StrEnum):
    """What an hourly premium is paid for."""

    STANDBY = "standby premium"
    ENCLOSED = "enclosed-space premium"
    NIGHT = "night premium"
    WEEKEND = "weekend premium"


class PayRow(Part):
    """What every pay rule has: where it comes from, and whether it is only an example."""

    source: str = ""
    example: bool = False


class HourlyRate(PayRow):
    """Pay an hour of a pay class; a blank class is everybody who has no row of his own."""

    pay_class: str = ""
    per_hour: Money


class OvertimeStep(PayRow):
    """Minutes past ``after_min`` of a day, a week or a seventh day are paid ``times`` the regular rate."""

    kind: OvertimeKind
    after_min: Annotated[int, Field(ge=0, le=10_080)]
    times: Times


class DepthBand(PayRow):
    """Pay a foot of the day's greatest depth over ``over_fsw`` and up to ``to_fsw``, once a day."""

    over_fsw: Annotated[int, Field(ge=0, le=1000)]
    to_fsw: Annotated[int, Field(ge=0, le=1000)]
    per_foot: Money
    in_overtime_base: bool = False


class HourPremium(PayRow):
    """Pay an hour on top of the rate. ``in_overtime_base``: it counts in the regular rate."""

    kind: PremiumKind
    per_hour: Money
    in_overtime_base: bool = True


class PayRules(Part):
    """All pay rules of an office.

    ``week_starts`` counts from 0, Monday. A day of pay starts at ``day_starts``, local time. A gap in the
    duties of a day is a break from ``break_least_min`` on; a shorter one is time worked.
    """

    name: str = "pay rules"
    currency: str = "USD"
    rates: tuple[HourlyRate, ...] = ()
    overtime: tuple[OvertimeStep, ...] = ()
    depth_bands: tuple[DepthBand, ...] = ()
    premiums: tuple[HourPremium, ...] = ()
    week_starts: Annotated[int, Field(ge=0, le=6)] = 0
    day_starts: time = time(0)
    night_from: time = time(22)
    night_to: time = time(6)
    weekend_days: tuple[int, ...] = (5, 6)
    break_least_min: Annotated[int, Field(ge=1, le=1440)] = 30
    sources: dict[str, str] = Field(default_factory=dict)
    """Sources of the rows that are single values: ``break``, ``night``, ``week starts``, …"""

    def rate(self, pay_class: str) -> HourlyRate:
        """The rate of a pay class; nothing an hour where there is no row for it."""
        own = [r for r in self.rates if r.pay_class.casefold() == pay_class.casefold()]
        rest = [r for r in self.rates if not r.pay_class]
        return (own or rest or [HourlyRate(per_hour=Decimal(0), source="no rate is given")])[0]

    def steps(self, kind: OvertimeKind) -> tuple[OvertimeStep, ...]:
        """The overtime rows of a kind, shortest first."""
        return tuple(sorted((o for o in self.overtime if o.kind is kind), key=lambda o: o.after_min))

    @property
    def bands(self) -> tuple[DepthBand, ...]:
        """The depth bands, shallowest first."""
        return tuple(sorted(self.depth_bands, key=lambda b: b.over_fsw))

    def premium(self, kind: PremiumKind) -> HourPremium | None:
        return next((p for p in self.premiums if p.kind is kind), None)

    @property
    def rows(self) -> tuple[PayRow, ...]:
        return (*self.rates, *self.overtime, *self.depth_bands, *self.premiums)

    @property
    def has_examples(self) -> bool:
        """Whether any row is only an example."""
        return any(row.example for row in self.rows)

    def depth_pay(self, depth_fsw: int) -> tuple[tuple[DepthBand, int], ...]:
        """Each band that a day's greatest depth reaches, with the feet paid in it."""
        return tuple(
            (band, min(depth_fsw, band.to_fsw) - band.over_fsw)
            for band in self.bands
            if depth_fsw > band.over_fsw
        )

    def faults(self) -> tuple[Fault, ...]:
        """What in the rules contradicts itself: bands with a gap or an overlap, a row twice."""
        return (*_band_faults(self.bands), *_twice(self))

    def sound(self) -> PayRules:
        """The rules themselves.

        Raises
        ------
        InputFaults
            When they contradict themselves.
        """
        found = self.faults()
        if found:
            raise InputFaults(found)
        return self


def _band_faults(bands: tuple[DepthBand, ...]) -> Iterator[Fault]:
    for band in bands:
        if band.to_fsw <= band.over_fsw:
            yield Fault(
                "depth premium",
                f"over {band.over_fsw} to {band.to_fsw}",
                "a band that ends deeper than it begins",
                f"The band over {band.over_fsw} fsw ends at {band.to_fsw} fsw, so no depth lies in it.",
            )
    for one, other in pairwise(bands):
        found = f"over {one.over_fsw} to {one.to_fsw}, then over {other.over_fsw} to {other.to_fsw}"
        allowed = f"the deeper band to begin at {one.to_fsw}"
        if other.over_fsw > one.to_fsw:
            yield Fault(
                "depth premium",
                found,
                allowed,
                f"There is a gap between {one.to_fsw} and {other.over_fsw} fsw: nothing says what a foot "
                "there is paid.",
            )
        elif other.over_fsw < one.to_fsw:
            yield Fault(
                "depth premium",
                found,
                allowed,
                f"Two bands overlap between {other.over_fsw} and {min(one.to_fsw, other.to_fsw)} fsw: a "
                "foot there would be paid twice.",
            )


def _twice(rules: PayRules) -> Iterator[Fault]:
    keys: list[tuple[str, str]] = [
        *(("hourly rate", r.pay_class or "everybody else") for r in rules.rates),
        *((str(o.kind), f"after {o.after_min / 60:g} h") for o in rules.overtime),
        *((str(p.kind), "an hour") for p in rules.premiums),
    ]
    for kind, what in dict.fromkeys(k for k in keys if keys.count(k) > 1):
        yield Fault(kind, what, "one row", f"There are {keys.count((kind, what))} rows for {kind}, {what}.")
    for kind in OvertimeKind:
        for one, other in pairwise(rules.steps(kind)):
            if other.times < one.times:
                yield Fault(
                    str(kind),
                    f"{one.times:f} after {one.after_min / 60:g} h, {other.times:f} after "
                    f"{other.after_min / 60:g} h",
                    "a later step that pays no less",
                    "A longer time would be paid less than a shorter one.",
                )


_INVENTED = "invented example"
_USC = "29 USC 207(a)(1): over 40 h in a workweek at one and one-half times the regular rate"
_CAL = "an example of a state's rule: California Labor Code 510(a)"
_WA = (
    "an example of a public schedule: Washington State, benefit code key effective 2021-03-03: greatest "
    "depth of the day, once a day, not in the overtime base"
)

#: Rows to begin with: public rules as examples, and rates that are invented.
EXAMPLE_RULES = PayRules(
    name="example rules",
    rates=(
        HourlyRate(pay_class="", per_hour=Decimal("30.00"), source=_INVENTED, example=True),
        HourlyRate(pay_class="D2", per_hour=Decimal("45.00"), source=_INVENTED, example=True),
        HourlyRate(pay_class="T1", per_hour=Decimal("32.00"), source=_INVENTED, example=True),
    ),
    overtime=(
        OvertimeStep(
            kind=OvertimeKind.WEEKLY, after_min=2400, times=Decimal("1.5"), source=_USC, example=True
        ),
        OvertimeStep(kind=OvertimeKind.DAILY, after_min=480, times=Decimal("1.5"), source=_CAL, example=True),
        OvertimeStep(kind=OvertimeKind.DAILY, after_min=720, times=Decimal("2"), source=_CAL, example=True),
        OvertimeStep(
            kind=OvertimeKind.SEVENTH_DAY, after_min=0, times=Decimal("1.5"), source=_CAL, example=True
        ),
        OvertimeStep(
            kind=OvertimeKind.SEVENTH_DAY, after_min=480, times=Decimal("2"), source=_CAL, example=True
        ),
    ),
    depth_bands=(
        DepthBand(over_fsw=50, to_fsw=100, per_foot=Decimal("2.00"), source=_WA, example=True),
        DepthBand(over_fsw=100, to_fsw=150, per_foot=Decimal("3.00"), source=_WA, example=True),
    ),
    premiums=(
        HourPremium(kind=PremiumKind.STANDBY, per_hour=Decimal("3.50"), source=_INVENTED, example=True),
        HourPremium(kind=PremiumKind.ENCLOSED, per_hour=Decimal("6.00"), source=_INVENTED, example=True),
        HourPremium(kind=PremiumKind.NIGHT, per_hour=Decimal("2.50"), source=_INVENTED, example=True),
        HourPremium(kind=PremiumKind.WEEKEND, per_hour=Decimal("2.00"), source=_INVENTED, example=True),
    ),
    sources={
        "break": "29 CFR 785.18, 785.19 (from memory): short rests are time worked, a meal of 30 min is not",
        "night": "common practice: 22:00 to 06:00",
        "weekend": "common practice: Saturday and Sunday",
        "week starts": "the office's choice: any fixed seven days (29 CFR 778.105, from memory)",
        "day starts": "the office's choice: local midnight",
    },
)


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
        raise InputFaults.one(path.name, found, ", ".join(COLUMNS), "The columns of pay rules are not there.")
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
    return InputFaults.one(path.name, "", "a .csv or .xlsx file of pay rules", f"It cannot be read: {why}.")


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

"""What the office pays by: rates, overtime, premiums, each row with its source; read and written as rows.

Money is never a float. The rows that ship are examples and are marked so; an office puts its own contract in
their place.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import time
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from enum import StrEnum
from itertools import pairwise, takewhile
from pathlib import Path
from typing import Annotated, Any

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


class CountBy(StrEnum):
    """What the office counts a person's hours by."""

    SHIFT = "shift"
    DAY = "calendar day"


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
    """Minutes past ``after_min`` of a shift, a week or a seventh day: ``times`` the regular rate."""

    kind: OvertimeKind
    after_min: Annotated[int, Field(ge=0, le=10_080)]
    times: Times


class DepthBand(PayRow):
    """Pay a foot of the greatest depth of a shift over ``over_fsw`` and up to ``to_fsw``, once a shift."""

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

    ``week_starts`` counts from 0, Monday. A day of pay starts at ``day_starts``, local time: a shift has the
    date of the day in which it starts, and is cut there only where ``count_by`` says so. A gap between duties
    is a break from ``break_least_min`` on; a shorter one is time worked; one of ``shift_ends_min`` ends the
    shift.
    """

    name: str = "pay rules"
    currency: str = "USD"
    rates: tuple[HourlyRate, ...] = ()
    overtime: tuple[OvertimeStep, ...] = ()
    depth_bands: tuple[DepthBand, ...] = ()
    premiums: tuple[HourPremium, ...] = ()
    week_starts: Annotated[int, Field(ge=0, le=6)] = 0
    day_starts: time = time(0)
    night_from: time = time(22)  # common practice: 22:00 to 06:00
    night_to: time = time(6)
    weekend_days: tuple[int, ...] = (5, 6)  # common practice: Saturday and Sunday; from first to last
    break_least_min: Annotated[int, Field(ge=1, le=1440)] = 30
    count_by: CountBy = CountBy.SHIFT
    shift_ends_min: Annotated[int, Field(ge=1, le=1440)] = 360  # MLC 2006 A2.3: a part of the rest, 6 h
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
    def has_examples(self) -> bool:
        """Whether any row is only an example."""
        return any(row.example for row in (*self.rates, *self.overtime, *self.depth_bands, *self.premiums))

    def faults(self) -> tuple[Fault, ...]:
        """What in the rules contradicts itself: bands with a gap or an overlap, a row twice."""
        return (*_band_faults(self.bands), *_twice(self))


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
        if other.over_fsw > one.to_fsw:
            sentence = (
                f"There is a gap between {one.to_fsw} and {other.over_fsw} fsw: nothing says what a foot "
                "there is paid."
            )
        elif other.over_fsw < one.to_fsw:
            sentence = (
                f"Two bands overlap between {other.over_fsw} and {min(one.to_fsw, other.to_fsw)} fsw: a "
                "foot there would be paid twice."
            )
        else:
            continue
        found = f"over {one.over_fsw} to {one.to_fsw}, then over {other.over_fsw} to {other.to_fsw}"
        yield Fault("depth premium", found, f"the deeper band to begin at {one.to_fsw}", sentence)


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


COLUMNS = ("rule", "pay class", "from", "to", "amount", "in overtime base", "source", "example")
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
RATE, DEPTH = "hourly rate", "depth premium"
#: The sheet of a workbook on which the rules stand.
SHEET = "Pay rules"

#: The rules that are rows, by their first cell: where they belong, and what each is.
_ROWS: dict[str, tuple[str, type[PayRow]]] = {
    RATE: ("rates", HourlyRate),
    **{kind.value: ("overtime", OvertimeStep) for kind in OvertimeKind},
    DEPTH: ("depth_bands", DepthBand),
    **{kind.value: ("premiums", HourPremium) for kind in PremiumKind},
}

#: The rules that are single values, in the column "from": the field of `PayRules`.
_SINGLE = {
    "break": "break_least_min",
    "count by": "count_by",
    "shift ends": "shift_ends_min",
    "week starts": "week_starts",
    "day starts": "day_starts",
    "currency": "currency",
}
KINDS: tuple[str, ...] = (*_ROWS, *_SINGLE)

#: The fields of a row by the columns that they stand in.
_FIELDS: dict[type[PayRow], dict[str, str]] = {
    HourlyRate: {"pay class": "pay_class", "amount": "per_hour"},
    OvertimeStep: {"rule": "kind", "from": "after_min", "amount": "times"},
    DepthBand: {
        "from": "over_fsw",
        "to": "to_fsw",
        "amount": "per_foot",
        "in overtime base": "in_overtime_base",
    },
    HourPremium: {"rule": "kind", "amount": "per_hour", "in overtime base": "in_overtime_base"},
}
_ABOUT = {"source": "source", "example": "example"}

Row = Mapping[str, Any]


def _cell(field: str, value: Any) -> str:
    """A field as the text of its cell."""
    if field in ("after_min", "shift_ends_min"):
        return f"{value / 60:g}"
    if field == "week_starts":
        return WEEKDAYS[value]
    if isinstance(value, bool):
        return "yes" if value else "" if field == "example" else "no"
    if isinstance(value, Decimal):
        return f"{value:f}"
    return f"{value:%H:%M}" if isinstance(value, time) else str(value)


def pay_rows(rules: PayRules) -> list[dict[str, str]]:
    """The rules as rows of text under `COLUMNS`."""
    rows = []
    for part in (*rules.rates, *rules.overtime, *rules.bands, *rules.premiums):
        kind = getattr(part, "kind", DEPTH if isinstance(part, DepthBand) else RATE)
        fields = _FIELDS[type(part)] | _ABOUT
        cells = {column: _cell(field, getattr(part, field)) for column, field in fields.items()}
        if kind is PremiumKind.NIGHT:
            cells |= {"from": f"{rules.night_from:%H:%M}", "to": f"{rules.night_to:%H:%M}"}
        if kind is PremiumKind.WEEKEND:
            days = rules.weekend_days
            cells |= {"from": WEEKDAYS[days[0]], "to": WEEKDAYS[days[-1]]} if days else {}
        rows.append(dict.fromkeys(COLUMNS, "") | cells | {"rule": str(kind)})
    for kind, field in _SINGLE.items():
        cells = {"from": _cell(field, getattr(rules, field)), "source": rules.sources.get(kind, "")}
        rows.append(dict.fromkeys(COLUMNS, "") | cells | {"rule": kind})
    return rows


def pay_rules_csv(rules: PayRules) -> str:
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(pay_rows(rules))
    return out.getvalue()


class _CellWrong(Exception):
    """One cell of a row that cannot be used."""

    def __init__(self, found: str, allowed: str, why: str) -> None:
        super().__init__(why)
        self.found, self.allowed, self.why = found, allowed, why


def _number(text: str, what: str = "amount") -> Decimal:
    try:
        value = Decimal(text.replace(",", "."))
    except InvalidOperation as wrong:
        raise _CellWrong(text, "a number", f"the {what} is not a number") from wrong
    if not value.is_finite() or value < 0:
        raise _CellWrong(text, "a number of 0 or more", f"the {what} cannot be negative")
    return value


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


#: How the text of a cell becomes a field; every other field is the text itself.
_READ: dict[str, Callable[[str], Any]] = {
    "kind": str.casefold,
    "per_hour": _number,
    "per_foot": _number,
    "times": _number,
    "after_min": lambda text: round(_number(text, "hours after which it begins") * 60),
    "over_fsw": lambda text: _whole(text, "depth over which it is paid"),
    "to_fsw": lambda text: _whole(text, "depth to which it is paid"),
    "in_overtime_base": _yes,
    "example": _yes,
    "count_by": str.casefold,
    "shift_ends_min": lambda text: round(_number(text, "hours of rest that end a shift") * 60),
    "break_least_min": lambda text: max(1, _whole(text, "minutes from which a gap is a break")),
    "week_starts": _weekday,
    "day_starts": _clock,
    "currency": lambda text: text[:8],
}


def _read(field: str, text: str) -> Any:
    return _READ.get(field, str)(text)


def pay_rules_from(rows: Iterable[Row], name: str = "pay rules") -> PayRules:
    """Rules from rows under `COLUMNS`; blank rows are passed over.

    Raises
    ------
    InputFaults
        Every row that cannot be used, and every gap and overlap between bands.
    """
    return _rules(enumerate(rows, start=2), name)


def _rules(rows: Iterable[tuple[int, Row]], name: str) -> PayRules:
    """Rules from rows with their numbers; what cannot be used of a row is told beside the other faults."""
    faults: list[Fault] = []
    found: dict[str, Any] = {"name": name, "sources": {}}
    for number, given in rows:
        row = {column: _text(given.get(column)) for column in COLUMNS}
        if not any(row.values()):
            continue
        where, kind = f"{name}, row {number}", row["rule"].casefold()
        try:
            _take(kind, row, found)
        except ValidationError as wrong:
            for error in wrong.errors():
                sentence = f"{error['loc'][-1] if error['loc'] else 'row'}: {error['msg']}."
                faults.append(Fault(where, row["amount"], "a value in range", sentence))
        except _CellWrong as wrong:
            faults.append(Fault(where, wrong.found, wrong.allowed, f"{kind or 'The row'}: {wrong.why}."))
    if "rates" not in found and not faults:
        faults.append(Fault(name, "", "at least one hourly rate", "No row gives an hourly rate."))
    rules = PayRules.model_validate(found)
    faults += rules.faults()
    if faults:
        raise InputFaults(faults)
    return rules


def _take(kind: str, row: dict[str, str], found: dict[str, Any]) -> None:
    """Put what a row says to the fields of `PayRules` found so far."""
    if kind in _SINGLE:
        found["sources"][kind] = row["source"]
        found[_SINGLE[kind]] = _read(_SINGLE[kind], row["from"])
        return
    if kind not in _ROWS:
        raise _CellWrong(row["rule"], ", ".join(KINDS), "there is no such pay rule")
    part, made = _ROWS[kind]
    fields = {field: row[column] for column, field in (_FIELDS[made] | _ABOUT).items()}
    needed = {f: text for f, text in fields.items() if text or made.model_fields[f].is_required()}
    found.setdefault(part, []).append(made(**{f: _read(f, text) for f, text in needed.items()}))
    if row["from"] or row["to"]:
        if kind == PremiumKind.NIGHT:
            found["night_from"], found["night_to"] = _clock(row["from"]), _clock(row["to"])
        if kind == PremiumKind.WEEKEND:
            first, last = _weekday(row["from"]), _weekday(row["to"])
            found["weekend_days"] = tuple((first + n) % 7 for n in range((last - first) % 7 + 1))


_WANTED = "a .csv or .xlsx file of pay rules"


def pay_rules_of_csv(content: bytes, name: str) -> PayRules:
    """Rules from the bytes of a CSV file in UTF-8.

    Raises
    ------
    InputFaults
        It is no such text, has other columns, or its rows cannot be used.
    """
    try:
        text = io.StringIO(content.decode("utf-8-sig"), newline="")
        lines = [*csv.reader(text, strict=True)]
    except (UnicodeDecodeError, csv.Error) as wrong:
        raise _unreadable(name, "it is no CSV text in UTF-8") from wrong
    return pay_rules_of_lines(lines, name)


def pay_rules_of_lines(lines: Iterable[Sequence[object]], name: str, *, printed: bool = False) -> PayRules:
    """Rules from the lines of a table with its heads; those of a printed sheet end at a blank row.

    Raises
    ------
    InputFaults
        It has other columns, or its rows cannot be used.
    """
    table = [[_text(cell) for cell in line[: len(COLUMNS)]] for line in lines]
    heads = next((n for n, line in enumerate(table) if [c.casefold() for c in line] == [*COLUMNS]), None)
    if heads is None:
        first = next((line for line in table if any(line)), [])
        found, allowed = ", ".join(first), ", ".join(COLUMNS)
        raise InputFaults.one(name, found, allowed, "The columns of pay rules are not there.")
    rows = [dict(zip(COLUMNS, line, strict=False)) for line in table[heads + 1 :]]
    if printed:
        rows = [*takewhile(lambda row: any(row.values()), rows)]
    return _rules(enumerate(rows, start=heads + 2), name)


def _unreadable(name: str, why: str) -> InputFaults:
    return InputFaults.one(name, "", _WANTED, f"It cannot be read: {why}.")


def _text(cell: object) -> str:
    """A cell as text: a whole number without its point, a time as it is typed, nothing for no number."""
    if cell is None or cell != cell:
        return ""
    if isinstance(cell, time):
        return f"{cell:%H:%M}"
    if isinstance(cell, float) and cell == int(cell):
        return str(int(cell))
    if isinstance(cell, bool):
        return "yes" if cell else ""
    return str(cell).strip()


#: Rows to begin with: public rules as examples, and rates that are invented.
EXAMPLE_RULES = pay_rules_of_csv(Path(__file__).with_name("example_rules.csv").read_bytes(), "example rules")

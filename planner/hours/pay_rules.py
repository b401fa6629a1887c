"""What the office pays by: rates, overtime, premiums, each row with its source. Money is never a float.

The rows that ship are examples and are marked so; an office puts its own contract in their place.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import time
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from itertools import pairwise
from typing import Annotated

from pydantic import Field

from planner.errors import Fault, InputFaults
from planner.job.base import Part

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

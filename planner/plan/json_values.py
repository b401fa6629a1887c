"""Values taken out of a JSON text one by one; every fault is kept with the place it stands at."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, TypeVar

from planner.errors import Fault
from planner.job.clock import Clock

Part = TypeVar("Part")

#: Past this no number of minutes, feet or seconds of a plan makes sense.
LARGEST = 10_000_000


@dataclass
class Faults:
    """Collects what is wrong while the reading goes on."""

    clock: Clock
    found: list[Fault] = field(default_factory=list)

    def tell(self, where: str, value: object, allowed: str, sentence: str) -> None:
        """Keep one fault; a long value is cut for print."""
        text = "" if value is _MISSING else repr(value)
        self.found.append(Fault(where, text if len(text) <= 60 else text[:57] + "...", allowed, sentence))


class _Missing:
    """Stands for a key that is not there."""


_MISSING = _Missing()


@dataclass(frozen=True)
class Values:
    """One JSON object and where it stands.

    Every question returns a value of the right kind, also after a fault, so that all faults are found in
    one reading; the whole is thrown away when there was any.
    """

    where: str
    content: dict[str, Any]
    faults: Faults

    def place(self, key: str) -> str:
        return f"{self.where}.{key}" if self.where else key

    def _take(self, key: str, allowed: str) -> Any:
        if key not in self.content:
            self.faults.tell(self.place(key), _MISSING, allowed, f"The key {key!r} is missing.")
            return _MISSING
        return self.content[key]

    def text(self, key: str) -> str:
        """A text."""
        value = self._take(key, "a text")
        if _is_text(value):
            return str(value)
        if value is not _MISSING:
            self.faults.tell(self.place(key), value, "a text", "This is not a text.")
        return ""

    def text_or_none(self, key: str) -> str | None:
        """A text, or null."""
        if key in self.content and self.content[key] is None:
            return None
        return self.text(key)

    def whole(self, key: str) -> int:
        """A whole number."""
        allowed = "a whole number"
        value = self._take(key, allowed)
        if isinstance(value, int) and not isinstance(value, bool) and abs(value) <= LARGEST:
            return value
        if value is not _MISSING:
            self.faults.tell(self.place(key), value, allowed, "This is not a whole number of a plan.")
        return 0

    def whole_or_none(self, key: str) -> int | None:
        """A whole number, or null."""
        if key in self.content and self.content[key] is None:
            return None
        return self.whole(key)

    def number(self, key: str) -> float:
        """A number."""
        value = self._take(key, "a number")
        if isinstance(value, int | float) and not isinstance(value, bool) and _finite(value):
            return float(value)
        if value is not _MISSING:
            self.faults.tell(self.place(key), value, "a number", "This is not a number.")
        return 0.0

    def number_or_none(self, key: str) -> float | None:
        """A number, or null."""
        if key in self.content and self.content[key] is None:
            return None
        return self.number(key)

    def yes_or_no(self, key: str) -> bool:
        """True or false."""
        value = self._take(key, "true or false")
        if isinstance(value, bool):
            return value
        if value is not _MISSING:
            self.faults.tell(self.place(key), value, "true or false", "This is neither true nor false.")
        return False

    def moment(self, key: str) -> int:
        """A time, as job minutes."""
        allowed = "a date and time with offset, such as 2026-05-12T07:30:00+01:00"
        value = self._take(key, allowed)
        if value is _MISSING:
            return 0
        try:
            time = datetime.fromisoformat(value) if isinstance(value, str) else None
        except ValueError:
            time = None
        if time is None:
            self.faults.tell(self.place(key), value, allowed, "This is not an ISO 8601 date and time.")
        elif time.tzinfo is None:
            self.faults.tell(self.place(key), value, allowed, "This time has no offset from UTC.")
        elif time.second or time.microsecond:
            self.faults.tell(self.place(key), value, allowed, "Plans hold whole minutes only.")
        else:
            try:
                return self.faults.clock.minute(time)
            except OverflowError:
                self.faults.tell(self.place(key), value, allowed, "This time is outside the calendar.")
        return 0

    def moment_or_none(self, key: str) -> int | None:
        """A time, as job minutes, or null; a key that is missing is null too."""
        return None if self.content.get(key) is None else self.moment(key)

    def part(self, key: str, build: Callable[[Values], Part]) -> Part:
        """An object, built by a function; an empty one stands in after a fault."""
        value = self._take(key, "an object")
        if value is not _MISSING and not isinstance(value, dict):
            self.faults.tell(self.place(key), value, "an object", "This is not an object.")
        if not isinstance(value, dict):
            # the fault is told once: what the stand-in lacks is no news
            return build(Values(self.place(key), {}, Faults(self.faults.clock)))
        return build(Values(self.place(key), value, self.faults))

    def parts(self, key: str, build: Callable[[Values], Part]) -> tuple[Part, ...]:
        """A list of objects, each built by a function."""
        built = []
        for index, value in enumerate(self._list(key)):
            place = f"{self.place(key)}[{index}]"
            if isinstance(value, dict):
                built.append(build(Values(place, value, self.faults)))
            else:
                self.faults.tell(place, value, "an object", "This is not an object.")
        return tuple(built)

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts."""
        found = []
        for index, value in enumerate(self._list(key)):
            if _is_text(value):
                found.append(value)
            else:
                self.faults.tell(f"{self.place(key)}[{index}]", value, "a text", "This is not a text.")
        return tuple(found)

    def _list(self, key: str) -> list[Any]:
        value = self._take(key, "a list")
        if isinstance(value, list):
            return value
        if value is not _MISSING:
            self.faults.tell(self.place(key), value, "a list", "This is not a list.")
        return []


def _is_text(value: object) -> bool:
    """Whether a value is a text that can be printed: JSON may hold halves of a character."""
    if not isinstance(value, str):
        return False
    try:
        value.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _finite(value: float) -> bool:
    try:
        return math.isfinite(float(value))
    except OverflowError:
        return False

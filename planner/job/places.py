"""Places with their time zone and position: the towns of the IANA time zone database (public domain)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files

#: Where the list is from: the files of the package `tzdata`, which carries the database.
SOURCE = "IANA time zone database, zone.tab and iso3166.tab (public domain)"


@dataclass(frozen=True)
class Place:
    """A town that the database names a zone by."""

    label: str
    """``Lisbon, Portugal``; where the database tells several zones of a country apart, with its words."""
    zone: str
    """``Europe/Lisbon``."""
    latitude_deg: float
    longitude_deg: float
    """Of the town, north and east positive."""

    @property
    def position(self) -> str:
        """``38.72 N, 9.13 W``."""
        north, east = "NS"[self.latitude_deg < 0], "EW"[self.longitude_deg < 0]
        return f"{abs(self.latitude_deg):.2f} {north}, {abs(self.longitude_deg):.2f} {east}"


@cache
def places() -> dict[str, Place]:
    """All places by zone, in the order of their labels."""
    countries = dict(line.split("\t")[:2] for line in _lines("iso3166.tab"))
    found = []
    for line in _lines("zone.tab"):
        country, position, zone, *words = line.split("\t")
        town = zone.rpartition("/")[2].replace("_", " ")
        within = words[0] if words and town not in words[0] else ""
        land = within if within.startswith(countries[country]) else ", ".join([countries[country], within])
        split = max(position.rfind("+"), position.rfind("-"))
        at = _degrees(position[:split], 2), _degrees(position[split:], 3)
        found.append(Place(f"{town}, {land.removesuffix(', ')}", zone, *at))
    return {place.zone: place for place in sorted(found, key=lambda place: place.label)}


def _lines(name: str) -> list[str]:
    text = files("tzdata").joinpath("zoneinfo", name).read_text("utf-8")
    return [line for line in text.splitlines() if line and not line.startswith("#")]


def _degrees(text: str, whole: int) -> float:
    """``+3843`` or ``-0715530``: sign, degrees of so many digits, minutes, perhaps seconds."""
    digits = text[1:]
    parts = [int(digits[:whole]), *(int(digits[n : n + 2]) for n in range(whole, len(digits), 2))]
    value: float = sum(part / 60.0**n for n, part in enumerate(parts))
    return round(-value if text[0] == "-" else value, 2)

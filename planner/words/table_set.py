"""A table set and its soundness in words: for the command line, the app and the sheets."""

from __future__ import annotations

from collections.abc import Iterator

from planner.table_sets import TableSet
from planner.table_sets.soundness import Soundness
from planner.table_sets.table_set import WAYS_UP


def set_lines(tables: TableSet) -> Iterator[tuple[str, str]]:
    """What a set is, label and text, for whoever decides whether to plan by it."""
    yield "Name and edition", tables.title
    yield "Publisher", tables.head.publisher
    yield "Last updated", tables.head.last_updated.isoformat()
    yield "Transcribed by", tables.head.transcribed_by
    yield "Checked by", tables.head.checked_by
    yield "Checksum", tables.mark
    yield (
        "Depths",
        f"{tables.depths[0]} to {tables.deepest_planned_fsw} fsw, next deeper, printed in {tables.units}",
    )
    yield "Groups", tables.groups_words
    yield "Ways up", ", ".join(way for way in WAYS_UP if way in tables.ways_up)
    yield "Same dive", f"under {tables.same_dive_under_min} min on the surface"
    yield "Altitude", "has rows for it" if tables.altitude else "none: sea level only"
    yield "Waits before flying", "printed" if tables.flight_waits else "none printed"
    if tables.head.notes:
        yield "Notes", tables.head.notes


def soundness_words(report: Soundness) -> str:
    rows = sum(count for _, count in report.counted)
    if report.sound:
        count = len(report.told)
        told = f", {count} fault{'s' if count > 1 else ''} of the print kept as printed" if count else ""
        return f"Sound: {rows:,} rows in {len(report.counted)} files held to each other{told}."
    count = len(report.faults)
    return f"Not sound: {count} fault{'s' if count > 1 else ''}. A set with a fault is not used."


def soundness_lines(report: Soundness) -> list[str]:
    """The whole report: what the set is, the verdict, each fault with file and line."""
    lines = []
    if report.reading.tables is not None:
        lines += [f"{label + ':':<21}{text}" for label, text in set_lines(report.reading.tables)]
        lines += [f"  {name}: {count} rows" for name, count in report.counted]
    lines.append(soundness_words(report))
    lines += [f"  as printed: {told}" for told in report.told]
    lines += [f"  {one}" for one in report.faults]
    return lines

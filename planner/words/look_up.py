"""A look-up in words, for an officer at 2100."""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from planner import CAUTION
from planner.job import UnitSystem
from planner.table_sets import FLIGHT_ALTITUDE_FT, carried_words, table_altitude_ft, table_words
from planner.table_sets.table_set import FACTOR
from planner.tables.exposure import Exposure
from planner.tables.look_up import Answer, Card, LookUp
from planner.tables.profile import Segment
from planner.tables.schedule import (
    CHAMBER_FIRST_FSW,
    IN_CHAMBER,
    LEAVES_WATER_FROM_FSW,
    NO_STOP,
    ON_AIR,
    ON_OXYGEN,
    SURFACE_INTERVAL_S,
    TableSchedule,
)
from planner.words.measures import Metric, altitude_words, depth_words, hours_minutes, minutes_seconds
from planner.words.schedule import chamber_words, stop_words

WIDTH = 96

WAY_UP_NAMES = {NO_STOP: "No stop", ON_AIR: "On air", ON_OXYGEN: "With oxygen", IN_CHAMBER: "In the chamber"}

METRIC_NOTE = (
    "Metric: a depth given in metres counts as the next full fsw, an altitude as the next full foot; depths "
    "shown in metres are rounded up to 0.1 m. The tables themselves are in {units}."
)


@dataclass(frozen=True)
class Words:
    """Says depths and ways up in the units asked for."""

    units: UnitSystem

    @property
    def metric(self) -> bool:
        return self.units is UnitSystem.METRIC

    def depth(self, depth_fsw: float) -> str:
        """``20 fsw``; in metric ``6.1 m (20 fsw)``."""
        return depth_words(depth_fsw, self.units, Metric.FIRST)

    def row(self, row: TableSchedule) -> str:
        """The row: ``60 fsw / 63 min``; in metric ``18.3 m (60 fsw) / 63 min``; ``18 msw / 50 min``."""
        depth = self.depth(row.depth_fsw) if row.depth_msw is None else f"{row.depth_msw} msw"
        return f"{depth} / {'unlimited' if row.unlimited else f'{row.time_min} min'}"

    def schedule(self, schedule: TableSchedule, group_after: str | None) -> str:
        """Stops, times and group of one way up."""
        parts = []
        if schedule.stops:
            parts.append(f"first stop after {minutes_seconds(schedule.time_to_first_stop_s)}")
            parts += [stop_words(stop, self.units, Metric.FIRST) for stop in schedule.stops]
        if schedule.way_up == NO_STOP:
            parts.append(f"straight to the surface in {minutes_seconds(schedule.ascent_s)}")
        elif schedule.way_up == IN_CHAMBER:
            parts += self._chamber(schedule)
        else:
            parts.append(f"ascent {minutes_seconds(schedule.ascent_s)}")
        parts.append(f"group {group_after}" if group_after else "no group printed")
        return "; ".join(parts)

    def _chamber(self, schedule: TableSchedule) -> list[str]:
        start = self.depth(LEAVES_WATER_FROM_FSW)
        if schedule.depth_fsw < LEAVES_WATER_FROM_FSW:
            start = "leave bottom"
        within = minutes_seconds(SURFACE_INTERVAL_S)
        return [
            *([] if schedule.stops else ["no stop in the water"]),
            f"from {start} to {self.depth(CHAMBER_FIRST_FSW)} in the chamber within {within}",
            chamber_words(schedule),
            f"out of the chamber {minutes_seconds(schedule.ascent_s)} after leave bottom",
        ]

    def segment(self, segment: Segment) -> str:
        """One line of a profile."""
        start, end = minutes_seconds(segment.start_s), minutes_seconds(segment.end_s)
        to = depth_words(segment.end_depth_fsw, self.units, Metric.FIRST, table_fsw=segment.table_fsw)
        where = f"at {to}"
        if segment.start_depth_fsw != segment.end_depth_fsw:
            where = f"{self.depth(segment.start_depth_fsw)} to {to}"
        return f"{start:>7} to {end:>7}  {segment.kind:<16}  {where}, {segment.gas}"


def look_up_text(found: LookUp, *, units: UnitSystem = UnitSystem.FEET, with_profile: bool = False) -> str:
    """The whole look-up as text, with the caution at its foot.

    Parameters
    ----------
    with_profile
        Also print every stretch of the dive with its times from leave surface.
    """
    words = Words(units)
    blocks = [_asked(found, words)]
    blocks += [_card(card, words) for card in (found.this_dive, found.next_deeper, found.next_longer)]
    if with_profile:
        blocks += [_profile(answer, words) for answer in found.this_dive.answers if answer.exposure]
    blocks.append(_after(found, words))
    blocks.append(_foot(found, words))
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def _line(label: str, text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=f"  {label:<16}", subsequent_indent=" " * 18)


def _asked(found: LookUp, words: Words) -> list[str]:
    altitude = found.options.altitude_ft
    where = f"at {altitude_words(altitude, words.units)}" if table_altitude_ft(altitude) else "sea level"
    who = "clean diver"
    if found.group_asked is not None and found.interval_min is None:
        who = f"{carried_words(found.group_asked)} at leave surface"
    elif found.group_asked is not None and found.interval_min is not None:
        now, rested = carried_words(found.group_before), hours_minutes(found.interval_min)
        who = f"group {found.group_asked}, {rested} on the surface, so {now} ({_called(found, 'intervals')})"
    lines = [f"{words.depth(found.depth_fsw)} for {found.bottom_time_min} min, {who}, {where}"]
    row = words.depth(found.table_depth_fsw)
    limit = "unlimited" if found.no_stop_limit_min is None else f"{found.no_stop_limit_min} min"
    left = "unlimited" if found.no_stop_left_min is None else f"{found.no_stop_left_min} min"
    lines += _line("No-stop limit", f"{limit} at {row}; for this diver as asked: {left}")
    exposure = found.this_dive.first
    if found.group_before is not None and exposure is not None:
        added = f"residual nitrogen time {exposure.residual_nitrogen_min} min"
        if found.options.tables.residual_method == FACTOR:
            added = f"{carried_words(found.group_before)} on the bottom time"
        text = f"{added}, equivalent single dive time {exposure.equivalent_min} min"
        if found.residual_undetermined:
            text = "residual nitrogen time undetermined at this depth"
        lines += _line("Repetitive", text)
    return lines


def _card(card: Card, words: Words) -> list[str]:
    title = card.title.capitalize()
    exposure = card.first
    if exposure is None or card.depth_fsw is None:
        return [title, *_line("", card.refusal)]
    row = exposure.schedule
    lines = [
        f"{title}: {words.depth(card.depth_fsw)} for {card.bottom_time_min} min is "
        f"{words.row(row)} ({table_words(row.table)})"
    ]
    for answer in card.answers:
        text = (
            words.schedule(answer.exposure.schedule, answer.exposure.group_after)
            if answer.exposure
            else f"refused: {answer.refusal}"
        )
        lines += _line(WAY_UP_NAMES[answer.way_up], text)
    return lines


def _profile(answer: Answer, words: Words) -> list[str]:
    segments = answer.exposure.segments if answer.exposure else ()
    return [
        f"Profile, {WAY_UP_NAMES[answer.way_up].lower()} (min:s from leave surface)",
        *map(words.segment, segments),
    ]


def _after(found: LookUp, words: Words) -> list[str]:
    group = found.group_after if found.group_after else "no group: no repetitive dive until clean"
    lines = ["After the dive", *_line("Group", group)]
    lines += _line("Clean after", hours_minutes(found.clean_after_min) + _clean_source(found))
    if found.flight_wait_min is None:
        flight = found.options.tables.no_flight_rows
    elif found.group_after is not None:
        column = f"{_called(found, 'before_altitude')}, {FLIGHT_ALTITUDE_FT:,} ft column"
        flight = f"{hours_minutes(found.flight_wait_min)} ({column})"
    else:
        flight = f"{hours_minutes(found.flight_wait_min)} (no group: the wait after an exceptional exposure)"
    lines += _line("Flight after", flight)
    if found.arrival_group:
        lines += _line(
            "New at altitude",
            f"a person who has just come up to {altitude_words(found.options.altitude_ft, words.units)} "
            f"counts as group {found.arrival_group} on arrival ({_called(found, 'arrival_at_altitude')}); "
            "ask again with that group and the time since",
        )
    return lines


def _clean_source(found: LookUp) -> str:
    if found.group_after:
        return f" ({_called(found, 'intervals')})"
    return " (no number is printed: the longest wait of the tables)"


def _called(found: LookUp, table: str) -> str:
    return table_words(found.options.tables.called[table])


def _notes(exposure: Exposure | None) -> tuple[str, ...]:
    return exposure.schedule.notes if exposure else ()


def _foot(found: LookUp, words: Words) -> list[str]:
    notes = dict.fromkeys(note for answer in found.this_dive.answers for note in _notes(answer.exposure))
    own = found.options.tables
    lines = [f"Tables: {', '.join(found.tables)}, {own.printed}; exact or next deeper,"]
    lines.append("exact or next longer, never between rows.")
    for note in (*notes, *((METRIC_NOTE.format(units=own.units),) if words.metric else ())):
        lines += textwrap.wrap(note, WIDTH, initial_indent="- ", subsequent_indent="  ")
    if found.options.altitude_ft and not table_altitude_ft(found.options.altitude_ft):
        lines.append("- Up to 300 ft counts as sea level.")
    lines += ["", *textwrap.wrap(f"CAUTION: {CAUTION}", WIDTH)]
    return lines

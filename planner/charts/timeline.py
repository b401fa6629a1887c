"""The day as blocks on a time axis: one figure by person, one by station and post, with the same axis.

Every block carries letters (the duty's, or the holder's name), so that colour is never the only sign.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import plotly.graph_objects as go

from planner.charts.look import (
    Look,
    add_tide_curve,
    behind,
    clock_axis,
    day_span,
    dress,
    lanes_of,
    safe,
)
from planner.charts.palette import DutyStyle, duty_style
from planner.job import Job, Span
from planner.job.duties import DIVER, ENTRY_DIVER, WATER_DUTIES
from planner.plan.model import Dive, DutySpell, Plan
from planner.tables.schedule import IN_CHAMBER

#: Height of one lane of a row, pixels.
LANE_PX = 27

#: Name of the trace for a diver's time in dress out of the water.
DRESSING = "dressing, undressing"

#: Name of the trace for a diver between the surface and leaving the chamber.
DECOMPRESSING = "on deck and in the chamber"

#: Width of one letter on a block, minutes, at the narrowest that the chart is drawn.
_MIN_A_LETTER = 7.0


#: Hatching of a diver's blocks out of the water.
_OUT_OF_WATER = {DRESSING: "/", DECOMPRESSING: "x"}


@dataclass(frozen=True)
class _Bar:
    """One block as it is drawn: minutes, height of its middle on the y axis, the words on it and over it."""

    start_min: int
    end_min: int
    y: float
    text: str
    hover: str


@dataclass(frozen=True)
class DutyBlock:
    """One stretch of a person's day in one duty, or in two that one person may hold at once."""

    person: str
    duties: tuple[str, ...]
    start_min: int
    end_min: int
    spells: tuple[DutySpell, ...]


def blocks_of(plan: Plan, person: str) -> tuple[DutyBlock, ...]:
    """A person's spells in order of start; those with one span on one dive or item are taken together."""
    together: dict[tuple[int, int, str | None, str], list[DutySpell]] = {}
    for spell in plan.duties_of(person):
        together.setdefault((spell.start_min, spell.end_min, spell.dive, spell.item), []).append(spell)
    return tuple(
        DutyBlock(person, tuple(s.duty for s in spells), start, end, tuple(spells))
        for (start, end, _, _), spells in together.items()
    )


def by_person(
    plan: Plan, job: Job, look: Look, *, day: int = 0, light: tuple[Span, ...] | None = None
) -> go.Figure:
    """Who does what when: a row a person, a block a duty.

    Parameters
    ----------
    day
        Which day of the job, 0 the first.
    light
        Daylight in job minutes, drawn behind; None when unknown.
    """
    span, styles = day_span(plan, job, day), duty_style(job)
    rows = [
        (p.name, [b for b in blocks_of(plan, p.name) if span.overlaps(b.start_min, b.end_min)])
        for p in job.people
    ]

    def letters(block: DutyBlock, minutes: int) -> str:
        return "·".join(styles[d].letters for d in block.duties)

    return _timeline("The day by person", rows, letters, plan, job, look, span, light)


def by_station(
    plan: Plan, job: Job, look: Look, *, day: int = 0, light: tuple[Span, ...] | None = None
) -> go.Figure:
    """Who holds which post when: for each station the dives, then a row a duty; surface work at the foot."""
    span = day_span(plan, job, day)
    rows = [
        (post, [DutyBlock(s.person, (s.duty,), s.start_min, s.end_min, (s,)) for s in spells])
        for post, spells in _posts(plan, job, span)
    ]

    def name(block: DutyBlock, minutes: int) -> str:
        return _short_name(block.person, minutes)

    return _timeline("The day by station and post", rows, name, plan, job, look, span, light)


def _posts(plan: Plan, job: Job, span: Span) -> list[tuple[str, list[DutySpell]]]:
    """Rows of the station view: for each station its duties in the trade's order, then each surface item."""
    rows: list[tuple[str, list[DutySpell]]] = []
    shown = [s for s in plan.duties if span.overlaps(s.start_min, s.end_min)]
    order = sorted(job.duties, key=lambda duty: duty not in WATER_DUTIES)
    for station in job.stations:
        own = [s for s in shown if s.dive is not None and s.station == station.name]
        for duty in (*order, *sorted({s.duty for s in own} - set(order))):
            spells = [s for s in own if s.duty == duty]
            if spells:
                rows.append((f"{station.name} · {duty}", spells))
    for task in sorted(plan.surface_tasks, key=lambda t: t.start_min):
        spells = [s for s in shown if s.dive is None and s.item == task.item]
        if spells:
            rows.append((f"on deck · {task.item}", spells))
    return rows


def _parts(spell: DutySpell, dive: Dive | None) -> list[tuple[str, int, int]]:
    """A diver's spell falls into dressing, water, then undressing or the chamber; every other spell is one
    part."""
    if dive is None or spell.duty not in WATER_DUTIES:
        return [(spell.duty, spell.start_min, spell.end_min)]
    out = dive.reach_surface_min
    if any(d.person == spell.person and d.schedule.way_up == IN_CHAMBER for d in dive.divers):
        out = min(dive.out_min, spell.end_min)
    parts = [
        (DRESSING, spell.start_min, dive.leave_surface_min),
        (spell.duty, dive.leave_surface_min, dive.reach_surface_min),
        (DECOMPRESSING, dive.reach_surface_min, out),
        (DRESSING, out, spell.end_min),
    ]
    return [(name, start, end) for name, start, end in parts if end > start]


def _short_name(person: str, minutes: int) -> str:
    """As much of a name as a block of that many minutes has room for: whole, first word, or initials."""
    room = minutes / _MIN_A_LETTER
    if len(person) <= room:
        return person
    words = person.split()
    if len(words[0]) <= room:
        return words[0]
    return "".join(w[0] for w in words[:3]).upper()


def _hover(job: Job, block: DutyBlock, part: str, start: int, end: int) -> str:
    spell = block.spells[0]
    lines = [f"<b>{safe(spell.person)}</b>: {safe(' and '.join(block.duties))}"]
    if part == DRESSING:
        lines.append("in dress, out of the water")
    elif part == DECOMPRESSING:
        lines.append("reach surface to out of the chamber")
    elif spell.duty in WATER_DUTIES and spell.dive:
        lines.append("leave surface to reach surface")
    lines.append(f"{job.clock.hhmm(start)} to {job.clock.hhmm(end)}, {end - start} min")
    lines.append(safe(spell.item + (f", dive {spell.dive}" if spell.dive else "")))
    if spell.station:
        lines.append(f"station {safe(spell.station)}")
    if spell.outfit:
        lines.append(f"outfit {safe(spell.outfit)}")
    return "<br>".join(lines)


def _timeline(
    title: str,
    rows: Sequence[tuple[str, Sequence[DutyBlock]]],
    words_on: Callable[[DutyBlock, int], str],
    plan: Plan,
    job: Job,
    look: Look,
    span: Span,
    light: tuple[Span, ...] | None,
) -> go.Figure:
    """Rows of blocks under their titles; ``words_on`` says what stands on a part of a block so long."""
    styles = duty_style(job)
    dives = {d.id: d for d in plan.dives}
    bars: dict[str, list[_Bar]] = {}
    tops, middles = [], []
    top = 0.0
    for _, blocks in rows:
        lane, lanes = lanes_of([(b.start_min, b.end_min) for b in blocks])
        tops.append(top)
        middles.append(top + lanes / 2)
        for block, number in zip(blocks, lane, strict=True):
            for name, start, end in _parts(block.spells[0], dives.get(block.spells[0].dive or "")):
                hover = _hover(job, block, name, start, end)
                bar = _Bar(start, end, top + number + 0.5, words_on(block, end - start), hover)
                bars.setdefault(name, []).append(bar)
        top += lanes + 0.35
    figure = go.Figure()
    known = [DIVER, DRESSING, DECOMPRESSING, ENTRY_DIVER, *(d for d in styles if d not in WATER_DUTIES)]
    for name in known:
        if name in bars:
            figure.add_trace(_trace(name, bars[name], styles, look))
    height_px = int(150 + LANE_PX * max(1.0, top))
    dress(figure, look, title=f"{title}, {job.clock.at(span.start_min):%A %d %B %Y}", height_px=height_px)
    clock_axis(figure, look, job, span)
    figure.update_yaxes(
        tickmode="array",
        tickvals=middles,
        ticktext=[safe(row) for row, _ in rows],
        range=[top, -0.25],
        showgrid=False,
    )
    for edge in tops[1:]:
        figure.add_hline(y=edge - 0.175, line={"width": 1, "color": look.grid}, layer="below")
    behind(figure, look, job, span, light=light)
    add_tide_curve(figure, look, job, span)
    figure.update_layout(
        barmode="overlay",
        legend={"orientation": "h", "yanchor": "top", "y": -70 / height_px, "x": 0, "font": {"size": 12}},
        margin={"b": 86},
    )
    return figure


def _trace(name: str, bars: Sequence[_Bar], styles: dict[str, DutyStyle], look: Look) -> Any:
    style = styles[DIVER if name in _OUT_OF_WATER else name]
    marker: dict[str, Any] = {"color": style.fill_hex, "line": look.edge}
    text_hex = style.text_hex
    if name in _OUT_OF_WATER:
        marker["color"] = "#ffffff" if look.contrast else "#c9c3e6"
        marker["pattern"] = {
            "shape": _OUT_OF_WATER[name],
            "size": 5,
            "solidity": 0.16,
            "fillmode": "overlay",
            "fgcolor": style.fill_hex,
        }
        text_hex = "#000000"
    elif look.contrast:
        in_water = name in WATER_DUTIES
        marker["color"] = "#000000" if in_water else "#ffffff"
        text_hex = "#ffffff" if in_water else "#000000"
    letters = "" if name in _OUT_OF_WATER else f"{style.letters} "
    return go.Bar(
        name=f"<b>{letters}</b>{safe(name)}",
        orientation="h",
        base=[b.start_min for b in bars],
        x=[b.end_min - b.start_min for b in bars],
        y=[b.y for b in bars],
        width=0.86,
        text=[b.text for b in bars],
        textposition="inside",
        insidetextanchor="middle",
        textangle=0,
        constraintext="none",
        cliponaxis=True,
        textfont={"size": 12, "color": text_hex},
        hovertext=[b.hover for b in bars],
        hoverinfo="text",
        marker=marker,
    )


def alt_by_person(plan: Plan, job: Job) -> str:
    """The figure by person in words: each person's spells with their times."""
    lines = []
    for person in job.people:
        blocks = blocks_of(plan, person.name)
        spells = "; ".join(
            f"{' and '.join(b.duties)} {job.clock.hhmm(b.start_min)} to {job.clock.hhmm(b.end_min)}"
            for b in blocks
        )
        lines.append(f"{person.name}: {spells or 'no duty'}.")
    return " ".join(["Timeline with a row for each person.", *lines])


def alt_by_station(plan: Plan, job: Job) -> str:
    """The figure by station in words: each dive and surface task with place and times."""
    clock = job.clock
    lines = []
    for d in sorted(plan.dives, key=lambda d: d.leave_surface_min):
        out = d.out_of_chamber_min
        lines.append(
            f"Dive {d.id} from {d.station}, {d.item}: "
            f"{' and '.join(e.person for e in d.divers)}, leave surface {clock.hhmm(d.leave_surface_min)}, "
            f"reach surface {clock.hhmm(d.reach_surface_min)}"
            + ("." if out is None else f", out of the chamber {clock.hhmm(out)}.")
        )
    lines += [
        f"On deck, {t.item}: {clock.hhmm(t.start_min)} to {clock.hhmm(t.end_min)}."
        for t in sorted(plan.surface_tasks, key=lambda t: t.start_min)
    ]
    return " ".join(
        ["Timeline with a row for each post of each station.", *(lines or ["Nothing is planned."])]
    )

"""Depth against time: one dive with its stops, and every dive of a day on the clock.

The corners come from `planner.tables.profile`, which lays out the diver's row of the tables: way down,
bottom, travel, stops, and for surface decompression the time on deck and in the chamber.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import plotly.graph_objects as go

from planner.charts.look import FigureLook, behind, clock_axis, day_span, dress, label, names_px, safe
from planner.job import Job, Span
from planner.job.duties import DIVER, DUTY_OF
from planner.plan.model import Dive, DiverExposure, Plan
from planner.tables.profile import (
    AIR_BREAK,
    BOTTOM,
    CHAMBER,
    DESCENT,
    ON_OXYGEN_STOP,
    STOP,
    SURFACE_INTERVAL,
    TRAVEL,
    Segment,
    profile,
)
from planner.words.measures import Metric, depth_words, dive_depth_words

#: Stretches of a profile that are spent at a stop.
STOP_KINDS = (STOP, ON_OXYGEN_STOP, AIR_BREAK)

#: Line forms that tell dives apart without colour.
_DASHES = ("solid", "dash", "dot", "dashdot", "longdash", "longdashdot")


@dataclass(frozen=True)
class ProfilePoint:
    """A corner of the profile: minutes after leave surface, and depth in fsw."""

    minute: float
    depth_fsw: float
    table_fsw: int | None = None
    """The depth of the tables, at a stop that is held at another depth: at altitude."""


def dive_segments(dive: Dive, exposure: DiverExposure, job: Job) -> tuple[Segment, ...]:
    """One diver's dive, stretch by stretch, from leave surface until out of pressure."""
    return profile(dive.depth_fsw, dive.bottom_time_min, exposure.schedule, job.rules.descent_fsw_per_min)


def _depth_words(depth_fsw: float, look: FigureLook, table_fsw: int | None = None) -> str:
    return depth_words(depth_fsw, look.units, Metric.ALONE, table_fsw=table_fsw)


def corners(segments: Sequence[Segment]) -> tuple[ProfilePoint, ...]:
    """Corners of the line through segments that follow each other."""
    if not segments:
        return ()
    first = segments[0]
    return (
        ProfilePoint(first.start_s / 60, first.start_depth_fsw),
        *(ProfilePoint(s.end_s / 60, s.end_depth_fsw, s.table_fsw) for s in segments),
    )


def in_water(segments: Sequence[Segment]) -> tuple[Segment, ...]:
    """The stretches in the water."""
    return tuple(s for s in segments if s.kind not in (SURFACE_INTERVAL, CHAMBER))


def depth_of_dive(dive: Dive, exposure: DiverExposure, job: Job, look: FigureLook) -> go.Figure:
    """Depth against minutes since leave surface for one diver of one dive, with the stops marked."""

    def clock(minute: float) -> str:
        return f"<br>at {job.clock.hhmm(dive.leave_surface_min + int(minute))}"

    title = f"Dive {dive.id}, {exposure.person}: depth against time"
    return profile_figure(dive_segments(dive, exposure, job), look, title=title, clock=clock)


def profile_figure(
    segments: Sequence[Segment], look: FigureLook, *, title: str, clock: Callable[[float], str] | None = None
) -> go.Figure:
    """Depth against minutes since leave surface for any profile; ``clock`` says what to add to a corner's
    hover for its minute."""
    points = corners(in_water(segments))
    bottom = [s for s in segments if s.kind in (DESCENT, BOTTOM)]
    deepest_fsw = max(p.depth_fsw for p in points)
    colour = look.ink if look.contrast else DUTY_OF[DIVER].fill_hex
    figure = go.Figure()
    figure.add_scatter(
        x=[p.minute for p in points],
        y=[look.depth(p.depth_fsw) for p in points],
        mode="lines+markers",
        line={"color": colour, "width": 3},
        marker={"size": 7, "color": colour},
        fill="tozeroy",
        fillcolor="rgba(0,0,0,0.06)" if look.contrast else "rgba(51,34,136,0.10)",
        hovertext=[
            f"{_depth_words(p.depth_fsw, look, p.table_fsw)} after {minutes_text(p.minute)}"
            + (clock(p.minute) if clock else "")
            for p in points
        ],
        hoverinfo="text",
        showlegend=False,
    )
    _add_chamber(figure, look, segments)
    for held_fsw, stops in _stops(segments).items():
        minutes = sum(s.seconds for s in stops) / 60
        gases = " and ".join(dict.fromkeys(s.gas for s in stops))
        figure.add_annotation(
            x=(stops[0].start_s + stops[-1].end_s) / 120,
            y=look.depth(held_fsw),
            text=f"{minutes_text(minutes)} at {_depth_words(held_fsw, look, stops[-1].table_fsw)}, {gases}",
            showarrow=True,
            arrowhead=0,
            ax=0,
            ay=34,
            font={"size": 12},
            bgcolor=look.paper,
        )
    bottom_min = bottom[-1].end_s / 60
    text = f"bottom time {minutes_text(bottom_min)}"
    label(figure, bottom_min / 2, look.depth(deepest_fsw), text, yshift=12)
    axes = {"x": "minutes since leave surface", "y": f"depth, {look.depth_unit}"}
    dress(figure, look, title, 330, legend="right", **axes)
    deepest = look.depth(deepest_fsw)
    figure.update_yaxes(range=[deepest * 1.12, -deepest * 0.015])
    figure.update_xaxes(range=[-0.5, segments[-1].end_s / 60 * 1.03 + 0.5])
    return figure


def _stops(segments: Sequence[Segment]) -> dict[float, list[Segment]]:
    """The stretches at each stop in the water, the way there included, as the table counts it."""
    found: dict[float, list[Segment]] = {}
    for number, segment in enumerate(segments):
        if segment.kind in STOP_KINDS:
            own = found.setdefault(segment.end_depth_fsw, [])
            before = segments[number - 1] if number else None
            later_stop = before is not None and before.kind == TRAVEL and number > 1
            if not own and before is not None and later_stop and segments[number - 2].kind in STOP_KINDS:
                own.append(before)
            own.append(segment)
    return found


def _add_chamber(figure: go.Figure, look: FigureLook, segments: Sequence[Segment]) -> None:
    """The time on deck and in the chamber, as a dotted line: it is pressure, not depth of water."""
    dry = [s for s in segments if s.kind in (SURFACE_INTERVAL, CHAMBER)]
    if not dry:
        return
    points = corners(dry)
    x, y = [p.minute for p in points], [look.depth(p.depth_fsw) for p in points]
    drawn = {"mode": "lines", "line": {"color": look.faint_ink, "width": 2.4, "dash": "dot"}}
    figure.add_scatter(
        x=x, y=y, name="on deck and in the chamber", hoverinfo="skip", showlegend=True, **drawn
    )


def depth_through_day(
    plan: Plan, job: Job, look: FigureLook, *, day: int = 0, light: tuple[Span, ...] | None = None
) -> go.Figure:
    """Depth against the clock for every dive of one day (the diver with the longest way up)."""
    span = day_span(plan, job, day)
    figure = go.Figure()
    stations = [s.name for s in job.stations]
    shown = sorted(
        (d for d in plan.dives if span.overlaps(d.leave_surface_min, d.reach_surface_min)),
        key=lambda d: d.leave_surface_min,
    )
    told: set[str] = set()
    for dive in shown:
        exposure = longest_way_up(dive)
        points = corners(in_water(dive_segments(dive, exposure, job)))
        station = stations.index(dive.station) if dive.station in stations else 0
        colour = look.ink if look.contrast else _STATION_INKS[station % len(_STATION_INKS)]
        figure.add_scatter(
            x=[dive.leave_surface_min + p.minute for p in points],
            y=[look.depth(p.depth_fsw) for p in points],
            mode="lines",
            name=f"from {safe(dive.station)}",
            legendgroup=dive.station,
            showlegend=dive.station not in told,
            line={"color": colour, "width": 2.6, "dash": _DASHES[station % len(_DASHES)]},
            fill="tozeroy",
            fillcolor="rgba(0,0,0,0.05)" if look.contrast else _faint(colour),
            hovertext=[
                f"dive {safe(dive.id)}, {safe(dive.item)}<br>"
                f"{_depth_words(p.depth_fsw, look, p.table_fsw)} at "
                f"{job.clock.hhmm(dive.leave_surface_min + int(p.minute))}"
                for p in points
            ],
            hoverinfo="text",
        )
        told.add(dive.station)
        middle, depth = (dive.reach_bottom_min + dive.leave_bottom_min) / 2, look.depth(dive.depth_fsw)
        ink = {"size": 12, "color": colour}
        label(figure, middle, depth, f"<b>{safe(dive.id)}</b>", yshift=-10, font=ink)
    dress(figure, look, "Depth of every dive through the day", 350, y=f"depth, {look.depth_unit}")
    clock_axis(figure, look, job, span)
    deepest = max((look.depth(d.depth_fsw) for d in shown), default=look.depth(33))
    figure.update_yaxes(range=[deepest * 1.2, -deepest * 0.02])
    behind(figure, look, job, span, light=light)
    figure.update_layout(
        showlegend=len(job.stations) > 1,
        legend={"orientation": "h", "x": 0, "xanchor": "left", "y": -0.28, "yanchor": "top"},
        margin={"l": names_px(job)},
    )
    return figure


#: Line colours by station, from the same muted scheme as the duties (Paul Tol, see `palette`).
_STATION_INKS = ("#332288", "#117733", "#882255", "#0b5563", "#AA4499", "#999933")


def _faint(colour_hex: str) -> str:
    red, green, blue = (int(colour_hex[i : i + 2], 16) for i in (1, 3, 5))
    return f"rgba({red},{green},{blue},0.10)"


def longest_way_up(dive: Dive) -> DiverExposure:
    """The diver of the team with the longest ascent."""
    return max(dive.divers, key=lambda e: (e.schedule.ascent_s, e.person))


def minutes_text(minute: float) -> str:
    """``17 min``, ``1 min 40 s``."""
    whole, seconds = divmod(round(minute * 60), 60)
    return f"{whole} min {seconds:02d} s" if seconds else f"{whole} min"


def alt_depth_of_dive(dive: Dive, exposure: DiverExposure, job: Job, look: FigureLook) -> str:
    """The figure of one dive in words."""
    title = f"Depth against time of dive {dive.id}, {exposure.person}"
    return alt_profile(dive_segments(dive, exposure, job), look, title=title)


def alt_profile(segments: Sequence[Segment], look: FigureLook, *, title: str) -> str:
    """A profile in words: depth, bottom time, stops, way up."""
    points = corners(in_water(segments))
    bottom_min = [s for s in segments if s.kind in (DESCENT, BOTTOM)][-1].end_s / 60
    deepest = _depth_words(max(p.depth_fsw for p in points), look)
    stops = ", ".join(
        f"{minutes_text(sum(s.seconds for s in own) / 60)} at "
        f"{_depth_words(held, look, own[-1].table_fsw)} on {' and '.join(dict.fromkeys(s.gas for s in own))}"
        for held, own in _stops(segments).items()
    )
    return (
        f"{title}: to {deepest}, leave bottom at "
        f"{minutes_text(bottom_min)}, {'stops: ' + stops if stops else 'no stops'}, way up in the water "
        f"{minutes_text(points[-1].minute - bottom_min)}."
    )


def alt_depth_through_day(plan: Plan, job: Job, look: FigureLook) -> str:
    """The figure of the day in words."""
    dives = sorted(plan.dives, key=lambda d: d.leave_surface_min)
    lines = [
        f"Dive {d.id}: {dive_depth_words(job, d.item, d.depth_fsw, look.units, Metric.ALONE)} from "
        f"{job.clock.hhmm(d.leave_surface_min)} to {job.clock.hhmm(d.reach_surface_min)}."
        for d in dives
    ]
    return " ".join(["Depth of every dive on the clock.", *(lines or ["No dives."])])

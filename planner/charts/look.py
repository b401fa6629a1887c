"""What all figures share: ink, paper, grid, type, the time axis, and the water and light drawn behind it.

The time axis is in job minutes with hours of the wall clock written on it, so a block is as long as the
time it stands for even on a night when the clocks change.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Any

import plotly.graph_objects as go

from planner.job import Job, Span, UnitSystem
from planner.job.base import joined
from planner.job.units import METRES_PER_FOOT
from planner.plan.model import Plan

#: Small letters that fit side by side along the time axis at the narrowest that a chart is drawn.
_LETTERS_ACROSS = 120

#: Width of one letter beside an axis, and the most room that names get, pixels.
LETTER_PX, MOST_NAME_PX = 7, 200


@dataclass(frozen=True)
class FigureLook:
    """How a figure is drawn."""

    contrast: bool = False
    """Black on white with heavy outlines and hatching, for sunlight and for black-and-white print."""
    units: UnitSystem = UnitSystem.FEET
    """Depths in fsw or in metres."""

    @property
    def ink(self) -> str:
        return "#000000" if self.contrast else "#16252d"

    @property
    def faint_ink(self) -> str:
        return "#000000" if self.contrast else "#5d6b70"

    @property
    def first_ink(self) -> str:
        """Colour of what a figure is about."""
        return "#000000" if self.contrast else "#0b5563"

    @property
    def second_ink(self) -> str:
        """Colour of what stands out from it."""
        return "#000000" if self.contrast else "#a3461f"

    @property
    def paper(self) -> str:
        return "#ffffff" if self.contrast else "#fcfbf8"

    @property
    def grid(self) -> str:
        return "#8a8a8a" if self.contrast else "#e2ddd1"

    @property
    def edge(self) -> dict[str, Any]:
        """Outline of a block."""
        return {"color": self.ink if self.contrast else "#ffffff", "width": 1.4 if self.contrast else 0.8}

    @property
    def night_fill(self) -> str:
        return "rgba(0,0,0,0.16)" if self.contrast else "rgba(34,44,66,0.11)"

    @property
    def slack_fill(self) -> str:
        return "rgba(0,0,0,0.05)" if self.contrast else "rgba(58,124,165,0.13)"

    @property
    def metric(self) -> bool:
        return self.units is UnitSystem.METRIC

    @property
    def depth_unit(self) -> str:
        return "m" if self.metric else "fsw"

    def depth(self, depth_fsw: float) -> float:
        """A depth in the unit of this look, to 0.1."""
        return round(depth_fsw * METRES_PER_FOOT, 1) if self.metric else depth_fsw


def safe(text: str) -> str:
    """A user's text as plain text in a figure, where tags would be read as tags."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def axis_title(text: str) -> dict[str, Any]:
    """The words beside an axis."""
    return {"text": text, "font": {"size": 12}}


#: Where a row of signs stands above the plot.
_LEGENDS: dict[str, dict[str, Any]] = {
    "left": {"orientation": "h", "x": 0, "y": 1.02, "yanchor": "bottom"},
    "right": {"orientation": "h", "x": 1, "xanchor": "right", "y": 1, "yanchor": "bottom"},
}


def label(figure: go.Figure, x: float, y: float | str, text: str, **more: Any) -> None:
    """Words at a point of a figure, without an arrow."""
    figure.add_annotation(x=x, y=y, text=text, **{"showarrow": False, "font": {"size": 12}} | more)


def dress(
    figure: go.Figure,
    look: FigureLook,
    title: str,
    height_px: int,
    *,
    x: str = "",
    y: str = "",
    legend: str = "",
) -> None:
    """Give a figure its title, type, paper and size, titles of axes and a place of `_LEGENDS` where asked."""
    place = {"x": 0, "xanchor": "left", "y": 0.99, "yanchor": "top"}
    figure.update_layout(
        title={"text": safe(title), "font": {"size": 15}, **place},
        height=height_px,
        paper_bgcolor=look.paper,
        plot_bgcolor=look.paper,
        font={"family": "Source Sans, Source Sans Pro, sans-serif", "size": 13, "color": look.ink},
        margin={"l": 8, "r": 12, "t": 46, "b": 44},
        hoverlabel={"font": {"size": 13}, "align": "left"},
        bargap=0.2,
    )
    axis = {"gridcolor": look.grid, "zeroline": False, "linecolor": look.faint_ink, "automargin": True}
    figure.update_xaxes(axis | {"title": axis_title(x)} if x else axis)
    figure.update_yaxes(axis | {"title": axis_title(y)} if y else axis)
    if legend:
        figure.update_layout(legend=_LEGENDS[legend])


def day_span(plan: Plan, job: Job, day: int) -> Span:
    """The minutes that one day's time axis shows: the day window and what the plan does beyond it."""
    window = job.day_windows[day]
    after = job.day_windows[day + 1].start_min if day + 1 < len(job.day_windows) else None
    before = job.day_windows[day - 1].end_min if day > 0 else None
    starts, ends = [window.start_min], [window.end_min]
    for start, end in _stretches(plan):
        if (after is None or start < after) and (before is None or start >= before):
            starts.append(start)
            ends.append(end)
    return Span(start_min=min(starts), end_min=max(ends))


def _stretches(plan: Plan) -> list[tuple[int, int]]:
    return [
        *((d.dress_start_min, d.undressed_min) for d in plan.dives),
        *((t.start_min, t.end_min) for t in plan.surface_tasks),
        *((s.start_min, s.end_min) for s in plan.duties),
    ]


def names_px(job: Job) -> int:
    """Room for the longest diver's name left of a figure, pixels.

    Figures that stand one above the other keep the same room, so that a time is at one place in all of them.
    """
    longest = max((len(p.name) for p in job.people if p.depth_rating_fsw), default=0)
    return min(MOST_NAME_PX, 24 + LETTER_PX * longest)


def clock_axis(figure: go.Figure, look: FigureLook, job: Job, span: Span) -> None:
    """Write hours of the wall clock along x for the minutes of `span`."""
    first = -(-span.start_min // 60) * 60
    hours = list(range(first, span.end_min + 1, 60))
    figure.update_xaxes(
        range=[span.start_min - 4, span.end_min + 4],
        tickmode="array",
        tickvals=hours,
        ticktext=[job.clock.hhmm(h) for h in hours],
        tickangle=0,
        ticks="outside",
        tickcolor=look.faint_ink,
        minor={"dtick": 15, "ticks": "outside", "ticklen": 3, "tickcolor": look.grid},
        title=axis_title(f"time of day, h:min ({job.site.time_zone})") | {"standoff": 6},
    )


@dataclass(frozen=True)
class Shade:
    """Dark hours or a slack window, within what is drawn; ``name`` stands above it. Times in job minutes."""

    what: str
    """``dark`` or ``slack``."""
    start_min: int
    end_min: int
    name: str


def shades(job: Job, span: Span, light: tuple[Span, ...] | None) -> list[Shade]:
    """What lies behind a stretch of a day; ``light``: None when the site gives no place to reckon it from."""
    dark = outside(light, span) if light is not None else ()
    found = [Shade("dark", one.start_min, one.end_min, "dark") for one in dark]
    for window in job.water_windows:
        start, end = max(window.start_min, span.start_min), min(window.end_min, span.end_min)
        if start < end:
            found.append(Shade("slack", start, end, ", ".join([window.label, *window.stations])))
    return found


def behind(
    figure: go.Figure, look: FigureLook, job: Job, span: Span, *, light: tuple[Span, ...] | None = None
) -> None:
    """Draw dark hours and slack windows behind a timeline."""
    found = shades(job, span, light)
    dotted = {"width": 1, "color": look.faint_ink, "dash": "dot"}
    drawn: dict[str, dict[str, Any]] = {
        "dark": {"fillcolor": look.night_fill, "line_width": 0},
        "slack": {"fillcolor": look.slack_fill, "line": dotted},
    }
    for shade in found:
        figure.add_vrect(x0=shade.start_min, x1=shade.end_min, layer="below", **drawn[shade.what])
    _put_labels(figure, look, [(shade.start_min, shade.name) for shade in found], span)


def _put_labels(figure: go.Figure, look: FigureLook, labels: list[tuple[int, str]], span: Span) -> None:
    """Names of windows above the plot, one over the other where they would run together."""
    letter_min = (span.end_min - span.start_min) / _LETTERS_ACROSS
    stretches = [(start, start + max(1, int(len(text) * letter_min))) for start, text in labels]
    lane, lanes = lanes_of(stretches)
    font = {"size": 11, "color": look.faint_ink}
    for (start, text), (_, end), number in zip(labels, stretches, lane, strict=True):
        beyond = end > span.end_min
        x, side = (span.end_min, "right") if beyond else (start, "left")
        above = {"yref": "paper", "yanchor": "bottom", "xanchor": side, "yshift": 13 * number}
        label(figure, x, 1, safe(text), font=font, **above)
    figure.update_layout(margin={"t": 48 + 14 * lanes})


def outside(light: tuple[Span, ...], span: Span) -> tuple[Span, ...]:
    """The parts of `span` that no stretch of `light` covers, in order."""
    lit = joined((s.start_min, s.end_min) for s in light if s.overlaps(span.start_min, span.end_min))
    edges = [span.start_min, *chain.from_iterable(lit), span.end_min]
    dark = zip(edges[::2], edges[1::2], strict=True)
    return tuple(Span(start_min=start, end_min=end) for start, end in dark if start < end)


def lanes_of(stretches: Sequence[tuple[int, int]]) -> tuple[list[int], int]:
    """Give each stretch a lane so that no two in a lane overlap, using as few lanes as there must be.

    Parameters
    ----------
    stretches
        Start and end of each block, job minutes.

    Returns
    -------
    tuple
        The lane of each stretch in the order given, and the number of lanes (at least 1).
    """
    free_at: list[int] = []
    lane = [0] * len(stretches)
    for i in sorted(range(len(stretches)), key=lambda i: stretches[i]):
        start, end = stretches[i]
        lane[i] = next((n for n, free in enumerate(free_at) if free <= start), len(free_at))
        free_at[lane[i] : lane[i] + 1] = [end]
    return lane, max(1, len(free_at))

"""The tide behind a timeline: the curve of `planner.job.tide` through the job's high and low waters.

Outside the first and last water nothing is drawn.
"""

from __future__ import annotations

import plotly.graph_objects as go

from planner.charts.look import Look
from planner.job import Job, Span
from planner.job.tide import level_ft
from planner.job.units import METRES_PER_FOOT


def add_tide_curve(figure: go.Figure, look: Look, job: Job, span: Span) -> go.Figure:
    """Draw the tide behind the blocks on an axis of its own at the right; nothing without tide marks."""
    minutes = list(range(span.start_min, span.end_min + 1, 10))
    levels = [level_ft(job.tide_marks, m) for m in minutes]
    points = [(m, level) for m, level in zip(minutes, levels, strict=True) if level is not None]
    if not points:
        return figure
    scale, unit = (METRES_PER_FOOT, "m") if look.metric else (1.0, "ft")
    y = [round(level * scale, 2) for _, level in points]
    figure.add_scatter(
        x=[m for m, _ in points],
        y=y,
        yaxis="y2",
        mode="lines",
        name=f"tide, {unit}",
        line={"color": look.faint_ink, "width": 1.6, "dash": "dashdot"},
        hovertext=[
            f"tide {v:.1f} {unit} at {job.clock.hhmm(m)}" for (m, _), v in zip(points, y, strict=True)
        ],
        hoverinfo="text",
        opacity=0.75,
    )
    low, high = min(y), max(y)
    room = max(0.5, high - low) * 0.1
    figure.update_layout(
        yaxis={"overlaying": "y2", "side": "left"},
        yaxis2={
            "side": "right",
            "range": [low - room, high + room],
            "showgrid": False,
            "zeroline": False,
            "title": {"text": f"tide, {unit}", "font": {"size": 12}},
            "automargin": True,
        },
    )
    return figure

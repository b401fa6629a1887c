"""Air through the day under what the compressors give, and hour meters against their next service.

Each figure has its text twin for a reader who cannot see it.
"""

from __future__ import annotations

from itertools import pairwise

import plotly.graph_objects as go

from planner.air.report import AirReport
from planner.air.running import CompressorRun
from planner.air.supply import SupplyStep
from planner.charts.look import FigureLook, clock_axis, dress, label
from planner.job import Job, Span
from planner.job.units import litres_from_cubic_feet

#: Colours of Paul Tol's bright scheme (SRON/EPS/TN/09-002, issue 3.2), told apart by form as well.
_EXPECTED, _REQUIRED, _CAPACITY, _OVER = "#66CCEE", "#4477AA", "#228833", "#EE6677"

_GIVE = "compressors give"


def flow_unit(look: FigureLook) -> str:
    return "litres/min free air" if look.metric else "scfm"


def _flow(look: FigureLook, scfm: float) -> float:
    return litres_from_cubic_feet(scfm) if look.metric else round(scfm, 1)


def air_span(report: AirReport, span: Span | None = None) -> Span | None:
    """The stretch that has demand, within `span` when given; None when there is none."""
    steps = _within(report, span)
    if not steps:
        return None
    return Span(start_min=steps[0].demand.start_min, end_min=steps[-1].demand.end_min)


def _within(report: AirReport, span: Span | None) -> list[SupplyStep]:
    return [s for s in report.supply if span is None or span.overlaps(s.demand.start_min, s.demand.end_min)]


def _outline(pieces: list[tuple[int, int, float]], *, to_zero: bool) -> tuple[list[int], list[float]]:
    """Corners of a curve of level stretches; where nothing is drawn it goes down to zero."""
    x: list[int] = []
    y: list[float] = []
    for index, (start, end, value) in enumerate(pieces):
        if to_zero and (index == 0 or pieces[index - 1][1] != start):
            x.append(start)
            y.append(0.0)
        x += [start, end]
        y += [value, value]
        if to_zero and (index + 1 == len(pieces) or pieces[index + 1][0] != end):
            x.append(end)
            y.append(0.0)
    return x, y


def air_flow_chart(report: AirReport, job: Job, look: FigureLook, span: Span | None = None) -> go.Figure:
    """Demand under capacity through the day.

    ``span``: only this stretch, for example one day's; None means all.
    """
    steps = _within(report, span)
    figure = go.Figure()
    unit, faint = flow_unit(look), "rgba(0,0,0,0.08)" if look.contrast else "rgba(102,204,238,0.25)"

    def curve(
        name: str, pieces: list[tuple[int, int, float]], colour: str, dash: str, fill: str | None
    ) -> None:
        x, y = _outline(pieces, to_zero=name != _GIVE)
        line = {"color": look.ink if look.contrast else colour, "width": 2.5, "dash": dash}
        said = [f"{job.clock.hhmm(at)}: {flow:g} {unit}, {name}" for at, flow in zip(x, y, strict=True)]
        drawn = {"mode": "lines", "line": line, "fill": fill, "fillcolor": faint}
        figure.add_scatter(x=x, y=y, name=name, hovertext=said, hoverinfo="text", **drawn)

    shown = air_span(report, span) or span or Span(start_min=420, end_min=1140)
    curves = (
        ("expected", [s.demand.expected_scfm for s in steps], _EXPECTED, "dot", "tozeroy"),
        ("with the standby sent down", [s.demand.required_scfm for s in steps], _REQUIRED, "solid", None),
    )
    for name, values, colour, dash, fill in curves:
        pieces = [
            (s.demand.start_min, s.demand.end_min, _flow(look, v)) for s, v in zip(steps, values, strict=True)
        ]
        curve(name, pieces, colour, dash, fill)
    if report.plant_given:
        capacity = [(s.demand.start_min, s.demand.end_min, _flow(look, s.capacity_scfm)) for s in steps]
        bridged = [
            piece
            for one, two in pairwise(capacity)
            for piece in (one, (one[1], two[0], one[2]))
            if piece[1] > piece[0]
        ] + capacity[-1:]
        curve(_GIVE, bridged, _CAPACITY, "dash", None)
    top = max((_flow(look, max(s.flow_scfm, s.capacity_scfm)) for s in steps), default=1.0)
    _mark(figure, look, job, report, shown)
    dress(figure, look, "Air: demand under capacity", 340, y=f"flow, {flow_unit(look)}", legend="left")
    clock_axis(figure, look, job, shown)
    figure.update_yaxes(range=[0, top * 1.15])
    return figure


def _mark(figure: go.Figure, look: FigureLook, job: Job, report: AirReport, shown: Span) -> None:
    """Name the moment of least margin."""
    least = report.least_margin
    if least is None or not report.plant_given:
        return
    at_min = least.demand.start_min
    if not shown.covers(at_min, at_min):
        return
    figure.add_annotation(
        x=at_min,
        y=_flow(look, least.flow_scfm),
        text=f"least margin {_flow(look, least.margin_scfm):g} at {job.clock.hhmm(at_min)}",
        showarrow=True,
        arrowhead=2,
        ax=36,
        ay=-28,
        xanchor="left",
        font={"size": 12, "color": look.ink},
        bgcolor=look.paper,
    )


def air_flow_alt(report: AirReport, job: Job, look: FigureLook) -> str:
    """What `air_flow_chart` shows, in words."""
    peak, least = report.peak, report.least_margin
    if peak is None or least is None:
        return "No dive is planned, so no air is drawn."
    unit = flow_unit(look)
    words = (
        f"Air demand through the day. The highest, with the standby sent down, is "
        f"{_flow(look, peak.flow_scfm):g} {unit} at {job.clock.hhmm(peak.demand.start_min, with_day=True)}."
    )
    if not report.plant_given:
        return f"{words} No air plant is given, so there is no capacity to set it against."
    at = job.clock.hhmm(least.demand.start_min, with_day=True)
    return (
        f"{words} The compressors give {_flow(look, peak.capacity_scfm):g} {unit} then. The least margin is "
        f"{_flow(look, least.margin_scfm):g} {unit} at {at}."
    )


def hour_meter_chart(report: AirReport, look: FigureLook) -> go.Figure:
    """Hours to the next service of each compressor: what the plan runs, what is left, what is past it."""
    figure = go.Figure()
    runs = [c for c in report.compressors if c.service_at_hours is not None][::-1]
    names = [c.name for c in runs]
    parts = (
        ("run by this plan", [_run_before_service(c) for c in runs], _REQUIRED, ""),
        ("left to the service", [max(0.0, c.hours_to_service or 0.0) for c in runs], _EXPECTED, "/"),
        ("past the service", [max(0.0, -(c.hours_to_service or 0.0)) for c in runs], _OVER, "x"),
    )
    for name, values, colour, hatch in parts:
        figure.add_bar(
            y=names,
            x=[round(v, 2) for v in values],
            name=name,
            orientation="h",
            marker={
                "color": look.paper if look.contrast else colour,
                "line": look.edge,
                "pattern": {"shape": hatch if hatch or not look.contrast else ".", "fgcolor": look.ink},
            },
            hovertext=[f"{c.name}: {v:.1f} h {name}" for c, v in zip(runs, values, strict=True)],
            hoverinfo="text",
        )
    for run in runs:
        ends = _run_before_service(run) + abs(run.hours_to_service or 0.0)
        label(figure, ends, run.name, f" {_meter_words(run)}", xanchor="left", bgcolor=look.paper)
    title = "Compressors: hour meter against the next service"
    dress(figure, look, title, 150 + 46 * len(runs), x="hours", legend="left")
    longest = max((c.running_min / 60 + max(0.0, c.hours_to_service or 0.0) for c in runs), default=1.0)
    figure.update_layout(barmode="stack", legend={"traceorder": "normal"})
    figure.update_yaxes(showgrid=False)
    figure.update_xaxes(range=[0, longest * 1.7])
    return figure


def _run_before_service(run: CompressorRun) -> float:
    """Hours of the plan before the service falls due; a service that was due already leaves none."""
    hours = run.running_min / 60
    return max(0.0, hours - max(0.0, -(run.hours_to_service or 0.0)))


def _meter_words(run: CompressorRun) -> str:
    words = (
        f"meter {run.hour_meter_start:.1f} → {run.hour_meter_end:.1f}, service at {run.service_at_hours:g}"
    )
    return f"{words}, due {run.service_due_on}" if run.service_due_on else words


def hour_meter_alt(report: AirReport) -> str:
    """What `hour_meter_chart` shows, in words."""
    said = [
        f"{run.name}: {_meter_words(run)}, "
        + (
            f"{-run.hours_to_service:.1f} h past it"
            if run.service_overdue and run.hours_to_service is not None
            else f"{run.hours_to_service:.1f} h left"
        )
        for run in report.compressors
        if run.hours_to_service is not None
    ]
    return ". ".join(said) + "." if said else "No compressor has a service reading."

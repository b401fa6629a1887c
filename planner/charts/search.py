"""How the search closed in: best value found and what no plan can beat, stage by stage."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import plotly.graph_objects as go
from plotly.subplots import make_subplots

from planner.charts.look import FigureLook, axis_title, dress
from planner.words.plan import NO_BOUND

_FOUND, _PROVEN = "best found", "no plan can beat"


@dataclass(frozen=True)
class SearchStep:
    """One report of the search: seconds since the start, the stage, its best value and bound."""

    elapsed_s: float
    stage: str
    value: float | None
    bound: float | None


def gap_closing(
    steps: Sequence[SearchStep], look: FigureLook, *, clock: Mapping[str, Callable[[int], str]] | None = None
) -> go.Figure:
    """Best value and bound against seconds, one panel a stage, in the order the stages were taken up.

    Parameters
    ----------
    clock
        For stages whose value is a time of day: how a job minute is written.
    """
    stages = list(dict.fromkeys(s.stage for s in steps))
    figure = make_subplots(
        rows=max(1, len(stages)),
        cols=1,
        shared_xaxes=True,
        vertical_spacing=0.5 / max(4, 2 * len(stages)),
        subplot_titles=stages or None,
    )
    for number, stage in enumerate(stages, start=1):
        own = [s for s in steps if s.stage == stage]
        for name, colour, dash, mark, pairs in (
            (_FOUND, look.first_ink, "solid", "circle", [(s.elapsed_s, s.value) for s in own]),
            (_PROVEN, look.second_ink, "dash", "diamond-open", [(s.elapsed_s, s.bound) for s in own]),
        ):
            known = [(x, y) for x, y in pairs if y is not None]
            figure.add_scatter(
                x=[x for x, _ in known],
                y=[y for _, y in known],
                name=name,
                legendgroup=name,
                showlegend=number == 1,
                mode="lines+markers",
                line={"color": colour, "dash": dash, "width": 2.2, "shape": "hv"},
                marker={"symbol": mark, "size": 7},
                hovertemplate="%{y:g} after %{x:.1f} s<extra>" + name + "</extra>",
                row=number,
                col=1,
            )
    height_px = 130 + 130 * max(1, len(stages))
    dress(figure, look, "How the search closed in", height_px, legend="right")
    figure.update_xaxes(rangemode="tozero")
    figure.update_xaxes(title=axis_title("seconds since the start"), row=max(1, len(stages)), col=1)
    figure.update_annotations(font={"size": 13}, x=0, xanchor="left")
    for number, stage in enumerate(stages, start=1):
        written = (clock or {}).get(stage)
        unit = "time of day" if written else "value"
        figure.update_yaxes(title={"text": unit, "font": {"size": 11}}, row=number, col=1)
        if written:
            ticks = _clock_ticks([v for s in steps if s.stage == stage for v in (s.value, s.bound)])
            figure.update_yaxes(
                tickmode="array", tickvals=ticks, ticktext=[written(t) for t in ticks], row=number, col=1
            )
    figure.update_layout(margin={"t": 70})
    return figure


def _clock_ticks(values: Sequence[float | None]) -> list[int]:
    """Whole hours (or quarter hours, in a narrow range) around the values."""
    known = [v for v in values if v is not None]
    if not known:
        return []
    low, high = int(min(known)), int(max(known))
    step = next(s for s in (15, 30, 60, 120, 240, 100_000) if (high - low) / s <= 5)
    return list(range(low // step * step, high + step, step))


def alt_gap_closing(steps: Sequence[SearchStep]) -> str:
    """The figure in words: the last best value and bound of each stage."""
    last: dict[str, SearchStep] = {}
    for step in steps:
        last[step.stage] = step
    lines = []
    for stage, step in last.items():
        found = "nothing found" if step.value is None else f"best {step.value:g}"
        bound = NO_BOUND if step.bound is None else f"no plan can beat {step.bound:g}"
        lines.append(f"{stage}: {found}, {bound}, after {step.elapsed_s:.1f} s.")
    return " ".join(["Best value and bound of each stage.", *(lines or ["Nothing yet."])])

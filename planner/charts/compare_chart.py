"""Work done against cost, case by case, with the best cases and the bend; and the chances of drawn days."""

from __future__ import annotations

from collections.abc import Sequence

import plotly.graph_objects as go

from planner.charts.look import Look, dress, label, safe
from planner.whatif import CaseResult, Knee, Sure

_BEST, _OTHER, _BEND = "best cases", "other cases", "the bend"


def work_against_cost(results: Sequence[CaseResult], knee: Knee, look: Look) -> go.Figure:
    """A point a case; the best cases joined by a line, the bend ringed.

    Parameters
    ----------
    results
        Cases of one sweep; those without a plan have no point.
    knee
        From `planner.whatif.knee_of`.
    look
        How it is drawn.
    """
    best = {r.case.number for r in knee.best}
    found = [r for r in results if r.figures is not None]
    figure = go.Figure()
    others = [r for r in found if r.case.number not in best]
    figure.add_scatter(
        x=[_cost(r) for r in others],
        y=[_work(r) for r in others],
        customdata=[_words(r) for r in others],
        mode="markers",
        name=_OTHER,
        marker={"size": 9, "symbol": "circle-open", "color": look.faint_ink, "line": {"width": 1.6}},
        hovertemplate="%{customdata}<extra></extra>",
    )
    figure.add_scatter(
        x=[_cost(r) for r in knee.best],
        y=[_work(r) for r in knee.best],
        customdata=[_words(r) for r in knee.best],
        mode="lines+markers",
        name=_BEST,
        line={"color": look.first_ink, "width": 2, "shape": "hv"},
        marker={"size": 11, "symbol": "circle", "color": look.first_ink},
        hovertemplate="%{customdata}<extra></extra>",
    )
    for result in knee.best[:12]:
        label(figure, _cost(result), _work(result), str(result.case.number), yshift=-16)
    if knee.bend is not None:
        figure.add_scatter(
            x=[_cost(knee.bend)],
            y=[_work(knee.bend)],
            mode="markers",
            name=_BEND,
            marker={
                "size": 22,
                "symbol": "circle-open",
                "color": look.second_ink,
                "line": {"width": 2.5},
            },
            hoverinfo="skip",
        )
    currency = found[0].figures.cost.currency if found and found[0].figures else ""
    dress(
        figure,
        look,
        title="Work done against cost",
        height_px=430,
        x_title=f"cost, {currency}",
        y_title="work done, % of all, weighted by priority",
        legend="right",
    )
    figure.update_xaxes(tickformat=",.0f")
    figure.update_yaxes(range=[0, 106])
    figure.update_layout(margin={"t": 64})
    return figure


def alt_work_against_cost(results: Sequence[CaseResult], knee: Knee) -> str:
    """The chart in words."""
    found = [r for r in results if r.figures is not None]
    best = "; ".join(f"case {r.case.number}, {_work(r):.0f} % for {_cost(r):,.0f}" for r in knee.best[:12])
    return f"{len(found)} case(s) by work and cost. Best: {best or 'none'}. {knee.sentence}"


def chances(sure: Sure, look: Look) -> go.Figure:
    """Chance of each item to be finished as planned, as bars, and that of the whole day."""
    rows = [(i.item, i.as_planned_percent) for i in sure.items if i.planned_percent > 0]
    rows.append(("the whole day", sure.day_percent))
    rows.reverse()
    figure = go.Figure(
        go.Bar(
            x=[p for _, p in rows],
            y=[safe(name) for name, _ in rows],
            orientation="h",
            marker={
                "color": [look.second_ink if name == "the whole day" else look.first_ink for name, _ in rows],
                "line": look.edge,
            },
            text=[f"{p:.0f} %" for _, p in rows],
            textposition="outside",
            cliponaxis=False,
            hovertemplate="%{y}: %{x:.1f} %<extra></extra>",
        )
    )
    title, percent = "Chance that what is planned gets done", "per cent of drawn days"
    dress(figure, look, title=title, height_px=110 + 30 * len(rows), x_title=percent)
    figure.update_xaxes(range=[0, 110], tickvals=[0, 25, 50, 75, 100])
    figure.update_layout(showlegend=False)
    return figure


def alt_chances(sure: Sure) -> str:
    """The bars in words."""
    parts = [f"{i.item} {i.as_planned_percent:.0f} %" for i in sure.items if i.planned_percent > 0]
    return f"Chance of each planned item: {'; '.join(parts) or 'none'}. Whole day {sure.day_percent:.0f} %."


def _cost(result: CaseResult) -> float:
    return float(result.figures.total_cost) if result.figures is not None else 0.0


def _work(result: CaseResult) -> float:
    return round(result.figures.work_percent, 2) if result.figures is not None else 0.0


def _words(result: CaseResult) -> str:
    title = safe(result.case.title)
    return f"case {result.case.number}: {title}<br>{_work(result):.1f} % of the work for {_cost(result):,.2f}"

"""Chance to finish against cost, case by case, with the best cases and the bend; chances by item."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import plotly.graph_objects as go

from planner.charts.labels import LEFT, LINE_PX, MARKER_PX, OVER, RIGHT, UNDER, sides_that_fit, with_room
from planner.charts.look import FigureLook, dress, label, safe
from planner.whatif.best import Knee, finish_words, point_words
from planner.whatif.results import CaseResult
from planner.whatif.sure import Sure

_BEST, _EARLIER, _OTHER, _BEND = "best cases", "only finish earlier", "other cases", "the bend"

#: The plot as the page mostly shows it, pixels; the marks of the axis of the chance reach a little past it.
_WIDE_PX, _HIGH_PX = 760, 290
_LEAST, _MOST = -8, 108

#: Past so many cases the rings of the others would take the room of the words: then the best cases and those
#: that only finish earlier have words, over a ring where it must be; the pointer and the table tell the rest.
MANY = 60

#: Inks that stay apart when printed in grey, beside the dark one of the best cases: relative luminance 0.55
#: and 0.31 against 0.08 (WCAG 2.2); a test holds it.
EARLIER_FILL, OTHER_INK = "#f2b48f", "#8d999e"


def gain_against_cost(results: Sequence[CaseResult], knee: Knee, look: FigureLook) -> go.Figure:
    """A point a case: its chance to finish (its work where no days were drawn) against its cost.

    The best cases are joined by a line, the bend is ringed, those that only finish earlier are diamonds;
    beside every point where there is room stand its number and when everybody is free (of many cases only
    beside those two kinds). A case without a plan has no point.
    """
    found = [r for r in results if r.figures is not None]
    others = [r for r in found if r.case.number not in knee.marks]
    figure = go.Figure()

    def points(rows: Sequence[CaseResult], name: str, mode: str, **drawn: Any) -> None:
        figure.add_scatter(
            x=[_cost(r) for r in rows],
            y=[knee.gain(r) for r in rows],
            customdata=[_words(r, knee) for r in rows],
            mode=mode,
            name=name,
            hovertemplate="%{customdata}<extra></extra>",
            **drawn,
        )

    faint = look.ink if look.contrast else OTHER_INK
    ring = {"size": 8, "symbol": "circle-open", "color": faint, "line": {"width": 1.6}}
    points(others, _OTHER, "markers", marker=ring)
    joined = {"color": look.first_ink, "width": 2, "shape": "hv"}
    dot = {"size": 11, "symbol": "circle", "color": look.first_ink}
    points(knee.best, _BEST, "lines+markers", line=joined, marker=dot)
    if knee.earlier:
        edge = {"width": 1.6, "color": look.second_ink}
        fill = look.paper if look.contrast else EARLIER_FILL
        diamond = {"size": 11, "symbol": "diamond", "color": fill, "line": edge}
        points(knee.earlier, _EARLIER, "markers", marker=diamond)
    ordered = [*knee.best, *knee.earlier, *(others if len(found) <= MANY else ())]
    first, last = with_room([_cost(r) for r in found])
    spots = [
        (
            (_cost(r) - first) * _WIDE_PX / (last - first),
            (knee.gain(r) - _LEAST) * _HIGH_PX / (_MOST - _LEAST),
        )
        for r in ordered
    ]
    words = [point_words(r) for r in ordered]
    for index, side in sides_that_fit(spots, words, _WIDE_PX, _HIGH_PX).items():
        result = ordered[index]
        behind = {"bgcolor": look.paper} if len(found) > MANY else {}
        label(figure, _cost(result), knee.gain(result), words[index], **_SHIFTS[side], **behind)
    if knee.bend is not None:
        size = 2 * MARKER_PX - 2
        ring = {"size": size, "symbol": "circle-open", "color": look.second_ink, "line": {"width": 2.5}}
        at = {"x": [_cost(knee.bend)], "y": [knee.gain(knee.bend)]}
        figure.add_scatter(**at, mode="markers", name=_BEND, marker=ring, hoverinfo="skip")
    currency = found[0].figures.cost.currency if found and found[0].figures else ""
    what = "Work done" if knee.at_least is None else "Chance to finish"
    title = f"{what} against cost; at each point its case and when all are free"
    dress(figure, look, title, 430, x=f"cost, {currency}", y=knee.gain_words, legend="right")
    figure.update_xaxes(tickformat=",.0f", range=[first, last])
    figure.update_yaxes(range=[_LEAST, _MOST], tickvals=[0, 20, 40, 60, 80, 100])
    figure.update_layout(margin={"t": 84})
    return figure


#: How far from its point the words stand, by their side.
_SHIFTS: dict[str, dict[str, Any]] = {
    RIGHT: {"xshift": MARKER_PX, "xanchor": "left"},
    LEFT: {"xshift": -MARKER_PX, "xanchor": "right"},
    OVER: {"yshift": MARKER_PX + LINE_PX / 2},
    UNDER: {"yshift": -MARKER_PX - LINE_PX / 2},
}


def alt_gain_against_cost(results: Sequence[CaseResult], knee: Knee) -> str:
    """The chart in words."""
    found = [r for r in results if r.figures is not None]

    def told(rows: Sequence[CaseResult]) -> str:
        return "; ".join(
            f"case {r.case.number}, {knee.gain(r):.0f} % for {_cost(r):,.0f}, finish {finish_words(r)}"
            for r in rows[:12]
        )

    earlier = f" Only finish earlier: {told(knee.earlier)}." if knee.earlier else ""
    return (
        f"{len(found)} case(s) by cost and {knee.gain_words}. Best: {told(knee.best) or 'none'}.{earlier} "
        f"{knee.sentence}"
    )


def chances(sure: Sure, look: FigureLook) -> go.Figure:
    """Chance of each item to be finished as planned, as bars, and that of the whole day."""
    rows = [(i.item, i.as_planned_percent) for i in sure.items if i.planned_percent > 0]
    rows.append(("the whole day", sure.day_percent))
    rows.reverse()
    hatched = {"shape": ["/" if name == "the whole day" else "" for name, _ in rows]}
    figure = go.Figure()
    figure.add_bar(
        x=[p for _, p in rows],
        y=[safe(name) for name, _ in rows],
        orientation="h",
        marker={"color": look.first_ink, "line": look.edge, "pattern": hatched},
        text=[f"{p:.0f} %" for _, p in rows],
        textposition="outside",
        cliponaxis=False,
        hovertemplate="%{y}: %{x:.1f} %<extra></extra>",
    )
    title, percent = "Chance that what is planned gets done", "per cent of drawn days"
    dress(figure, look, title, 110 + 30 * len(rows), x=percent)
    figure.update_xaxes(range=[0, 110], tickvals=[0, 25, 50, 75, 100])
    figure.update_layout(showlegend=False)
    return figure


def alt_chances(sure: Sure) -> str:
    """The bars in words."""
    parts = [f"{i.item} {i.as_planned_percent:.0f} %" for i in sure.items if i.planned_percent > 0]
    return f"Chance of each planned item: {'; '.join(parts) or 'none'}. Whole day {sure.day_percent:.0f} %."


def _cost(result: CaseResult) -> float:
    return float(result.figures.total_cost) if result.figures is not None else 0.0


def _words(result: CaseResult, knee: Knee) -> str:
    assert result.figures is not None
    words = [
        f"case {result.case.number}: {safe(result.case.title)}",
        f"{result.figures.work_percent:.1f} % of the work planned for {_cost(result):,.2f}",
        f"all free {finish_words(result)}",
    ]
    if knee.at_least is not None:
        words.append(f"{knee.gain_words}: {knee.gain(result):.0f}")
    return "<br>".join(words)

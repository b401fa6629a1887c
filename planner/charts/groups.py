"""Repetitive group of each diver through the day: one row a diver, one block a group, its letter on it.

After a dive the group falls with time on the surface by the job's tables.
The darker a block, the more nitrogen is left; a clean diver's time is blank paper.
"""

from __future__ import annotations

from dataclasses import dataclass

import plotly.graph_objects as go

from planner.charts.look import FigureLook, clock_axis, day_span, dress, names_px, safe
from planner.charts.palette import text_on
from planner.job import Job, Person, Span
from planner.plan.model import Plan
from planner.table_sets import TableSet, carried_words
from planner.tables.past_dives import carried_before

IN_WATER = "in the water"
IN_CHAMBER = "in the chamber"
NO_GROUP = "no group printed"

#: Sign on the blocks of the states that are no group, and hatching of those under pressure.
_NO_LETTERS = {IN_WATER: "≈", IN_CHAMBER: "○", NO_GROUP: "?"}
_HATCHES = {IN_WATER: "-", IN_CHAMBER: "x"}

#: Ends of the scale from little to much nitrogen: light to dark, one hue, so that it also prints in grey.
_LIGHT_RGB, _DARK_RGB = (222, 235, 222), (20, 70, 60)


@dataclass(frozen=True)
class GroupStretch:
    """A person's `state` from ``start_min`` up to ``end_min``: a group, in the water, in the chamber or on
    the way into it, or no group."""

    person: str
    state: str
    start_min: int
    end_min: int


def group_stretches(plan: Plan, job: Job, person: Person, span: Span) -> tuple[GroupStretch, ...]:
    """What nitrogen a person carries through `span`: stretches in order, clean time left out."""
    events = [(c.at_min, c.at_min, c.at_min, c.group) for c in carried_before(person, job.site)]
    events += [
        (d.leave_surface_min, d.reach_surface_min, d.out_min, e.group_after)
        for d in plan.dives
        for e in d.divers
        if e.person == person.name
    ]
    events.sort(key=lambda e: e[1])
    found: list[GroupStretch] = []
    for number, (left, surfaced, out, group) in enumerate(events):
        if surfaced > left:
            found.append(GroupStretch(person.name, IN_WATER, left, surfaced))
        if out > surfaced:
            found.append(GroupStretch(person.name, IN_CHAMBER, surfaced, out))
        until = events[number + 1][0] if number + 1 < len(events) else span.end_min
        found += _falling(job.tables, person.name, group, out, until)
    return tuple(
        GroupStretch(s.person, s.state, max(s.start_min, span.start_min), min(s.end_min, span.end_min))
        for s in found
        if span.overlaps(s.start_min, s.end_min)
    )


def _falling(
    tables: TableSet, person: str, group: str | None, surfaced: int, until: int
) -> list[GroupStretch]:
    """The groups (or factors) after surfacing, minute by minute of the tables, until `until` or clean."""
    if group is None:
        end = min(until, surfaced + tables.minutes_until_clean(None))
        return [GroupStretch(person, NO_GROUP, surfaced, end)] if end > surfaced else []
    stretches: list[GroupStretch] = []
    now, since = tables.group_after_interval(group, tables.same_dive_under_min), surfaced
    if now is None:
        return stretches
    for minute in range(surfaced + tables.same_dive_under_min, until + 1):
        after = tables.group_after_interval(group, minute - surfaced)
        if after != now:
            stretches.append(GroupStretch(person, now, since, minute))
            if after is None:
                return stretches
            now, since = after, minute
    if until > since:
        stretches.append(GroupStretch(person, now, since, until))
    return stretches


def groups_through_day(plan: Plan, job: Job, look: FigureLook, *, day: int = 0) -> go.Figure:
    """Repetitive groups on the same time axis as the day's timelines, for everyone who carries any."""
    span = day_span(plan, job, day)
    rows = [(p.name, group_stretches(plan, job, p, span)) for p in job.people]
    rows = [(name, stretches) for name, stretches in rows if stretches]
    figure = go.Figure()
    for state in (IN_WATER, IN_CHAMBER, *job.tables.carried, NO_GROUP):
        own = [(row, s) for row, (_, stretches) in enumerate(rows) for s in stretches if s.state == state]
        if not own:
            continue
        fill = _fill(job.tables.carried, state, look)
        hatched = state in _HATCHES
        hatch = {"shape": _HATCHES.get(state, ""), "fgcolor": look.faint_ink, "size": 5}
        figure.add_bar(
            name=state if state in _NO_LETTERS else carried_words(state),
            orientation="h",
            base=[s.start_min for _, s in own],
            x=[s.end_min - s.start_min for _, s in own],
            y=[row for row, _ in own],
            width=0.72,
            text=[_NO_LETTERS.get(state, state) for _ in own],
            textposition="inside",
            insidetextanchor="middle",
            textangle=0,
            constraintext="none",
            textfont={"size": 16 if hatched else 12, "color": look.ink if hatched else text_on(fill)},
            marker={"color": fill, "line": look.edge, "pattern": hatch},
            hovertext=[
                f"<b>{safe(s.person)}</b>: {state}<br>"
                f"{job.clock.hhmm(s.start_min)} to {job.clock.hhmm(s.end_min)}"
                for _, s in own
            ],
            hoverinfo="text",
            showlegend=state in _NO_LETTERS,
        )
    title = "Repetitive group of each diver through the day"
    dress(figure, look, title, 130 + 34 * max(1, len(rows)), legend="right")
    clock_axis(figure, look, job, span)
    figure.update_yaxes(
        tickmode="array",
        tickvals=list(range(len(rows))),
        ticktext=[safe(name) for name, _ in rows],
        range=[len(rows) - 0.4, -0.6],
        showgrid=False,
    )
    figure.update_layout(barmode="overlay", margin={"t": 58, "l": names_px(job)})
    return figure


def _fill(carried: tuple[str, ...], state: str, look: FigureLook) -> str:
    if state in _HATCHES:
        return "#ffffff"
    if state == NO_GROUP:
        return "#EE8866"
    share = carried.index(state) / max(1, len(carried) - 1)
    if look.contrast:
        grey = round(245 - 215 * share)
        return f"#{grey:02x}{grey:02x}{grey:02x}"
    mixed = (round(a + (b - a) * share**0.75) for a, b in zip(_LIGHT_RGB, _DARK_RGB, strict=True))
    return "#" + "".join(f"{part:02x}" for part in mixed)


def alt_groups(plan: Plan, job: Job, *, day: int = 0) -> str:
    """The figure in words: each diver's group after each dive and how it falls."""
    span = day_span(plan, job, day)
    lines = []
    for person in job.people:
        stretches = group_stretches(plan, job, person, span)
        if stretches:
            told = "; ".join(
                f"{s.state if s.state in _NO_LETTERS else carried_words(s.state)} from "
                f"{job.clock.hhmm(s.start_min)} to {job.clock.hhmm(s.end_min)}"
                for s in stretches
            )
            lines.append(f"{person.name}: {told}.")
    return " ".join(["Repetitive group through the day.", *(lines or ["Every diver is clean."])])

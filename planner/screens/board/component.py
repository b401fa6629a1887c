"""The board as a component of the page: what is drawn goes in, what is asked for comes out."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import streamlit as st

from planner.charts.board import PERSON, Board
from planner.plan.finding import Finding
from planner.plan.model import Plan
from planner.screens import chrome


def mount(
    board: Board,
    key: str,
    hear: Callable[[Mapping[str, Any]], None] | None = None,
    *,
    chosen: str = "",
    along: bool = False,
) -> None:
    """Put a board on the page. ``hear`` is told what is asked for, before the page is drawn again; None where
    nothing can be moved. ``chosen``: as a block names it, or ``person Ana``; ``along`` is sent with what is
    asked."""
    own = f"drawn_{key}"

    def heard() -> None:
        asked = st.session_state[own]["asked"]
        if asked is not None and hear is not None:
            hear(asked)

    more = {"editable": hear is not None, "chosen": chosen, "along": along}
    # A strip of some people's days tells on a phone only what differs.
    more |= {"by_person": board.view == PERSON, "only_changed": board.people is not None}
    drawn = chrome.component("day_board", html='<div class="board"></div>')
    with st.container(key=f"board_{key}"):
        drawn(key=own, data=board.values() | more, on_asked_change=heard)


def marks_of(plan: Plan, numbered: Mapping[str, Sequence[Finding]]) -> dict[tuple[str, str], list[int]]:
    """On which blocks and names the broken rules are told, each by its number from 1.

    A finding that names people and dives stands on their blocks, one that names a dive alone on its divers',
    one that names a person alone on the name.
    """
    marks: dict[tuple[str, str], list[int]] = {}
    for number, found in enumerate(numbered.values(), start=1):
        for place in dict.fromkeys(place for one in found for place in _places(plan, one)):
            marks.setdefault(place, []).append(number)
    return marks


def _places(plan: Plan, finding: Finding) -> list[tuple[str, str]]:
    text = f"{finding.where}. {finding.sentence}"

    def named(name: str) -> bool:
        return re.search(rf"(?<!\w){re.escape(name)}(?!\w)", text) is not None

    things = {f"dive {d.id}": d.id for d in plan.dives if named(f"dive {d.id}")}
    people = {s.person for s in plan.duties if named(s.person)}
    held = [s for s in plan.duties if f"dive {s.dive}" in things]
    tasks = {t.item for t in plan.surface_tasks if named(t.item)}
    on_deck = [s for s in plan.duties if s.dive is None and s.item in tasks]
    both = [(s.person, f"dive {s.dive}") for s in held if s.person in people]
    both += [(s.person, f"task {s.item}") for s in on_deck if s.person in people]
    if both or people:
        return both or [(person, "") for person in sorted(people)]
    divers = {(d.person, dive.id) for dive in plan.dives for d in dive.divers}
    alone = [(s.person, f"dive {s.dive}") for s in held if (s.person, s.dive) in divers]
    return alone + [(s.person, f"task {s.item}") for s in on_deck]

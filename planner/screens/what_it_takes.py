"""What it would take to fit an item that is left over: asked, watched, stopped, planned with."""

from __future__ import annotations

from typing import TYPE_CHECKING

import streamlit as st

from planner.screens import chrome
from planner.screens.backend import backend
from planner.screens.desk import Desk, ShownPlan
from planner.screens.planning import begin_run, why_not_now
from planner.screens.runs import SECONDS_EACH, WHAT_IT_TAKES, WhatItTakesRun
from planner.screens.turns import LINE
from planner.screens.wording import plain

if TYPE_CHECKING:
    from planner.schedule.what_it_takes import Change

_GOING = "what it takes going"

#: Stands with every answer (the owner's rule).
NEVER = (
    "People, gear, hours, a chamber and air are tried, one change at a time; a safety rule is never offered."
)


def run_of(here: Desk) -> WhatItTakesRun | None:
    """The search of this desk, going or ended."""
    return here.having(WHAT_IT_TAKES, WhatItTakesRun)


def what_it_takes_of(here: Desk, shown: ShownPlan, number: int, item: str) -> None:
    """The button under one item left over, and below it what the search for it says."""
    run = run_of(here)
    mine = run if run is not None and run.item == item and run.plan == shown.plan else None

    @st.fragment(run_every=LINE.look_every_s() if mine is not None and mine.running else None)
    def button_or_result() -> None:
        if mine is None:
            busy = run is not None and run.running
            told = "Another item is being looked at." if busy else f"{NEVER} {SECONDS_EACH:.0f} s for each."
            if chrome.ask(st.button, "takes", of=number, disabled=busy, help=told):
                _begin(here, shown, item)
            return
        if mine.running:
            _watch(mine, number)
        elif here.beside.pop(_GOING, False):
            chrome.draw_again()
        else:
            _answer(here, mine, number)
            if mine.stop_asked and st.button(
                "Try again", key=f"takes_again_{number}", icon=":material/search:"
            ):
                _begin(here, shown, item)

    button_or_result()


def _begin(here: Desk, shown: ShownPlan, item: str) -> None:
    search = backend().what_it_takes
    run = WhatItTakesRun(shown.job, shown.plan, item, search, workers=here.workers, line=LINE)
    here.beside[WHAT_IT_TAKES] = run.begin()
    here.beside[_GOING] = True
    st.rerun()


def _watch(run: WhatItTakesRun, number: int) -> None:
    trying = run.heard[-1] if run.heard else "what could be changed"
    going = f"Change {len(run.heard)}, {run.seconds_gone:.0f} s. Trying: **{plain(trying)}**"
    st.caption(run.in_line or going)
    if run.stop_asked:
        st.caption("Stopping; what was found is kept.")
    elif st.button("Stop trying", key=f"takes_stop_{number}", icon=":material/stop_circle:"):
        run.stop()


def _answer(here: Desk, run: WhatItTakesRun, number: int) -> None:
    changes = run.result
    if changes is None:
        chrome.verdict(run.sentence, "bad")
        return
    how = f"{len(run.heard)} changes tried" if len(run.heard) != 1 else "1 change tried"
    if run.stop_asked:
        how += ", then stopped"
    fits = sum(1 for c in changes if c.fits)
    if not run.heard:
        st.markdown(f"No single change that could be tried would let {plain(run.item)} be planned.")
    elif not fits:
        st.markdown(f"No single change that was tried fits {plain(run.item)} ({how}).")
    else:
        st.markdown(f"{fits} {'change fits' if fits == 1 else 'changes fit'} {plain(run.item)} ({how}).")
    why_not = why_not_now(here)
    for place, change in enumerate(changes):
        _change(here, change, f"{number}_{place}", why_not)
    more = " A change that did not help in its time is not shown: that proves nothing."
    st.caption(plain(NEVER + more) + (f"  \n{plain(why_not)}" if why_not and changes else ""))


def _change(here: Desk, change: Change, key: str, why_not: str | None) -> None:
    fits = "fits" if change.fits else f"not all of its {change.needed_min} min"
    with st.container(horizontal=True, vertical_alignment="center", key=f"takes_change_{key}"):
        st.markdown(
            f"**{plain(change.sentence)}**  \n{change.before_min} → {change.after_min} min, {fits}",
            width="stretch",
        )
        if st.button("Plan with this", key=f"takes_use_{key}", disabled=why_not is not None):
            here.change(change.job, f"for {change.item}: {change.sentence}")
            begin_run(here, change.job)
            st.rerun()

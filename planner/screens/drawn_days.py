"""Drawn days on the page What if: how days go otherwise, asked once; the draws of one plan, run and shown."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from planner.charts import compare_chart
from planner.check import SUBJECT_TO
from planner.job import Job
from planner.plan.model import Plan
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.figures import chart
from planner.screens.frames import Columns, frame_of, show_table
from planner.screens.runs import CountedRun
from planner.screens.saved import store
from planner.screens.session import hand_over_what_if
from planner.screens.turns import LINE
from planner.screens.what_if_record import ODDS, ODDS_OF, SPREAD_AT
from planner.screens.wording import plain
from planner.store import StoreRefused
from planner.store.recording import logged_days
from planner.whatif.from_log import Fitted, fitted
from planner.whatif.results import Sweep
from planner.whatif.spread import Spread
from planner.whatif.sure import DRAWS, Spare, Sure, how_sure
from planner.words.measures import minutes_words, time_words

#: How days go otherwise than planned: fields of `Spread`, each with the field of the page that takes it.
SPREAD = {
    "work_least_percent": "work_least",
    "work_likely_percent": "work_likely",
    "work_most_percent": "work_most",
    "late_chance_percent": "late_chance",
    "late_most_min": "late_most",
    "unfit_chance_percent": "unfit",
    "window_lost_percent": "lost",
}

#: Key of the session: what the log showed when it was asked last.
_SEEN = "seen in the log"


def spread_of_desk(here: Desk) -> Spread:
    """How days go otherwise, as it stands on the desk; what ships when nothing was typed."""
    return here.having(SPREAD_AT, Spread) or Spread()


def ask_spread(here: Desk) -> Spread | None:
    """Ask how days go otherwise; it stands on the desk for every page. None when it contradicts itself."""
    before = spread_of_desk(here)
    with st.expander("How days go otherwise than planned", expanded=False):
        typed: dict[str, Any] = {}
        with st.container(horizontal=True, vertical_alignment="bottom"):
            for field, name in SPREAD.items():
                typed[field] = chrome.ask(st.number_input, name, of=_turn(), value=getattr(before, field))
            chrome.button("from_log", _take_from_log, here)
        spread = Spread(**typed, source=before.source)
        if spread != before:
            spread = spread.replace(source="as typed")
        st.caption(plain(f"Source: {spread.source}."))
        seen = st.session_state.get(_SEEN)
        if isinstance(seen, Fitted):
            _show_seen(seen)
    for fault in spread.faults():
        st.warning(f"{plain(fault.sentence)} Allowed: {plain(fault.allowed)}.")
        return None
    here.beside[SPREAD_AT] = spread
    return spread


def _turn() -> str:
    """Goes up when the log has filled the fields: a field of another key takes its new value."""
    return str(st.session_state.get("spread_turn", ""))


def _take_from_log(here: Desk) -> None:
    try:
        seen = fitted(logged_days(store()), Spread())
    except StoreRefused as refused:
        chrome.tell(str(refused), bad=True)
        return
    st.session_state[_SEEN] = seen
    here.beside[SPREAD_AT] = seen.spread
    st.session_state["spread_turn"] = int(_turn() or 0) + 1


def _show_seen(seen: Fitted) -> None:
    st.caption(
        f"The log rests on {seen.days} day(s): {len(seen.items)} item(s) finished, {seen.diver_days} day(s) "
        f"of a diver, {seen.windows} slack window(s) with a dive planned in them. With fewer than five "
        "items, days or windows the numbers before stay."
    )
    if seen.items:
        rows: Columns[Any] = {
            "day": lambda one: one.day,
            "item": lambda one: plain(one.item),
            "planned, min": lambda one: one.planned_min,
            "really, min": lambda one: one.real_min,
            "over the plan": lambda one: f"{one.over_percent:+.0f} %",
        }
        show_table(frame_of(seen.items, rows), key="seen", alt="Planned against real minutes, item by item")


def odds(here: Desk, compared: CountedRun[Sweep] | None, spread: Spread | None) -> None:
    """Draw days for one plan, and show what came of them."""
    choices = _plans(here, compared)
    if not choices:
        chrome.first("There is no plan to draw days for yet: plan the day, or compare cases, first.")
        return
    told = "The plan whose days are drawn."
    name = st.selectbox("Plan", list(choices), key="odds_plan", width=420, help=told)
    run = here.having(ODDS, CountedRun)
    # Asked once: the days may be drawn at any moment, and the page must be drawn as of one.
    going = run is not None and run.running
    with st.container(horizontal=True, vertical_alignment="bottom"):
        draws = chrome.ask(st.number_input, "odds_draws", value=DRAWS)
        seed = chrome.ask(st.number_input, "odds_seed", value=0)
        if run is not None and going:
            chrome.button("odds_stop", run.stop)
        else:
            asked = (str(name), choices[str(name)], spread or Spread(), int(draws), int(seed))
            chrome.button("odds_go", _begin, here, *asked, disabled=spread is None)
    if run is not None:
        _drawn(here, run, going)


def _plans(here: Desk, compared: CountedRun[Sweep] | None) -> dict[str, tuple[Plan, Job]]:
    found: dict[str, tuple[Plan, Job]] = {}
    if here.shown is not None:
        found["the plan shown under Tomorrow"] = (here.shown.plan, here.shown.job)
    if compared is not None and compared.result is not None:
        for one in compared.result.results:
            if one.plan is not None:
                found[f"case {one.case.number}: {one.case.title}"] = (one.plan, one.case.job)
    return found


def _begin(here: Desk, name: str, of: tuple[Plan, Job], spread: Spread, draws: int, seed: int) -> None:
    plan, job = of
    run: CountedRun[Sure] = CountedRun(
        lambda told, stop: how_sure(plan, job, spread, draws=draws, seed=seed, on_progress=told, stop=stop),
        of=draws,
        hand_over=hand_over_what_if(here, ODDS),
        line=LINE,
    )
    here.beside[ODDS], here.beside[ODDS_OF] = run, (name, job)
    run.begin()


def progress(run: CountedRun[Any], going: bool, parts: str) -> None:
    """How far a run is, redrawn by itself; the whole page once it has ended."""

    @st.fragment(run_every=LINE.look_every_s() if going else None)
    def redrawn() -> None:
        if going and not run.running:
            chrome.draw_again()
        if going:
            done, of = run.heard[-1]
            said = "stopping" if run.stop_asked else f"{done} of {of} {parts}, {run.seconds_gone:.0f} s"
            st.progress(run.share_done, text=run.in_line or said)

    redrawn()


def _drawn(here: Desk, run: CountedRun[Sure], going: bool) -> None:
    progress(run, going, "days")
    if going:
        return
    of = here.beside.get(ODDS_OF)
    if run.result is None or not isinstance(of, tuple):
        chrome.verdict(run.sentence, "bad")
        return
    _show(here, of[0], of[1], run.result)


def _show(here: Desk, name: str, job: Job, sure: Sure) -> None:
    chrome.verdict(sure.sentence)
    figures = [
        (f"{sure.day_percent:.0f} % ± {sure.error_points:.0f}", "whole day as planned"),
        (minutes_words(round(sure.expected_min)), "work done on average"),
        (minutes_words(sure.planned_min), "work planned"),
        (time_words(job, sure.end_p50_min), "ends by, in half of the days"),
        (time_words(job, sure.end_p90_min), "in nine of ten"),
    ]
    chrome.facts(figures)
    figure, alt = compare_chart.chances(sure, chrome.look_of(here)), compare_chart.alt_chances(sure)
    chart(figure, key="chances", alt=alt)
    left, right = st.columns([3, 2])
    with left:
        st.markdown("**What breaks the day**")
        if sure.breaks:
            rows = [{"by": what, "of failing days": f"{percent:.0f} %"} for what, percent in sure.breaks[:8]]
            show_table(pd.DataFrame(rows), key="breaks", alt="What most often breaks the day")
        else:
            st.caption("Nothing did in these draws.")
    with right:
        st.markdown("**What spare time is worth**")
        spare: Columns[Spare] = {
            "spare": lambda s: f"{s.minutes} min {s.what}",
            "whole day": lambda s: f"{s.day_points:+.1f} points",
            "work": lambda s: f"{s.work_min:+.1f} min",
        }
        show_table(frame_of(sure.spare, spare), key="spare", alt="What a spare half hour is worth")
    st.caption(
        f"{plain(name)}: {sure.draws} of {sure.asked} days, seed {sure.seed}. {plain(sure.spread.sentence)} "
        "Order, crews and ways up stay as planned; another goes for a diver who is unfit. Windows, surface "
        "intervals, the tables' limits, hours, meals, relief, rest, pins, air and the chamber watch are kept."
        f" No dive is added. {SUBJECT_TO}"
    )

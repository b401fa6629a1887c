"""The second half of the page What if: a plan repeated against drawn days."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from planner.charts import compare_chart
from planner.job import Job
from planner.plan.model import Plan
from planner.rules import SUBJECT_TO
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.desk_keep import hand_over_what_if
from planner.screens.plan_view import chart
from planner.screens.what_if_record import ODDS, ODDS_OF
from planner.screens.wording import hours_text, plain
from planner.whatif import DRAWS, Spread, Sure, Sweep, how_sure
from planner.whatif.background import Background

LOOK_EVERY_S = 0.7


def odds(here: Desk, compared: Background[Sweep] | None) -> None:
    """Ask for the spread, run the draws, show what came of them."""
    choices = _plans(here, compared)
    if not choices:
        st.info("There is no plan to draw days for yet: plan the day, or compare cases, first.")
        chrome.link("tomorrow", "Plan tomorrow")
        return
    name = st.selectbox(
        "Plan", list(choices), key="odds_plan", width=420, help="The plan whose days are drawn."
    )
    spread = _spread()
    faults = spread.faults()
    for fault in faults:
        st.warning(f"{plain(fault.sentence)} Allowed: {plain(fault.allowed)}.")
    run = here.beside.get(ODDS)
    # Asked once: the days may be drawn at any moment, and the page must be drawn as of one.
    going = isinstance(run, Background) and run.running
    with st.container(horizontal=True, vertical_alignment="bottom"):
        draws = st.number_input(
            "Days to draw",
            50,
            20_000,
            DRAWS,
            step=250,
            key="odds_draws",
            width=150,
            help="More days, surer odds, a longer wait.",
        )
        seed = st.number_input(
            "Seed",
            0,
            1_000_000,
            0,
            key="odds_seed",
            width=110,
            help="The same seed draws the same days again.",
        )
        if going and isinstance(run, Background):
            st.button(
                "Stop", key="odds_stop", icon=":material/stop_circle:", type="primary", on_click=run.stop
            )
        else:
            st.button(
                "Draw the days",
                key="odds_go",
                icon=":material/casino:",
                type="primary",
                disabled=bool(faults),
                on_click=_begin,
                args=(here, str(name), choices[str(name)], spread, int(draws), int(seed)),
            )
    if isinstance(run, Background):
        _live(here, run, going)


def _plans(here: Desk, compared: Background[Sweep] | None) -> dict[str, tuple[Plan, Job]]:
    found: dict[str, tuple[Plan, Job]] = {}
    if here.shown is not None:
        found["the plan shown under Tomorrow"] = (here.shown.plan, here.shown.job)
    if compared is not None and compared.result is not None:
        for one in compared.result.results:
            if one.plan is not None:
                found[f"case {one.case.number}: {one.case.title}"] = (one.plan, one.case.job)
    return found


def _spread() -> Spread:
    plain_spread = Spread()
    st.caption(
        "How days go otherwise than planned. The numbers here are invented: put in what your days show."
    )
    with st.container(horizontal=True, vertical_alignment="bottom"):
        least = st.number_input(
            "Bottom work: least, %",
            -90.0,
            0.0,
            plain_spread.work_least_percent,
            5.0,
            format="%.0f",
            key="work_least",
            width=170,
            help="Bottom work that goes faster than planned, as a change of its minutes.",
        )
        likely = st.number_input(
            "likeliest, %",
            -90.0,
            300.0,
            plain_spread.work_likely_percent,
            5.0,
            format="%.0f",
            key="work_likely",
            width=140,
            help="The change of the minutes of bottom work on most days.",
        )
        most = st.number_input(
            "most, %",
            0.0,
            300.0,
            plain_spread.work_most_percent,
            5.0,
            format="%.0f",
            key="work_most",
            width=140,
            help="Bottom work that goes slower than planned, as a change of its minutes.",
        )
        late = st.number_input(
            "Late start in, % of days",
            0.0,
            100.0,
            plain_spread.late_chance_percent,
            5.0,
            format="%.0f",
            key="late_chance",
            width=190,
            help="Of a hundred days, how many start late.",
        )
        late_most = st.number_input(
            "by up to, min",
            0,
            720,
            plain_spread.late_most_min,
            5,
            key="late_most",
            width=140,
            help="A late day starts at most so much late.",
        )
        lost = st.number_input(
            "Slack windows lost, %",
            0.0,
            100.0,
            plain_spread.window_lost_percent,
            5.0,
            format="%.0f",
            key="lost",
            width=190,
            help="Of a hundred slack windows, how many are not dived.",
        )
    return Spread(
        work_least_percent=least,
        work_likely_percent=likely,
        work_most_percent=most,
        late_chance_percent=late,
        late_most_min=int(late_most),
        window_lost_percent=lost,
    )


def _begin(here: Desk, name: str, of: tuple[Plan, Job], spread: Spread, draws: int, seed: int) -> None:
    plan, job = of
    run: Background[Sure] = Background(
        lambda told, stop: how_sure(plan, job, spread, draws=draws, seed=seed, on_progress=told, stop=stop),
        hand_over=hand_over_what_if(here, ODDS),
    )
    run.of = draws
    here.beside[ODDS], here.beside[ODDS_OF] = run, (name, job)
    run.begin()


def _live(here: Desk, run: Background[Sure], going: bool) -> None:
    @st.fragment(run_every=LOOK_EVERY_S if going else None)
    def progress() -> None:
        if going and not run.running:
            chrome.draw_again()
        if going:
            st.progress(run.share_done, text=f"{run.done} of {run.of} days, {run.seconds_gone:.0f} s")

    progress()
    if going:
        return
    of = here.beside.get(ODDS_OF)
    if run.result is None or not isinstance(of, tuple):
        chrome.verdict(run.sentence, "bad")
        return
    _show(here, of[0], of[1], run.result)


def _show(here: Desk, name: str, job: Job, sure: Sure) -> None:
    chrome.verdict(sure.sentence)
    several = len(job.day_windows) > 1
    chrome.facts(
        [
            (f"{sure.day_percent:.0f} % ± {sure.error_points:.0f}", "whole day as planned"),
            (hours_text(round(sure.expected_min)), "work done on average"),
            (hours_text(sure.planned_min), "work planned"),
            (job.clock.hhmm(sure.end_p50_min, with_day=several), "ends by, in half of the days"),
            (job.clock.hhmm(sure.end_p90_min, with_day=several), "in nine of ten"),
        ]
    )
    chart(
        compare_chart.chances(sure, chrome.look_of(here)), key="chances", alt=compare_chart.alt_chances(sure)
    )
    left, right = st.columns(2)
    with left:
        st.markdown("**What breaks the day**")
        if sure.breaks:
            st.dataframe(
                pd.DataFrame([{"by": what, "of failing days": f"{p:.0f} %"} for what, p in sure.breaks[:8]]),
                hide_index=True,
                height="content",
                key="breaks",
                alt="What most often breaks the day",
            )
        else:
            st.caption("Nothing did in these draws.")
    with right:
        st.markdown("**What spare time is worth**")
        st.dataframe(
            pd.DataFrame(
                [
                    {
                        "spare": f"{s.minutes} min {s.what}",
                        "whole day": f"{s.day_points:+.1f} points",
                        "work": f"{s.work_min:+.1f} min",
                    }
                    for s in sure.spare
                ]
            ),
            hide_index=True,
            height="content",
            key="spare",
            alt="What a spare half hour is worth",
        )
    st.caption(
        f"{plain(name)}: {sure.draws} of {sure.asked} days, seed {sure.seed}. {plain(sure.spread.sentence)} "
        "Order, crews and ways up stay as planned; windows, surface intervals, the tables' limits, hours and "
        f"the chamber watch are kept; air, meals and rest are not weighed again. {SUBJECT_TO}"
    )

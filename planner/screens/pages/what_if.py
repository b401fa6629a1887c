"""The page What if: cases compared; a plan repeated against drawn days."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from planner.charts import compare_chart
from planner.check import SUBJECT_TO
from planner.errors import InputFaults
from planner.files import workbook_bytes
from planner.job import Job
from planner.plan.model import Plan
from planner.screens import chrome
from planner.screens.desk import Desk, ShownPlan
from planner.screens.frames import Columns, frame_of, show_table
from planner.screens.plan_view import chart
from planner.screens.runs import CountedRun, EarlierRun
from planner.screens.session import hand_over_what_if
from planner.screens.what_if_record import COMPARED, COMPARED_JOB, ODDS, ODDS_OF, TAKEN
from planner.screens.wording import file_name, hours_text, plain
from planner.whatif import (
    CASE_SECONDS,
    DRAWS,
    Axis,
    Case,
    CaseResult,
    Spread,
    Sure,
    Sweep,
    axes_of,
    cases_of,
    how_sure,
    knee_of,
    parse_variations,
)
from planner.whatif import sweep as run_sweep
from planner.whatif.sure import Spare
from planner.words.measures import time_words

#: Seconds between two looks at a run that is going.
LOOK_EVERY_S = 0.7


def odds(here: Desk, compared: CountedRun[Sweep] | None) -> None:
    """Ask for the spread, run the draws, show what came of them."""
    choices = _plans(here, compared)
    if not choices:
        chrome.first("There is no plan to draw days for yet: plan the day, or compare cases, first.")
        return
    name = st.selectbox(
        "Plan", list(choices), key="odds_plan", width=420, help="The plan whose days are drawn."
    )
    spread = _spread()
    faults = spread.faults()
    for fault in faults:
        st.warning(f"{plain(fault.sentence)} Allowed: {plain(fault.allowed)}.")
    run = here.having(ODDS, CountedRun)
    # Asked once: the days may be drawn at any moment, and the page must be drawn as of one.
    going = run is not None and run.running
    with st.container(horizontal=True, vertical_alignment="bottom"):
        draws = chrome.ask(st.number_input, "odds_draws", value=DRAWS)
        seed = chrome.ask(st.number_input, "odds_seed", value=0)
        if run is not None and going:
            chrome.button("odds_stop", run.stop)
        else:
            asked = (str(name), choices[str(name)], spread, int(draws), int(seed))
            chrome.button("odds_go", _begin, here, *asked, disabled=bool(faults))
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


#: How days go otherwise than planned: fields of `Spread`, each with the field of the page that takes it.
SPREAD = {
    "work_least_percent": "work_least",
    "work_likely_percent": "work_likely",
    "work_most_percent": "work_most",
    "late_chance_percent": "late_chance",
    "late_most_min": "late_most",
    "window_lost_percent": "lost",
}


def _spread() -> Spread:
    usual = Spread()
    st.caption(
        "How days go otherwise than planned. The numbers here are invented: put in what your days show."
    )
    typed: dict[str, Any] = {}
    with st.container(horizontal=True, vertical_alignment="bottom"):
        for field, name in SPREAD.items():
            typed[field] = chrome.ask(st.number_input, name, value=getattr(usual, field))
    return Spread(**typed)


def _begin(here: Desk, name: str, of: tuple[Plan, Job], spread: Spread, draws: int, seed: int) -> None:
    plan, job = of
    run: CountedRun[Sure] = CountedRun(
        lambda told, stop: how_sure(plan, job, spread, draws=draws, seed=seed, on_progress=told, stop=stop),
        of=draws,
        hand_over=hand_over_what_if(here, ODDS),
    )
    here.beside[ODDS], here.beside[ODDS_OF] = run, (name, job)
    run.begin()


def _progress(run: CountedRun[Any], going: bool, parts: str) -> None:
    """How far a run is, redrawn by itself; the whole page once it has ended."""

    @st.fragment(run_every=LOOK_EVERY_S if going else None)
    def progress() -> None:
        if going and not run.running:
            chrome.draw_again()
        if going:
            done, of = run.heard[-1]
            said = "stopping" if run.stop_asked else f"{done} of {of} {parts}, {run.seconds_gone:.0f} s"
            st.progress(run.share_done, text=said)

    progress()


def _drawn(here: Desk, run: CountedRun[Sure], going: bool) -> None:
    _progress(run, going, "days")
    if going:
        return
    of = here.beside.get(ODDS_OF)
    if run.result is None or not isinstance(of, tuple):
        chrome.verdict(run.sentence, "bad")
        return
    _show(here, of[0], of[1], run.result)


def _show(here: Desk, name: str, job: Job, sure: Sure) -> None:
    chrome.verdict(sure.sentence)
    chrome.facts(
        [
            (f"{sure.day_percent:.0f} % ± {sure.error_points:.0f}", "whole day as planned"),
            (hours_text(round(sure.expected_min)), "work done on average"),
            (hours_text(sure.planned_min), "work planned"),
            (time_words(job, sure.end_p50_min), "ends by, in half of the days"),
            (time_words(job, sure.end_p90_min), "in nine of ten"),
        ]
    )
    chart(
        compare_chart.chances(sure, chrome.look_of(here)), key="chances", alt=compare_chart.alt_chances(sure)
    )
    left, right = st.columns(2)
    with left:
        st.markdown("**What breaks the day**")
        if sure.breaks:
            breaks: Columns[tuple[str, float]] = {
                "by": lambda row: row[0],
                "of failing days": lambda row: f"{row[1]:.0f} %",
            }
            frame = frame_of(sure.breaks[:8], breaks)
            show_table(frame, key="breaks", alt="What most often breaks the day")
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
        "Order, crews and ways up stay as planned; windows, surface intervals, the tables' limits, hours and "
        f"the chamber watch are kept; air, meals and rest are not weighed again. {SUBJECT_TO}"
    )


_NOTHING = "nothing more"


def page(here: Desk, job: Job) -> None:
    """Draw the page."""
    chrome.job_line(job)
    kept = here.having(COMPARED, EarlierRun)
    if kept is not None and not kept.fetched:
        # Two hundred plans take some seconds.
        with st.spinner("Checking the plans of the comparison again"):
            kept.fetch()
    compare, sure = st.tabs(["Compare cases", "How sure is it?"])
    with compare:
        run = here.having(COMPARED, CountedRun)
        # Asked once: the cases may be done at any moment, and the page must be drawn as of one.
        going = run is not None and run.running
        _ask(here, job, run, going)
        _compared(here, run, going)
    with sure:
        odds(here, here.having(COMPARED, CountedRun))


def _ask(here: Desk, job: Job, run: CountedRun[Sweep] | None, going: bool) -> None:
    axes = {axis.key: axis for axis in axes_of(job)}
    texts = []
    for number, first in enumerate(("tenders", _NOTHING), start=1):
        keys = [*axes] if number == 1 else [_NOTHING, *axes]
        with st.container(horizontal=True, vertical_alignment="bottom"):
            at = {"options": keys, "index": keys.index(first) if first in keys else 0}
            said_as = {"format_func": lambda k: axes[k].label if k in axes else k}
            key = chrome.ask(st.selectbox, f"vary_{number}", **at, **said_as)
            if key not in axes:
                continue
            value = chrome.ask(st.text_input, "values", of=f"{number}_{key}", value=_proposed(axes[key], job))
            st.caption(f"now: {plain(axes[key].now(job))}")
            texts.append(f"{key}={value}")
    cases = _cases(job, texts)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        seconds = chrome.ask(st.number_input, "case_seconds", value=CASE_SECONDS)
        processes = chrome.ask(st.number_input, "processes", value=2)
        if run is not None and going:
            chrome.button("stop_cases", run.stop)
        else:
            label = f"Compare {len(cases)} cases" if len(cases) != 1 else "Plan 1 case"
            asked = (here, job, cases, float(seconds), int(processes))
            chrome.button("compare", _begin_compare, *asked, label=label, disabled=not cases)


def _proposed(axis: Axis, job: Job) -> str:
    """A range around what the job has now."""
    usual = {"away": "each", "team": ", ".join(axis.words), "chamber": "none, 0, 5", "windows": "-60..60/30"}
    if axis.key in usual:
        return usual[axis.key]
    value = float(axis.now(job))
    low, high = max(axis.least, value - 1), min(axis.most, value + 2)
    return f"{low:g}..{high:g}"


def _cases(job: Job, texts: list[str]) -> tuple[Case, ...]:
    try:
        return cases_of(job, parse_variations(job, texts))
    except InputFaults as found:
        for fault in found.faults:
            st.warning(f"{plain(fault.sentence)} Allowed: {plain(fault.allowed)}.")
        return ()


def _begin_compare(here: Desk, job: Job, cases: tuple[Case, ...], seconds: float, processes: int) -> None:
    run: CountedRun[Sweep] = CountedRun(
        lambda told, stop: run_sweep(
            cases, seconds=seconds, processes=processes, on_progress=told, stop=stop
        ),
        of=len(cases),
        hand_over=hand_over_what_if(here, COMPARED),
    )
    here.beside[COMPARED], here.beside[COMPARED_JOB] = run, job
    here.beside.pop(TAKEN, None)
    run.begin()


def _compared(here: Desk, run: CountedRun[Sweep] | None, going: bool) -> None:
    if run is None:
        st.info("Choose what to vary and press **Compare**. Each case is planned on its own, two at a time.")
        return

    _progress(run, going, "cases")
    if going:
        return
    if run.result is None:
        chrome.verdict(run.sentence, "bad")
        return
    job = here.having(COMPARED_JOB, Job)
    if job is not None:
        _result(here, job, run.result)


def _result(here: Desk, job: Job, result: Sweep) -> None:
    if here.job != job:
        chrome.verdict("The job has been edited since these cases were planned.", "wait")
    knee = knee_of(result.results)
    chrome.verdict(knee.sentence)
    st.caption(plain(result.sentence))
    chart(
        compare_chart.work_against_cost(result.results, knee, chrome.look_of(here)),
        key="work_cost",
        alt=compare_chart.alt_work_against_cost(result.results, knee),
    )
    show_table(
        cases_frame(result, job, {r.case.number for r in knee.best}),
        key="cases",
        alt="Every case with its figures",
    )
    st.caption(
        "★ no other case does more work (weighted by priority) for less or equal cost. Costs come from the "
        f"pay rules and day rates listed in the workbook, which are examples. {SUBJECT_TO}"
    )
    chrome.download("compare_book", lambda: _book(result, job), file_name(job, "comparison", "xlsx"))
    _open_a_case(here, result)


def _book(result: Sweep, job: Job) -> bytes:
    from planner.sheets.compare_book import compare_book

    return workbook_bytes(compare_book(result, job))


def _open_a_case(here: Desk, result: Sweep) -> None:
    planned = {r.case.number: r for r in result.results if r.plan is not None}
    if not planned:
        return
    st.subheader("Open a case", anchor=False)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        said_as = {"format_func": lambda n: f"{n}: {planned[n].case.title}"}
        number = chrome.ask(st.selectbox, "open_case", options=list(planned), **said_as)
        chrome.button("take_case", _take, here, planned[int(number)])
    if here.beside.get(TAKEN) == number:
        chrome.verdict(f"Case {number} is open: its job and its whole plan stand on the other pages.")
        chrome.link("tomorrow", "See the plan")


def _take(here: Desk, result: CaseResult) -> None:
    if result.plan is None:
        return
    here.change(result.case.job, f"case {result.case.number}: {result.case.title}")
    here.shown = ShownPlan(result.plan, result.case.job, result.sentence, (), True)
    here.beside[TAKEN] = result.case.number


def cases_frame(result: Sweep, job: Job, best: set[int]) -> pd.DataFrame:
    """The cases as a table for the screen."""
    rows = []
    for one in result.results:
        f = one.figures
        row: dict[str, object] = {
            "": "★" if one.case.number in best else "",
            "case": one.case.number,
            "varied": one.case.title + (" (as given)" if one.case.as_given else ""),
        }
        if f is not None:
            row |= {
                "work, min": f.work_min,
                "of all work": f"{f.work_percent:.0f} %",
                "end": time_words(job, f.end_min),
                "people-hours": round(f.people_min / 60, 1),
                "overtime": hours_text(f.overtime_min),
                f"cost, {f.cost.currency}": f"{f.total_cost:,.2f}",
                "dives": f.dives,
                "dives a diver": round(f.dives_a_diver, 1),
                "bottom min a diver": round(f.bottom_min_a_diver),
                "least air margin, scfm": "–" if f.air_margin_scfm is None else f"{f.air_margin_scfm:.1f}",
                "gap": f"{f.gap_percent:.1f} %",
            }
        row["how"] = one.sentence
        rows.append(row)
    return pd.DataFrame(rows)

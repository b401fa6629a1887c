"""The page What if: cases compared by cost and chance to finish; a plan repeated against drawn days."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pandas as pd
import streamlit as st

from planner.charts import compare_chart
from planner.check import SUBJECT_TO
from planner.errors import InputFaults
from planner.job import Job
from planner.screens import chrome
from planner.screens.backend import book_of
from planner.screens.desk import Desk, ShownPlan
from planner.screens.drawn_days import ask_spread, odds, progress
from planner.screens.figures import chart
from planner.screens.frames import Columns, frame_of, height_of, show_table
from planner.screens.runs import CountedRun, EarlierRun
from planner.screens.saved import store
from planner.screens.session import hand_over_what_if
from planner.screens.turns import LINE, Turn
from planner.screens.what_if_record import COMPARED, COMPARED_JOB, KEPT_CASES, TAKEN
from planner.screens.wording import file_name, plain
from planner.store import StoreRefused
from planner.whatif.axes import axes_of, proposed
from planner.whatif.best import Knee, knee_of
from planner.whatif.cases import Case, parse_variations
from planner.whatif.results import CaseResult, Sweep
from planner.whatif.spread import Spread
from planner.whatif.sweep import CASE_DRAWS, CASE_SECONDS
from planner.whatif.sweep import sweep as run_sweep
from planner.whatif.whole import whole_cases
from planner.words.measures import time_words

_NOTHING = "nothing more"

#: The cases of each job.
Lanes = tuple[tuple[Case, ...], ...]

#: Heading: how far the work may still be from the most there is.
STILL_TO_GAIN = "work still to gain, %"


def page(here: Desk, job: Job) -> None:
    """Draw the page."""
    chrome.job_line(job)
    kept = here.having(COMPARED, EarlierRun)
    if kept is not None and not kept.fetched:
        # Two hundred plans take some seconds.
        with st.spinner("Checking the plans of the comparison again"):
            kept.fetch()
    spread = ask_spread(here)
    compare, sure = st.tabs(["Compare cases", "How sure is it?"])
    with compare:
        run = here.having(COMPARED, CountedRun)
        # Asked once: the cases may be done at any moment, and the page must be drawn as of one.
        going = run is not None and run.running
        _ask(here, job, run, going, spread)
        _compared(here, run, going)
    with sure:
        odds(here, here.having(COMPARED, CountedRun), spread)


def _ask(here: Desk, job: Job, run: CountedRun[Sweep] | None, going: bool, spread: Spread | None) -> None:
    beside = _beside(job)
    axes = {axis.key: axis for axis in axes_of(job, *beside)}
    texts = []
    for number, first in enumerate(("tenders", _NOTHING), start=1):
        keys = [*axes] if number == 1 else [_NOTHING, *axes]
        with st.container(horizontal=True, vertical_alignment="bottom"):
            at = {"options": keys, "index": keys.index(first) if first in keys else 0}
            said_as = {"format_func": lambda k: axes[k].label if k in axes else k}
            key = chrome.ask(st.selectbox, f"vary_{number}", **at, **said_as)
            if key not in axes:
                continue
            value = chrome.ask(st.text_input, "values", of=f"{number}_{key}", value=proposed(axes[key], job))
            st.caption(f"now: {plain(axes[key].now(job))}")
            texts.append(f"{key}={value}")
    lanes = _lanes(job, beside, texts)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        seconds = chrome.ask(st.number_input, "case_seconds", value=CASE_SECONDS)
        processes = chrome.ask(st.number_input, "processes", value=2)
        draws = chrome.ask(st.number_input, "case_draws", value=CASE_DRAWS)
        if run is not None and going:
            chrome.button("stop_cases", run.stop)
        else:
            count = len(lanes[0]) if lanes else 0
            label = f"Compare {count} cases" if count != 1 else "Plan 1 case"
            asked = (here, job, lanes, float(seconds), int(processes), int(draws), spread or Spread())
            off = not count or spread is None
            chrome.button("compare", _begin_compare, *asked, label=label, disabled=off)


def _beside(job: Job) -> list[Job]:
    """The saved jobs that are compared with the one on the desk as one: a week, a season."""
    try:
        names = [line.name for line in store().jobs() if line.name != job.site.name]
        chosen = chrome.ask(st.multiselect, "beside", options=names) if names else []
        return [store().open_job(name) for name in chosen]
    except StoreRefused as refused:
        st.warning(plain(str(refused)))
        return []


def _lanes(job: Job, beside: list[Job], texts: list[str]) -> Lanes:
    """The cases of each job; none where something cannot be read, which is told."""
    try:
        return whole_cases([job, *beside], parse_variations(job, texts, beside))
    except InputFaults as found:
        for fault in found.faults:
            st.warning(f"{plain(fault.sentence)} Allowed: {plain(fault.allowed)}.")
        return ()


def _begin_compare(
    here: Desk, job: Job, lanes: Lanes, seconds: float, processes: int, draws: int, spread: Spread
) -> None:
    turn = Turn(processes)
    asked: dict[str, Any] = {"seconds": seconds, "processes": processes, "draws": draws, "spread": spread}

    def work(told: Callable[[int, int], None], stop: threading.Event) -> Sweep:
        return run_sweep(*lanes, on_progress=told, stop=stop, turn=lambda: LINE.part(turn, stop), **asked)

    run: CountedRun[Sweep] = CountedRun(
        work,
        line=LINE,
        turn=turn,
        in_parts=True,
        of=sum(map(len, lanes)) * (2 if draws else 1),
        hand_over=hand_over_what_if(here, COMPARED),
    )
    here.beside[COMPARED], here.beside[COMPARED_JOB] = run, job
    for earlier in (TAKEN, KEPT_CASES):
        here.beside.pop(earlier, None)
    run.begin()


def _compared(here: Desk, run: CountedRun[Sweep] | None, going: bool) -> None:
    if run is None:
        st.info("Choose what to vary and press **Compare**. Each case is planned on its own, two at a time.")
        return

    progress(run, going, "steps (each plan is made, then drawn)")
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
    result, knee = _chosen(here, result)
    chrome.verdict(knee.sentence)
    st.caption(plain(result.sentence))
    chart(
        compare_chart.gain_against_cost(result.results, knee, chrome.look_of(here)),
        key="work_cost",
        alt=compare_chart.alt_gain_against_cost(result.results, knee),
    )
    _table(here, result, job, knee)
    st.caption(
        "★ no other case brings more for less or equal cost; ◇ only finishes earlier. A head sorts, the "
        "fields above filter, ticked rows can be kept. Costs come from the pay rules and day rates listed in "
        f"the workbook, which are examples. {SUBJECT_TO}"
    )
    at_least = knee.at_least
    name = file_name(job, "comparison", "xlsx")
    chrome.download("compare_book", lambda: book_of("compare_book", result, job, at_least=at_least), name)
    _open_a_case(here, result)


def _chosen(here: Desk, whole: Sweep) -> tuple[Sweep, Knee]:
    """The cases that were kept and pass the filter, and what is best among them."""
    kept = here.having(KEPT_CASES, tuple)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        at_least = chrome.ask(st.number_input, "at_least", value=None)
        says = str(chrome.ask(st.text_input, "says") or "").strip().lower()
        least = chrome.ask(st.number_input, "least_chance", value=0)
        most = chrome.ask(st.number_input, "most_cost", value=None)
        if kept is not None:
            chrome.button("all_cases", here.beside.pop, KEPT_CASES, None)
    knee = knee_of(whole.results, at_least)
    found = tuple(
        r
        for r in whole.results
        if (kept is None or r.case.number in kept)
        and says in r.case.title.lower()
        and (not least or knee.gain(r) >= least)
        and (most is None or (r.figures is not None and r.figures.total_cost <= most))
    )
    if len(found) == len(whole.results):
        return whole, knee
    st.caption(f"{len(found)} of {len(whole.results)} cases.")
    return replace(whole, results=found), knee_of(found, knee.at_least)


def _table(here: Desk, result: Sweep, job: Job, knee: Knee) -> None:
    """Every case with its figures, to be sorted by its heads and ticked."""
    formats = {
        "of all work, %": "%.0f",
        "on duty, h": "%.1f",
        "overtime, h": "%.1f",
        f"cost, {result.currency}": "%.2f",
        "dives a diver": "%.1f",
        "bottom min a diver": "%.0f",
        "least air margin, scfm": "%.1f",
        STILL_TO_GAIN: "%.1f",
        "chance, %": "%.0f",
    }
    frame = cases_frame(result, job, knee)
    config = {head: st.column_config.NumberColumn(format=form) for head, form in formats.items()}
    ticks = {"on_select": "rerun", "selection_mode": "multi-row", "height": height_of(frame, 640)}
    alt = "Every case with its figures"
    ticked = show_table(frame, key="cases", alt=alt, column_config=config, **ticks)
    rows = ticked.selection.rows if ticked is not None else []
    numbers = tuple(result.results[row].case.number for row in rows)
    chrome.button("keep_cases", _keep, here, numbers, disabled=not numbers)


def _keep(here: Desk, numbers: tuple[int, ...]) -> None:
    here.beside[KEPT_CASES] = numbers


def _open_a_case(here: Desk, result: Sweep) -> None:
    planned = {r.case.number: r for r in result.results if r.figures is not None}
    if not planned:
        return
    st.header("Open a case", anchor=False)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        said_as = {"format_func": lambda n: f"{n}: {planned[n].case.title}"}
        number = int(chrome.ask(st.selectbox, "open_case", options=list(planned), **said_as))
        parts = planned[number].with_plans
        job_of = {"format_func": lambda k: parts[k].case.job.site.name}
        part = chrome.ask(st.selectbox, "open_job", options=range(len(parts)), **job_of) if parts[1:] else 0
        chrome.button("take_case", _take, here, parts[part])
    if parts[1:]:
        show_table(frame_of(parts, _PARTS), key="parts", alt=f"Case {number} job by job")
    if here.beside.get(TAKEN) == number:
        chrome.verdict(f"Case {number} is open: its job and its whole plan stand on the other pages.")
        chrome.link("tomorrow", "See the plan")


def _take(here: Desk, result: CaseResult) -> None:
    if result.plan is None:
        return
    here.change(result.case.job, f"case {result.case.number}: {result.case.title}")
    here.shown = ShownPlan(result.plan, result.case.job, result.sentence, (), True)
    here.beside[TAKEN] = result.case.number


#: A case of several jobs, job by job.
_PARTS: Columns[CaseResult] = {
    "job": lambda one: plain(one.case.job.site.name),
    "first day": lambda one: f"{one.case.job.site.first_day:%a %d %b %Y}",
    "work, min": lambda one: one.figures.work_min if one.figures else None,
    "of all work, %": lambda one: round(one.figures.work_percent) if one.figures else None,
    "chance as planned, %": lambda one: round(one.sure.day_percent) if one.sure else None,
    "on duty, h": lambda one: round(one.figures.people_min / 60, 1) if one.figures else None,
    "how": lambda one: plain(one.sentence),
}


def cases_frame(result: Sweep, job: Job, knee: Knee) -> pd.DataFrame:
    """The cases as a table for the screen: numbers as numbers, so that they sort."""
    rows = []
    for one in result.results:
        f = one.figures
        row: dict[str, object] = {
            "": knee.marks.get(one.case.number, ""),
            "case": one.case.number,
            "varied": one.case.varied,
        }
        if f is not None:
            row |= {"chance, %": knee.gain(one)} if one.sure is not None else {}
            row |= {
                f"cost, {result.currency}": float(f.total_cost),
                "end": one.when(f.end_min) if one.parts else time_words(job, f.end_min),
                "work, min": f.work_min,
                "of all work, %": f.work_percent,
                "people": f.people,
                "on duty, h": f.people_min / 60,
                "overtime, h": f.overtime_min / 60,
                "dives": f.dives,
                "dives a diver": f.dives_a_diver,
                "bottom min a diver": f.bottom_min_a_diver,
                "least air margin, scfm": f.air_margin_scfm,
                STILL_TO_GAIN: f.gap_percent,
            }
        row["how"] = one.sentence
        rows.append(row)
    return pd.DataFrame(rows)

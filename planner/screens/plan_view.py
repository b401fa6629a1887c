"""A plan as it is read on a screen: verdict, figures, timelines, dives, what is left, downloads."""

from __future__ import annotations

from collections import Counter

import streamlit as st
from plotly.graph_objects import Figure

import planner
from planner.air import air_report, has_plant
from planner.charts import depth, search, timeline
from planner.charts.look import Look
from planner.check import RULES, SUBJECT_TO
from planner.job import Job
from planner.job.daylight import daylight
from planner.plan.model import Plan, Reason
from planner.screens import chrome
from planner.screens.backend import written
from planner.screens.desk import Desk, ShownPlan
from planner.screens.frames import DIVE_HEADINGS, days_frame, dives_frame, show_table, stages_frame
from planner.screens.moves_by_hand import move_by_hand
from planner.screens.what_it_takes import what_it_takes_of
from planner.screens.wording import file_name, hours_text, plain, spans_text, status_text
from planner.sheets.sources import to_tick
from planner.words.measures import time_words
from planner.words.plan import CLOCK_UNIT

#: The scheduler reports its first plan under a name of its own; its value counts for the first stage.
_STAGE_OF = {"first plan": "work finished"}

#: Figures are for looking at: no tool bar, no accidental zoom while scrolling on a phone.
CHART_CONFIG = {"displayModeBar": False, "scrollZoom": False, "displaylogo": False}


def show_plan(here: Desk, shown: ShownPlan) -> None:
    """Draw the whole plan."""
    plan, job = shown.plan, shown.job
    if here.plan_is_old:
        chrome.verdict(
            "The job has been edited since this plan was made. It is still shown; plan again for the job as "
            "it is now.",
            "wait",
        )
    chrome.verdict(_verdict(shown))
    if not has_plant(job.air):
        chrome.verdict("The job has no air plant, so no rule about air could be checked.", "wait")
    chrome.facts(_figures(plan, job))
    if not here.solving:
        _downloads(plan, job)
    day = day_picker(job)
    _timelines(plan, job, chrome.look_of(here), day)
    _dives(here, plan, job, day)
    if plan.dives and not here.solving:
        move_by_hand(here, shown)
    _left_over(here, shown, final=not here.solving)
    if not here.solving:
        _to_tick(plan, job)
    _search(here, shown)


def _verdict(shown: ShownPlan) -> str:
    status = status_text(shown.plan, shown.job)
    more = "" if shown.sentence == shown.plan.status.value else f" {shown.sentence}"
    return f"{status} Rule check: clear, {len(RULES)} rules.{more}"


def _figures(plan: Plan, job: Job) -> list[tuple[str, str]]:
    needed = sum(i.bottom_work_min for i in job.dive_items)
    worked = sum(min(plan.worked_min(i.name), i.bottom_work_min) for i in job.dive_items)
    on_deck = sum(1 for i in job.surface_items if any(t.item == i.name for t in plan.surface_tasks))
    posted = {s.person for s in plan.duties}
    end = time_words(job, plan.end_min) if posted else "–"
    return [
        (f"{hours_text(worked)} of {hours_text(needed)}", "work on the bottom"),
        (f"{on_deck} of {len(job.surface_items)}", "surface items"),
        (str(len(plan.dives)), "dives"),
        (end, "last one free"),
        (f"{len(posted)} of {len(job.people)}", "people with a post"),
    ]


def _downloads(plan: Plan, job: Job) -> None:
    # The bytes are made when the button is pressed, on a thread that knows no session.
    with st.container(horizontal=True):
        chrome.download(
            "watchbill",
            lambda: written(planner.write_watchbill, plan, job),
            file_name(job, "watchbill", "xlsx"),
        )
        chrome.download(
            "plan_json", lambda: written(planner.write_plan, plan, job), file_name(job, "plan", "json")
        )


def chart(figure: Figure, *, key: str, alt: str) -> None:
    """A figure with its words for a reader who cannot see it; on a phone it scrolls sideways."""
    with st.container(key=f"wide_{key}"):
        st.plotly_chart(figure, key=key, theme=None, config=CHART_CONFIG, alt=alt)


def day_picker(job: Job) -> int:
    """Which day of the job to show; asked only where there are several."""
    if len(job.day_windows) == 1:
        return 0

    def label(day: int) -> str:
        return f"{job.clock.at(job.day_windows[day].start_min):%a %d %b}"

    return chrome.choice("Day", range(len(job.day_windows)), "day", format_func=label, shown=True)


def _timelines(plan: Plan, job: Job, look: Look, day: int) -> None:
    view = chrome.choice("The day", ("by person", "by station", "depth"), "day_view")
    light = daylight(job)
    if view == "by person":
        figure = timeline.by_person(plan, job, look, day=day, light=light)
        words = timeline.alt_by_person(plan, job)
    elif view == "by station":
        figure = timeline.by_station(plan, job, look, day=day, light=light)
        words = timeline.alt_by_station(plan, job)
    else:
        figure = depth.depth_through_day(plan, job, look, day=day, light=light)
        words = depth.alt_depth_through_day(plan, job, look)
    chart(figure, key="timeline", alt=words)
    with st.expander("Each person's day in a list"):
        show_table(days_frame(plan, job), key="days", alt="Posts of every person with start and end")


def _dives(here: Desk, plan: Plan, job: Job, day: int) -> None:
    st.subheader("Dives", anchor=False)
    if not plan.dives:
        st.caption("No dive is planned.")
        return
    frame = dives_frame(plan, job, here.units)
    show_table(
        frame,
        key="dives",
        alt=f"{len(plan.dives)} dives with times, table schedules and repetitive groups",
        column_config={
            heading: st.column_config.Column(help=meaning.capitalize())
            for heading, meaning in DIVE_HEADINGS.items()
        },
    )
    st.caption(
        "LS leave surface · RB reach bottom · LB leave bottom · RS reach surface · BT bottom time · RNT "
        "residual nitrogen time · ESDT equivalent single dive time"
    )
    st.caption(
        "Schedules are rows of the tables named beside them, entered at the next deeper depth and the next "
        f"longer time. {SUBJECT_TO}"
    )


def _left_over(here: Desk, shown: ShownPlan, *, final: bool) -> None:
    plan = shown.plan
    st.subheader("Left over, and why", anchor=False)
    if not plan.leftovers:
        st.caption("Nothing: every item is planned in full.")
    elif not final:
        names = ", ".join(left.item for left in plan.leftovers)
        st.caption(f"So far: {plain(names)}. The reasons come with the end of the run.")
    for number, left in enumerate(plan.leftovers if final else (), start=1):
        how_much = f"{left.planned_min} of {left.needed_min} min planned"
        show_reasons(left.item, left.reasons, how_much)
        what_it_takes_of(here, shown, number, left.item)


def show_reasons(item: str, reasons: tuple[Reason, ...], how_much: str = "not planned") -> None:
    """One item that is not (fully) planned, with the reasons and the rules that decide."""
    lines = [f"**{plain(item)}** · {how_much}"]
    for reason in reasons:
        source = f" `{reason.rule}`" if reason.rule else ""
        lines.append(f"- {plain(reason.sentence)}{source}")
    st.markdown("\n".join(lines))


def _to_tick(plan: Plan, job: Job) -> None:
    """What nobody but a person can check; nothing of it is assumed, and none of it is stored."""
    sentences = to_tick(job, air_report(plan, job))
    with st.expander(f"For a person to check before the plan is used ({len(sentences)})"):
        for number, sentence in enumerate(sentences):
            st.checkbox(plain(sentence), key=f"tick_{number}", persist_state="session")


def _search(here: Desk, shown: ShownPlan) -> None:
    with st.expander("How good it is, and how the search went"):
        if shown.plan.stages:
            show_table(
                stages_frame(shown.plan.stages, shown.job),
                key="stages",
                alt="Stages of the objective with value, bound and gap",
            )
        steps = [
            search.SearchStep(s.elapsed_s, _STAGE_OF.get(s.stage, s.stage), s.value, s.bound)
            for s in shown.steps
        ]
        reports = Counter(s.stage for s in steps)
        steps = [s for s in steps if reports[s.stage] > 1]
        clock = {s.name: shown.job.clock.hhmm for s in shown.plan.stages if s.unit == CLOCK_UNIT}
        if steps:
            chart(
                search.gap_closing(steps, chrome.look_of(here), clock=clock),
                key="gap",
                alt=search.alt_gap_closing(steps),
            )
        run = (
            f"Workers {shown.plan.workers}, seed {shown.plan.seed}, {shown.plan.seconds:.1f} s; "
            f"day {spans_text(shown.job, shown.job.day_windows)}."
        )
        st.caption(plain(run))

"""The page of dive sheets: every dive's depth against time, its schedule and the ones beside it."""

from __future__ import annotations

import streamlit as st

from planner.charts import depth, groups
from planner.check import SUBJECT_TO
from planner.job import Job
from planner.job.daylight import daylight
from planner.plan.model import Dive, Plan
from planner.screens import chrome
from planner.screens.desk import Desk, ShownPlan
from planner.screens.figures import chart, day_picker
from planner.screens.frames import beside_frame, crew_frame, show_table
from planner.screens.wording import dive_depth_text, plain
from planner.table_sets import table_words
from planner.words.measures import time_words


def page(here: Desk, job: Job) -> None:
    """Draw the page."""
    here.harvest()
    shown = here.shown
    if shown is None or not shown.plan.dives:
        chrome.first("There is no dive to show yet: plan the day first.")
        return
    chrome.job_line(shown.job)
    if here.plan_is_old:
        chrome.verdict("The job has been edited since this plan was made.", "wait")
    _day(here, shown)
    _one_dive(here, shown.plan, shown.job)


def _day(here: Desk, shown: ShownPlan) -> None:
    plan, job, look = shown.plan, shown.job, chrome.look_of(here)
    day = day_picker(job)
    figure = depth.depth_through_day(plan, job, look, day=day, light=daylight(job))
    chart(figure, key="depth_day", alt=depth.alt_depth_through_day(plan, job, look))
    figure = groups.groups_through_day(plan, job, look, day=day)
    chart(figure, key="groups_day", alt=groups.alt_groups(plan, job, day=day))
    called = table_words(job.tables.called["intervals"])
    st.caption(
        f"The group falls with time on the surface: {called}, {plain(job.tables.title)}. Blank is clean. "
        f"{SUBJECT_TO}"
    )


def _one_dive(here: Desk, plan: Plan, job: Job) -> None:
    st.header("One dive", anchor=False)
    dives = {d.id: d for d in sorted(plan.dives, key=lambda d: (d.leave_surface_min, d.id))}
    if st.session_state.get("dive") not in dives:
        st.session_state["dive"] = next(iter(dives))
    said_as = {"format_func": lambda name: f"{name} · {time_words(job, dives[name].leave_surface_min)}"}
    bare = {"label_visibility": "collapsed", "required": True}
    chosen = chrome.ask(st.pills, "dive", options=list(dives), **said_as, **bare)
    dive = dives[str(chosen)]
    divers = " and ".join(e.person for e in dive.divers)
    st.markdown(f"**{plain(dive.item)}** from {plain(dive.station)}: {plain(divers)}")
    chrome.facts(_times(dive, job, here))
    for number, diver in enumerate(dive.divers):
        look = chrome.look_of(here)
        alt = depth.alt_depth_of_dive(dive, diver, job, look)
        chart(depth.depth_of_dive(dive, diver, job, look), key=f"depth_{number}", alt=alt)
        st.markdown(f"**Schedules for {plain(diver.person)}**")
        alt = f"Planned, longer and deeper schedules for {diver.person}"
        show_table(beside_frame(job, dive, diver, here.units), key=f"beside_{number}", alt=alt)
    st.caption(
        "Longer and deeper rows are there for a dive that runs late or deep; those the job's policy does not "
        f"allow are marked. {SUBJECT_TO}"
    )
    st.markdown("**Crew**")
    show_table(crew_frame(plan, dive, job), key="crew", alt="Crew of the dive with their times")


def _times(dive: Dive, job: Job, here: Desk) -> list[tuple[str, str]]:
    clock = job.clock.hhmm
    return [
        (clock(dive.dress_start_min, with_day=len(job.day_windows) > 1), "dressing starts"),
        (clock(dive.leave_surface_min), "leave surface"),
        (clock(dive.reach_bottom_min), "reach bottom"),
        (clock(dive.leave_bottom_min), "leave bottom"),
        (clock(dive.reach_surface_min), "reach surface"),
        (clock(dive.undressed_min), "undressed"),
        (dive_depth_text(job, dive.item, dive.depth_fsw, here.units), "depth"),
        (f"{dive.bottom_time_min} min", "bottom time"),
    ]

"""A plan as it is read on a screen: verdict, figures, timelines, dives, what is left, downloads."""

from __future__ import annotations

from collections import Counter
from functools import partial

import streamlit as st

import planner
from planner.air import air_report, has_plant
from planner.charts import search
from planner.check import RULES, SUBJECT_TO
from planner.job import Job
from planner.plan.model import Plan
from planner.screens import chrome
from planner.screens.backend import written
from planner.screens.board.by_hand import show_board
from planner.screens.desk import Desk, ShownPlan
from planner.screens.figures import chart
from planner.screens.frames import DIVE_HEADINGS, dives_frame, show_table, slack_frame, stages_frame
from planner.screens.pins import list_pins
from planner.screens.printing import printed_as
from planner.screens.what_if_record import SPREAD_AT
from planner.screens.what_it_takes import what_it_takes_of
from planner.screens.wording import file_name, plain, spans_text, status_text
from planner.sheets.sources import to_tick
from planner.whatif.slack import MOST_DIVES, slack_told
from planner.whatif.spread import Spread
from planner.whatif.sure import chance_told
from planner.words.measures import minutes_words, time_words
from planner.words.plan import CLOCK_UNIT, crew_status_words

#: The one link behind which the solver's own words stand, while it works and after.
HOW_GOOD = "How good it is, and how the search goes"

#: The scheduler reports its first plan under a name of its own; its value counts for the first stage.
_STAGE_OF = {"first plan": "work finished"}


def show_plan(here: Desk, shown: ShownPlan) -> None:
    """Draw the whole plan, the day as a board first."""
    plan, job = shown.plan, shown.job
    if here.plan_is_old:
        chrome.verdict(
            "The job has been edited since this plan was made. It is still shown; plan again for the job as "
            "it is now.",
            "wait",
        )
    show_board(here, shown)
    kept = "" if shown.sentence == plan.status.value else f" {shown.sentence}"
    good = crew_status_words(plan, job)
    chrome.verdict(f"{good[0].upper()}{good[1:]}. Rule check: clear, {len(RULES)} rules.{kept}")
    if not has_plant(job.air):
        chrome.verdict("The job has no air plant, so no rule about air could be checked.", "wait")
    chrome.facts(_figures(plan, job))
    if here.job is not None:
        list_pins(here, here.job)
    _dives(here, plan, job)
    _left_over(here, shown, final=not here.solving)
    if not here.solving:
        _to_tick(plan, job)
        _search(here, shown)


def _figures(plan: Plan, job: Job) -> list[tuple[str, str]]:
    needed = sum(i.bottom_work_min for i in job.dive_items)
    worked = sum(min(plan.worked_min(i.name), i.bottom_work_min) for i in job.dive_items)
    on_deck = sum(1 for i in job.surface_items if any(t.item == i.name for t in plan.surface_tasks))
    posted = {s.person for s in plan.duties}
    end = time_words(job, plan.end_min) if posted else "–"
    return [
        (f"{minutes_words(worked)} of {minutes_words(needed)}", "work on the bottom"),
        (f"{on_deck} of {len(job.surface_items)}", "surface items"),
        (str(len(plan.dives)), "dives"),
        (end, "last one free"),
        (f"{len(posted)} of {len(job.people)}", "people with a post"),
    ]


def take_away(here: Desk, shown: ShownPlan) -> None:
    """Print and Issue, and the plan for other programs."""
    plan, job = shown.plan, shown.job
    about = {"opened_from": here.opened_from, "spread": here.beside.get(SPREAD_AT), **printed_as(job)}
    # The bytes are made when the button is pressed, on a thread that knows no session.
    write = partial(planner.write_watchbill, **about)
    chrome.download("watchbill", lambda: written(write, plan, job), file_name(job, "watchbill", "xlsx"))
    chrome.link("issue", "Issue")
    record = file_name(job, "plan", "json")
    chrome.download("plan_json", lambda: written(planner.write_plan, plan, job), record)


def _dives(here: Desk, plan: Plan, job: Job) -> None:
    st.header("Dives", anchor=False)
    if not plan.dives:
        st.caption("No dive is planned.")
        return
    frame = dives_frame(plan, job, here.units)
    alt = f"{len(plan.dives)} dives with times, table schedules and repetitive groups"
    heads = {name: st.column_config.Column(help=means.capitalize()) for name, means in DIVE_HEADINGS.items()}
    show_table(frame, key="dives", alt=alt, column_config=heads)
    st.caption(
        "LS leave surface · RB reach bottom · LB leave bottom · RS reach surface · BT bottom time · RNT "
        "residual nitrogen time · ESDT equivalent single dive time"
    )
    st.caption(
        "Schedules are rows of the tables named beside them, entered at the next deeper depth and the next "
        f"longer time. {SUBJECT_TO}"
    )
    if not here.solving:
        _spare(here, plan, job)


def _spare(here: Desk, plan: Plan, job: Job) -> None:
    """What the dives have to spare: for the day in a sentence, for each dive in a list."""
    spare = slack_told(job, plan)
    if spare is None:
        st.caption(f"What each dive has to spare is told for plans of up to {MOST_DIVES} dives.")
        return
    st.caption(spare.words)
    st.caption(plain(chance_told(job, plan, here.having(SPREAD_AT, Spread))))
    with st.expander("What each dive has to spare, and what breaks first"):
        alt = "Minutes that each dive may slip and may last longer, and what breaks a minute later"
        show_table(slack_frame(spare), key="slack", alt=alt)


def _left_over(here: Desk, shown: ShownPlan, *, final: bool) -> None:
    plan = shown.plan
    st.header("Left over, and why", anchor=False)
    if not plan.leftovers:
        st.caption("Nothing: every item is planned in full.")
    elif not final:
        names = ", ".join(left.item for left in plan.leftovers)
        st.caption(f"So far: {plain(names)}. The reasons come with the end of the run.")
    for number, left in enumerate(plan.leftovers if final else (), start=1):
        how_much = f"{left.planned_min} of {left.needed_min} min planned"
        chrome.show_reasons(left.item, left.reasons, how_much)
        what_it_takes_of(here, shown, number, left.item)


def _to_tick(plan: Plan, job: Job) -> None:
    """What nobody but a person can check; nothing of it is assumed, and none of it is stored."""
    sentences = to_tick(job, air_report(plan, job))
    with st.expander(f"For a person to check before the plan is used ({len(sentences)})"):
        for number, sentence in enumerate(sentences):
            st.checkbox(plain(sentence), key=f"tick_{number}", persist_state="session")


def _search(here: Desk, shown: ShownPlan) -> None:
    with st.expander(HOW_GOOD):
        chrome.verdict(status_text(shown.plan, shown.job))
        if shown.plan.stages:
            alt = "Stages of the objective with value, bound and gap"
            show_table(stages_frame(shown.plan.stages, shown.job), key="stages", alt=alt)
        steps = [
            search.SearchStep(s.elapsed_s, _STAGE_OF.get(s.stage, s.stage), s.value, s.bound)
            for s in shown.steps
        ]
        reports = Counter(s.stage for s in steps)
        steps = [s for s in steps if reports[s.stage] > 1]
        clock = {s.name: shown.job.clock.hhmm for s in shown.plan.stages if s.unit == CLOCK_UNIT}
        if steps:
            figure = search.gap_closing(steps, chrome.look_of(here), clock=clock)
            chart(figure, key="gap", alt=search.alt_gap_closing(steps))
        run = (
            f"Workers {shown.plan.workers}, seed {shown.plan.seed}, {shown.plan.seconds:.1f} s; "
            f"day {spans_text(shown.job, shown.job.day_windows)}."
        )
        st.caption(plain(run))

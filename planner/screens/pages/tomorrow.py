"""The page of the day to come: plan it, watch the plan get better, read it, take it away."""

from __future__ import annotations

import streamlit as st

from planner.job import Job
from planner.job.daylight import daylight
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.pins import list_pins
from planner.screens.plan_view import show_plan, show_reasons
from planner.screens.planning import begin_run
from planner.screens.runs import RunState, SolveRun, Step
from planner.screens.wording import CLOCK_STAGES, hours_text, spans_text
from planner.words.measures import number_words, time_words

#: Seconds between two looks at a run that is going.
LOOK_EVERY_S = 0.7


def page(here: Desk, job: Job) -> None:
    """Draw the page."""
    chrome.job_line(job, _water_and_light(job))
    if here.edits.typed:
        names = ", ".join(sorted(here.edits.typed))
        chrome.verdict(f"Typed but not applied, so not in the plan: {names}.", "wait")
    here.harvest()
    # Asked once: a run may end at any moment, and the whole page must be drawn as of one.
    solving = here.solving
    _controls(here, job, solving)
    list_pins(here, job)
    _live(here, solving)


def _water_and_light(job: Job) -> str:
    """Sunrise, sunset and slack water in one line; blank where neither is known."""
    parts = []
    light = daylight(job)
    if light is not None:
        parts.append(f"sun up {spans_text(job, light[: job.site.days])}")
    if job.water_windows:
        parts.append(f"slack {spans_text(job, job.water_windows)}")
    line = " · ".join(parts)
    return line[:1].upper() + line[1:]


def _controls(here: Desk, job: Job, solving: bool) -> None:
    st.session_state.setdefault("seconds", here.seconds)
    st.session_state.setdefault("workers", here.workers)
    with st.container(horizontal=True, vertical_alignment="bottom"):
        if solving:
            chrome.button("stop", here.stop_run)
        else:
            chrome.button(
                "plan", begin_run, here, job, label="Plan the day" if here.shown is None else "Plan again"
            )
        with st.container(horizontal=True, width="content"):
            chrome.ask(
                st.number_input, "seconds", disabled=solving, on_change=chrome.take, args=(here, "seconds")
            )
            chrome.ask(
                st.number_input, "workers", disabled=solving, on_change=chrome.take, args=(here, "workers")
            )


def _live(here: Desk, solving: bool) -> None:
    """The run's progress, which redraws itself, and the plan below it, drawn anew for each better one."""

    @st.fragment(run_every=LOOK_EVERY_S if solving else None)
    def progress() -> None:
        if here.harvest() or here.solving != solving:
            chrome.draw_again()
        if here.run is not None:
            _progress(here.run)

    progress()
    if here.shown is not None:
        show_plan(here, here.shown)
    elif here.run is None:
        st.info(
            "Nothing is planned yet. Press **Plan the day**: a first plan is shown at once, then better "
            "ones until the time limit or until you stop."
        )


def _progress(run: SolveRun) -> None:
    step = run.steps[-1] if run.steps else None
    if run.running:
        said = "setting up" if step is None else step.stage
        st.progress(run.share_gone, text=f"{run.seconds_gone:.0f} s of {run.seconds:.0f} s, {said}")
        chrome.facts(
            [
                (_value(run, None if step is None else step.value), "best so far"),
                (_value(run, None if step is None else step.bound), "no plan can beat"),
                (_gap(step), "gap"),
            ]
        )
        if run.stop_asked:
            st.caption("Stopping; the best plan so far is kept.")
    elif run.state is RunState.FAILED:
        chrome.verdict(run.sentence, "bad")
    elif run.plan is None:
        chrome.verdict(run.sentence or "No plan was found in the time given.", "bad")
        for item, reasons in run.reasons.items():
            show_reasons(item, reasons)
    if run.withheld:
        st.error(
            "A plan that breaks a rule came out of the scheduler and is withheld. This is a fault of the "
            "program; the breaches are listed so that it can be mended."
        )
        for breach in run.withheld[:20]:
            st.text(str(breach))


def _gap(step: Step | None) -> str:
    """What may still be gained: per cent, or a length of time where the stage is a time of day."""
    if step is None or step.value is None or step.bound is None or step.gap_percent is None:
        return "–"
    if step.stage in CLOCK_STAGES:
        return hours_text(int(abs(step.value - step.bound)))
    return f"{step.gap_percent:.1f} %"


def _value(run: SolveRun, value: float | None) -> str:
    """A value of the stage at hand: a time of day where the stage is one."""
    if value is None or not run.steps:
        return "–"
    if run.steps[-1].stage in CLOCK_STAGES:
        return time_words(run.job, int(value))
    return number_words(value)

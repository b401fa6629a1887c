"""The page of the day to come: plan it, watch the plan get better, read it, take it away."""

from __future__ import annotations

import streamlit as st

from planner.job import Job
from planner.job.daylight import daylight
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.pins import list_pins
from planner.screens.plan_view import HOW_GOOD, show_plan, take_away
from planner.screens.planning import begin_run
from planner.screens.runs import RunState, SolveRun, Step
from planner.screens.turns import LINE
from planner.screens.wording import CLOCK_STAGES, clock_text, spans_text
from planner.words.measures import minutes_words, number_words, time_words
from planner.words.plan import NO_BOUND


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
    _live(here, job, solving)


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
    with st.container(horizontal=True, vertical_alignment="center"):
        if solving:
            chrome.button("stop", here.stop_run)
        else:
            label = "Plan the day" if here.shown is None else "Plan again"
            chrome.button("plan", begin_run, here, job, label=label)
        with st.popover("Time limit", icon=":material/tune:"):
            # The desk's value is the field's own, not put into the session: a first drawing that is cut short
            # (the press that opens a job goes on to here) would lose it, and the field, drawn with its least
            # value, would send that.
            asked = {"disabled": solving, "on_change": chrome.take}
            for_s, side_by_side = {"value": here.seconds, **asked}, {"value": here.workers, **asked}
            chrome.ask(st.number_input, "seconds", args=(here, "seconds"), **for_s)
            chrome.ask(st.number_input, "workers", args=(here, "workers"), **side_by_side)
        if here.shown is not None and not solving:
            take_away(here, here.shown)


def _live(here: Desk, job: Job, solving: bool) -> None:
    """The run's progress, which redraws itself, and the plan below it, drawn anew for each better one."""

    @st.fragment(run_every=LINE.look_every_s() if solving else None)
    def progress() -> None:
        if here.harvest() or here.solving != solving:
            chrome.draw_again()
        if here.run is not None:
            _progress(here.run)

    progress()
    if here.shown is not None:
        show_plan(here, here.shown)
        return
    if here.run is None:
        st.info(
            "Nothing is planned yet. Press **Plan the day**: a first plan is shown at once, then better "
            "ones until the time limit or until you stop."
        )
    list_pins(here, job)


def _progress(run: SolveRun) -> None:
    step = run.steps[-1] if run.steps else None
    waits = run.in_line
    if waits:
        chrome.verdict(waits, "wait")
    elif run.running:
        stage = None if step is None else step.stage
        st.progress(run.share_gone, text=clock_text(run.seconds_gone, run.seconds, stage))
        with st.expander(HOW_GOOD):
            value, bound = (None, None) if step is None else (step.value, step.bound)
            best = (_value(run, value) or "none yet", "best so far")
            beat = (_value(run, bound) or NO_BOUND, "no plan can beat")
            chrome.facts([best, beat, (_gap(step) or NO_BOUND, "could still be gained")])
        if run.stop_asked:
            st.caption("Stopping; the best plan so far is kept.")
        elif run.seconds < run.asked_s:
            st.caption(f"{run.seconds:.0f} s of the {run.asked_s:.0f} asked for: others wait in line.")
    elif run.state is RunState.FAILED:
        chrome.verdict(run.sentence, "bad")
    elif run.plan is None:
        chrome.verdict(run.sentence or "No plan was found in the time given.", "bad")
        for item, reasons in run.reasons.items():
            chrome.show_reasons(item, reasons)
    if run.withheld:
        st.error(
            "A plan that breaks a rule came out of the scheduler and is withheld. This is a fault of the "
            "program; the breaches are listed so that it can be mended."
        )
        for breach in run.withheld[:20]:
            st.text(str(breach))


def _gap(step: Step | None) -> str:
    """What may still be gained: per cent, or a length of time for a time of day; blank while not known."""
    if step is None or step.value is None or step.bound is None or step.gap_percent is None:
        return ""
    if step.stage in CLOCK_STAGES:
        return minutes_words(int(abs(step.value - step.bound)))
    return f"{step.gap_percent:.1f} %"


def _value(run: SolveRun, value: float | None) -> str:
    """A value of the stage at hand: a time of day where the stage is one; blank where there is none."""
    if value is None or not run.steps:
        return ""
    if run.steps[-1].stage in CLOCK_STAGES:
        return time_words(run.job, int(value))
    return number_words(value)

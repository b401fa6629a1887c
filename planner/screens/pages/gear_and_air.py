"""The page of gear and air: outfits and dressing, air demand under capacity, the plant's hours and tests."""

from __future__ import annotations

from collections.abc import Callable

import pandas as pd
import streamlit as st

from planner.air import AirReport, air_report
from planner.charts.air_charts import air_flow_alt, air_flow_chart, hour_meter_alt, hour_meter_chart
from planner.charts.look import day_span
from planner.check import SUBJECT_TO, Finding, air_findings
from planner.gear.cards import dressing_cards
from planner.gear.outfits import outfit_days
from planner.job import Job
from planner.plan.model import Plan
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.editing.widgets import edit_sheets
from planner.screens.figures import chart, day_picker
from planner.screens.frames import (
    Amounts,
    banks_frame,
    card_frame,
    compressors_frame,
    dive_air_frame,
    outfits_frame,
    show_table,
    tests_frame,
)
from planner.screens.wording import plain
from planner.words.measures import time_words
from planner.workbook.job_sheets import AIR, BANKS, BENCH_STEPS, COMPRESSORS, OUTFITS, TANKS

_OUTFITS, _DRESSING, _AIR, _EDIT = "Outfits", "Dressing", "Air", "Change gear and plant"


#: Sheets of the job workbook that are edited on this page.
SHEETS = (OUTFITS, AIR, COMPRESSORS, BANKS, TANKS, BENCH_STEPS)


def page(here: Desk, job: Job) -> None:
    """Draw the page."""
    chrome.job_line(job)
    here.harvest()
    views: dict[str, Callable[[Desk, Job], None]] = {
        _OUTFITS: _outfits,
        _DRESSING: _dressing,
        _AIR: _air,
        _EDIT: lambda here, job: edit_sheets(here, SHEETS, key="gear"),
    }
    views[chrome.choice("View", views, "gear_view")](here, job)


def _plan(here: Desk) -> Plan | None:
    """The plan on show, where it was made for the job as it is."""
    return None if here.shown is None or here.plan_is_old else here.shown.plan


def _needs_plan(what: str) -> None:
    chrome.first(f"{what} come with a plan of the job as it is now: plan the day first.")


def _outfits(here: Desk, job: Job) -> None:
    days = outfit_days(job, _plan(here))
    if not days:
        st.info("The job has no outfits. Add them under “Change gear and plant”; without one nobody dives.")
        return
    ready = sum(day.not_ready is None for day in days)
    worn = sum(bool(day.uses) for day in days)
    chrome.facts([(f"{ready} of {len(days)}", "outfits ready"), (str(worn), "worn in the plan")])
    _table(outfits_frame(days, job), "outfits", "Outfits with their state and who wears them")


def _dressing(here: Desk, job: Job) -> None:
    plan = _plan(here)
    if plan is None:
        _needs_plan("Dressing cards")
        return
    cards = dressing_cards(plan, job)
    names = [f"{card.dress_start} {card.diver}, {card.duty}, dive {card.dive}" for card in cards]
    if not names:
        st.info("Nobody dresses in this plan.")
        return
    chosen = st.selectbox("Card", names, key="card")
    card = cards[names.index(str(chosen))]
    tenders = ", ".join(card.tenders) or "–"
    st.markdown(
        f"**{plain(card.diver)}**, {plain(card.duty)}, {plain(card.gear.value)} {plain(card.outfit)}; "
        f"tenders {plain(tenders)}; supervisor {plain(', '.join(card.supervisors))}"
    )
    with st.container(key="wide_card"):
        st.table(card_frame(card).map(_cell), hide_index=True, border="horizontal", alt="Dressing steps")
    st.caption(
        "Hold points are signed on paper or on the page Day log, by somebody who did not do the step. "
        f"{SUBJECT_TO}"
    )


def _cell(value: object) -> object:
    return plain(value) if isinstance(value, str) else value


def _air(here: Desk, job: Job) -> None:
    plan = _plan(here)
    if plan is None:
        _needs_plan("Air demand and running hours")
        return
    report = air_report(plan, job)
    look = chrome.look_of(here)
    _air_verdict(report, air_findings(job, plan))
    chrome.facts(_air_facts(report, here, job))
    if report.dives:
        span = day_span(plan, job, day_picker(job))
        chart(air_flow_chart(report, job, look, span), key="air_flow", alt=air_flow_alt(report, job, look))
        _table(dive_air_frame(report, here.units), "dive_air", "Air of each dive")
    if report.compressors:
        st.header("Compressors", anchor=False)
        chart(hour_meter_chart(report, look), key="hour_meter", alt=hour_meter_alt(report))
        _table(compressors_frame(report, here.units), "compressors", "Compressors with hours and fuel")
    if report.banks:
        st.header("Banks", anchor=False)
        _table(banks_frame(report, here.units), "banks", "Banks with what is drawn and left")
    if report.tests:
        st.header("Tests", anchor=False)
        _table(tests_frame(report.tests, job.site.first_day), "tests", "Tests with their dates")
    st.caption(f"{plain('; '.join(report.sources))}. {SUBJECT_TO}")


def _air_verdict(report: AirReport, findings: tuple[Finding, ...]) -> None:
    if not report.plant_given:
        told = "The job has no air plant: only the demand is shown, and the air rules are not checked."
        chrome.verdict(told, "wait")
    elif findings:
        chrome.verdict(f"The air supply does not carry this plan: {len(findings)} breaches.", "bad")
        for breach in findings:
            st.markdown(f"- {plain(breach.where)}: {plain(breach.sentence)} `{breach.rule}`")
    else:
        chrome.verdict("The air supply carries this plan, as far as the data goes.")


def _air_facts(report: AirReport, here: Desk, job: Job) -> list[tuple[str, str]]:
    amounts = Amounts(here.units)
    cells = [(f"{amounts.volume(report.scf):,.0f} {amounts.volume_unit}", "air for all dives")]
    if report.peak is not None:
        at = time_words(job, report.peak.demand.start_min)
        flow = f"{amounts.flow(report.peak.flow_scfm):g} {amounts.flow_unit}"
        cells.append((f"{flow} at {at}", "highest demand, standby sent down"))
    if report.least_margin is not None and report.plant_given:
        margin = amounts.flow(report.least_margin.margin_scfm)
        cells.append((f"{margin:g} {amounts.flow_unit}", "least margin of the compressors"))
    if report.fuel_gal:
        cells.append((f"{report.fuel_gal:.1f} US gal", "fuel"))
    return cells


def _table(frame: pd.DataFrame, key: str, alt: str) -> None:
    show_table(frame, key=key, alt=alt, column_config={"State": st.column_config.Column(width="medium")})

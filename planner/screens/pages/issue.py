"""The page of issuing: what a person ticks, the emergency card, the stamp, and what has been issued."""

from __future__ import annotations

from functools import partial
from typing import Any

import streamlit as st

from planner.job import Job
from planner.job.duties import SUPERVISOR
from planner.log.before_issue import (
    CARD_LABELS,
    CARD_SOURCE,
    SOURCE,
    PlanningItem,
    all_to_tick,
    card_lacks,
    emergency_card,
    planning_items,
)
from planner.plan import Plan
from planner.plan.unchecked import flight_words
from planner.screens import chrome
from planner.screens.desk import Desk, ShownPlan
from planner.screens.printing import printed_as
from planner.screens.saved import signer, store_or_stop
from planner.screens.what_if_record import SPREAD_AT
from planner.screens.wording import file_name, plain
from planner.store import IssuedLine, Store
from planner.store.recording import issue_watchbill


def page(here: Desk, job: Job) -> None:
    """Draw the page."""
    store = store_or_stop()
    chrome.job_line(job)
    here.harvest()
    shown = here.shown
    if shown is None:
        chrome.first("There is no plan yet: plan the day first.")
    elif here.plan_is_old:
        chrome.verdict("The job has been edited since this plan was made: plan again before issuing.", "wait")
    elif (line := _issued_as(job, shown, store)) is not None:
        _success(job, line, store)
    else:
        help_line = "Signs the watchbill: one of those who may lead a dive."
        by = signer(in_charge(job), "Person in charge", of="issue", accept_new_options=False, help=help_line)
        _card(job, store, by)
        _ticks_and_stamp(here, shown, store, by)
    _issued(job, store)


def in_charge(job: Job) -> list[str]:
    """Who may sign: those who may lead a dive, the person in charge of 29 CFR 1910.410(c)."""
    return [p.name for p in job.people if SUPERVISOR in p.duties]


def _issued_as(job: Job, shown: ShownPlan, store: Store) -> IssuedLine | None:
    """The latest watchbill of the day, where it is the plan on show."""
    lines = [line for line in store.issued(job.site.name) if line.day == job.site.first_day]
    if not lines:
        return None
    found = store.open_issued(job.site.name, job.site.first_day, lines[-1].revision)
    return lines[-1] if (found.job, found.plan) == (shown.job, shown.plan) else None


def _success(job: Job, line: IssuedLine, store: Store) -> None:
    when = line.issued_at.astimezone(job.clock.zone)
    chrome.verdict(
        f"Issued: revision {line.revision}, signed by {line.issued_by} at {when:%H:%M on %d %b} "
        f"({job.site.time_zone}). This plan stands frozen; a change of it is a new revision."
    )
    with st.container(horizontal=True, vertical_alignment="center"):
        name = file_name(job, f"watchbill_revision_{line.revision}", "xlsx")
        chrome.download("again", partial(_printed, store, line), name, of="now", type="primary")
        chrome.link("day-log", "Log the day")


def _card(job: Job, store: Store, by: str) -> None:
    saved = store.card(job.site.name)
    lines = emergency_card(saved)
    missing = [line for line in lines if line.missing]
    st.header("Emergency card", anchor=False)
    if missing:
        chrome.verdict(f"Missing: {'; '.join(line.label.split(':')[0] for line in missing)}.", "bad")
    with st.expander("Chamber, hospital, physician, transport, rescue", expanded=bool(missing)):
        for line in lines:
            chrome.ask(st.text_input, "card", of=line.id, label=line.label, value=line.filled)
        chrome.button("card_keep", _keep_card, job, store, by, disabled=not by)
    st.caption(plain(CARD_SOURCE))


def _keep_card(job: Job, store: Store, by: str) -> None:
    typed = {name: str(st.session_state.get(f"card_{name}", "")).strip() for name in CARD_LABELS}
    with chrome.refusals_told():
        store.save_card(job.site.name, {k: v for k, v in typed.items() if v}, by)


def _ticks_and_stamp(here: Desk, shown: ShownPlan, store: Store, by: str) -> None:
    job, plan = shown.job, shown.plan
    st.header("Before issuing", anchor=False)
    st.caption(f"The nine subjects of planning, and what is at hand at the dive location: {plain(SOURCE)}.")
    for item in planning_items(job, plan, here.units):
        _subject(item)
    ticks = all_to_tick(job, plan, here.units)
    rest = [(name, said) for name, said in ticks if name.startswith("unchecked")]
    if rest:
        st.markdown("**What the program could not check**")
    for name, said in rest:
        st.checkbox(plain(said), key=f"tick_{name}")
    if told := flight_words(plan, job):
        st.markdown("**To be told, nothing to settle**")
        st.markdown("\n".join(f"- {plain(sentence)}" for sentence in told))
    open_ticks = [name for name, _ in ticks if not st.session_state.get(f"tick_{name}")]
    revision = store.next_revision(job.site.name, job.site.first_day)
    reason = ""
    if revision > 1:
        reason = chrome.ask(st.text_input, "issue_reason")
    lacks = card_lacks(store.card(job.site.name))
    if lacks:
        st.caption(plain(lacks))
    if not by:
        st.caption("Choose the person in charge above: the watchbill is signed.")
    if open_ticks:
        st.caption(f"{len(open_ticks)} of {len(ticks)} still to tick.")
    ticked = tuple(said for _, said in ticks)
    unready = bool(open_ticks or lacks) or not by or (revision > 1 and not reason.strip())
    printed = {"opened_from": here.opened_from, "spread": here.beside.get(SPREAD_AT), **printed_as(job)}
    about: dict[str, Any] = {"label": f"Issue revision {revision}", "disabled": unready}
    chrome.button("issue_now", _issue, job, plan, store, by, reason, ticked, printed, **about)
    chrome.told()


def _subject(item: PlanningItem) -> None:
    with st.container(border=True):
        st.markdown(f"**{plain(item.subject)}**")
        if item.covered:
            st.markdown(f":material/check: {plain(item.covered)}")
        if item.needs_tick:
            st.checkbox(plain(item.to_tick), key=f"tick_{item.id}")


def _issue(
    job: Job, plan: Plan, store: Store, by: str, reason: str, ticked: tuple[str, ...], printed: dict[str, Any]
) -> None:
    with chrome.refusals_told():
        issue_watchbill(store, job, plan, by, ticked=ticked, reason=reason.strip(), **printed)
        for key in [k for k in st.session_state if str(k).startswith("tick_")]:
            st.session_state[str(key)] = False


def _issued(job: Job, store: Store) -> None:
    lines = store.issued(job.site.name)
    if not lines:
        return
    st.header("Issued", anchor=False)
    for line in reversed(lines):
        with st.container(border=True, horizontal=True, vertical_alignment="center"):
            st.markdown(_line(line, job))
            name = file_name(job, f"watchbill_revision_{line.revision}", "xlsx")
            chrome.download("again", partial(_printed, store, line), name, of=f"{line.day}_{line.revision}")


def _line(line: IssuedLine, job: Job) -> str:
    when = line.issued_at.astimezone(job.clock.zone)
    reason = f"  \n{plain(line.reason)}" if line.reason else ""
    return (
        f"**Revision {line.revision}** for {line.day:%a %d %b %Y}, {plain(line.issued_by)}, "
        f"{when:%d %b %H:%M} ({job.site.time_zone}){reason}  \nSHA-256 `{line.sha256[:16]}`…"
    )


def _printed(store: Store, line: IssuedLine) -> bytes:
    return store.open_issued(line.name, line.day, line.revision).printed

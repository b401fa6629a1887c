"""The page of issuing: what a person ticks, the emergency card, the stamp, and what has been issued."""

from __future__ import annotations

from functools import partial
from typing import Any

import streamlit as st

from planner.job import Job
from planner.log import CARD_LABELS, PlanningItem, all_to_tick, emergency_card, planning_items
from planner.log.before_issue import CARD_SOURCE, SOURCE
from planner.plan import Plan
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.saved import signer, store_or_stop
from planner.screens.wording import file_name, plain
from planner.store import IssuedLine, Store
from planner.store.recording import issue_watchbill


def page(here: Desk) -> None:
    """Draw the page."""
    store = store_or_stop()
    job = here.job
    if job is None:
        chrome.first(
            "No job is open. Open one from the store below, or a sample or workbook on the job page.",
            "job",
            "Open a job",
        )
    else:
        chrome.job_line(job)
        here.harvest()
        by = signer([p.name for p in job.people], "Person in charge")
        _to_issue(here, job, store, by)
    _kept(here, store)


def _to_issue(here: Desk, job: Job, store: Store, by: str) -> None:
    shown = here.shown
    if shown is None:
        chrome.first("There is no plan yet: plan the day first.")
    elif here.plan_is_old:
        chrome.verdict("The job has been edited since this plan was made: plan again before issuing.", "wait")
    else:
        _card(job, store, by)
        _ticks_and_stamp(shown.job, shown.plan, store, by)
    _issued(job, store)


def _card(job: Job, store: Store, by: str) -> None:
    saved = store.card(job.site.name)
    lines = emergency_card(saved)
    missing = [line for line in lines if line.missing]
    st.subheader("Emergency card", anchor=False)
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


def _ticks_and_stamp(job: Job, plan: Plan, store: Store, by: str) -> None:
    st.subheader("Before issuing", anchor=False)
    st.caption(f"The nine subjects of planning: {plain(SOURCE)}.")
    for item in planning_items(job, plan):
        _subject(item)
    rest = [(name, said) for name, said in all_to_tick(job, plan) if name.startswith("unchecked")]
    st.markdown("**What the program could not check**")
    for name, said in rest:
        st.checkbox(plain(said), key=f"tick_{name}")
    ticks = all_to_tick(job, plan)
    open_ticks = [name for name, _ in ticks if not st.session_state.get(f"tick_{name}")]
    revision = store.next_revision(job.site.name, job.site.first_day)
    reason = ""
    if revision > 1:
        reason = chrome.ask(st.text_input, "issue_reason")
    if not by:
        st.caption("Choose the person in charge above: the watchbill is signed.")
    if open_ticks:
        st.caption(f"{len(open_ticks)} of {len(ticks)} still to tick.")
    ticked = tuple(said for _, said in ticks)
    unready = bool(open_ticks) or not by or (revision > 1 and not reason.strip())
    about: dict[str, Any] = {"label": f"Issue revision {revision}", "disabled": unready}
    chrome.button("issue_now", _issue, job, plan, store, by, reason, ticked, **about)
    chrome.told()


def _subject(item: PlanningItem) -> None:
    with st.container(border=True):
        st.markdown(f"**{plain(item.subject)}**")
        if item.covered:
            st.markdown(f":material/check: {plain(item.covered)}")
        if item.needs_tick:
            st.checkbox(plain(item.to_tick), key=f"tick_{item.id}")


def _issue(job: Job, plan: Plan, store: Store, by: str, reason: str, ticked: tuple[str, ...]) -> None:
    with chrome.refusals_told():
        line = issue_watchbill(store, job, plan, by, ticked=ticked, reason=reason.strip())
        chrome.tell(f"Revision {line.revision} is issued. SHA-256 {line.sha256[:16]}…")
        for key in [k for k in st.session_state if str(k).startswith("tick_")]:
            st.session_state[str(key)] = False


def _issued(job: Job, store: Store) -> None:
    lines = store.issued(job.site.name)
    if not lines:
        return
    st.subheader("Issued", anchor=False)
    for line in reversed(lines):
        with st.container(border=True, horizontal=True, vertical_alignment="center"):
            st.markdown(_line(line, job))
            name = file_name(job, f"watchbill_revision_{line.revision}", "xlsx")
            chrome.download("again", partial(_printed, store, line), name, of=f"{line.day}_{line.revision}")
    chrome.link("day-log", "Log the day")


def _line(line: IssuedLine, job: Job) -> str:
    when = line.issued_at.astimezone(job.clock.zone)
    reason = f"  \n{plain(line.reason)}" if line.reason else ""
    return (
        f"**Revision {line.revision}** for {line.day:%a %d %b %Y}, {plain(line.issued_by)}, "
        f"{when:%d %b %H:%M}{reason}  \nSHA-256 `{line.sha256[:16]}`…"
    )


def _printed(store: Store, line: IssuedLine) -> bytes:
    return store.open_issued(line.name, line.day, line.revision).printed


def _kept(here: Desk, store: Store) -> None:
    st.subheader("Jobs in the store", anchor=False)
    if here.job is not None:
        by = str(st.session_state.get("signs_kept") or "")
        chrome.button("keep_job", _save, here, store, by, disabled=not by)
    chrome.told()
    jobs = store.jobs()
    if not jobs:
        st.caption("None yet.")
    for number, line in enumerate(jobs[:20]):
        with st.container(border=True, horizontal=True, vertical_alignment="center"):
            st.markdown(
                f"**{plain(line.name)}**  \nversion {line.versions}, {plain(line.saved_by)}, "
                f"{line.saved_at:%d %b %Y %H:%M} UTC"
            )
            chrome.button("open", _open, here, store, line.name, of=number)


def _save(here: Desk, store: Store, by: str) -> None:
    assert here.job is not None
    with chrome.refusals_told():
        saved = store.save_job(here.job, by)
        chrome.tell(
            f"{saved.name} is {'kept' if saved.fresh else 'already kept'} as version {saved.version}."
        )


def _open(here: Desk, store: Store, name: str) -> None:
    with chrome.refusals_told():
        here.open(store.open_job(name), "the store")

"""The page of table sets: look at one as tables, read its soundness, choose it for the job, load another."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from functools import partial

import pandas as pd
import streamlit as st

from planner.errors import InputFaults
from planner.job import Job
from planner.job.cross_checks import cross_faults
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.frames import height_of, show_faults, show_table
from planner.screens.wording import plain
from planner.table_sets import SetRefused, keep_set, set_ids, table_words
from planner.table_sets.folder import ALWAYS, HEAD
from planner.table_sets.shelf import files_of
from planner.table_sets.soundness import Soundness, examine
from planner.words.table_set import set_lines, soundness_words
from planner.workbook.set_book import examine_book, write_set_book

#: Key of the session: the set that was kept last, to be shown.
_KEPT = "set_kept"


def page(here: Desk) -> None:
    """Draw the page."""
    chrome.told()
    ids = set_ids()
    own = here.job.site.table_set if here.job is not None else ids[0]
    kept = st.session_state.pop(_KEPT, None)
    if kept or st.session_state.get("set_id") not in ids:
        st.session_state["set_id"] = kept or (own if own in ids else ids[0])
    chosen = str(chrome.ask(st.selectbox, "set_id", options=ids))
    files = files_of(chosen)
    report = examine(chosen, files)
    _what_it_is(report)
    if here.job is not None:
        _for_the_job(here, here.job, chosen, report)
    _as_tables(files, report)
    if report.reading.tables is not None:
        chrome.download("set_book", partial(write_set_book, files), f"{chosen}.xlsx")
    st.header("Load a set", anchor=False)
    _load()


def _what_it_is(report: Soundness) -> None:
    """The set in words, and the verdict on it."""
    if report.reading.tables is not None:
        lines = dict(set_lines(report.reading.tables))
        notes = lines.pop("Notes", "")
        names = ("Name and edition", "Checksum", "Groups")
        chrome.facts([(lines.pop(name), name.lower()) for name in names])
        st.markdown("  \n".join(f"**{name}:** {plain(text)}" for name, text in lines.items()))
        if notes:
            with st.expander("Notes of the set: how it was copied out, and what differed"):
                st.markdown(plain(notes))
    _verdict(report, "chosen")


def _verdict(report: Soundness, of: str) -> None:
    chrome.verdict(soundness_words(report), "" if report.sound else "bad")
    for told in report.told:
        st.caption(f"As printed: {plain(told)}")
    where = {"File and line": lambda fault: fault.where}
    show_faults(report.faults, where, key=f"set_faults_{of}", alt="Faults of the set, with file and line")


def _for_the_job(here: Desk, job: Job, chosen: str, report: Soundness) -> None:
    """The button that has the open job planned by the set, or why it cannot be."""
    if job.site.table_set == chosen:
        st.caption("The open job is planned by this set.")
        return
    why = _why_not(job, chosen, report)
    chrome.button("set_use", _use, here, job, chosen, why_not=why)
    if why:
        st.caption(plain(why))


def _why_not(job: Job, chosen: str, report: Soundness) -> str | None:
    if not report.sound:
        return "A set with a fault is not used."
    before = {fault.sentence for fault in cross_faults(job)}
    new = [fault for fault in cross_faults(_by(job, chosen)) if fault.sentence not in before]
    return None if not new else " ".join(f"{fault.where}: {fault.sentence}" for fault in new)


def _by(job: Job, chosen: str) -> Job:
    return job.replace(site=job.site.replace(table_set=chosen))


def _use(here: Desk, job: Job, chosen: str) -> None:
    here.change(_by(job, chosen), f"tables {chosen}")


def _place(name: str) -> tuple[int, str]:
    """Limits first, then residual times and intervals, which every set has."""
    return (ALWAYS.index(name) if name in ALWAYS else len(ALWAYS)), name


def _as_tables(files: Mapping[str, bytes], report: Soundness) -> None:
    """Each file as the table that it is, by the publisher's name for it."""
    tables = report.reading.tables
    names = sorted((name for name in files if name.endswith(".csv")), key=_place)
    called = {} if tables is None else tables.called
    titles = [
        f"{name} · {table_words(called[stem])}" if (stem := name.removesuffix(".csv")) in called else name
        for name in names
    ]
    if not names:
        return
    for tab, name in zip(st.tabs(titles), names, strict=True):
        with tab:
            head, *rows = csv.reader(io.StringIO(files[name].decode("utf-8-sig", "replace"), newline=""))
            frame = pd.DataFrame([row for row in rows if len(row) == len(head)], columns=head)
            alt = f"The file {name} of the set"
            show_table(frame, key=f"set_{name}", alt=alt, height=height_of(frame, 360))


def _load() -> None:
    """Files of a set, judged at once; a sound one may be kept."""
    st.caption(
        f"The files of one folder together, {HEAD} and its CSV files, or the one workbook that holds them "
        "(docs/table-sets.md). They stay on this machine; a set that is not public is for the crew that has "
        "it."
    )
    left, right = st.columns([2, 1])
    with left:
        several = {"type": ["toml", "csv", "xlsx"], "accept_multiple_files": True, "max_upload_size": 2}
        sent = chrome.ask(st.file_uploader, "set_files", **several)
    files = {file.name: file.getvalue() for file in sent or ()}
    with right:
        id = str(chrome.ask(st.text_input, "set_new_id")).strip()
    if not files:
        return
    name = id or "new-set"
    if len(files) == 1 and (book := next(iter(files))).endswith(".xlsx"):
        try:
            files, report = examine_book(name, files[book])
        except InputFaults as wrong:
            show_faults(wrong.faults, {}, key="set_book_faults", alt="What is wrong with the workbook")
            return
    else:
        report = examine(name, files)
    _verdict(report, "new")
    why: str | None = None
    if not report.sound:
        why = "A set with a fault is not kept."
    elif not id:
        why = "Give the set an id first."
    chrome.button("set_keep", _keep, id, files, why_not=why)


def _keep(id: str, files: dict[str, bytes]) -> None:
    with chrome.refusals_told():
        try:
            report = keep_set(id, files)
        except OSError as wrong:
            raise SetRefused(f"The set could not be written: {wrong.strerror or wrong}.") from wrong
        if report.sound:
            st.session_state[_KEPT] = id
            chrome.tell(f"The set {id} is kept and can be chosen for a job.")

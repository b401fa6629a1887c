"""Saved jobs on the job page: save the open job as a further version, open one of those in the store."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import streamlit as st

from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.wording import plain
from planner.store import JobLine, Store, StoreRefused

#: Jobs listed with a button each; the ones saved before them are picked from a list.
LISTED = 6

_TOLD, _REFUSED = "saved_told", "saved_refused"


def saved_jobs(here: Desk) -> None:
    """The section: what is saved, a button to open each, and who saves the open job."""
    from planner.screens.keep import signer, store

    st.subheader("Saved jobs", anchor=False)
    try:
        kept = store()
        lines = kept.jobs()
    except StoreRefused as refused:
        chrome.verdict(f"Saved jobs cannot be reached. {refused}", "bad")
        return
    if here.job is not None:
        _save_bar(here, kept, signer)
    _tell()
    if not lines:
        st.caption(
            "No job is saved yet. Open a job, say who you are and press **Save this job**; it then stands "
            "here, version by version, also after the program was closed."
        )
    _list(here, kept, lines)


def _save_bar(here: Desk, kept: Store, signer: Callable[[list[str], str], str]) -> None:
    assert here.job is not None
    with st.container(horizontal=True, vertical_alignment="bottom"):
        with st.container(width=320):
            by = signer([p.name for p in here.job.people], "Who saves it")
        st.button(
            "Save this job",
            key="save_job",
            icon=":material/save:",
            disabled=not by,
            on_click=_save,
            args=(here, kept, by),
            help="Under its own name, as a further version; the versions before it stay.",
        )


def _list(here: Desk, kept: Store, lines: Sequence[JobLine]) -> None:
    for number, line in enumerate(lines[:LISTED]):
        with st.container(gap=None):
            st.button(
                f"Open **{plain(line.name)}**",
                key=f"open_saved_{number}",
                icon=":material/folder_open:",
                type="tertiary",
                on_click=_open,
                args=(here, kept, line.name),
            )
            st.caption(plain(_line(line)))
    if len(lines) <= LISTED:
        return
    earlier = {line.name: line for line in lines[LISTED:]}
    with st.container(horizontal=True, vertical_alignment="bottom"):
        picked = st.selectbox(
            "Saved earlier",
            list(earlier),
            index=None,
            key="saved_earlier",
            placeholder=f"{len(earlier)} more; type a part of the name",
            format_func=lambda name: f"{name} · {_line(earlier[name])}",
        )
        st.button(
            "Open",
            key="open_saved_earlier",
            icon=":material/folder_open:",
            disabled=picked is None,
            on_click=_open,
            args=(here, kept, picked),
        )


def _line(line: JobLine) -> str:
    issued = {0: "nothing issued", 1: "1 watchbill issued"}.get(
        line.issued, f"{line.issued} watchbills issued"
    )
    return f"version {line.versions} of {line.saved_at:%d %b %Y %H:%M} UTC by {line.saved_by}, {issued}"


def _tell() -> None:
    for key, kind in ((_TOLD, ""), (_REFUSED, "bad")):
        said = st.session_state.pop(key, None)
        if said:
            chrome.verdict(str(said), kind)


def _save(here: Desk, kept: Store, by: str) -> None:
    assert here.job is not None
    try:
        saved = kept.save_job(here.job, by)
    except StoreRefused as refused:
        st.session_state[_REFUSED] = str(refused)
        return
    word = "saved" if saved.fresh else "the same as what is saved"
    st.session_state[_TOLD] = f"{saved.name}: {word} as version {saved.version}, by {saved.saved_by}."


def _open(here: Desk, kept: Store, name: str) -> None:
    try:
        job = kept.open_job(name)
    except StoreRefused as refused:
        st.session_state[_REFUSED] = str(refused)
        return
    here.open(job, "the store")

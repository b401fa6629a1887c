"""Saved jobs on the job page: save the open job as a further version, open one of those in the store.

An older version is opened like any job; saved, it is the newest again. Versions are only looked up when
they are asked for.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

import streamlit as st

from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.wording import plain, saved_time
from planner.store import JobLine, Store, StoreRefused

#: Jobs listed with a button each; the ones saved before them are picked from a list.
LISTED = 6

_VERSIONS_OF = "saved_versions_of"
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
            with st.container(horizontal=True, gap="small"):
                st.button(
                    f"Open **{plain(line.name)}**",
                    key=f"open_saved_{number}",
                    icon=":material/folder_open:",
                    type="tertiary",
                    on_click=_open,
                    args=(here, kept, line.name),
                )
                _versions_button(line.name, f"versions_{number}", "tertiary")
            st.caption(plain(_line(line)))
        _versions_of(here, kept, line.name)
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
        _versions_button(picked, "versions_earlier", "secondary")
    if picked is not None:
        _versions_of(here, kept, picked)


def _versions_button(name: str | None, key: str, kind: Literal["secondary", "tertiary"]) -> None:
    shown = name is not None and st.session_state.get(_VERSIONS_OF) == name
    st.button(
        "Hide versions" if shown else "Versions",
        key=key,
        icon=":material/history:",
        type=kind,
        disabled=name is None,
        on_click=_show_versions,
        args=(None if shown else name,),
        help="Every version of this job that was saved, to be looked through and opened.",
    )


def _show_versions(name: str | None) -> None:
    st.session_state[_VERSIONS_OF] = name


def _versions_of(here: Desk, kept: Store, name: str) -> None:
    """The versions of a job, where the user asked for those of this one."""
    if st.session_state.get(_VERSIONS_OF) != name:
        return
    from planner.screens.saved_versions import list_versions

    list_versions(kept, name, lambda version: _open(here, kept, name, version))


def _line(line: JobLine) -> str:
    issued = {0: "nothing issued", 1: "1 watchbill issued"}.get(
        line.issued, f"{line.issued} watchbills issued"
    )
    return f"version {line.versions} of {saved_time(line.saved_at)} by {line.saved_by}, {issued}"


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


def _open(here: Desk, kept: Store, name: str, version: int | None = None) -> None:
    """Open the newest version, or an older one; the job that was open can be had back with Undo."""
    try:
        job = kept.open_job(name, version)
    except StoreRefused as refused:
        st.session_state[_REFUSED] = str(refused)
        return
    back = " Undo brings back the job that was open." if here.job not in (None, job) else ""
    here.open(job, "the store" if version is None else f"the store, version {version}")
    if version is not None:
        st.session_state[_TOLD] = (
            f"Version {version} of {name} is open. Save this job makes it the newest again; the versions "
            f"in between stay.{back}"
        )

"""The versions of one saved job: when, by whom, what differs from the version before; each can be opened.

The content of a version is read once, and only of the versions that are on show: a version never changes.
"""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from planner.job import Job
from planner.screens.job_differs import what_differs
from planner.screens.wording import plain, saved_time
from planner.store import SavedJob, Store, StoreRefused

#: Versions shown at first, and how many more with every press.
SHOWN = 8

#: Where a session keeps what it has read of versions: what differs, by the hashes of both.
_DIFFERS, _HOW_MANY = "saved_differs", "saved_versions_shown"


def list_versions(kept: Store, name: str, open_version: Callable[[int | None], None]) -> None:
    """The versions of a job, newest first, with a button to open each.

    Parameters
    ----------
    open_version
        Called with the number of the version that is to be opened; None for the newest.
    """
    try:
        versions = kept.versions(name)[::-1]
    except StoreRefused as refused:
        st.warning(plain(str(refused)))
        return
    many = _how_many(name)
    jobs: dict[int, Job] = {}

    def job_of(saved: SavedJob) -> Job:
        # Most versions are compared twice, with the one before and the one after.
        if saved.version not in jobs:
            jobs[saved.version] = kept.open_job(name, saved.version)
        return jobs[saved.version]

    with st.container(border=True, gap=None, key="saved_versions"):
        st.caption(f"Versions of **{plain(name)}**, newest first.")
        for saved, before in zip(versions[:many], (*versions[1:], None)[:many], strict=True):
            _version(job_of, saved, before, saved is versions[0], open_version)
        if len(versions) == 1:
            st.caption(
                "There is no older version yet. Change the job and press **Save this job**: this one stays, "
                "and the changed one stands above it."
            )
        if len(versions) > many:
            st.button(
                f"Show older ({len(versions) - many} more)",
                key="older_versions",
                icon=":material/expand_more:",
                type="tertiary",
                on_click=_more,
                args=(name,),
            )


def _version(
    job_of: Callable[[SavedJob], Job],
    saved: SavedJob,
    before: SavedJob | None,
    newest: bool,
    open_version: Callable[[int | None], None],
) -> None:
    differs = "first version" if before is None else _differs(job_of, before, saved)
    note = f", “{saved.note}”" if saved.note else ""
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        st.button(
            f"Open version {saved.version}",
            # A press that is still under way when the list of another job is drawn must not count for that.
            key=f"open_version_{saved.version}_{saved.sha256[:8]}",
            icon=":material/folder_open:",
            type="tertiary",
            on_click=open_version,
            args=(None if newest else saved.version,),
        )
        st.caption(
            f"{saved_time(saved.saved_at)} by {plain(saved.saved_by)}{plain(note)} · {plain(differs)}"
            + (" · **newest**" if newest else ""),
            width="content",
        )


def _differs(job_of: Callable[[SavedJob], Job], before: SavedJob, after: SavedJob) -> str:
    read: dict[tuple[str, str], str] = st.session_state.setdefault(_DIFFERS, {})
    both = before.sha256, after.sha256
    if both not in read:
        try:
            read[both] = what_differs(job_of(before), job_of(after))
        except StoreRefused:
            # Opening it says which of the two cannot be read, and why.
            return "what differs cannot be read"
    return read[both]


def _how_many(name: str) -> int:
    of, many = st.session_state.get(_HOW_MANY, ("", SHOWN))
    return int(many) if of == name else SHOWN


def _more(name: str) -> None:
    st.session_state[_HOW_MANY] = (name, _how_many(name) + SHOWN)

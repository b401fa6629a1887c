"""The store behind the app: the open one, the clock, who signs; saved jobs, their versions, what differs."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime
from typing import Any

import streamlit as st

from planner.job import Job
from planner.job.base import Part
from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.session import PLACE_KEY
from planner.screens.wording import plain, saved_time
from planner.store import JobLine, SavedJob, Store, StoreRefused
from planner.store.database import default_url

#: Key of the session under which a test puts another clock.
CLOCK_KEY = "clock"

#: Key of the name that signs, kept while the tab is open.
SIGN_KEY = "signs"


@st.cache_resource(show_spinner=False, max_entries=4)
def _opened(place: str) -> Store:
    return Store(place, clock=now)


def store() -> Store:
    """The open store.

    Raises
    ------
    StoreRefused
        It cannot be opened.
    """
    return _opened(str(st.session_state.get(PLACE_KEY) or default_url()))


def store_or_stop() -> Store:
    """The open store; where it cannot be opened the page says why and ends there."""
    try:
        return store()
    except StoreRefused as refused:
        st.error(plain(str(refused)))
        st.stop()


def now() -> datetime:
    """The time now, in UTC."""
    given = st.session_state.get(CLOCK_KEY)
    return given if isinstance(given, datetime) else datetime.now(UTC)


def signer(names: list[str], label: str, of: str = "", **given: Any) -> str:
    """Who signs: one of these or a name typed in, remembered for the next page; blank until there is one.

    ``given``: what the field is to know otherwise, such as that a typed word is not a person.
    """
    kept = st.session_state.get("signs_kept")
    index = names.index(kept) if kept in names else None
    about = {"label": label, "options": names, "index": index, "accept_new_options": True}
    chosen = chrome.ask(st.selectbox, SIGN_KEY, of=of, **{**about, **given})
    if chosen:
        st.session_state["signs_kept"] = chosen
    return str(chosen or "")


#: Things named before the rest is only counted as more.
NAMED = 4

#: Parts of a job that are lists, with the word for one and for several.
_LISTS = (
    ("people", "person", "people"),
    ("items", "item", "items"),
    ("stations", "station", "stations"),
    ("outfits", "outfit", "outfits"),
    ("water_windows", "slack window", "slack windows"),
    ("tide_marks", "tide mark", "tide marks"),
    ("pins", "pin", "pins"),
)

#: Parts of a job that are one thing each.
_WHOLE = (("site", "site"), ("air", "air plant"), ("rules", "crew rules"))


def what_differs(before: Job, after: Job) -> str:
    """``2 people more, 1 item fewer, crew rules changed``; people and items are told apart by name.

    A list in which as many came as went says ``1 person new, 1 person gone``.
    """
    said: list[str] = []
    for field, one, several in _LISTS:
        said += _in_list(getattr(before, field), getattr(after, field), one, several)
    said += [f"{word} changed" for field, word in _WHOLE if getattr(before, field) != getattr(after, field)]
    if not said:
        return "order of the rows" if before != after else "nothing"
    more = len(said) - NAMED
    return ", ".join(said[:NAMED]) + (f" and {more} more" if more > 0 else "")


def _in_list(before: Iterable[Part], after: Iterable[Part], one: str, several: str) -> list[str]:
    was, now = _by_key(before), _by_key(after)
    came, went = len(now.keys() - was.keys()), len(was.keys() - now.keys())
    changed = sum(1 for key in was.keys() & now.keys() if was[key] != now[key])
    grew, shrank = ("new", "gone") if came and went else ("more", "fewer")
    counts = ((came, grew), (went, shrank), (changed, "changed"))
    return [f"{count} {one if count == 1 else several} {word}" for count, word in counts if count]


def _by_key(parts: Iterable[Part]) -> dict[object, Part]:
    """By name; what has none is known by all that it says."""
    return {getattr(part, "name", None) or part: part for part in parts}


#: Versions shown at first, and how many more with every press.
SHOWN = 8

#: Where a session keeps what it has read of versions: what differs, by the hashes of both.
_DIFFERS, _HOW_MANY = "saved_differs", "saved_versions_shown"


def list_versions(kept: Store, name: str, zone: str, open_version: Callable[[int | None], None]) -> None:
    """The versions of a job, newest first, with a button to open each; it gives the number, None for the
    newest."""
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
            _version(job_of, saved, before, saved is versions[0], zone, open_version)
        if len(versions) == 1:
            st.caption(
                "There is no older version yet. Change the job and press **Save this job**: this one stays, "
                "and the changed one stands above it."
            )
        if len(versions) > many:
            chrome.button("older_versions", _more, name, label=f"Show older ({len(versions) - many} more)")


def _version(
    job_of: Callable[[SavedJob], Job],
    saved: SavedJob,
    before: SavedJob | None,
    newest: bool,
    zone: str,
    open_version: Callable[[int | None], None],
) -> None:
    differs = "first version" if before is None else _differs(job_of, before, saved)
    note = f", “{saved.note}”" if saved.note else ""
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        # A press that is still under way when the list of another job is drawn must not count for that.
        mark = f"{saved.version}_{saved.sha256[:8]}"
        label, number = f"Open version {saved.version}", None if newest else saved.version
        chrome.button("open_version", open_version, number, of=mark, label=label)
        st.caption(
            f"{saved_time(saved.saved_at, zone)} by {plain(saved.saved_by)}{plain(note)} · {plain(differs)}"
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


#: Jobs listed with a button each; the ones saved before them are picked from a list.
LISTED = 6

_VERSIONS_OF = "saved_versions_of"


def saved_jobs(here: Desk) -> None:
    """The section: what is saved, a button to open each, and who saves the open job."""
    st.header("Saved jobs", anchor=False)
    try:
        kept = store()
        lines = kept.jobs()
    except StoreRefused as refused:
        chrome.verdict(f"Saved jobs cannot be reached. {refused}", "bad")
        return
    if here.job is not None:
        _save_bar(kept, here.job)
    chrome.told()
    if not lines:
        st.caption(
            "No job is saved yet. Open a job, say who you are and press **Save this job**; it then stands "
            "here, version by version, also after the program was closed."
        )
    _list(here, kept, lines)


def _save_bar(kept: Store, job: Job) -> None:
    with st.container(horizontal=True, vertical_alignment="bottom"):
        with st.container(width=320):
            by = signer([p.name for p in job.people], "Who saves it")
        chrome.button("save_job", _save, kept, job, by, disabled=not by)


def _list(here: Desk, kept: Store, lines: Sequence[JobLine]) -> None:
    for number, line in enumerate(lines[:LISTED]):
        with st.container(gap=None):
            with st.container(horizontal=True, gap="small"):
                label = f"Open **{plain(line.name)}**"
                chrome.button("open_saved", _open, here, kept, line.name, of=number, label=label)
                _versions_button(line.name, number, "tertiary")
            st.caption(plain(_line(line)))
        _versions_of(here, kept, line)
    if len(lines) <= LISTED:
        return
    earlier = {line.name: line for line in lines[LISTED:]}
    with st.container(horizontal=True, vertical_alignment="bottom"):
        placeholder = f"{len(earlier)} more; type a part of the name"
        among = {"options": list(earlier), "index": None, "placeholder": placeholder}
        said_as = {"format_func": lambda name: f"{name} · {_line(earlier[name])}"}
        picked = chrome.ask(st.selectbox, "saved_earlier", **among, **said_as)
        chrome.button("open_saved_earlier", _open, here, kept, picked, disabled=picked is None)
        _versions_button(picked, "earlier", "secondary")
    if picked is not None:
        _versions_of(here, kept, earlier[picked])


def _versions_button(name: str | None, of: object, kind: str) -> None:
    shown = name is not None and st.session_state.get(_VERSIONS_OF) == name
    label, then = ("Hide versions", None) if shown else ("Versions", name)
    given: dict[str, Any] = {"label": label, "type": kind, "disabled": name is None}
    chrome.button("versions", _show_versions, then, of=of, **given)


def _show_versions(name: str | None) -> None:
    st.session_state[_VERSIONS_OF] = name


def _versions_of(here: Desk, kept: Store, line: JobLine) -> None:
    """The versions of a job, where the user asked for those of this one."""
    if st.session_state.get(_VERSIONS_OF) != line.name:
        return
    list_versions(kept, line.name, line.time_zone, lambda version: _open(here, kept, line.name, version))


def _line(line: JobLine) -> str:
    issued = (
        f"{line.issued} watchbill{'s' if line.issued > 1 else ''} issued" if line.issued else "nothing issued"
    )
    when = saved_time(line.saved_at, line.time_zone)
    return f"version {line.versions} of {when} by {line.saved_by}, {issued}"


def _save(kept: Store, job: Job, by: str) -> None:
    with chrome.refusals_told():
        saved = kept.save_job(job, by)
        word = "saved" if saved.fresh else "the same as what is saved"
        chrome.tell(f"{saved.name}: {word} as version {saved.version}, by {saved.saved_by}.")


def _open(here: Desk, kept: Store, name: str, version: int | None = None) -> None:
    """Open the newest version, or an older one; the job that was open can be had back with Undo."""
    with chrome.refusals_told():
        job = kept.open_job(name, version)
        back = " Undo brings back the job that was open." if here.job not in (None, job) else ""
        here.open(job, "the store" if version is None else f"the store, version {version}")
        if version is not None:
            chrome.tell(
                f"Version {version} of {name} is open. Save this job makes it the newest again; the versions "
                f"in between stay.{back}"
            )

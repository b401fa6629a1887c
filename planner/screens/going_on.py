"""Going on with the work of this browser: a bare address offers what was open in it last.

The browser itself remembers the token of its last desk that had work on it, in its own storage for this
address; the server hands a desk to nobody who does not know its token.
"""

from __future__ import annotations

from collections.abc import Mapping

import streamlit as st

from planner.screens import chrome
from planner.screens.desk import Desk
from planner.screens.session import ADDRESS_KEY, bring_back, shelf


def remember(here: Desk) -> None:
    """Have the browser remember this desk, where there is work on it."""
    if not here.is_empty:
        chrome.component("last_desk")(data={"desk": here.token}, key="last_desk_kept", height=0)


def offer(here: Desk) -> None:
    """On an empty desk: go on with what this browser had open last, where it is still kept."""
    if not here.is_empty:
        return
    found = chrome.component("last_desk")(
        data={"desk": ""}, key="last_desk", height=0, on_desk_change=lambda: None
    )
    token = str(found.get("desk") or "")
    last = _found(token) if token and token != here.token else None
    if last is None or last.is_empty:
        return
    with st.container(horizontal=True, vertical_alignment="center", key="going_on"):
        chrome.verdict(_words(last), "wait")
        chrome.button("go_on", _go_on, token)


def _found(token: str) -> Desk | None:
    known = shelf().find(token)
    if known is not None:
        return known
    kept, _ = bring_back(token)
    return None if kept is None else shelf().take_in(kept)


def _words(last: Desk) -> str:
    """``Go on with Pier 4, planned 12:50, kept 13:14?``."""
    what = f"mending {last.mending.file}" if last.mending is not None else ""
    if last.draft is not None and last.drafting:
        typed = last.draft.edits.typed.get("Site")
        name = typed.get("name") if isinstance(typed, Mapping) else None
        what = f"the new job {name or 'without a name yet'}"
    if last.job is not None:
        what = last.job.site.name
    return f"Go on with {', '.join(filter(None, (what, last.planned_words, last.kept_words)))}?"


def _go_on(token: str) -> None:
    st.query_params[ADDRESS_KEY] = token

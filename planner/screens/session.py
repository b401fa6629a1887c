"""Ties a browser tab to its desk: the token stands in the address, so a reload finds the work again."""

from __future__ import annotations

import streamlit as st

from planner.screens.desk import Desk, Shelf
from planner.screens.desk_keep import bring_back

#: Name of the token in the address.
ADDRESS_KEY = "desk"

_SESSION_KEY = "desk_token"

#: What is told when nothing is known of the token in an address.
_UNKNOWN = (
    "What was open behind this address is no longer on the server: it was left alone for long, or the "
    "address is not whole. Open the job again; downloads and saved jobs are whole."
)


@st.cache_resource(show_spinner=False, max_entries=1)
def shelf() -> Shelf:
    """The desks of this server; one shelf for all tabs."""
    return Shelf()


def desk() -> Desk:
    """The desk of this tab: by the token in the address, else by the session's, else a new one.

    A token that this server does not know is looked for among the desks that were written down, since the
    server may have been restarted. Where it is not there either, a fresh desk comes with a note; see
    `lost_work`.
    """
    desks = shelf()
    asked = st.query_params.get(ADDRESS_KEY)
    own: str | None = st.session_state.get(_SESSION_KEY)
    found = desks.find(asked) if asked else None
    if found is None and own is not None:
        found = desks.find(own)
    if found is None:
        found = _brought_back(desks, asked or own)
    if asked != found.token:
        st.query_params[ADDRESS_KEY] = found.token
    st.session_state[_SESSION_KEY] = found.token
    return found


def _brought_back(desks: Shelf, token: str | None) -> Desk:
    """The desk of a token as it was written down; a new one, with what is to be told, when it was not."""
    if token is None:
        return desks.new()
    kept, why = bring_back(token)
    if kept is not None:
        return desks.take_in(kept)
    st.session_state["lost_work"] = why or _UNKNOWN
    return desks.new()


def lost_work() -> str:
    """What is to be told to a tab that asked for a desk that is not there any more; blank for any other."""
    return str(st.session_state.get("lost_work", ""))

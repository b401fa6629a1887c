"""Ties a browser tab to its desk: the token stands in the address, so a reload finds the work again."""

from __future__ import annotations

import streamlit as st

from planner.screens.desk import Desk, Shelf

#: Name of the token in the address.
ADDRESS_KEY = "desk"

_SESSION_KEY = "desk_token"


@st.cache_resource(show_spinner=False, max_entries=1)
def shelf() -> Shelf:
    """The desks of this server; one shelf for all tabs."""
    return Shelf()


def desk() -> Desk:
    """The desk of this tab: by the token in the address, else by the session's, else a new one.

    A token in the address that this server does not know (it was restarted, or cleared the desk away)
    brings a fresh desk and a note; see `lost_work`.
    """
    desks = shelf()
    asked = st.query_params.get(ADDRESS_KEY)
    own: str | None = st.session_state.get(_SESSION_KEY)
    found = desks.find(asked) if asked else None
    if found is None and own is not None:
        found = desks.find(own)
    if found is None:
        found = desks.new()
        st.session_state["lost_work"] = bool(asked or own)
    if asked != found.token:
        st.query_params[ADDRESS_KEY] = found.token
    st.session_state[_SESSION_KEY] = found.token
    return found


def lost_work() -> bool:
    """Whether this tab asked for a desk that the server no longer has."""
    return bool(st.session_state.get("lost_work", False))

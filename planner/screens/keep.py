"""The store behind the app: one for the server, opened when first asked for, and the clock."""

from __future__ import annotations

from datetime import UTC, datetime

import streamlit as st

from planner.screens.desk_keep import PLACE_KEY
from planner.screens.wording import plain
from planner.store import Store, StoreRefused
from planner.store.place import default_url

#: Key of the session under which a test puts another clock.
CLOCK_KEY = "clock"

#: Key of the name that signs, kept while the tab is open.
SIGN_KEY = "signs"


@st.cache_resource(show_spinner=False, max_entries=4)
def _opened(place: str) -> Store:
    return Store(place)


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


def signer(names: list[str], label: str) -> str:
    """Who signs: one of the team, remembered for the next page; blank until someone is chosen."""
    kept = st.session_state.get("signs_kept")
    index = names.index(kept) if kept in names else None
    chosen = st.selectbox(
        label,
        names,
        index=index,
        key=SIGN_KEY,
        placeholder="Choose your name",
        accept_new_options=True,
        help="Signs what is kept: one of the team, or a name typed in. Remembered while the tab is open.",
    )
    if chosen:
        st.session_state["signs_kept"] = chosen
    return str(chosen or "")

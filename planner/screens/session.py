"""The desk of a browser tab: found by its token, written down as it changes, brought back after a restart.

The token stands in the address, so that a reload finds the work. Where a desk cannot be written down the app
goes on, and says that work is only kept while the server runs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

import streamlit as st

from planner.screens.backend import backend
from planner.screens.desk import Desk, Shelf
from planner.screens.runs import CountedRun, EndedRun

if TYPE_CHECKING:
    from planner.store.kept_desks import KeptDesks


Ended = TypeVar("Ended")

#: Key of the session under which a test puts another place of the store.
PLACE_KEY = "store_place"

ONLY_WHILE_RUNNING = "This work is only kept while the server runs. {why}"

_LOST = (
    "What was open behind this address cannot be brought back. {why} Open the job again; downloads and saved "
    "jobs are whole."
)


@st.cache_resource(show_spinner=False, max_entries=4)
def _opened(place: str) -> KeptDesks:
    from planner.store.kept_desks import KeptDesks, desks_file

    return KeptDesks(desks_file(place))


def _kept_desks() -> KeptDesks:
    from planner.store.database import default_url, url_of

    place = st.session_state.get(PLACE_KEY)
    return _opened(url_of(str(place)) if place else default_url())


def keep(here: Desk) -> None:
    """Write a desk down if it has changed since it was last written; cheap when it has not.

    What stands in the way is kept on the desk, for the page to tell; the next change tries again.
    """
    if here.is_written_down or (here.is_empty and here.kept is None):
        return
    from planner.store.database import StoreRefused

    state = here.state
    try:
        gone = [name for name in _put(here) if name in here.parts and here.parts[name].sha256]
        if gone:
            # The desk was cleared away to make room for others; its parts are made anew, where they can be.
            for name in gone:
                del here.parts[name]
            _put(here)
    except StoreRefused as refused:
        here.not_kept = ONLY_WHILE_RUNNING.format(why=refused)
    else:
        here.not_kept, here.kept_at = "", datetime.now(UTC)
        here.parts = {name: replace(part, text="") for name, part in here.parts.items()}
    here.kept = state


def _put(here: Desk) -> tuple[str, ...]:
    """Write a desk and its parts; names of the parts that should have been there and are not."""
    from planner.screens.desk_record import SEARCHED, record_of
    from planner.screens.what_if_record import going_parts

    # Asked first: what a run hands over that ends meanwhile stays beside a record that says it goes on.
    going = ([SEARCHED] if here.solving else []) + going_parts(here)
    parts: dict[str, str | None] = dict.fromkeys(going)
    content = record_of(here)
    parts |= {name: part.text or None for name, part in here.parts.items()}
    return _kept_desks().put(here.token, content, parts)


def hand_over_of(here: Desk) -> Callable[[EndedRun], None] | None:
    """What writes down the end of a search beside a desk when no page looks; None where nothing can be."""
    from planner.screens.desk_record import SEARCHED, searched_out

    return _hand_over(here, SEARCHED, searched_out)


def hand_over_what_if(here: Desk, kept_as: str) -> Callable[[CountedRun[Any]], None] | None:
    """The same for a comparison or for drawn days, by where the desk has them (`COMPARED`, `ODDS`)."""
    from planner.screens.what_if_record import ENDED_PARTS, handed_over

    return _hand_over(here, ENDED_PARTS[kept_as], partial(handed_over, kept_as))


def _hand_over(here: Desk, name: str, text_of: Callable[[Ended], str]) -> Callable[[Ended], None] | None:
    """What writes down an end as the desk's part of that name.

    The page calls this one; what it gives is called on the run's thread, touches nothing of Streamlit, and
    of the desk nothing but why it could not be written down.
    """
    from planner.store.database import StoreRefused

    try:
        kept = _kept_desks()
    except StoreRefused as refused:
        here.not_kept = ONLY_WHILE_RUNNING.format(why=refused)
        return None

    def hand_over(ended: Ended) -> None:
        try:
            kept.put_part(here.token, name, text_of(ended))
        except StoreRefused as refused:
            here.not_kept = ONLY_WHILE_RUNNING.format(why=refused)

    return hand_over


def bring_back(token: str) -> tuple[Desk | None, str]:
    """The desk that was written down under a token, and why there is none where that can be told."""
    from planner.screens.desk_record import UnreadableDesk, desk_of
    from planner.store.database import StoreRefused

    try:
        kept = _kept_desks()
        text = kept.get(token)
        if text is None:
            return None, ""
        return desk_of(text, token, backend().check, lambda name: kept.part(token, name)), ""
    except (StoreRefused, UnreadableDesk) as refused:
        return None, _LOST.format(why=refused)


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

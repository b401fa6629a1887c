"""Writes desks down as they change, and brings them back on a server that was restarted.

Where they cannot be written the app goes on, and says that work is only kept while the server runs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

import streamlit as st

from planner.screens.desk import Desk
from planner.screens.engines import engines
from planner.screens.solve_run import EndedRun

if TYPE_CHECKING:
    # The database is loaded when there is something to write down.
    from planner.store.kept_desks import KeptDesks

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
    from planner.store.place import default_url, url_of

    place = st.session_state.get(PLACE_KEY)
    return _opened(url_of(str(place)) if place else default_url())


def keep(here: Desk) -> None:
    """Write a desk down if it has changed since it was last written; cheap when it has not.

    What stands in the way is kept on the desk, for the page to tell; the next change tries again.
    """
    if here.is_written_down or (here.is_empty and here.kept is None):
        return
    from planner.screens.desk_record import SEARCHED, record_of
    from planner.store.refusal import StoreRefused

    state = here.state
    try:
        # Asked first: what a run hands over that ends meanwhile stays beside a record that says it goes on.
        parts: dict[str, str | None] = {SEARCHED: None} if here.solving else {}
        content = record_of(here)
        parts |= {name: part.text or None for name, part in here.parts.items()}
        _kept_desks().put(here.token, content, parts)
    except StoreRefused as refused:
        here.not_kept = ONLY_WHILE_RUNNING.format(why=refused)
    else:
        here.not_kept = ""
        here.parts = {name: replace(part, text="") for name, part in here.parts.items()}
    here.kept = state


def hand_over_of(here: Desk) -> Callable[[EndedRun], None] | None:
    """What writes down the end of a search beside a desk when no page looks; None where nothing can be.

    The page calls this one; what it gives is called on the search's thread, touches nothing of Streamlit, and
    of the desk nothing but why it could not be written down.
    """
    from planner.screens.desk_record import SEARCHED, searched_out
    from planner.store.refusal import StoreRefused

    try:
        kept = _kept_desks()
    except StoreRefused as refused:
        here.not_kept = ONLY_WHILE_RUNNING.format(why=refused)
        return None

    def hand_over(ended: EndedRun) -> None:
        try:
            kept.put_part(here.token, SEARCHED, searched_out(ended))
        except StoreRefused as refused:
            here.not_kept = ONLY_WHILE_RUNNING.format(why=refused)

    return hand_over


def bring_back(token: str) -> tuple[Desk | None, str]:
    """The desk that was written down under a token, and why there is none where that can be told."""
    from planner.screens.desk_record import Unreadable, desk_of
    from planner.store.refusal import StoreRefused

    try:
        kept = _kept_desks()
        text = kept.get(token)
        if text is None:
            return None, ""
        return desk_of(text, token, engines().check, lambda name: kept.part(token, name)), ""
    except (StoreRefused, Unreadable) as refused:
        return None, _LOST.format(why=refused)

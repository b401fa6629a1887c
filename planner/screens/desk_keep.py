"""Writes desks down as they change, and brings them back on a server that was restarted.

Where they cannot be written the app goes on, and says that work is only kept while the server runs.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeVar

import streamlit as st

from planner.screens.desk import Desk
from planner.screens.engines import engines
from planner.screens.solve_run import EndedRun

if TYPE_CHECKING:
    # The database is loaded when there is something to write down.
    from planner.store.kept_desks import KeptDesks
    from planner.whatif.background import Background

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
    from planner.store.place import default_url, url_of

    place = st.session_state.get(PLACE_KEY)
    return _opened(url_of(str(place)) if place else default_url())


def keep(here: Desk) -> None:
    """Write a desk down if it has changed since it was last written; cheap when it has not.

    What stands in the way is kept on the desk, for the page to tell; the next change tries again.
    """
    if here.is_written_down or (here.is_empty and here.kept is None):
        return
    from planner.store.refusal import StoreRefused

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
        here.not_kept = ""
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


def hand_over_what_if(here: Desk, kept_as: str) -> Callable[[Background[Any]], None] | None:
    """The same for a comparison or for drawn days, by where the desk has them (`COMPARED`, `ODDS`)."""
    from planner.screens.what_if_record import ENDED_PARTS, handed_over

    return _hand_over(here, ENDED_PARTS[kept_as], handed_over)


def _hand_over(here: Desk, name: str, text_of: Callable[[Ended], str]) -> Callable[[Ended], None] | None:
    """What writes down an end as the desk's part of that name.

    The page calls this one; what it gives is called on the run's thread, touches nothing of Streamlit, and
    of the desk nothing but why it could not be written down.
    """
    from planner.store.refusal import StoreRefused

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

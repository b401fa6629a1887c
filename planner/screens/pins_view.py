"""What is pinned, in a compact list, each with a control that takes it out."""

from __future__ import annotations

import streamlit as st

from planner.job import Job, Pin
from planner.screens.desk import Desk
from planner.screens.hand_pins import pin_text
from planner.screens.wording import plain

#: With more pins than that the list is folded until it is asked for.
OPEN_UP_TO = 4


def list_pins(here: Desk, job: Job) -> None:
    """Every pin of the job with a button that removes it; nothing where nothing is pinned."""
    if not job.pins:
        return
    count = len(job.pins)
    why_not = _why_not(here)
    with st.expander(f"Pinned: {count} thing{'s' if count != 1 else ''}", expanded=count <= OPEN_UP_TO):
        for number, pin in enumerate(job.pins):
            with st.container(horizontal=True, vertical_alignment="center", key=f"pin_{number}"):
                st.button(
                    "Remove",
                    key=f"pin_off_{number}",
                    icon=":material/close:",
                    type="tertiary",
                    disabled=why_not is not None,
                    help=why_not or "Takes this pin out of the job; Undo brings it back.",
                    on_click=_remove,
                    args=(here, job, (pin,)),
                )
                note = f"  \n:gray[{plain(pin.note)}]" if pin.note else ""
                st.markdown(_sentence(job, pin) + note, width="stretch")
        if count > 1:
            st.button(
                "Remove all pins",
                key="pins_off",
                icon=":material/keep_off:",
                disabled=why_not is not None,
                help=why_not or "Takes every pin out of the job; Undo brings them back.",
                on_click=_remove,
                args=(here, job, job.pins),
            )


def _sentence(job: Job, pin: Pin) -> str:
    text = pin_text(job, pin)
    return f"{plain(text[:1].upper() + text[1:])}."


def _why_not(here: Desk) -> str | None:
    if here.solving:
        return "The search is going on; stop it first."
    if here.edits.typed:
        return "Something is typed and not applied. Apply it or throw it away first, so that it is not lost."
    return None


def _remove(here: Desk, job: Job, pins: tuple[Pin, ...]) -> None:
    left = tuple(p for p in job.pins if p not in pins)
    what = f"pin removed: {pin_text(job, pins[0])}" if len(pins) == 1 else "all pins removed"
    here.change(job.replace(pins=left), what)
